"""Parts put together to players: one list of instruments, everything in order of time."""

from collections.abc import Sequence
from fractions import Fraction

from score.instruments.percussion import fold
from score.piece import Dynamic, Instrument, Mark, Player, Rest, Stroke, StrokeKind
from score.reading.chair_names import Chair
from score.reading.read_part import ReadPart


def make_player(chair: Chair, parts: Sequence[ReadPart]) -> Player:
    """One player from the parts on the chair.

    Args:
        chair: number and names.
        parts: in score order, one or more.
    """
    strokes, instruments = _strokes(parts)
    return Player(
        chair.number,
        chair.name,
        chair.short,
        parts=chair.parts,
        part_names=tuple(part.head.name for part in parts),
        instruments=instruments,
        strokes=strokes,
        rests=tuple(sorted((item for part in parts for item in part.rests), key=_place_part)),
        dynamics=tuple(sorted((item for part in parts for item in part.dynamics), key=_place_part)),
        spans=tuple(sorted((item for part in parts for item in part.spans), key=lambda span: (span.start, span.end))),
        marks=tuple(sorted((item for part in parts for item in part.marks), key=_place_part)),
    )


def _strokes(parts: Sequence[ReadPart]) -> tuple[tuple[Stroke, ...], tuple[Instrument, ...]]:
    """All strokes in order, their instruments numbered by first use."""
    same = [[_same(instrument) for instrument in part.instruments] for part in parts]
    played = [(stroke, same[index][stroke.instrument]) for index, part in enumerate(parts) for stroke in part.strokes]
    played.sort(key=lambda item: _order(item[0]))
    numbers = {key: index for index, key in enumerate(dict.fromkeys(key for _, key in played))}
    named = {_same(item): item for part in reversed(parts) for item in reversed(part.instruments)}
    strokes = (
        stroke if stroke.instrument == numbers[key] else stroke._replace(instrument=numbers[key])
        for stroke, key in played
    )
    return tuple(strokes), tuple(named[key] for key in numbers)


def _order(stroke: Stroke) -> tuple[int, Fraction, int, int, str, bool]:
    return (stroke.bar, stroke.at, stroke.part, stroke.staff, stroke.voice, stroke.kind is not StrokeKind.GRACE)


def _same(instrument: Instrument) -> tuple[str, str]:
    """What makes two parts' instruments one: the same kind under the same name."""
    return instrument.key, fold(instrument.name)


def _place_part(item: Rest | Dynamic | Mark) -> tuple[int, Fraction, int, int]:
    return item.bar, item.at, item.part, item.staff
