"""`inbreath completion`: shell completion."""

import click
from click.shell_completion import get_completion_class


@click.command("completion")
@click.argument("shell", type=click.Choice(["bash", "zsh", "fish"]))
@click.pass_context
def command(ctx: click.Context, shell: str) -> None:
    """Print the lines that let SHELL complete commands and options; add them to its start file."""
    completion = get_completion_class(shell)
    assert completion is not None
    click.echo(completion(ctx.find_root().command, {}, "inbreath", "_INBREATH_COMPLETE").source())
