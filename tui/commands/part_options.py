"""The options of every command that writes parts, and what they ask of the engine."""

from pathlib import Path

import click

from tui.option_numbers import PLAYER, number_option
from tui.option_sets import Command, take_options

# Written out, so that help needs no engine: the engine's own enumerations import more than help may.
LEVELS = ("sparse", "usual", "full")
PAPERS = ("a4", "letter", "b4", "9x12", "10x13", "tablet")
CHECKERS = ("score.setup.check_inputs", "score.setup.floor_plan", "score.setup.gear_list")
"""What engravers need beyond the engraver itself (`also` of `score.parts.engraving_processes.engravers`)."""
SCORE = "score.parts.engraved_score"
"""What the one that engraves the score for all needs."""

_OPTIONS = (
    click.option(
        "--player", "players", type=PLAYER, multiple=True, metavar="N", help="Only this player; may be repeated."
    ),
    click.option("--out", type=click.Path(path_type=Path), metavar="DIR", help="Folder for the files."),
    click.option(
        "--cues",
        type=click.Choice(LEVELS),
        default="usual",
        show_default=True,
        help="Only what leads into entries, what a player would pencil in, or every other player's line.",
    ),
    click.option(
        "--paper",
        default="a4",
        show_default=True,
        metavar="PAPER",
        help=f'Paper of the PDFs: {", ".join(PAPERS)}, or a size such as "210x280 mm".',
    ),
    number_option(
        "--staff-height",
        between=(4, 12),
        default=7.5,
        show_default=True,
        metavar="MM",
        help="Height of the five-line staff; 8 to 8.5 where the light is poor.",
    ),
    number_option(
        "--side-by-side",
        between=(1, 4),
        whole=True,
        default=1,
        show_default=True,
        metavar="PAGES",
        help="Pages open at once on your stand: only after the last of them do you turn.",
    ),
    click.option(
        "--booklet",
        is_flag=True,
        help="Bound: turns come after right-hand pages; a page stays blank only where that saves a bad turn.",
    ),
    click.option(
        "--cue-notes",
        type=click.Choice(("rhythm", "pitches")),
        default="rhythm",
        show_default=True,
        help="Cues as rhythms on one line, or with their pitches on five.",
    ),
    click.option("--stickings", is_flag=True, help="Print suggested stickings in italics where the score has none."),
    click.option("--curve", is_flag=True, help="Draw the tempo over bars that you have agreed to shape."),
    number_option(
        "--turn-time",
        between=(0, 60),
        default=2.0,
        show_default=True,
        metavar="SECONDS",
        help="Free hands needed to turn a page; about 0.3 with a pedal.",
    ),
    click.option(
        "--changed",
        is_flag=True,
        help="Print only what differs from the last print in the folder: those pages, each with why.",
    ),
    click.option("--both-sides", is_flag=True, help="With --changed: also the other side of each sheet."),
    click.option(
        "--divide-anew", is_flag=True, help="Divide pages anew; else they begin where they began in the last print."
    ),
)


def part_options(command: Command) -> Command:
    """Give a command the options of writing parts: players, out, cues, paper, staff_height, turns, changes."""
    return take_options(command, _OPTIONS)
