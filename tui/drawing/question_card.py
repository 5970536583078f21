"""A question as a card: what is asked, the choices when it is turned over, and the right answer with its bar."""

from textwrap import wrap
from typing import NamedTuple

from rich.text import Text

from score.memory.question import Question
from tui.drawing.palette import Palette

_MARGIN = 2


class Card(NamedTuple):
    """What the screen shows of a question.

    Attributes:
        question: the question.
        is_open: the choices are shown.
        chosen: the choice that was taken, "" while none was.
        bar: the bar it is about, as printed.
    """

    question: Question
    is_open: bool
    chosen: str
    bar: str


def card_lines(card: Card, width: int, colours: Palette) -> list[Text]:
    """The card in lines of a width."""
    question = card.question
    lines = _folded(question.text, width, f"bold {colours.ink}")
    lines.append(Text(""))
    if not card.is_open:
        lines += _folded("Think first. Then space shows the choices.", width, colours.faint)
        return lines
    for number, choice in enumerate(question.choices, 1):
        is_right = bool(card.chosen) and choice == question.answer
        is_wrong = question.is_scored and choice == card.chosen and not is_right
        colour = colours.good if is_right else colours.bad if is_wrong else colours.ink
        sign = "+" if is_right else "x" if is_wrong else " "
        lines += _folded(choice, width, f"bold {colour}" if is_right else colour, f"{sign} {number}  ")
    lines.append(Text(""))
    if card.chosen:
        said = "Right." if card.chosen == question.answer else f"No: {question.answer}."
        if not question.is_scored:
            said = f"We would say {question.answer}; it is not counted."
        lines += _folded(f"{said}  Bar {card.bar}.", width, f"bold {colours.ink}")
    return lines


def _folded(text: str, width: int, style: str, before: str = "") -> list[Text]:
    """Words in lines, the first after a few signs, the others set in as far."""
    room = max(20, width - 2 * _MARGIN - len(before))
    lines = wrap(text, room) or [""]
    heads = [before, *[" " * len(before)] * (len(lines) - 1)]
    return [Text(" " * _MARGIN + head + line, style, no_wrap=True) for head, line in zip(heads, lines, strict=True)]
