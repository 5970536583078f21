"""The options of every command that makes sound, and what they ask of the engine."""

from collections.abc import Callable
from functools import reduce
from typing import Any, TypeVar

import click

# Written out, so that help needs no engine.
CLICKS = ("every beat", "strong beats", "downbeats", "every second bar", "first bar only", "none", "breath")

Function = TypeVar("Function", bound=Callable[..., Any])

_OPTIONS = (
    click.option("--chunk", default="", metavar="NAME", help="A chunk (C, C+8), or two with | for their join."),
    click.option("--bars", default="", metavar="BARS", help="Printed bars, 17-32."),
    click.option("--tempo", default="100%", show_default=True, metavar="TEMPO", help="80%, or quarters a minute."),
    click.option(
        "--click",
        "click_",
        type=click.Choice(CLICKS),
        default="every beat",
        show_default=True,
        help="Which clicks are left, or an in-breath before entries made together.",
    ),
    click.option(
        "--count-in", type=click.IntRange(0, 4), default=1, show_default=True, metavar="BARS", help="Bars counted in."
    ),
    click.option(
        "--parts",
        type=click.IntRange(1, 8),
        default=1,
        show_default=True,
        metavar="N",
        help="Softer clicks that cut each beat into N.",
    ),
    click.option(
        "--own",
        type=click.Choice(["off", "soft", "on"]),
        default="off",
        show_default=True,
        help="Your own part, with --player.",
    ),
)


def play_options(function: Function) -> Function:
    """Give a command the options of sounding: chunk, bars, tempo, click_, count_in, parts, own."""
    return reduce(lambda inner, option: option(inner), reversed(_OPTIONS), function)


def track_options(piece: Any, group: Any, player: int, asked: dict[str, Any], kinds: tuple[str, ...] = ()) -> Any:
    """The engine's `TrackOptions` for what was asked."""
    from score.places import find_player
    from score.playback.click import Thinning
    from score.playback.passage_finding import parse_tempo
    from score.playback.tracks import TrackOptions
    from score.time.from_group import pulse_options

    if player:
        find_player(piece, player)
    scale, steady = parse_tempo(asked["tempo"])
    breath = asked["click_"] == "breath"
    thinning = Thinning.NONE if breath else Thinning(asked["click_"])
    pulse = pulse_options(group, piece, scale, steady)
    return TrackOptions(player, asked["own"], kinds, pulse, thinning, asked["count_in"], breath, asked["parts"])
