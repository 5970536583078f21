"""The words on a part's first page: whose part, on which instruments, and how its cues read."""

from collections.abc import Iterator, Mapping, Sequence

from score.cues.sheet import CueSheet, Level
from score.parts.cued_part import cue_name
from score.parts.front_drawing import key_of_places, written_places
from score.parts.title_block import FirstPage
from score.piece import Piece, Player
from score.reading.instrument_naming import UNKNOWN
from score.setup.player_notes import PlayerNotes

_AGREED = "Typewritten: what you all have agreed; \u2019 breathe, \u2192 leads, spectacles: look."
"""From the first print on: were it added with the first mark, every part's first page would be another."""
_TIES = "A tie from nowhere: still sounding, not struck; a tie to nowhere: it sounds on."


def first_page(
    piece: Piece,
    sheet: CueSheet,
    notes: PlayerNotes,
    kinds: Mapping[int, tuple[int, str]],
    width_mm: float,
    *,
    pitches: bool = False,
) -> FirstPage:
    """What stands on a part's first page.

    Args:
        piece: the piece.
        sheet: the player's cues.
        notes: what the set-up tells the player.
        kinds: lines and first clef of the player's staves, by their number among the player's own, from 0.
        width_mm: of the music.
        pitches: the cues show pitches.
    """
    player = piece.player(sheet.player)
    staves = written_places(player)
    # Of what is drawn the text alone: a tree is never the same twice, and the record of prints compares first pages.
    keys = [
        key._replace(measures=())
        for (part, staff), places in staves.items()
        for key in key_of_places(places, *kinds.get(_position(player, part) + staff - 1, (5, "")), width_mm)
    ]
    sentences = (*_what_to_bring(player, notes), *_how_cues_read(piece, sheet, pitches))
    if len(piece.players) > 1:
        sentences = (*sentences, _AGREED)
    return FirstPage(piece.heading, player.name, sentences, keys=tuple(keys), sketch=notes.sketch)


def _position(player: Player, part: int) -> int:
    return player.parts.index(part) if part in player.parts else 0


def _what_to_bring(player: Player, notes: PlayerNotes) -> Iterator[str]:
    names = dict.fromkeys(instrument.name for instrument in player.instruments if instrument.name != UNKNOWN)
    if names:
        yield f"Instruments: {', '.join(names)}"
    if notes.mallets:
        yield f"Mallets: {', '.join(notes.mallets)}"
    if notes.shared:
        yield f"Shared: {'; '.join(notes.shared)}"
    if notes.stickings:
        yield "Stickings in italics are suggestions; the score's own stand upright."


def _how_cues_read(piece: Piece, sheet: CueSheet, pitches: bool) -> tuple[str, ...]:
    if not sheet.cues:
        return ()
    if sheet.level is Level.FULL:
        others = [cue_name(player) for player in piece.players if player.number != sheet.player]
        what = "the notes" if pitches else "the rhythms"
        return (f"Small staves above yours: {what} of {_listed(others)}. {_TIES}".replace("..", "."),)
    what = "what is struck, of chords the highest note," if pitches else "the rhythm"
    example = next((cue_name(piece.player(cue.source)) for cue in sheet.cues), "")
    return (
        f"Small notes above your staff: {what} of the player named there ({example}). "
        f"The arrow says who moves next. {_TIES}",
    )


def _listed(names: Sequence[str]) -> str:
    return " and ".join((", ".join(names[:-1]), names[-1])) if len(names) > 1 else "".join(names)
