"""The options of parts that fade, and what is said of them."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from score.plain_text import several
from tui.option_numbers import number_option
from tui.option_sets import Command, take_options

if TYPE_CHECKING:
    from score.memory.fade import Fade
    from score.parts.write_faded import FadedPart
    from score.piece import Piece

_OPTIONS = (
    number_option(
        "--fade",
        between=(1, 4),
        whole=True,
        metavar="STEP",
        help="By heart: 1 everything; 2 first beats of phrases, entries, places where look-alikes part; 3 marks, bars "
        "of rest, numbers; 4 bars, numbers, tempo.",
    ),
    click.option("--no-cues", is_flag=True, help="By heart: the others' rhythms go too, whatever the step."),
    click.option("--fade-bars", default="", metavar="BARS", help="By heart: only these bars fade, 17-32."),
)


def fade_options(command: Command) -> Command:
    """Give a command the options of fading: fade, no_cues, fade_bars."""
    return take_options(command, _OPTIONS)


def fade_of(piece: "Piece", step: int, no_cues: bool, bars: str) -> "Fade":
    """What was asked for.

    Raises:
        RequestError: bars that are not there.
    """
    from score.memory.fade import Fade, FadeStep
    from score.places import find_bars

    fading = find_bars(piece, bars) if bars else range(len(piece.bars))
    return Fade(FadeStep(step), not no_cues, whole=frozenset(range(len(piece.bars))) - frozenset(fading))


def faded_text(piece: "Piece", parts: "Sequence[FadedPart]", fade: "Fade") -> str:
    """Which files were written and what is left in them."""
    from score.memory.fade import STEP_WORDS

    lines = []
    for part in parts:
        pages = several(part.page_count, "page")
        lines.append(f"{piece.player(part.player).name}: {pages}  {part.pdf}")
    cues = "with cues" if fade.cues else "without cues"
    return "\n".join([*lines, f"What is left: {STEP_WORDS[fade.step]}; {cues}"])


def faded_json(part: "FadedPart", fade: "Fade") -> dict[str, object]:
    """One player's faded part with stable keys."""
    return {
        "player": part.player,
        "pdf": str(part.pdf),
        "pages": part.page_count,
        "step": int(fade.step),
        "cues": fade.cues,
    }
