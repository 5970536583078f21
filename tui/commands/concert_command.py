"""`inbreath concert`: several pieces on one evening."""

import click

from tui.commands.concert_edit_command import edit
from tui.commands.concert_plan_command import plan
from tui.commands.concert_prepare_command import prepare
from tui.commands.concert_setup_command import setup


@click.group("concert", context_settings={"help_option_names": ["-h", "--help"]})
def command() -> None:
    """Several pieces on one evening: one calendar, one set of instruments, a folder for everybody.

    CONCERT is a file NAME.concert.toml, or its name alone. It holds the pieces in their order, people and their parts,
    the hall, rehearsals, instruments and what moving them takes. `inbreath concert edit` begins and changes it.
    """


for each in (edit, plan, setup, prepare):
    command.add_command(each)
