"""The tuning log: what each tube sounded after each trim, and how much more may come off.

A TOML file that can be read and mended by hand; it is written whole or not at all. It carries what the lengths
rest on, so that no option has to be given again.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import hypot, isclose

from score.errors import RequestError
from score.tubes.air import Air
from score.tubes.measured_tubes import Measured, check_measured
from score.tubes.measurement_trust import CHECK, impossible, off_physics
from score.tubes.tube_acoustics import Column
from score.tubes.tube_fit import Fit, wave
from score.tubes.tube_lengths import DONE, TubeSet
from score.tubes.tube_pitch import cents, pitch_name, same_name

SAW = 0.3
"""How exactly a trim is made, one standard deviation, mm. Our guess."""

_HELD_BACK = 2.0
"""Standard deviations kept between a trim and the target."""

_LEAST = 0.1
"""Less than this cannot be cut, mm."""


@dataclass(frozen=True, slots=True)
class Heard:
    """What a tube sounded once.

    Attributes:
        tube: its name.
        frequency: hertz.
        air: the air then.
        length: as measured then, mm; 0 when it was not.
        when: a date or time as text.
    """

    tube: str
    frequency: float
    air: Air
    length: float = 0.0
    when: str = ""


@dataclass(frozen=True, slots=True)
class LogTube:
    """One tube of the log.

    Attributes:
        name: its note.
        target: hertz in the concert's air.
        final, cut: expected lengths in tune and as first cut, mm.
    """

    name: str
    target: float
    final: float
    cut: float


@dataclass(frozen=True, slots=True)
class Log:
    """The whole log.

    Attributes:
        column: pipe and cap.
        workshop, concert: the air where the tubes are tuned and played.
        scale, end: the line the lengths rest on (`fit.Fit`).
        pitch_spread: how well pitch is read, cents.
        a4: hertz.
        tubes: low to high.
        heard: in the order they were entered.
    """

    column: Column
    workshop: Air
    concert: Air
    scale: float
    end: float
    pitch_spread: float
    a4: float
    tubes: tuple[LogTube, ...]
    heard: tuple[Heard, ...] = ()

    @property
    def fit(self) -> Fit:
        """The line, without its covariance."""
        return Fit(self.column, self.scale, self.end, covariance=(0.0, 0.0, 0.0))


@dataclass(frozen=True, slots=True)
class Trim:
    """What to do with a tube now.

    Attributes:
        tube: its name.
        off: cents from what it shall sound in this air; below 0 flat, too long.
        target: what it shall sound in this air, hertz.
        length: of the tube now, mm: as measured, or worked out from its pitch.
        whole: what lies between here and the target, mm; below 0 the tube is too short.
        cut: what may come off now, mm; 0 when nothing may.
        done: it is in tune.
        advice: one line each.
    """

    tube: str
    off: float
    target: float
    length: float
    whole: float
    cut: float
    done: bool
    advice: tuple[str, ...]


def new_log(tubes: TubeSet) -> Log:
    """An empty log for a set."""
    request = tubes.request
    entries = tuple(LogTube(t.wanted.name, t.wanted.frequency, t.final, cut=t.cut) for t in tubes.tubes)
    return Log(
        column=request.column,
        workshop=request.workshop,
        concert=request.concert,
        scale=tubes.fit.scale,
        end=tubes.fit.end,
        pitch_spread=request.errors.pitch,
        a4=request.a4,
        tubes=entries,
    )


def enter(log: Log, heard: Heard) -> Log:
    """The log with one more entry.

    Raises:
        RequestError: no such tube, or a pitch far from what it could sound.
    """
    tube = _tube(log, heard.tube)
    off = cents(tube.target, heard.frequency)
    if abs(off) > 700:
        what = f"{tube.name} heard as {pitch_name(heard.frequency, log.a4)}, {off:+.0f} cents from its note"
        raise RequestError("Pitch heard", what, "check the octave, the cap and which tube it was")
    _check_length(log, heard)
    return replace(log, heard=(*log.heard, heard))


def advise(log: Log, name: str) -> Trim | None:
    """What to do with a tube after what was heard last; None when nothing was.

    The cut is worked out from the pitches alone, so neither the end correction nor the measured length matters;
    it stops two standard deviations of reading and sawing short of the target.

    Raises:
        RequestError: no such tube.
    """
    tube = _tube(log, name)
    entries = [heard for heard in log.heard if heard.tube == tube.name]
    if not entries:
        return None
    last = entries[-1]
    target = _target(log, tube, last.air)
    off = cents(target, last.frequency)
    here, there = (log.scale * wave(log.column, f, last.air) for f in (last.frequency, target))
    whole = here - there
    spread = hypot(whole / off * log.pitch_spread if abs(off) > 0.01 else 0.0, SAW)
    cut = max(0.0, whole - _HELD_BACK * spread)
    cut = cut if cut >= _LEAST else 0.0
    done = abs(off) <= DONE
    length = last.length or here - log.end
    trim = Trim(tube.name, off, target, length=length, whole=whole, cut=0.0 if done else cut, done=done, advice=())
    return replace(trim, advice=_advice(log, trim))


def measured_tubes(log: Log, column: Column) -> tuple[Measured, ...]:
    """Every entry with a length, as a measured tube: the log teaches the lengths of the tubes still to be cut.

    Args:
        log: the log.
        column: what is to be built now; where pipe and cap are the log's own, the tubes count as measured on it.

    Raises:
        RequestError: an entry that no tube can sound.
    """
    mine = (log.column.capped, log.column.gap, log.column.gap_inside) == (column.capped, column.gap, column.gap_inside)
    pipes = log.column.pipe, column.pipe
    same = mine and all(
        isclose(a, b, abs_tol=0.01) for a, b in zip(*((p.inside, p.outside) for p in pipes), strict=True)
    )
    kept = column if same else log.column
    tubes = tuple(
        Measured(
            heard.length, heard.frequency, kept, air=heard.air, text=f"{heard.tube} {heard.when}".strip(), learned=True
        )
        for heard in log.heard
        if heard.length
    )
    for tube in tubes:
        check_measured(tube, log.a4)
    return tubes


def _check_length(log: Log, heard: Heard) -> None:
    """Refuse a length that belongs to another pitch, by physics and by what the log's own lengths rest on."""
    if not heard.length:
        return
    expected = log.fit.frequency(heard.length, heard.air)
    offs = (
        off_physics(log.column, heard.length, heard.frequency, heard.air),
        cents(expected, heard.frequency),
    )
    if all(impossible(log.column, heard.length, off) for off in offs):
        what = f"{heard.tube}: {heard.length:.0f} mm sounds near {pitch_name(expected, log.a4)}"
        raise RequestError("Length and pitch", f"{what}, not {pitch_name(heard.frequency, log.a4)}", CHECK)


def _tube(log: Log, name: str) -> LogTube:
    for tube in log.tubes:
        if same_name(tube.name, name):
            return tube
    names = ", ".join(tube.name for tube in log.tubes)
    raise RequestError("No such tube", f"the log has no tube {name!r}", f"it has {names}")


def _target(log: Log, tube: LogTube, air: Air) -> float:
    """What a tube that is right at the concert sounds in this air, hertz."""
    return log.fit.frequency(log.fit.length(tube.target, log.concert), air)


def _advice(log: Log, trim: Trim) -> tuple[str, ...]:
    if trim.done:
        return (f"In tune within {DONE:g} cents: leave it.",)
    if trim.whole > 0:
        return _longer(trim)
    return _shorter(log, trim)


def _longer(trim: Trim) -> tuple[str, ...]:
    if not trim.cut:
        half = f"file away half, {trim.whole / 2:.1f} mm, and listen again"
        return (f"{trim.whole:.1f} mm too long: too little to saw without passing the target; {half}.",)
    return (f"Cut {trim.cut:.1f} mm of the {trim.whole:.1f} mm it is too long, and listen again.",)


def _shorter(log: Log, trim: Trim) -> tuple[str, ...]:
    """What can still be done with a tube that is too short."""
    lines = [f"{-trim.whole:.1f} mm too short: cut nothing more."]
    if log.column.capped:
        inside = log.column.gap_inside or log.column.pipe.inside
        gap = -trim.whole * (log.column.pipe.inside / inside) ** 2
        lines.append(f"Seat the cap {gap:.1f} mm further out, or take one deeper by as much.")
    else:
        lines.append(f"Slide a sleeve of the next larger pipe out by {-trim.whole:.1f} mm.")
    higher = _higher(log, trim)
    if higher:
        lines.append(f"Or make it {higher[0]}, {higher[1]:.1f} mm shorter, and cut a new {trim.tube}.")
    return tuple(lines)


def _higher(log: Log, trim: Trim) -> tuple[str, float] | None:
    """The lowest note of the set that the tube is still long enough for."""
    fits = [t for t in log.tubes if t.final < trim.length - _LEAST and t.name != trim.tube and not _finished(log, t)]
    best = max(fits, key=lambda t: t.final, default=None)
    return None if best is None else (best.name, trim.length - best.final)


def _finished(log: Log, tube: LogTube) -> bool:
    entries = [heard for heard in log.heard if heard.tube == tube.name]
    return bool(entries) and abs(cents(_target(log, tube, entries[-1].air), entries[-1].frequency)) <= DONE


def latest(log: Log) -> Sequence[Trim]:
    """`advise` for every tube that was heard, low to high."""
    return [trim for tube in log.tubes if (trim := advise(log, tube.name)) is not None]
