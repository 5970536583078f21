"""`inbreath SCORE`: the screens."""

import os
from pathlib import Path

import click


@click.command("stand")
@click.argument("score", type=click.Path(path_type=Path), required=False)
@click.option(
    "--port", default="", metavar="NAME", help="Sound on this MIDI port from now on; - for the sound card again."
)
@click.option("--silent", is_flag=True, help="No sound; the screens still follow the beat.")
def command(score: Path | None, port: str, silent: bool) -> int:
    """Open SCORE on the screen, or the list of pieces opened before."""
    # A light comes with its stroke: pictures follow each other twice as often as the screens' library does by itself.
    os.environ.setdefault("TEXTUAL_FPS", "120")
    from tui.start import start

    return start(score, port, silent)
