"""Questions on paper: A5, a dozen a sheet, answers upside down at the foot, bars engraved where bars are asked for."""

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from score.errors import RequestError
from score.memory.bar_contents import Contents
from score.memory.bar_words import bar_words
from score.memory.question import Question
from score.piece import Piece, Player
from score.places import bar_name
from score.printing.fonts import TEXT
from score.printing.text_width import lines_of, text_width
from score.printing.typesetting import quoted, to_pdf
from score.progress import ReportProgress
from score.reading.reading_result import Reading
from score.recall.bar_crops import BarCrops
from score.writing import write_atomically

_WIDTH, _HEIGHT, _SIDE, _TOP = 148.0, 210.0, 11.0, 10.0
"""A5 (ISO 216) and its margins, mm."""
_MOST = 12
"""Questions a sheet."""
_INSIDE = _WIDTH - 2 * _SIDE
_NUMBER, _STAFF_MM, _LETTER = 6.0, 3.6, 4.0
_TEXT, _SMALL = 9.0, 7.5
"""Points."""
_LINE = 0.43
"""Distance of lines, mm a point."""
_LEADING = (_LINE - 0.352 * 0.7) * _TEXT
"""From the foot of a line to the head of the next, mm: capitals are 0.7 of a letter's size high."""
_AIR, _MOST_AIR, _HEAD, _FOOT_AIR, _APART = 2.2, 3.0, 9.0, 4.0, 4.0
_ROOM = _HEIGHT - 2 * _TOP - _HEAD
_LETTERS = "abcdefgh"
"""Before the choices."""
_SAID = 3
"""Strokes of a bar that an answer says."""
_PICTURED = {"goes on", "fork", "first", "times"}
"""Kinds that show bars."""


class CardSheets(NamedTuple):
    """A file of cards: where it is, its sheets and its questions."""

    pdf: Path
    sheets: int
    questions: int


class _SetQuestion(NamedTuple):
    """A question as it is set: the page maker's words for it, its height in mm, and its answer."""

    body: str
    height: float
    answer: str


def write_cards(
    reading: Reading, player: int, questions: Sequence[Question], path: Path, progress: ReportProgress
) -> CardSheets:
    """Write questions as cards.

    Args:
        reading: the score.
        player: number of the player.
        questions: in order; which one is right is said at the foot.
        path: where to.
        progress: told how far it is.

    Raises:
        RequestError: there is nothing to ask.
        InbreathError: the engraver can make nothing of the part.
        WritingError: the file cannot be written.
    """
    own = reading.piece.player(player)
    if not questions:
        raise RequestError("Nothing to ask", f"{own.name}: no question with one right answer", "try another player")
    cards = []
    maker = _CardMaker(reading, own)
    for number, question in enumerate(questions, 1):
        progress("cards", number / len(questions))
        cards.append(maker.card(number, question))
    sheets = list(_sheets(cards))
    write_atomically(path, to_pdf(_setting(reading.piece, own) + "\n#pagebreak()\n".join(map(_sheet, sheets))))
    return CardSheets(path, len(sheets), len(cards))


def _setting(piece: Piece, player: Player) -> str:
    title = quoted(f"{piece.heading} - {player.name}: questions")
    head = quoted(f"{piece.heading}, {player.name}")
    return (
        f"#set document(title: {title}, date: none)\n"
        f"#set page(width: {_WIDTH}mm, height: {_HEIGHT}mm, margin: (x: {_SIDE}mm, top: {_TOP + _HEAD}mm, "
        f"bottom: {_TOP}mm), header-ascent: 3mm, header: align(right, text({_SMALL}pt, {head})))\n"
        f"#set text(font: {quoted(TEXT)}, size: {_TEXT}pt)\n"
        f"#set par(leading: {_LEADING:.2f}mm, spacing: 0mm)\n#set block(spacing: 0mm)\n"
    )


def _sheets(cards: Sequence[_SetQuestion]) -> Iterator[list[_SetQuestion]]:
    """As many cards a sheet as there is room for, a dozen at the most."""
    sheet: list[_SetQuestion] = []
    for card in cards:
        if sheet and (len(sheet) == _MOST or _needed([*sheet, card]) > _ROOM):
            yield sheet
            sheet = []
        sheet.append(card)
    if sheet:
        yield sheet


def _needed(cards: Sequence[_SetQuestion]) -> float:
    """Height of cards and their answers, mm."""
    used, lines = 0.0, 1
    for card in cards:
        width = text_width(card.answer, _SMALL) + _APART
        lines, used = (lines + 1, width) if used + width > _INSIDE else (lines, used + width)
    return sum(card.height + _AIR for card in cards) + _FOOT_AIR + (lines + 0.5) * _SMALL * _LINE


def _sheet(cards: Sequence[_SetQuestion]) -> str:
    spare = (_ROOM - _needed(cards)) / len(cards)
    air = _AIR + max(0.0, min(_MOST_AIR, spare))
    answers = f" + h({_APART}mm, weak: true) + ".join(f"box({quoted(card.answer)})" for card in cards)
    foot = f"block(width: {_INSIDE}mm, text({_SMALL}pt, {answers}))"
    return "\n".join(
        (
            *(f"#block(breakable: false, below: {air:.2f}mm, {card.body})" for card in cards),
            f"#place(bottom + left, rotate(180deg, {foot}))",
        )
    )


class _CardMaker:
    """Sets one question after the other."""

    def __init__(self, reading: Reading, player: Player) -> None:
        self._piece, self._crops = reading.piece, BarCrops(reading, player.number, _STAFF_MM)
        contents = Contents(reading.piece, player)
        words = zip(reading.piece.bars, contents.bars, strict=True)
        self._bars: dict[str, int] = {}
        for index, (bar, content) in enumerate(words):
            self._bars.setdefault(bar_words(player, bar, content), index)

    def card(self, number: int, question: Question) -> _SetQuestion:
        """A question with its choices; which is right goes to the foot in words, with the bar to look at."""
        letter = _LETTERS[question.choices.index(question.answer)]
        opinion = "" if question.is_scored else ", we would say"
        words = _in_short(question) if question.answer in self._bars else question.answer
        answer = f"{number}{letter} {words} (bar {bar_name(self._piece, question.bar)}{opinion})"
        rows, height = [], 0.0
        for row, tall in self._rows(question):
            rows.append(row)
            height += tall
        stacked = f"stack(spacing: 0mm, {', '.join(rows)})"
        body = f"grid(columns: ({_NUMBER}mm, 1fr), strong(text({quoted(str(number))})), {stacked})"
        return _SetQuestion(body, height, answer)

    def _rows(self, question: Question) -> Iterator[tuple[str, float]]:
        """(what stands in a row, its height in mm)."""
        yield _paragraph(_asked(question))
        shown = self._shown(question)
        if shown:
            crop = self._crops.crop(shown, 62.0 if len(shown) > 1 else 44.0, only_notes=True)
            yield f"pad(top: 0.8mm, {crop.placed()})", crop.height + 0.8
        if question.kind in _PICTURED and all(choice in self._bars for choice in question.choices):
            yield from self._pictures(question.choices)
        else:
            yield _paragraph("\u2003".join(f"{_LETTERS[n]} {choice}" for n, choice in enumerate(question.choices)))

    def _shown(self, question: Question) -> range | None:
        """The bars that are shown with a question."""
        if question.kind == "goes on":
            return range(question.bar - 2, question.bar)
        return range(question.bar, question.bar + 1) if question.kind == "times" else None

    def _pictures(self, choices: Sequence[str]) -> Iterator[tuple[str, float]]:
        """Engraved bars to choose from, two beside each other."""
        width = (_INSIDE - _NUMBER) / 2 - _LETTER - 2.0
        for first in range(0, len(choices), 2):
            cells, height = [], 0.0
            for position in range(first, min(first + 2, len(choices))):
                bar = self._bars[choices[position]]
                crop = self._crops.crop(range(bar, bar + 1), width, only_notes=True)
                cells += [f"text({quoted(_LETTERS[position])})", crop.placed()]
                height = max(height, crop.height)
            columns = f"({_LETTER}mm, {width + 2.0}mm, {_LETTER}mm, {width + 2.0}mm)"
            yield f"pad(top: 0.8mm, grid(columns: {columns}, align: horizon, {', '.join(cells)}))", height + 0.8


def _in_short(question: Question) -> str:
    """A bar as an answer: as far as it takes to tell it from the other choices, "C5 on 1, D5 on 2 … A4 on 3+ …"."""
    own = question.answer.split(", ")
    others = [choice.split(", ") for choice in question.choices if choice != question.answer]
    if any(other[: len(own)] == own for other in others):
        # Another choice begins so and goes on.
        return f"only {question.answer}"
    told = next(n for n in range(1, len(own) + 1) if all(own[:n] != other[:n] for other in others))
    said = own[: max(told, _SAID)]
    rest = " …" if len(said) < len(own) else ""
    if len(said) > _SAID:
        return f"{', '.join(said[: _SAID - 1])} … {said[-1]}{rest}"
    return f"{', '.join(said)}{rest}"


def _asked(question: Question) -> str:
    """The words of a question, without the bars that are engraved."""
    if question.kind == "goes on":
        return "What comes next?"
    return question.text.partition("  ")[0] if question.kind == "times" else question.text


def _paragraph(text: str) -> tuple[str, float]:
    """Words and the height of their lines, mm."""
    width = _INSIDE - _NUMBER
    lines = lines_of(text, width, _TEXT) if text_width(text, _TEXT) > width else [text]
    set_lines = " + linebreak() + ".join(f"text({quoted(line)})" for line in lines)
    height = len(lines) * _TEXT * _LINE
    return f"block(height: {height:.2f}mm, {set_lines})", height
