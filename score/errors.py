"""What went wrong, in words a musician can act on.

    InbreathError
    ├── ScoreFileError      the score cannot be read, or is refused
    ├── GroupFileError      the group's file says something that cannot hold
    ├── TuningLogError      the tuning log cannot be read or says what cannot be
    ├── ConcertFileError    the concert's file cannot be read or says what cannot be
    ├── RequestError        a player, bar or option that was asked for does not fit the piece
    └── WritingError        an output cannot be written

Every error is caused by something the user can change, carries a title, what happened (with part and
bar where there is one) and what would work, and is shown as one line. Anything else that escapes is a
fault of ours. No text of a file reaches a terminal with control characters in it.
"""

from score.plain_text import harmless


class InbreathError(Exception):
    """An error to be shown as one line: ``title: what; remedy``.

    Attributes:
        title: two to five words that name the trouble.
        what: what was found, and where (file, part, bar).
        remedy: what would work instead.
    """

    exit_code = 2

    def __init__(self, title: str, what: str, remedy: str = "") -> None:
        self.title = _one_line(title)
        self.what = _one_line(what)
        self.remedy = _one_line(remedy)
        super().__init__(self.line)

    @property
    def line(self) -> str:
        """The whole error on one line."""
        said = f"{self.title}: {self.what}"
        return f"{said}; {self.remedy}" if self.remedy else said

    def __reduce__(self) -> tuple[type["InbreathError"], tuple[str, str, str]]:
        # Worker processes send errors back by pickling them; the default would pass one argument.
        return type(self), (self.title, self.what, self.remedy)


class ScoreFileError(InbreathError):
    """The score file cannot be read, or is refused before it is."""


class GroupFileError(InbreathError):
    """The group's file cannot be read or contradicts the score."""


class TuningLogError(GroupFileError):
    """The tuning log cannot be read, or says what cannot be: a file of one's own, checked as the group's is."""


class ConcertFileError(GroupFileError):
    """The concert's file cannot be read, or says what cannot be: checked as the group's is."""


class RequestError(InbreathError):
    """What was asked for does not fit the piece."""


class WritingError(InbreathError):
    """An output file or folder cannot be written."""


def _one_line(text: str) -> str:
    return " ".join(harmless(str(text)).split())
