"""A player's part with the cue staff above it, made by editing the score's own document.

The player's own `<part>` elements are never touched: they come out element for element as they went in.
Everything that is added stands in parts of its own before them, because readers take barlines, repeats,
endings and breaks from the first part.
"""

from collections.abc import Sequence

from score.cues.sheet import Cue, CueSheet, Level
from score.parts.cue_pitches import clef_for, reader_octaves, written_pitches
from score.parts.cue_rhythm import Sign, spelled
from score.parts.cue_sounds import sounds, strokes_in
from score.parts.cue_staff import CueBar
from score.piece import Piece, Player


def cue_rows(piece: Piece, sheet: CueSheet, pitches: bool = False) -> list[list[CueBar]]:
    """What each cue staff holds, bar by bar: one staff, or at FULL one for each other player.

    Args:
        piece: the piece.
        sheet: the player's cues.
        pitches: show notes on five lines where their source has pitches, not only rhythms on one.
    """
    if sheet.level is Level.FULL:
        sources = [player.number for player in piece.players if player.number != sheet.player]
        cues = [[cue for cue in sheet.cues if cue.source == number] for number in sources]
    else:
        cues = [list(sheet.cues)]
    rows = [_row(piece, sheet, line) for line in cues] or [[CueBar()] * len(piece.bars)]
    return [_with_pitches(piece, sheet, row) for row in rows] if pitches else rows


def _row(piece: Piece, sheet: CueSheet, cues: Sequence[Cue]) -> list[CueBar]:
    row = [CueBar() for _ in piece.bars]
    strokes = {source: strokes_in(piece.player(source), len(piece.bars)) for source in {cue.source for cue in cues}}
    for cue in cues:
        labelled = False
        for index in cue.bars:
            bar = piece.bars[index]
            signs = _with_edges(spelled(sounds(strokes[cue.source][index], bar), bar) or (), cue, index)
            if not signs:
                continue
            label = "" if labelled else cue_name(piece.player(cue.source))
            labelled = True
            mover = _mover(piece, sheet, cue) if index == cue.last else ""
            row[index] = CueBar(tuple(signs), label, mover, source=cue_name(piece.player(cue.source)))
    # Where the next cue begins at once, its own name says who moves.
    return [
        bar._replace(next="") if bar.next and bar.next == follower.label else bar
        for bar, follower in zip(row, (*row[1:], CueBar()), strict=True)
    ]


def _with_pitches(piece: Piece, sheet: CueSheet, row: Sequence[CueBar]) -> list[CueBar]:
    """The row with notes as the reader writes them, in one clef from name to name."""
    octaves = reader_octaves(piece.player(sheet.player))
    pitched: list[CueBar] = []
    clef = "G"
    for index, cue in enumerate(row):
        if cue.label:
            end = next((n for n in range(index + 1, len(row)) if row[n].label or not row[n].signs), len(row))
            clef = clef_for([t for bar in row[index:end] for t in _tops(bar, octaves) if t is not None])
        written = written_pitches(_tops(cue, octaves), piece.bars[index])
        signs = tuple(sign._replace(written=note) for sign, note in zip(cue.signs, written, strict=True))
        pitched.append(cue._replace(signs=signs, clef=clef))
    return pitched


def _tops(cue: CueBar, octaves: int) -> list[int | None]:
    return [None if sign.rest or not sign.pitches else max(sign.pitches) - 12 * octaves for sign in cue.signs]


def cue_name(player: Player) -> str:
    """What a player is called in others' cues: a bare number would read as that of a tuplet."""
    return f"P{player.short}" if player.short.isdigit() else player.short


def _with_edges(signs: Sequence[Sign], cue: Cue, index: int) -> list[Sign]:
    """Open ties where a note was struck before the cue begins, or sounds on when it has ended."""
    edged = list(signs)
    if edged and index == cue.first and edged[0].tie_in:
        edged[0] = edged[0]._replace(was_struck=True)
    if edged and index == cue.last and edged[-1].tie_out:
        edged[-1] = edged[-1]._replace(tie_out=False, holds_on=True)
    return edged


def _mover(piece: Piece, sheet: CueSheet, cue: Cue) -> str:
    if cue.next_mover is None or sheet.level is Level.FULL:
        return ""
    return "you" if cue.next_mover == sheet.player else cue_name(piece.player(cue.next_mover))
