"""From a route through the piece to everything that sounds, in seconds."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from score.activity.breath import Breath, natural_breaths
from score.piece import Piece
from score.playback.click import Thinning
from score.playback.click_strikes import (
    bar_times,
    beat_times,
    breath_strike,
    breath_times,
    clicks,
    count_in,
    count_in_clicks,
)
from score.playback.player_strikes import player_strikes
from score.playback.sound_events import BreathTime, Strike, Timeline
from score.time.pulse import PulseOptions, route_tempo_map, wait_before
from score.time.route import Route
from score.time.tempo_map import TempoMap


@dataclass(frozen=True, slots=True)
class PlayOptions:
    """What is heard.

    Attributes:
        pulse: tempo, shapes, holds.
        players: numbers of those who sound; None for everybody.
        click: which clicks are left; `Thinning.NONE` for no click.
        subdivisions: parts each beat of the click is cut into.
        count_in: bars of clicks before the music; before a pickup the bar is filled up to it.
        breath: an in-breath before each entry made together, instead of the click.
        levels: player's number to loudness from 0 to 1; 1 where not given.
        breaths: those the group has agreed on or tries. They are seen always, and heard unless whoever gives one
            does not sound.
        times: seconds of the route in place of the pulse's: those of a recording.
        counted: quarters a minute of the count-in, None for the tempo in which the music begins.
    """

    pulse: PulseOptions = field(default_factory=PulseOptions)
    players: frozenset[int] | None = None
    click: Thinning = Thinning.EVERY_BEAT
    subdivisions: int = 1
    count_in: int = 1
    breath: bool = False
    levels: Mapping[int, float] = field(default_factory=dict)
    breaths: tuple[Breath, ...] = ()
    times: TempoMap | None = None
    counted: float | None = None

    def sounds(self, player: int | None) -> bool:
        """Whether a player is heard; nobody in particular is."""
        return player is None or self.players is None or player in self.players


def timeline(piece: Piece, route: Route, options: PlayOptions | None = None) -> Timeline:
    """Everything that sounds along a route.

    Args:
        piece: the piece.
        route: what is played, in performed order.
        options: what is heard.
    """
    options = options or PlayOptions()
    times = options.times or route_tempo_map(piece, route, options.pulse)
    counted = count_in(piece, route, times, options.count_in, options.counted)
    lead = counted.seconds
    strikes: list[Strike] = [] if options.breath else [*count_in_clicks(counted)]
    for player in piece.players:
        if options.sounds(player.number):
            level = options.levels.get(player.number, 1.0)
            strikes += player_strikes(piece, route, times, player, lead, level)
    breaths = _breaths(piece, route, times, lead, options)
    strikes += [breath_strike(breath) for breath in breaths if options.sounds(breath.giver)]
    if not options.breath:
        strikes += clicks(piece, route, times, lead, options.click, options.subdivisions)
    return Timeline(
        tuple(sorted(strikes, key=lambda s: (s.seconds, s.player, s.pitch or 0, s.voice))),
        lead + times.seconds(route.length),
        bars=tuple(bar_times(route, times, lead)),
        beats=tuple(beat_times(piece, route, times, counted)),
        starts=lead,
        breaths=breaths,
        again=0.0 if counted.beats else wait_before(piece, route, options.pulse),
    )


def _breaths(piece: Piece, route: Route, times: TempoMap, lead: float, options: PlayOptions) -> tuple[BreathTime, ...]:
    """The group's breaths, and with `breath` those that offer themselves where the group says nothing."""
    breaths = options.breaths
    if options.breath:
        said = {breath.entry for breath in breaths}
        breaths += tuple(breath for breath in natural_breaths(piece, route) if breath.entry not in said)
    return tuple(sorted(breath_times(piece, route, times, lead, breaths, options.pulse.scale)))
