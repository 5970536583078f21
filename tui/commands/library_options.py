"""Options of `inbreath library`: what a programme is chosen by, and how scores are read."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

_Command = Callable[..., Any]
_CHOOSING = (
    click.option(
        "--programme",
        type=click.FloatRange(0.0, 600.0, min_open=True),
        metavar="MINUTES",
        help="Choose a programme of at most so many minutes.",
    ),
    click.option(
        "--people",
        type=click.IntRange(0, 12),
        default=0,
        metavar="N",
        help="N people who play anything: A, B, C ...",
    ),
    click.option(
        "--person",
        multiple=True,
        metavar="NAME[: INSTRUMENTS]",
        help='Somebody who plays, "Kim: marimba, vibraphone"; repeat for each.',
    ),
    click.option("--instruments", metavar="LIST", help='Instruments you have: "2 marimbas, vibraphone, 4 tom-toms".'),
    click.option(
        "--share",
        type=click.FloatRange(0, 100),
        default=50.0,
        show_default=True,
        metavar="PERCENT",
        help="Of the music, that everybody plays in at least.",
    ),
    click.option("--fewest", is_flag=True, help="As few instruments as can be, for nine tenths of the minutes."),
    click.option(
        "--into", type=click.Path(path_type=Path), metavar="CONCERT", help="Add its pieces to a concert's file."
    ),
    click.option(
        "--search",
        type=click.FloatRange(0.1, 3600),
        default=10.0,
        show_default=True,
        metavar="SECONDS",
        help="How long to look for a better programme.",
    ),
)
_READING = (
    click.option(
        "--backend",
        type=click.Choice(("joblib", "dask")),
        default="joblib",
        show_default=True,
        help="What spreads the work.",
    ),
    click.option("--address", default="", metavar="ADDRESS", help="Of a dask scheduler: tls://name:8786."),
    click.option(
        "--certificates",
        type=click.Path(path_type=Path),
        metavar="DIR",
        help="Folder with ca.pem, cert.pem and key.pem for it.",
    ),
    click.option(
        "--workers", type=click.IntRange(0, 256), default=0, metavar="N", help="Processes; usually one a core."
    ),
    click.option(
        "--seconds",
        type=click.FloatRange(1, 3600),
        default=120.0,
        show_default=True,
        metavar="SECONDS",
        help="Give a score up after so long.",
    ),
    click.option(
        "--memory",
        type=click.IntRange(64, 1_000_000),
        default=2048,
        show_default=True,
        metavar="MB",
        help="Give a score up that takes more.",
    ),
    click.option("--again", is_flag=True, help="Read every score anew."),
    click.option("--indexed", is_flag=True, help="Read nothing; answer from the index."),
)


def choosing_options(function: _Command) -> _Command:
    """What a programme is chosen by."""
    return _with(function, _CHOOSING)


def reading_options(function: _Command) -> _Command:
    """How scores are read."""
    return _with(function, _READING)


def _with(function: _Command, options: tuple[Callable[[_Command], _Command], ...]) -> _Command:
    for option in reversed(options):
        function = option(function)
    return function
