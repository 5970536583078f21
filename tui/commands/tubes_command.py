"""`inbreath tubes`: tubes cut to pitch, and the log of their trimming."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from score.errors import RequestError
from tui.commands.command_common import json_option, open_score, print_json
from tui.option_numbers import PLAYER
from tui.progress_line import Progress
from tui.tubes_options import tubes_asked, tubes_options

if TYPE_CHECKING:
    from score.tubes.tube_files import Made


@click.command("tubes")
@click.argument("notes", required=False)
@click.option("--score", type=click.Path(path_type=Path), help="Take the notes from a player's part in this score.")
@click.option("--player", type=PLAYER, metavar="N", help="Whose part.")
@tubes_options
@click.option("--log", "log_path", type=click.Path(path_type=Path), metavar="FILE", help="A tuning log made by --out.")
@click.option(
    "--heard", multiple=True, metavar="TUBE", help='With --log, after a trim: "C3: C3-18c 21C"; may be repeated.'
)
@json_option
def command(notes: str | None, as_json: bool, log_path: Path | None, heard: tuple[str, ...], **options: Any) -> None:
    """Lengths, cut list and frame for a set of tubes tuned to NOTES.

    NOTES are typed ("C3-C4 diatonic", "G3 A3 C4", "D3-D4 D major A4=442", "48-60", "130.8 Hz") or taken from
    a player's part with --score and --player. After cutting, enter what each tube sounds with --log and --heard,
    and read how much more may come off.
    """
    if log_path is not None:
        from tui.commands.tuning_log_options import tune

        tune(log_path, heard, options["units"], as_json)
        return
    if heard:
        raise RequestError("No tuning log", "--heard needs the log it goes into", "add --log DIR/tuning-log.toml")
    tubes = _tubes(notes, options)
    from score.tubes.tube_texts import tubes_json, tubes_text

    if as_json:
        print_json(tubes_json(tubes))
    else:
        click.echo(tubes_text(tubes, options["units"]))
    if options["out"] is not None:
        from score.tubes.tube_files import write_tubes

        for path in write_tubes(tubes, options["out"], options["paper"], options["units"]):
            click.echo(str(path), err=True)


def _tubes(notes: str | None, options: dict[str, Any]) -> "Made":
    """The set for typed notes, or for those of a part."""
    from score.tubes.tubes_asked import player_tubes, typed_tubes

    _one_source(notes, options)
    asked = tubes_asked(options)
    if notes is not None:
        return typed_tubes(notes, asked)
    with Progress() as progress:
        reading, _ = open_score(options["score"], progress)
    return player_tubes(reading.piece, options["player"], options["instrument"], asked)


def _one_source(notes: str | None, options: dict[str, Any]) -> None:
    """Refuse what does not say, once, where the notes come from."""
    if notes is None and options["score"] is None:
        raise RequestError("No notes", "give either notes or a score", 'try inbreath tubes "C3-C4 diatonic"')
    if notes is not None and options["score"] is not None:
        what = f"both notes ({notes!r}) and --score are given"
        raise RequestError("Notes given twice", what, "leave one of them out; two sets are two commands")
    if notes is not None and (options["player"] is not None or options["instrument"]):
        raise RequestError("No score", "a player or instrument is of a score", "add --score FILE, or leave it out")
    if notes is None and options["player"] is None:
        raise RequestError("No player", "--score needs to know whose part", "add --player 1")
