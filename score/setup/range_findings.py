"""Notes outside the instrument that is owned, and octaves in doubt."""

from collections.abc import Iterator, Mapping

from score.activity.lanes import spelled_pitch
from score.instruments.percussion import all_percussion
from score.piece import Instrument, Piece, Player, Stroke
from score.setup.bar_geometry import MARIMBAS, smallest_marimba, sounding_range
from score.setup.finding import Finding, FindingKind, Weight


def range_findings(piece: Piece, owned: Mapping[int, str]) -> Iterator[Finding]:
    """Notes that the instrument does not have."""
    for player in piece.players:
        for index, instrument in enumerate(player.instruments):
            usual = sounding_range(instrument.key)
            strokes = [s for s in player.strokes if s.instrument == index and s.pitches]
            if usual is None or not strokes:
                continue
            low = MARIMBAS[owned.get(player.number, "5")] if instrument.key == "marimba" else usual[0]
            yield from _outside(piece, player, instrument, strokes, low, usual[1])
            yield from _octaves(player, instrument, strokes, usual)


def _outside(
    piece: Piece, player: Player, instrument: Instrument, strokes: list[Stroke], low: int, high: int
) -> Iterator[Finding]:
    for stroke in strokes:
        for pitch in stroke.pitches:
            if not low <= pitch <= high:
                limit = low if pitch < low else high
                sharps = piece.bars[stroke.bar].key
                size = smallest_marimba(pitch) if instrument.key == "marimba" and pitch < low else ""
                helps = f"a marimba of {size} octaves has it" if size else "another octave, or another instrument"
                owned = f"{instrument.name.lower()} ({spelled_pitch(low)} to {spelled_pitch(high)})"
                text = f"{spelled_pitch(pitch, sharps)} is not on the {owned}"
                yield Finding(
                    FindingKind.RANGE,
                    Weight.CANNOT,
                    player.number,
                    bar=stroke.bar,
                    at=stroke.at,
                    figure=pitch,
                    limit=limit,
                    unit="MIDI number",
                    text=text,
                    helps=helps,
                    alike=f"{instrument.name} {'below' if pitch < low else 'above'}",
                )


def _octaves(
    player: Player, instrument: Instrument, strokes: list[Stroke], usual: tuple[int, int]
) -> Iterator[Finding]:
    """All notes of an octave instrument would fit an octave higher or lower than read, but not as read."""
    percussion = all_percussion().get(instrument.key)
    low, high = usual
    if percussion is None or not percussion.octaves:
        return
    pitches = [pitch for stroke in strokes for pitch in stroke.pitches]
    if all(low <= pitch <= high for pitch in pitches):
        return
    shift = 12 * percussion.octaves
    for by in (shift, -shift):
        if all(low <= pitch + by <= high for pitch in pitches):
            first = strokes[0]
            name = instrument.name.lower()
            text = f"the {name} may be written where it sounds: all its notes fit {abs(by) // 12} octaves away"
            yield Finding(
                FindingKind.OCTAVE,
                Weight.MENTION,
                player.number,
                bar=first.bar,
                at=first.at,
                figure=abs(by) / 12,
                limit=0,
                unit="octaves",
                text=text,
                helps="compare with the printed part",
            )
