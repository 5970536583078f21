"""What hearing hands to the practice screen: a pass that was kept, a stroke just struck."""

from typing import NamedTuple

from score.takes.heart_passages import LostPassage
from score.takes.judged_pass import JudgedPass
from score.takes.kept_takes import TakeOf
from tui.pass_facts import WrittenPlace


class KeptPass(NamedTuple):
    """A pass that was judged and kept.

    Attributes:
        number: of it in the history.
        whole: whether it was played from beginning to end.
        what: over what it was played.
        judged: what came of it.
        lost: the bars it lost, in words; "" for none.
        passages: the same where it was played by heart, with where to come in before them.
        trouble: why its sound was not saved; "" where nothing went wrong.
    """

    number: int
    whole: bool
    what: TakeOf
    judged: JudgedPass
    lost: str = ""
    passages: tuple[LostPassage, ...] = ()
    trouble: str = ""


class Lit(NamedTuple):
    """A written stroke that has just been struck.

    Attributes:
        place: its bar and place.
        offset_ms: how late, milliseconds; negative is early.
    """

    place: WrittenPlace
    offset_ms: float
