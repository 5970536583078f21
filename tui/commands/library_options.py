"""Options of `inbreath library`: what a programme is chosen by, and how scores are read."""

from pathlib import Path

import click

from tui.option_numbers import number_option
from tui.option_sets import Command, take_options

_CHOOSING = (
    number_option(
        "--programme",
        between=(0.5, 600),
        metavar="MINUTES",
        help="Choose a programme of at most this many minutes.",
    ),
    number_option(
        "--people",
        between=(0, 12),
        whole=True,
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
    number_option(
        "--share",
        between=(0, 100),
        default=50.0,
        show_default=True,
        metavar="PERCENT",
        help="Everybody plays in at least this share of the music.",
    ),
    click.option(
        "--fewest", is_flag=True, help="As few instruments as possible, for at least nine tenths of the minutes."
    ),
    click.option(
        "--into", type=click.Path(path_type=Path), metavar="CONCERT", help="Add its pieces to a concert's file."
    ),
    number_option(
        "--search",
        between=(0.1, 3600),
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
        help="What shares out the work.",
    ),
    click.option("--address", default="", metavar="ADDRESS", help="Address of a dask scheduler: tls://name:8786."),
    click.option(
        "--certificates",
        type=click.Path(path_type=Path),
        metavar="DIR",
        help="Folder with ca.pem, cert.pem and key.pem for it.",
    ),
    number_option(
        "--workers",
        between=(0, 256),
        whole=True,
        default=0,
        metavar="N",
        help="How many processes; usually one per core.",
    ),
    number_option(
        "--seconds",
        between=(1, 3600),
        default=120.0,
        show_default=True,
        metavar="SECONDS",
        help="Give up on a score after this long.",
    ),
    number_option(
        "--memory",
        between=(64, 1_000_000),
        whole=True,
        default=2048,
        show_default=True,
        metavar="MB",
        help="Give up on a score that takes more memory than this.",
    ),
    click.option("--again", is_flag=True, help="Read every score anew."),
    click.option("--indexed", is_flag=True, help="Read nothing; answer from the index."),
)


def choosing_options(command: Command) -> Command:
    """What a programme is chosen by."""
    return take_options(command, _CHOOSING)


def reading_options(command: Command) -> Command:
    """How scores are read."""
    return take_options(command, _READING)
