"""What a player has set for practising, and the timeline that follows from it. All music is the engine's."""

import json
from dataclasses import dataclass, field, replace
from fractions import Fraction

from score.activity.from_group import group_breaths
from score.beats import Place
from score.plain_text import several
from score.playback.click import Thinning
from score.playback.passage_finding import join_route
from score.playback.sound_events import Timeline
from score.playback.tempo_steps import FASTEST, RECORDING_TEMPI, SLOWEST, Steps, in_limits
from score.playback.tracks import Passage, TrackOptions, chunk_route, track_timeline
from score.time.from_group import pulse_options
from score.time.pulse import PulseOptions
from score.time.route import Route
from score.time.route import bars as bars_route
from score.time.tried_tempo import bent
from score.time.tries import Try
from tui.recorded_practice import doubts_in, lower_part, recorded_timeline, timeline_in_time_of
from tui.session import Session

OWN = ("on", "soft", "off")
THINNING = "thinning"
"""A click that thins itself out, pass by pass."""
CLICKS = (*(str(thinning.value) for thinning in Thinning), "breath", THINNING)


@dataclass(frozen=True, slots=True)
class Setting:
    """What is heard.

    Attributes:
        chunk: position of the chunk.
        join: over the join with the next chunk.
        tempo: share of the written tempo.
        own: "on", "soft" or "off".
        muted: players who are silent.
        click: one of `CLICKS`.
        count_in: bars.
        loop: begin again at the end.
        steps: steps of tempo, None when off.
        start: index of the bar to begin from, None for the beginning.
        own_loop: indices of the first and last bar of a loop of one's own, None for the whole.
        trial: a way to bend bars that is tried, None for what the group has.
        recording: path of a recording that plays in place of the machine's players, "" for none.
        beside: the machine's players who are mixed in beside a recording.
        time_of: path of a recording in whose time the machine's players go, "" for the score's.
    """

    chunk: int
    join: bool = False
    tempo: float = 1.0
    own: str = "soft"
    muted: frozenset[int] = field(default_factory=frozenset)
    click: str = CLICKS[0]
    count_in: int = 1
    loop: bool = True
    steps: Steps | None = None
    start: int | None = None
    own_loop: tuple[int, int] | None = None
    trial: Try | None = None
    recording: str = ""
    beside: frozenset[int] = field(default_factory=frozenset)
    time_of: str = ""

    @property
    def tempi(self) -> tuple[float, float]:
        """The slowest and fastest tempo there is, as shares: of the recording's own where one plays."""
        return RECORDING_TEMPI if self.recording else (SLOWEST, FASTEST)

    @property
    def recorded(self) -> str:
        """Path of the recording that plays, or in whose time the machine's players go; "" for none."""
        return self.recording or self.time_of

    def with_recording(self, path: str) -> "Setting":
        """A recording in place of the machine's players, at a tempo it can go; "" for the machine's players."""
        slowest, fastest = RECORDING_TEMPI
        tempo = min(fastest, max(slowest, self.tempo)) if path else self.tempo
        return replace(self, recording=path, time_of="", trial=None, tempo=tempo)

    def faster(self, by: float) -> "Setting":
        """Another tempo, by a share of the written one."""
        slowest, fastest = self.tempi
        return replace(self, tempo=min(fastest, max(slowest, in_limits(self.tempo + by))))

    def next_own(self) -> "Setting":
        """On, soft, off in turn; in a recording it can be softer, but never off."""
        if self.recording:
            return replace(self, own="soft" if self.own == "on" else "on")
        return replace(self, own=OWN[(OWN.index(self.own) + 1) % len(OWN)])

    def rated(self, was_good: bool) -> "Setting":
        """After a pass was rated: the next step of tempo, when steps are on."""
        if self.steps is None:
            return self
        steps = self.steps.rated(was_good)
        return replace(self, steps=steps, tempo=steps.tempo)

    def words(self) -> str:
        """What is not said elsewhere, on one line."""
        steps = f"   steps to {100 * self.steps.goal:.0f} %, {self.steps.good} good" if self.steps else ""
        count_in = several(self.count_in, "bar") if self.count_in else "none"
        own = {"on": "in it", "soft": "softer", "off": "softer"}[self.own] if self.recording else self.own
        return f"own part {own}   click {self.click}   count-in {count_in}{steps}"


def recalled(session: Session, chunk: int) -> Setting:
    """The setting this player left a piece with, on a chunk; the usual one the first time."""
    usual = Setting(chunk)
    try:
        kept = json.loads(session.history.recall(_name(session)) or "{}")
        muted = frozenset(int(number) for number in kept.get("muted", ()))
        tempo, own, clicks = float(kept.get("tempo", 1.0)), kept.get("own", usual.own), kept.get("click", usual.click)
        count_in, loop = int(kept.get("count_in", 1)), bool(kept.get("loop", True))
        setting = Setting(chunk, False, tempo, own=own, muted=muted, click=clicks, count_in=count_in, loop=loop)
    except (ValueError, TypeError, AttributeError):
        return usual  # kept by another version: begin anew
    is_usable = setting.own in OWN and setting.click in CLICKS and 0 <= setting.count_in <= 4
    return setting if is_usable and SLOWEST <= setting.tempo <= FASTEST else usual


def remember(session: Session, setting: Setting) -> None:
    """Keep the setting for the next time."""
    kept = {
        "tempo": setting.tempo,
        "own": setting.own,
        "muted": sorted(setting.muted),
        "click": setting.click,
        "count_in": setting.count_in,
        "loop": setting.loop,
    }
    session.history.remember(_name(session), json.dumps(kept))


def _name(session: Session) -> str:
    return f"setting {session.piece.digest} {session.me.number}"


def route_of(session: Session, setting: Setting) -> Route:
    """What is played: the player's own loop, a join or a chunk, from the bar asked for on."""
    piece = session.piece
    chunk = session.chunks[setting.chunk].chunk
    if setting.own_loop:
        first, last = setting.own_loop
    elif setting.join and setting.chunk + 1 < len(session.chunks):
        route = join_route(piece, chunk, session.chunks[setting.chunk + 1].chunk)
        first, last = route.visits[0].bar, route.visits[-1].bar
    else:
        if setting.start is None or setting.start not in chunk.bars:
            return chunk_route(piece, chunk)
        first, last = chunk.first, chunk.last
    start = setting.start if setting.start is not None and first <= setting.start <= last else first
    return bars_route(piece, range(start, last + 1))


def shown_bars(session: Session, setting: Setting) -> range:
    """The bars the screen shows: all that is practised, wherever one begins, and a loop that reaches further."""
    bars = written_bars(route_of(session, replace(setting, start=None, own_loop=None)))
    first, last = setting.own_loop or (bars[0], bars[-1])
    return range(min(bars[0], first), max(bars[-1], last) + 1)


def timeline_of(session: Session, setting: Setting, turn: int = 1) -> Timeline:
    """The timeline of a setting; a click that thins itself depends on which pass it is."""
    options = _options(session, setting, turn)
    passage = Passage("", route_of(session, setting))
    if setting.recording:
        return recorded_timeline(session, setting.recording, passage, options, setting.beside)
    if setting.time_of:
        return timeline_in_time_of(session, setting.time_of, passage, options)
    return track_timeline(session.piece, passage, options)


def lowered_part(session: Session, setting: Setting) -> bool:
    """Make one's own part lower in a setting's recording; gives back whether that had still to be done."""
    return lower_part(session, setting.recording, route_of(session, setting), _options(session, setting))


def recorded_doubts(session: Session, setting: Setting) -> frozenset[int]:
    """Indices of the bars that are in doubt in a setting's recording."""
    shown = route_of(session, replace(setting, start=None, own_loop=None))
    return doubts_in(session, setting.recorded, shown)


def _options(session: Session, setting: Setting, turn: int = 1) -> TrackOptions:
    return TrackOptions(
        session.me.number,
        setting.own,
        pulse=pulse_of(session, setting),
        click=click_on(setting.click, turn),
        count_in=setting.count_in,
        breath=setting.click == "breath",
        silent=setting.muted,
        breaths=group_breaths(session.group, session.piece),
    )


def pulse_of(session: Session, setting: Setting) -> PulseOptions:
    """The time a setting is played in."""
    pulse = pulse_options(session.group, session.piece, setting.tempo)
    return bent(session.piece, pulse, setting.trial) if setting.trial else pulse


def click_on(click: str, turn: int) -> Thinning:
    """Which clicks are left on a pass: one step fewer every second pass when it thins itself."""
    if click == "breath":
        return Thinning.NONE
    if click == THINNING:
        steps = list(Thinning)
        return steps[min(len(steps) - 1, (turn - 1) // 2)]
    return Thinning(click)


def place_at(route: Route, offset: float) -> Place:
    """Where in the piece an offset on the route lies."""
    return route.at(Fraction(max(0.0, offset)).limit_denominator(960))[1]


def written_bars(route: Route) -> range:
    """The bars a route passes, first to last as written."""
    bars = [visit.bar for visit in route.visits]
    return range(min(bars), max(bars) + 1)
