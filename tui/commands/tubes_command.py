"""`inbreath tubes`: tubes cut to pitch, and the log of their trimming."""

import re
import shlex
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from score.errors import RequestError
from tui.commands.command_common import json_option, print_json

if TYPE_CHECKING:
    from score.tubes.frame import FrameWish
    from score.tubes.tube_acoustics import Column
    from score.tubes.tube_files import Made
    from score.tubes.tube_lengths import Request
    from score.tubes.wanted_notes import Wanted


@click.command("tubes")
@click.argument("notes", required=False)
@click.option("--score", type=click.Path(path_type=Path), help="Take the notes from a player's part in this score.")
@click.option("--player", type=int, metavar="N", help="Whose part.")
@click.option("--instrument", default="", metavar="WORDS", help="Only the notes of this instrument of the part.")
@click.option("--a4", type=float, metavar="HZ", help="Frequency of A4; 440 unless it is given.")
@click.option(
    "--pipe",
    default="2 in",
    show_default=True,
    metavar="SIZE",
    help='A size of schedule 40, or measured: "inside 52 mm outside 60 mm".',
)
@click.option("--open", "is_open", is_flag=True, help="Tubes open at both ends; otherwise capped at one.")
@click.option("--cap-gap", metavar="LENGTH", help="Air between the tube's end and the floor of its cap.")
@click.option("--cap-inside", metavar="LENGTH", help="Inside diameter of the cap there, if wider than the pipe.")
@click.option(
    "--measured", multiple=True, metavar="TUBE", help='A measured tube: "640 mm C3+5c cap 20C"; repeat for each.'
)
@click.option(
    "--measured-in",
    "learned",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="A tuning log whose entries with a length count as measured tubes.",
)
@click.option(
    "--length-error", default="0.5 mm", show_default=True, metavar="LENGTH", help="How well you measure length."
)
@click.option("--pitch-error", default=2.0, show_default=True, metavar="CENTS", help="How well you read pitch.")
@click.option("--workshop", default="20C 50%", show_default=True, metavar="AIR", help="The air where you cut and tune.")
@click.option("--hall", metavar="AIR", help="The air at the concert; the workshop's unless given.")
@click.option("--trim", default="8 mm", show_default=True, metavar="LENGTH", help="Left on for trimming.")
@click.option("--stock", multiple=True, metavar="LENGTH", help='Sticks to buy: "3 m", "10 ft"; may be repeated.')
@click.option("--leftover", multiple=True, metavar="LENGTH", help='Pipe in hand: "830 mm", "2 x 1 m"; may be repeated.')
@click.option("--kerf", default="3.2 mm", show_default=True, metavar="LENGTH", help="Width of a saw cut.")
@click.option("--row", is_flag=True, help="All holes of the frame in one row; otherwise as on a keyboard.")
@click.option(
    "--suspension",
    default="12 mm",
    show_default=True,
    metavar="LENGTH",
    help="How much wider each hole is than its tube.",
)
@click.option("--gap", default="25 mm", show_default=True, metavar="LENGTH", help="Wood between two holes.")
@click.option("--edge", default="40 mm", show_default=True, metavar="LENGTH", help="Wood round the holes.")
@click.option("--height", default="900 mm", show_default=True, metavar="LENGTH", help="Playing ends above the floor.")
@click.option("--sheet", metavar="SIZE", help='Plywood in hand, to check the plate against: "1220 x 610 mm".')
@click.option(
    "--units", type=click.Choice(("mm", "cm", "in")), default="mm", show_default=True, help="Lengths shown in."
)
@click.option(
    "--paper", type=click.Choice(("a4", "a3", "letter")), default="a4", show_default=True, help="For the PDFs."
)
@click.option("--out", type=click.Path(path_type=Path), metavar="DIR", help="Write sheet, template and log there.")
@click.option("--log", "log_path", type=click.Path(path_type=Path), metavar="FILE", help="A tuning log made by --out.")
@click.option(
    "--heard", multiple=True, metavar="TUBE", help='With --log, after a trim: "C3: C3-18c 21C"; may be repeated.'
)
@json_option
def command(notes: str | None, as_json: bool, log_path: Path | None, heard: tuple[str, ...], **asked: Any) -> None:
    """Lengths, cut list and frame for a set of tubes tuned to NOTES.

    NOTES are typed ("C3-C4 diatonic", "G3 A3 C4", "D3-D4 D major A4=442", "48-60", "130.8 Hz") or taken from
    a player's part with --score and --player. After cutting, enter what each tube sounds with --log and --heard,
    and read how much more may come off.
    """
    if log_path is not None:
        from tui.commands.tubes_log import tune

        tune(log_path, heard, asked["units"], as_json)
        return
    if heard:
        raise RequestError("No tuning log", "--heard needs the log it goes into", "add --log DIR/tuning-log.toml")
    made = made_from(notes, asked)
    from score.tubes.tube_texts import tubes_json, tubes_text

    if as_json:
        print_json(tubes_json(made))
    else:
        click.echo(tubes_text(made, asked["units"]))
    if asked["out"] is not None:
        from score.tubes.tube_files import write_tubes

        for path in write_tubes(made, asked["out"], asked["paper"], asked["units"]):
            click.echo(str(path), err=True)


def usual(more: str = "") -> dict[str, Any]:
    """What is asked for where nothing is said: each option's default by its name.

    Args:
        more: options as on the command line.

    Raises:
        RequestError: no such option, or a value it cannot have.
    """
    try:
        words = shlex.split(more)
        if {"-h", "--help"} & set(words):
            raise ValueError("help is not for this line")
        return dict(command.make_context("tubes", ["C4", *words]).params)
    except (ValueError, click.ClickException) as error:
        said = error.format_message() if isinstance(error, click.ClickException) else str(error)
        raise RequestError("Options", said.rstrip("."), "inbreath tubes --help lists them") from None


def made_from(notes: str | None, asked: dict[str, Any]) -> "Made":
    """The set of tubes for what is asked.

    Args:
        notes: typed notes, or None to take them from a part.
        asked: the command's options by name.

    Raises:
        InbreathError: something that cannot be, in one line.
    """
    from score.tubes.wanted_notes import tuning

    asked = asked | {"a4": tuning(notes or "", asked["a4"])}
    return made_of(_wanted(notes, asked), asked)


def made_of(wanted: "tuple[Wanted, ...]", asked: dict[str, Any]) -> "Made":
    """The set of tubes for notes that are known.

    Args:
        wanted: the notes.
        asked: the command's options by name.

    Raises:
        InbreathError: something that cannot be, in one line.
    """
    from score.tubes.cut_request import read_stock
    from score.tubes.cutting.cut_list import check_kerf, cut_plan
    from score.tubes.frame import frame_of
    from score.tubes.tube_files import Made
    from score.tubes.tube_lengths import tube_set

    kerf = _mm(asked["kerf"])
    check_kerf(kerf)
    stock = [read_stock(text) for text in asked["stock"]]
    stock += [read_stock(text, leftover=True) for text in asked["leftover"]]
    tubes = tube_set(_request(wanted, asked))
    frame = frame_of(tubes, _frame(asked))
    if not stock or not tubes.to_cut:
        return Made(tubes, None, frame)
    lengths, names = [tube.cut for tube in tubes.to_cut], [tube.wanted.name for tube in tubes.to_cut]
    return Made(tubes, cut_plan(lengths, stock, kerf, names), frame)


def _wanted(notes: str | None, asked: dict[str, Any]) -> "tuple[Wanted, ...]":
    from score.tubes.wanted_notes import player_notes, wanted_notes

    if notes is None and asked["score"] is None:
        raise RequestError("No notes", "give either notes or a score", 'try inbreath tubes "C3-C4 diatonic"')
    if notes is not None and asked["score"] is not None:
        what = f"both notes ({notes!r}) and --score are given"
        raise RequestError("Notes given twice", what, "leave one of them out; two sets are two commands")
    if notes is not None:
        if asked["player"] is not None or asked["instrument"]:
            raise RequestError("No score", "a player or instrument is of a score", "add --score FILE, or leave it out")
        return wanted_notes(notes, asked["a4"])
    if asked["player"] is None:
        raise RequestError("No player", "--score needs to know whose part", "add --player 1")
    from tui.commands.command_common import open_score
    from tui.progress import Progress

    with Progress() as progress:
        reading, _ = open_score(asked["score"], progress)
    return player_notes(reading.piece, asked["player"], asked["a4"], asked["instrument"])


def _request(wanted: "tuple[Wanted, ...]", asked: dict[str, Any]) -> "Request":
    from score.tubes.air import Air
    from score.tubes.measured_tubes import read_air, read_measured
    from score.tubes.tube_fit import Errors
    from score.tubes.tube_lengths import Request

    column = _column(asked)
    workshop = read_air(asked["workshop"], Air())
    measured = tuple(read_measured(text, column, workshop, asked["a4"]) for text in asked["measured"])
    if asked["learned"] is not None:
        from score.tubes.tuning_log import measured_tubes
        from score.tubes.tuning_log_file import read_log

        measured += measured_tubes(read_log(asked["learned"]), column)
    return Request(
        wanted=wanted,
        column=column,
        measured=measured,
        workshop=workshop,
        concert=read_air(asked["hall"], workshop) if asked["hall"] else workshop,
        trim=_mm(asked["trim"]),
        errors=Errors(_mm(asked["length_error"]), asked["pitch_error"]),
        a4=asked["a4"],
    )


def _column(asked: dict[str, Any]) -> "Column":
    from score.tubes.pipes import read_pipe
    from score.tubes.tube_acoustics import Column

    if asked["is_open"] and (asked["cap_gap"] or asked["cap_inside"]):
        raise RequestError(
            "Cap", "--open tubes have no cap to measure", "leave out --open, or --cap-gap and --cap-inside"
        )
    if asked["cap_inside"] and not _mm(asked["cap_gap"]):
        what = "--cap-inside alone changes nothing: it is how wide the air behind the tube's end is"
        raise RequestError("Cap", what, "add --cap-gap, how deep it is")
    return Column(read_pipe(asked["pipe"]), not asked["is_open"], _mm(asked["cap_gap"]), _mm(asked["cap_inside"]))


def _frame(asked: dict[str, Any]) -> "FrameWish":
    from score.tubes.cut_request import read_sheet
    from score.tubes.frame import FrameWish

    sheet = read_sheet(asked["sheet"]) if asked["sheet"] else None
    return FrameWish(
        keyboard=not asked["row"],
        suspension=_mm(asked["suspension"]),
        gap=_mm(asked["gap"]),
        edge=_mm(asked["edge"]),
        height=_mm(asked["height"]),
        sheet=sheet,
        unit=asked["units"],
    )


def _mm(text: str | None) -> float:
    """Millimetres; nothing and "0" are 0."""
    from score.tubes.units import read_length

    if text is None or re.fullmatch(r"\s*0+(?:[.,]0*)?\s*(?:mm|cm|m|in|ft|\")?\s*", text):
        return 0.0
    return read_length(text)
