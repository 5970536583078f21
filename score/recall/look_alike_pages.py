"""Look-alikes on paper: a family a page, its passages under each other, what differs behind a grey band."""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from pathlib import Path
from typing import NamedTuple

from score.errors import RequestError
from score.memory.bar_contents import Contents
from score.memory.explain import kind_words, parting_words, shifted_words, trap_words
from score.memory.families import Family, Occurrence, Trap, counting_traps, families, level_bars, shared_onsets
from score.memory.half_bars import shifted_worth_knowing
from score.memory.look_alikes import LookAlike
from score.piece import Piece, Player
from score.places import bar_name, bars_name
from score.printing.fonts import TEXT
from score.printing.typesetting import quoted, to_pdf
from score.progress import ReportProgress
from score.reading.reading_result import Reading
from score.recall.bar_crops import BarCrops
from score.writing import write_atomically

_STAFF_MM, _WIDTH, _LABEL = 5.0, 174.0, 16.0
_A_ROW = 4
"""Bars of each passage side by side."""
_TRAP_WIDTH = 60.0
"""Of the bar of a counting trap, mm."""


class LookAlikePages(NamedTuple):
    """A file of look-alikes: where it is and what is in it."""

    pdf: Path
    families: int
    traps: int
    shifted: int


def write_look_alikes(
    reading: Reading, player: int, path: Path, progress: ReportProgress, *, transposed: bool = False
) -> LookAlikePages:
    """Write the pages of a player.

    Args:
        reading: the score.
        player: number of the player.
        path: where to.
        progress: told how far it is.
        transposed: also passages that are the same but higher or lower.

    Raises:
        RequestError: no two passages are nearly the same, and no bar comes another number of times elsewhere.
        InbreathError: the engraver can make nothing of the part.
        WritingError: the file cannot be written.
    """
    piece, own = reading.piece, reading.piece.player(player)
    alike, traps = families(piece, own, transposed), counting_traps(piece, own)
    shifted = shifted_worth_knowing(piece, own)
    if not (alike or traps or shifted):
        raise RequestError(
            "No look-alikes", f"{own.name}: no two passages are nearly the same", "ask for transposed ones too"
        )
    pages = _FamilyPages(piece, own, BarCrops(reading, player, _STAFF_MM))
    blocks = []
    for number, family in enumerate(alike):
        progress("look-alikes", number / (len(alike) + 1))
        blocks.append("\n".join(pages.family(family, f"{number + 1} of {len(alike)}")))
    if shifted:
        blocks.append("\n".join(pages.shifted(shifted)))
    if traps:
        blocks.append("\n".join(pages.traps(traps)))
    write_atomically(path, to_pdf(_setting(piece, own) + "\n#pagebreak()\n".join(blocks)))
    return LookAlikePages(path, len(alike), len(traps), shifted=len(shifted))


def _setting(piece: Piece, player: Player) -> str:
    title = quoted(f"{piece.heading} - {player.name}: look-alikes")
    head = quoted(f"{piece.heading}, {player.name}: look-alikes")
    return (
        f"#set document(title: {title}, date: none)\n"
        f'#set page(paper: "a4", margin: (x: 18mm, top: 20mm, bottom: 18mm), numbering: "1", '
        f"header: align(right, text(9pt, {head})))\n"
        f"#set text(font: {quoted(TEXT)}, size: 10pt)\n#set par(spacing: 3mm)\n"
    )


class _FamilyPages:
    """Blocks in the page maker's language."""

    def __init__(self, piece: Piece, player: Player, crops: BarCrops) -> None:
        self._piece, self._crops = piece, crops
        self._contents = Contents(piece, player)

    def family(self, family: Family, count: str) -> Iterator[str]:
        """A family: how it parts, its bars passage by passage, row by row."""
        yield _heading(kind_words(family), count)
        bars = [bar for bar in range(family.length + 1) if bar < family.length or bar in family.partings]
        told = [bar for bar in family.partings if bar < family.length] if family.meets_again else []
        if not told:
            yield _line(", ".join(self._name(family, passage) for passage in family.occurrences))
        for passage in family.occurrences if told else ():
            words = "; ".join(parting_words(self._contents, family, passage, bar) for bar in told)
            yield _line(f"{self._name(family, passage)}  |  {words}")
        skipped: list[int] = []
        for first in range(0, len(bars), _A_ROW):
            row = bars[first : first + _A_ROW]
            if first and not set(row) & set(family.partings):
                skipped += row
                continue
            yield from self._skipped(family, skipped)
            skipped = []
            yield from self._row(family, row)
        yield from self._skipped(family, skipped)

    def _row(self, family: Family, row: Sequence[int]) -> Iterator[str]:
        """The same bars of every passage, under each other."""
        yield "#v(4mm)"
        width = (_WIDTH - _LABEL) * len(row) / _A_ROW
        for passage in family.occurrences:
            bars = range(passage.first + row[0], min(passage.first + row[-1] + 1, len(self._piece.bars)))
            if not bars:
                yield _beside("the end", "")
                continue
            marks = [(bar, at) for bar in bars for at in self._unlike(family, bar - passage.first)]
            yield _beside(bars_name(self._piece, bars), self._crops.crop(bars, width, marks).placed())

    def _unlike(self, family: Family, bar: int) -> set[Fraction]:
        """Where in a bar of the passages they do not all strike the same, quarters."""
        if bar not in family.partings:
            return set()
        shared = shared_onsets(self._contents, family, bar)
        level = level_bars(self._contents, family, bar)
        return {onset[0] for index in level for onset in self._contents.bars[index] if onset not in shared}

    def _skipped(self, family: Family, bars: Sequence[int]) -> Iterator[str]:
        if bars:
            names = [
                bars_name(self._piece, range(each.first + bars[0], each.first + bars[-1] + 1))
                for each in family.occurrences
            ]
            yield _line(f"Alike: {', '.join(names)}.")

    def _name(self, family: Family, passage: Occurrence) -> str:
        bars = bars_name(self._piece, range(passage.first, passage.first + family.length))
        if not passage.semitones:
            return bars
        return f"{bars}, {abs(passage.semitones)} semitones {'higher' if passage.semitones > 0 else 'lower'}"

    def shifted(self, pairs: Sequence[LookAlike]) -> Iterator[str]:
        """Passages that come again half a bar later, a pair after the other."""
        yield _heading("These come again half a bar later", "")
        for pair in pairs:
            yield _line(shifted_words(self._piece, pair))
            for first, length in ((pair.first, pair.length), (pair.second, pair.length + 1)):
                bars = range(first, min(first + min(length, _A_ROW), len(self._piece.bars)))
                width = (_WIDTH - _LABEL) * len(bars) / _A_ROW
                yield _beside(bars_name(self._piece, bars), self._crops.crop(bars, width).placed())

    def traps(self, traps: Sequence[Trap]) -> Iterator[str]:
        """Counting traps, each with its bar."""
        yield _heading("How many times?", "")
        for trap in traps:
            bar = range(trap.bar, trap.bar + 1)
            picture = self._crops.crop(bar, _TRAP_WIDTH).placed()
            yield _beside(bar_name(self._piece, trap.bar), picture, trap_words(self._piece, trap))


def _heading(text: str, count: str) -> str:
    return f'#grid(columns: (1fr, auto), text(12pt, weight: "bold", {quoted(text)}), text(9pt, {quoted(count)}))'


def _line(text: str) -> str:
    return f"#par(text({quoted(text)}))"


def _beside(name: str, picture: str, words: str = "") -> str:
    """A bar's number, its picture, and words at the right."""
    cells = [f"text(9pt, {quoted(name)})", picture or "[]", f"text({quoted(words)})"]
    return (
        f"#block(breakable: false, below: 2.5mm, grid(columns: ({_LABEL}mm, auto, 1fr), align: horizon, "
        f"column-gutter: (0mm, 4mm), {', '.join(cells)}))"
    )
