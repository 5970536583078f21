"""The options of every command that makes sound, and what they ask of the engine."""

from typing import Any

import click

from score.errors import RequestError
from tui.option_numbers import number_option
from tui.option_sets import Command, take_options

# Written out, so that help needs no engine.
CLICKS = ("every beat", "strong beats", "downbeats", "every second bar", "first bar only", "none", "breath")

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
    number_option(
        "--count-in", between=(0, 4), whole=True, default=1, show_default=True, metavar="BARS", help="Bars counted in."
    ),
    number_option(
        "--parts",
        between=(1, 8),
        whole=True,
        default=1,
        show_default=True,
        metavar="N",
        help="Softer clicks that cut each beat into N.",
    ),
    click.option(
        "--try",
        "tries",
        multiple=True,
        metavar="TRY",
        help='Bend these bars: "57-64 hold back 8", "112 wait 0.5"; may be repeated.',
    ),
    click.option(
        "--own",
        type=click.Choice(["off", "soft", "on"]),
        default="off",
        show_default=True,
        help="Your own part, with --player.",
    ),
)


def play_options(command: Command) -> Command:
    """Give a command the options of sounding: chunk, bars, tempo, click_, count_in, parts, tries, own."""
    return take_options(command, _OPTIONS)


def track_options(
    piece: Any, group: Any, player: int | None, asked: dict[str, Any], kinds: tuple[str, ...] = ()
) -> Any:
    """The engine's `TrackOptions` for what was asked."""
    from score.activity.from_group import group_breaths
    from score.places import find_player
    from score.playback.click import Thinning
    from score.playback.passage_finding import parse_tempo
    from score.playback.tracks import TrackOptions
    from score.time.from_group import pulse_options
    from score.time.tried_tempo import bent
    from score.time.try_words import parse_try

    if player is not None:
        find_player(piece, player)
    scale, steady = parse_tempo(asked["tempo"])
    breath = asked["click_"] == "breath"
    thinning = Thinning.NONE if breath else Thinning(asked["click_"])
    pulse = pulse_options(group, piece, scale, steady)
    for text in asked.get("tries", ()):
        pulse = bent(piece, pulse, parse_try(piece, text))
    return TrackOptions(
        player or 0,
        asked["own"],
        kinds,
        pulse=pulse,
        click=thinning,
        count_in=asked["count_in"],
        breath=breath,
        subdivisions=asked["parts"],
        breaths=group_breaths(group, piece),
    )


def heard_sources(asked: tuple[str, ...], player: int) -> dict[int, str]:
    """Where each player who is heard comes from: "NAME" is the player's own, "2=NAME" player 2's.

    Raises:
        RequestError: nobody is named, or one player twice.
    """
    sources: dict[int, str] = {}
    for text in asked:
        number, equals, name = text.partition("=")
        is_named = bool(equals) and number.strip().isdecimal()
        who = int(number) if is_named else player
        if not who:
            raise RequestError("Nobody to follow", "--follow needs to know who you are", "add --player 1")
        if who in sources:
            raise RequestError("Player twice", f"--follow names player {who} twice", "write 2=NAME for another player")
        sources[who] = name if is_named else text
    return sources
