"""Everything that is known of an instrument, as lines to read: ranges, size, how it is mounted, where it is struck."""

from collections.abc import Iterator

from score.activity.lanes import spelled_pitch
from score.instruments.percussion import all_percussion
from score.piece import Piece
from score.setup.bar_geometry import KEYBOARDS, MARIMBAS, sounding_range
from score.setup.fittings import Fittings, fitting
from score.setup.kit_layout import depth_of, kind_of, width_of


def instrument_lines(piece: Piece, fittings: Fittings) -> Iterator[str]:
    """The score's instruments, one after the other."""
    for kind in _kinds(piece):
        yield from instrument_facts(kind, fittings)


def instrument_rows(piece: Piece, fittings: Fittings) -> list[dict[str, object]]:
    """The same with stable keys: MIDI numbers as they sound, metres; null where the tables have nothing."""
    return [_known_row(kind, fittings) for kind in _kinds(piece)]


def instrument_facts(kind: str, fittings: Fittings) -> Iterator[str]:
    """What the tables say of one instrument."""
    percussion, row = all_percussion().get(kind), fitting(fittings, kind)
    yield (
        kind if percussion is not None else f"{kind}: not in the tables; taken as it is printed, without range or size"
    )
    if percussion is not None:
        yield f"  names: {', '.join(percussion.names)}"
        yield f"  MusicXML sound: {percussion.sound or 'none'}"
    usual, keyboard = sounding_range(kind), KEYBOARDS.get(kind)
    if usual is not None:
        yield f"  range: {_range(usual, 12 * percussion.octaves if percussion is not None else 0)}"
    if keyboard is not None:
        yield f"  bars: naturals {keyboard.wide:g} mm wide at the bottom, {keyboard.narrow:g} mm at the top"
    if kind == "marimba":
        yield "  sizes: " + ", ".join(f"{size} octaves from {spelled_pitch(low)}" for size, low in MARIMBAS.items())
    yield f"  size: {width_of(kind, 1, fittings) / 1000:.2f} by {depth_of(kind, fittings):.2f} m"
    yield f"  held or mounted: {row.how}{f', {row.carry}' if row.carry else ''}"
    yield f"  struck: {'; '.join(row.struck)}"
    if row.beater:
        yield f"  with: {row.beater}"


def _kinds(piece: Piece) -> Iterator[str]:
    yield from dict.fromkeys(kind_of(i) for player in piece.players for i in player.instruments)


def _known_row(kind: str, fittings: Fittings) -> dict[str, object]:
    percussion, row, usual = all_percussion().get(kind), fitting(fittings, kind), sounding_range(kind)
    return {
        "instrument": kind,
        "known": percussion is not None,
        "names": list(percussion.names) if percussion is not None else [],
        "sound": percussion.sound if percussion is not None else "",
        "octaves": percussion.octaves if percussion is not None else 0,
        "lowest": usual[0] if usual is not None else None,
        "highest": usual[1] if usual is not None else None,
        "width": round(width_of(kind, 1, fittings) / 1000, 2),
        "depth": round(depth_of(kind, fittings), 2),
        "how": row.how,
        "carry": row.carry,
        "struck": list(row.struck),
        "with": row.beater,
    }


def _range(usual: tuple[int, int], shift: int) -> str:
    written = f"written {spelled_pitch(usual[0] - shift)} to {spelled_pitch(usual[1] - shift)}"
    return (
        f"{written}, sounding {spelled_pitch(usual[0])} to {spelled_pitch(usual[1])}"
        if shift
        else f"{written}, sounding as written"
    )
