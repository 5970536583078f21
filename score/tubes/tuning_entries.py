"""What was heard after a trim, entered into a tuning log on disk and taken out of it again."""

from dataclasses import replace
from pathlib import Path

from score.errors import RequestError
from score.tubes.tuning_log import Heard, Log, enter
from score.tubes.tuning_log_file import changed, read_heard, read_log


def entered(path: Path, lines: tuple[str, ...], when: str) -> Log:
    """The log with what was heard now, written back.

    Args:
        path: of the log.
        lines: a line for each tube: "C3: C3-18c 21C".
        when: date and time to note with them.

    Raises:
        InbreathError: no log, or a line that cannot be; then nothing is written.
    """

    def longer(log: Log) -> Log:
        for text in lines:
            log = enter(log, read_heard(text, log, when))
        return log

    return changed(path, longer) if lines else read_log(path)


def removed(path: Path, heard: Heard) -> Log:
    """The log without an entry, written back; entries that others made since stay.

    Raises:
        InbreathError: no log, or no such entry any more.
    """

    def without(log: Log) -> Log:
        if heard not in log.heard:
            what = f"{path.name} holds no such entry of {heard.tube} any more"
            raise RequestError("Nothing to undo", what, "look at the log")
        last = len(log.heard) - 1 - log.heard[::-1].index(heard)
        return replace(log, heard=log.heard[:last] + log.heard[last + 1 :])

    return changed(path, without)
