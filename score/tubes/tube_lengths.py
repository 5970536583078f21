"""The tubes of a set: what to cut, how sure that is, and how it compares with the plain proportion."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from score.errors import RequestError
from score.tubes.air import Air
from score.tubes.measured_tubes import Measured, odd_pitch
from score.tubes.tube_acoustics import Column, air_node, mm_per_cent, wall_nodes
from score.tubes.tube_fit import Errors, Fit, fit_tubes, spread_after
from score.tubes.tube_pitch import cents
from score.tubes.tube_warnings import disagreements, outside
from score.tubes.wanted_notes import Wanted

TRIM = 8.0
"""What is left on a tube to be trimmed, mm: 5 to 10, common practice."""

DONE = 2.0
"""A tube this near its pitch is in tune, cents."""

_AIR, _ERRORS = Air(), Errors()


@dataclass(frozen=True, slots=True)
class TubeRequest:
    """What a builder wants.

    Attributes:
        wanted: the notes, low to high.
        column: pipe and cap.
        measured: tubes already measured.
        workshop: the air where the tubes are cut and tuned.
        concert: the air where they shall be in tune.
        trim: what is left on for trimming, mm.
        errors: how well tubes are measured.
        a4: hertz of A4.
        losses: whether the walls slow the sound.
    """

    wanted: tuple[Wanted, ...]
    column: Column
    measured: tuple[Measured, ...] = ()
    workshop: Air = _AIR
    concert: Air = _AIR
    trim: float = TRIM
    errors: Errors = _ERRORS
    a4: float = 440.0
    losses: bool = True


@dataclass(frozen=True, slots=True)
class Tube:
    """One tube.

    Attributes:
        wanted: its note.
        final: length when it is in tune in the concert's air, mm.
        cut: length to saw it to before it is trimmed, mm.
        spread_mm, spread_cents: one standard deviation of the final length and of its pitch.
        mm_per_cent: what a cent is, mm.
        workshop_pitch: what the final length sounds in the workshop's air, hertz: tune to this there.
        concert_pitch: what a tube tuned without regard to the concert's air would sound there, hertz.
        proportion: length by plain proportion, mm.
        proportion_error: cents that length would be off.
        suspension: where the tube's wall stands still, mm from the playing end.
        air_node: where its air stands still, mm from the playing end.
        outside: the pitch lies outside what was measured.
        in_hand: it was measured, is in tune at the concert and nothing is to be cut; `final` is its length.
    """

    wanted: Wanted
    final: float
    cut: float
    spread_mm: float
    spread_cents: float
    mm_per_cent: float
    workshop_pitch: float
    concert_pitch: float
    proportion: float
    proportion_error: float
    suspension: tuple[float, float]
    air_node: float
    outside: bool
    in_hand: bool = False

    @property
    def workshop_cents(self) -> float:
        """How far from its note the tube shall sound in the workshop's air."""
        return cents(self.wanted.frequency, self.workshop_pitch)


@dataclass(frozen=True, slots=True)
class NextTube:
    """The tube to measure next.

    Attributes:
        name: its note.
        length: what to cut it to, mm: its cutting length, so that it can still be trimmed.
        before, after: the worst spread of the set now and with it, cents.
    """

    name: str
    length: float
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class TubeSet:
    """A whole set.

    Attributes:
        request: what was wanted.
        fit: the line it rests on.
        tubes: low to high.
        warnings: one line each.
        next_tube: what to measure to gain most, None when nothing would be gained.
        proportion_from: what the plain proportion starts from: length (mm) and hertz.
    """

    request: TubeRequest
    fit: Fit
    tubes: tuple[Tube, ...]
    warnings: tuple[str, ...]
    next_tube: NextTube | None
    proportion_from: tuple[float, float]

    @property
    def to_cut(self) -> tuple[Tube, ...]:
        """The tubes that are not in hand."""
        return tuple(tube for tube in self.tubes if not tube.in_hand)


def tube_set(request: TubeRequest) -> TubeSet:
    """Lengths for every wanted note.

    Raises:
        RequestError: a note that this pipe cannot sound, or nothing wanted.
    """
    if not request.wanted:
        raise RequestError("No notes", "no tube is wanted", 'write "C3-C4 diatonic"')
    for wanted in request.wanted:
        request.column.check(wanted.frequency, wanted.name)
    if not 0 <= request.trim <= 200:
        raise RequestError("Trim", f"{request.trim:g} mm left on for trimming", "leave 5 to 10 mm")
    fit = fit_tubes(request.column, request.measured, request.errors, request.losses)
    start = _proportion_start(fit, request)
    tubes = _with_those_in_hand([_tube(wanted, fit, request, start) for wanted in request.wanted], request)
    lines = (*disagreements(fit, request.measured, request.errors), *_range_line(tubes))
    return TubeSet(request, fit, tubes, warnings=lines, next_tube=_next(fit, tubes, request), proportion_from=start)


def _tube(wanted: Wanted, fit: Fit, request: TubeRequest, start: tuple[float, float]) -> Tube:
    frequency, hall = wanted.frequency, request.concert
    final = fit.length(frequency, hall)
    proportion = start[0] * start[1] / frequency
    return Tube(
        wanted=wanted,
        final=final,
        cut=final + request.trim,
        spread_mm=fit.spread(frequency, hall),
        spread_cents=fit.spread_cents(frequency, hall),
        mm_per_cent=mm_per_cent(fit.effective(frequency, hall)),
        workshop_pitch=fit.frequency(final, request.workshop),
        concert_pitch=fit.frequency(fit.length(frequency, request.workshop), hall),
        proportion=proportion,
        proportion_error=cents(frequency, fit.frequency(proportion, hall)),
        suspension=wall_nodes(final),
        air_node=air_node(request.column, final),
        outside=outside(fit, frequency),
    )


def _with_those_in_hand(tubes: Sequence[Tube], request: TubeRequest) -> tuple[Tube, ...]:
    """The tubes, those that were measured in tune as they are; each measured tube is one of the set at most."""
    finished = [m for m in request.measured if m.column == request.column and not m.learned and not odd_pitch(m)]
    kept = []
    for tube in tubes:
        mine = next((m for m in finished if _in_tune(m, tube, request.concert)), None)
        if mine is not None:
            finished.remove(mine)
            tube = _as_it_is(tube, mine.length, request)
        kept.append(tube)
    return tuple(kept)


def _in_tune(measured: Measured, tube: Tube, hall: Air) -> bool:
    return abs(cents(tube.wanted.frequency, measured.pitch_in(hall))) <= DONE


def _as_it_is(tube: Tube, length: float, request: TubeRequest) -> Tube:
    nodes, air = wall_nodes(length), air_node(request.column, length)
    return replace(tube, final=length, cut=length, suspension=nodes, air_node=air, in_hand=True)


def _proportion_start(fit: Fit, request: TubeRequest) -> tuple[float, float]:
    """The tube a builder would scale from: the longest measured one, else the lowest of the set.

    Its pitch is what the fit says it sounds in the concert's air, so that the error shown is of the method alone.
    """
    same = [tube.length for tube in fit.used if tube.column == fit.column]
    if same:
        return max(same), fit.frequency(max(same), request.concert)
    lowest = request.wanted[0].frequency
    return fit.length(lowest, request.concert), lowest


def _range_line(tubes: Sequence[Tube]) -> list[str]:
    names = [tube.wanted.name for tube in tubes if tube.outside]
    if not names:
        return []
    ask = "measure the longest and the shortest tube of the set"
    return [f"Outside the measured range (marked *): {', '.join(names)}; {ask}."]


def _next(fit: Fit, tubes: Sequence[Tube], request: TubeRequest) -> NextTube | None:
    """Of the set's own tubes, the one whose measuring leaves the smallest worst spread."""
    before = max(tube.spread_cents for tube in tubes)
    worst, cut, name = min(
        (
            (
                _worst(spread_after(fit, tube.cut, request.workshop, request.errors), request),
                -tube.cut,
                tube.wanted.name,
            )
            for tube in tubes
            if not tube.in_hand
        ),
        default=(before, 0.0, ""),
    )
    if worst > before - 0.1:
        return None
    return NextTube(name, -cut, before, after=worst)


def _worst(fit: Fit, request: TubeRequest) -> float:
    return max(fit.spread_cents(wanted.frequency, request.concert) for wanted in request.wanted)
