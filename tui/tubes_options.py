"""What can be asked of a set of tubes, as options: for the command, and for the line of options on its screen."""

import shlex
from collections.abc import Mapping
from dataclasses import fields
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import click

from score.errors import RequestError
from tui.option_numbers import number_option
from tui.option_sets import Command, take_options

if TYPE_CHECKING:
    from score.tubes.tubes_asked import TubesAsked

_OPTIONS = (
    number_option("--a4", between=(380, 500), metavar="HZ", help="Frequency of A4; 440 unless it is given."),
    click.option(
        "--pipe",
        default="2 in",
        show_default=True,
        metavar="SIZE",
        help='A size of schedule 40, or measured: "inside 52 mm outside 60 mm".',
    ),
    click.option("--open", "is_open", is_flag=True, help="Tubes open at both ends; otherwise capped at one."),
    click.option("--cap-gap", metavar="LENGTH", help="Air between the tube's end and the floor of its cap."),
    click.option("--cap-inside", metavar="LENGTH", help="Inside diameter of the cap, if wider than the pipe."),
    click.option(
        "--measured", multiple=True, metavar="TUBE", help='A measured tube: "640 mm C3+5c cap 20C"; repeat for each.'
    ),
    click.option(
        "--measured-in",
        "learned",
        type=click.Path(path_type=Path),
        metavar="FILE",
        help="A tuning log whose entries with a length count as measured tubes.",
    ),
    click.option(
        "--length-error", default="0.5 mm", show_default=True, metavar="LENGTH", help="How well you measure length."
    ),
    number_option(
        "--pitch-error",
        between=(0.01, 100),
        default=2.0,
        show_default=True,
        metavar="CENTS",
        help="How well you read pitch.",
    ),
    click.option(
        "--workshop", default="20C 50%", show_default=True, metavar="AIR", help="The air where you cut and tune."
    ),
    click.option("--hall", metavar="AIR", help="The air at the concert; the workshop's unless given."),
    click.option("--trim", default="8 mm", show_default=True, metavar="LENGTH", help="Left on for trimming."),
    click.option("--stock", multiple=True, metavar="LENGTH", help='Sticks to buy: "3 m", "10 ft"; may be repeated.'),
    click.option(
        "--leftover", multiple=True, metavar="LENGTH", help='Pipe in hand: "830 mm", "2 x 1 m"; may be repeated.'
    ),
    click.option("--kerf", default="3.2 mm", show_default=True, metavar="LENGTH", help="Width of a saw cut."),
    click.option("--row", is_flag=True, help="All holes of the frame in one row; otherwise as on a keyboard."),
    click.option(
        "--suspension",
        default="12 mm",
        show_default=True,
        metavar="LENGTH",
        help="How much wider each hole is than its tube.",
    ),
    click.option("--gap", default="25 mm", show_default=True, metavar="LENGTH", help="Wood between two holes."),
    click.option("--edge", default="40 mm", show_default=True, metavar="LENGTH", help="Wood round the holes."),
    click.option(
        "--height", default="900 mm", show_default=True, metavar="LENGTH", help="Playing ends above the floor."
    ),
    click.option("--sheet", metavar="SIZE", help='Plywood in hand, to check the plate against: "1220 x 610 mm".'),
    click.option(
        "--units", type=click.Choice(("mm", "cm", "in")), default="mm", show_default=True, help="Lengths shown in."
    ),
    click.option(
        "--paper", type=click.Choice(("a4", "a3", "letter")), default="a4", show_default=True, help="For the PDFs."
    ),
    click.option("--out", type=click.Path(path_type=Path), metavar="DIR", help="Write sheet, template and log there."),
    click.option("--instrument", default="", metavar="WORDS", help="Only the notes of this instrument of the part."),
)


class TypedOptions(NamedTuple):
    """What a line of options asks for.

    Attributes:
        asked: of the set.
        instrument: of a part; "" for every pitched one.
        paper: of the PDFs.
        folder: where files go, None for the usual folder.
    """

    asked: "TubesAsked"
    instrument: str
    paper: str
    folder: Path | None


def tubes_options(command: Command) -> Command:
    """Give a command every option of a set of tubes."""
    return take_options(command, _OPTIONS)


def tubes_asked(options: Mapping[str, Any]) -> "TubesAsked":
    """The engine's value for a command's options by name."""
    from score.tubes.tubes_asked import TubesAsked

    return TubesAsked(**{field.name: options[field.name] for field in fields(TubesAsked)})


def typed_options(line: str) -> TypedOptions:
    """What a line of options asks for, every other option as usual.

    Raises:
        RequestError: no such option, or a value it cannot have.
    """
    try:
        words = shlex.split(line)
        if {"-h", "--help"} & set(words):
            raise ValueError("help is not for this line")
        options = _line.make_context("tubes", words).params
    except (ValueError, click.ClickException) as error:
        said = error.format_message() if isinstance(error, click.ClickException) else str(error)
        raise RequestError("Options", said.rstrip("."), "inbreath tubes --help lists them") from None
    return TypedOptions(tubes_asked(options), options["instrument"], options["paper"], folder=options["out"])


@click.command("tubes")
@tubes_options
def _line(**_: Any) -> None:
    """Only read, never run."""
