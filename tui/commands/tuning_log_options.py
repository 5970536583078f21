"""The tuning log of `inbreath tubes`: entering what was heard, and what may come off."""

from datetime import datetime
from pathlib import Path

import click
from click.core import ParameterSource

from score.errors import RequestError
from tui.commands.command_common import print_json


def tune(path: Path, heard: tuple[str, ...], units: str, as_json: bool) -> None:
    """Enter what was heard and say how much more may come off.

    Args:
        path: of the log.
        heard: a line for each tube, as `--heard`.
        units: of the lengths shown.
        as_json: whether to print values instead of words.

    Raises:
        InbreathError: no log, a line that cannot be, or options the log has no use for.
    """
    from score.tubes.tube_texts import log_text, trims_json
    from score.tubes.tuning_entries import entered
    from score.tubes.tuning_log import latest

    _only_the_log()
    log = entered(path, heard, f"{datetime.now():%Y-%m-%d %H:%M}")
    if as_json:
        print_json(trims_json(latest(log)))
    else:
        click.echo(log_text(log, latest(log), units))


def _only_the_log() -> None:
    """Refuse notes and options beside --log: the log holds its own, and these would be left out unsaid.

    Raises:
        RequestError: names what has no place.
    """
    context = click.get_current_context()
    said = [
        param.opts[0] if isinstance(param, click.Option) else "notes"
        for param in context.command.params
        if param.name not in ("log_path", "heard", "units", "as_json")
        and context.get_parameter_source(str(param.name)) is ParameterSource.COMMANDLINE
        and context.params.get(str(param.name)) not in (None, ())
    ]
    if said:
        what = f"{', '.join(said)} beside --log: a log keeps the notes, pipe and air it was made with"
        raise RequestError("Tuning log", what, "leave out the one or the other")
