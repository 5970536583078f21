"""A set of tubes from what a builder writes: one value for everything asked, read and worked out in one call."""

import re
from dataclasses import dataclass, replace
from pathlib import Path

from score.errors import RequestError
from score.piece import Piece
from score.tubes.air import Air
from score.tubes.cut_request import read_sheet, read_stock
from score.tubes.cutting.cut_list import check_kerf, cut_plan
from score.tubes.frame import FrameWish, frame_of
from score.tubes.measured_tubes import read_air, read_measured
from score.tubes.pipes import read_pipe
from score.tubes.tube_acoustics import Column
from score.tubes.tube_files import Made
from score.tubes.tube_fit import Errors
from score.tubes.tube_lengths import TubeRequest, tube_set
from score.tubes.tuning_log import measured_tubes
from score.tubes.tuning_log_file import read_log
from score.tubes.units import read_length
from score.tubes.wanted_notes import Wanted, player_notes, tuning, wanted_notes


@dataclass(frozen=True, slots=True)
class TubesAsked:
    """Everything that can be asked of a set besides its notes, as a builder writes it.

    Attributes:
        a4: frequency of A4, Hz; None where nothing is said.
        pipe: a size of schedule 40, or measured diameters.
        is_open: tubes open at both ends.
        cap_gap, cap_inside: the air behind the tube's end in its cap: depth and inside diameter; None for neither.
        measured: tubes cut and heard already.
        learned: a tuning log whose entries with a length count as measured.
        length_error, pitch_error: how well length and pitch (cents) are measured.
        workshop, hall: the air; None for the hall takes the workshop's.
        trim: what is left on for trimming.
        stock, leftover: sticks to buy and pipe in hand.
        kerf: width of a saw cut.
        row: all holes of the frame in one row.
        suspension: how much wider each hole is than its tube.
        gap, edge: wood between two holes and round the holes.
        height: of the playing ends above the floor.
        sheet: plywood in hand, or None.
        units: lengths are shown in: "mm", "cm" or "in".
    """

    a4: float | None = None
    pipe: str = "2 in"
    is_open: bool = False
    cap_gap: str | None = None
    cap_inside: str | None = None
    measured: tuple[str, ...] = ()
    learned: Path | None = None
    length_error: str = "0.5 mm"
    pitch_error: float = 2.0
    workshop: str = "20C 50%"
    hall: str | None = None
    trim: str = "8 mm"
    stock: tuple[str, ...] = ()
    leftover: tuple[str, ...] = ()
    kerf: str = "3.2 mm"
    row: bool = False
    suspension: str = "12 mm"
    gap: str = "25 mm"
    edge: str = "40 mm"
    height: str = "900 mm"
    sheet: str | None = None
    units: str = "mm"


def typed_tubes(notes: str, asked: TubesAsked) -> Made:
    """The set for notes that are typed ("C3-C4 diatonic A4=442").

    Raises:
        InbreathError: something that cannot be, in one line.
    """
    a4 = tuning(notes, asked.a4)
    return _worked_out(wanted_notes(notes, a4), replace(asked, a4=a4))


def player_tubes(piece: Piece, player: int, instrument: str, asked: TubesAsked) -> Made:
    """The set for the notes of a player's part.

    Args:
        piece: the piece.
        player: whose part.
        instrument: only the notes of this instrument; "" for every pitched one.
        asked: everything else.

    Raises:
        InbreathError: something that cannot be, in one line.
    """
    a4 = tuning("", asked.a4)
    return _worked_out(player_notes(piece, player, a4, instrument), replace(asked, a4=a4))


def session_tubes(piece: Piece, notes: str, instrument: str, asked: TubesAsked) -> Made:
    """The set for what is typed while a piece is open: notes, or "player 2 marimba" for those of its part.

    Raises:
        InbreathError: something that cannot be, in one line.
    """
    player = re.match(r"player\s+(\d+)\b", notes, re.IGNORECASE)
    if player is None:
        return typed_tubes(notes, asked)
    words = re.sub(r"\bA4?\s*=.*", "", notes[player.end() :], flags=re.IGNORECASE).strip()
    told = replace(asked, a4=tuning(notes, asked.a4))
    return player_tubes(piece, int(player[1]), words or instrument, told)


def _worked_out(wanted: tuple[Wanted, ...], asked: TubesAsked) -> Made:
    kerf = _mm(asked.kerf)
    check_kerf(kerf)
    stock = [read_stock(text) for text in asked.stock]
    stock += [read_stock(text, leftover=True) for text in asked.leftover]
    tubes = tube_set(_request(wanted, asked))
    frame = frame_of(tubes, _frame(asked))
    if not stock or not tubes.to_cut:
        return Made(tubes, None, frame)
    lengths, names = [tube.cut for tube in tubes.to_cut], [tube.wanted.name for tube in tubes.to_cut]
    return Made(tubes, cut_plan(lengths, stock, kerf, names), frame)


def _request(wanted: tuple[Wanted, ...], asked: TubesAsked) -> TubeRequest:
    column, workshop = _column(asked), read_air(asked.workshop, Air())
    assert asked.a4 is not None
    measured = tuple(read_measured(text, column, workshop, asked.a4) for text in asked.measured)
    if asked.learned is not None:
        measured += measured_tubes(read_log(asked.learned), column)
    return TubeRequest(
        wanted=wanted,
        column=column,
        measured=measured,
        workshop=workshop,
        concert=read_air(asked.hall, workshop) if asked.hall else workshop,
        trim=_mm(asked.trim),
        errors=Errors(_mm(asked.length_error), asked.pitch_error),
        a4=asked.a4,
    )


def _column(asked: TubesAsked) -> Column:
    if asked.is_open and (asked.cap_gap or asked.cap_inside):
        raise RequestError("Cap", "tubes open at both ends have no cap to measure", "leave out the one or the other")
    if asked.cap_inside and not _mm(asked.cap_gap):
        what = "the inside of a cap alone changes nothing: it is how wide the air behind the tube's end is"
        raise RequestError("Cap", what, "add the cap's gap, how deep that air is")
    return Column(read_pipe(asked.pipe), not asked.is_open, _mm(asked.cap_gap), gap_inside=_mm(asked.cap_inside))


def _frame(asked: TubesAsked) -> FrameWish:
    return FrameWish(
        keyboard=not asked.row,
        suspension=_mm(asked.suspension),
        gap=_mm(asked.gap),
        edge=_mm(asked.edge),
        height=_mm(asked.height),
        sheet=read_sheet(asked.sheet) if asked.sheet else None,
        unit=asked.units,
    )


def _mm(text: str | None) -> float:
    """Millimetres; nothing and "0" are 0."""
    if text is None or re.fullmatch(r"\s*0+(?:[.,]0*)?\s*(?:mm|cm|m|in|ft|\")?\s*", text):
        return 0.0
    return read_length(text)
