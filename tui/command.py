"""The command `inbreath`: finds the command that was asked for and shows errors as one line."""

import atexit
import errno
import gc
import os
import signal
import sys
import threading
from contextlib import suppress
from importlib import import_module
from pathlib import Path
from typing import NamedTuple, NoReturn

import click

from score.errors import InbreathError
from tui.option_words import with_options


class Listing(NamedTuple):
    """Where a command lives and what the overview says of it."""

    module: str
    help: str


# The overview must not import the engine: reading a score takes a second of imports, help must not.
COMMANDS = {
    "stand": Listing(
        "tui.commands.stand_command", "The screens: practise, plan, rehearse. `inbreath SCORE` does the same."
    ),
    "prepare": Listing("tui.commands.prepare_command", "Everything for the first rehearsal, into one folder."),
    "parts": Listing("tui.commands.parts_command", "A part for each player with the others' rhythms as cues."),
    "score": Listing("tui.commands.score_command", "The score for all, chunks, leads and the group's words above it."),
    "chunks": Listing("tui.commands.chunks_command", "Where the score divides, what each chunk asks, who leads."),
    "setup": Listing("tui.commands.setup_command", "Check instruments, hands and changes; list what to carry."),
    "plan": Listing("tui.commands.plan_command", "What to rehearse when, and what to practise alone before it."),
    "concert": Listing("tui.commands.concert_command", "Several pieces: one calendar, one stage, a folder for each."),
    "library": Listing("tui.commands.library_command", "Every score below a folder, and programmes chosen from them."),
    "gather": Listing("tui.commands.gather_command", "Join the players' copies of the group's file into one."),
    "tracks": Listing("tui.commands.tracks_command", "Practice tracks without your own part: MIDI and sound files."),
    "takes": Listing("tui.commands.takes_command", "A recorded pass against the score; the passes that were kept."),
    "play": Listing("tui.commands.play_command", "Play in a plain terminal, with the others and a click."),
    "recording": Listing("tui.commands.recording_command", "Find every bar of the piece in a recording of it."),
    "sound": Listing("tui.commands.sound_command", "List sound cards and MIDI ports, and test one."),
    "memory": Listing("tui.commands.memory_command", "By heart: look-alikes, and questions about the piece."),
    "tubes": Listing("tui.commands.tubes_command", "Tubes cut to pitch: lengths, cut list, frame, tuning log."),
    "read": Listing("tui.commands.read_command", "What the score holds, to check before trusting it."),
    "completion": Listing("tui.commands.completion_command", "Print the lines that let your shell complete commands."),
}


_FULL = (errno.ENOSPC, errno.EDQUOT, errno.EIO)
"""Whatever is being written, the place it goes to takes no more."""


class _Commands(click.Group):
    """The commands of the table, each imported when it is first needed."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        entry = COMMANDS.get(cmd_name)
        if entry is None:
            return None
        command = import_module(entry.module).command
        assert isinstance(command, click.Command)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """A score in place of a command opens it."""
        if args[0] not in COMMANDS and _is_score(args[0]):
            return super().resolve_command(ctx, ["stand", *args])
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, entry.help) for name, entry in COMMANDS.items()])


def _is_score(text: str) -> bool:
    return Path(text).suffix.lower() in (".musicxml", ".xml", ".mxl") or Path(text).is_file()


@click.group(cls=_Commands, invoke_without_command=True, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="inbreath", message="%(prog)s %(version)s")
@click.pass_context
def inbreath(ctx: click.Context) -> int | None:
    """Inbreath reads a MusicXML score and helps a chamber percussion group prepare it.

    `inbreath SCORE` opens a score on the screen; `inbreath` alone the list of pieces opened before.
    """
    if ctx.invoked_subcommand is not None:
        return None
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        click.echo(ctx.get_help())
        return None
    from tui.start import start

    return start(None)


def main() -> NoReturn:
    """Run the command; errors become one line and an exit code, never a traceback."""
    # A score is hundreds of thousands of objects that all stay: looking for rubbish often takes a sixth of reading.
    gc.set_threshold(50_000, 20, 50)
    try:
        code = run(sys.argv[1:])
        signal.signal(signal.SIGINT, signal.SIG_IGN)
    except KeyboardInterrupt:
        # Pressed again while the first one was being answered.
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        code = 130
    if code == 130 or threading.active_count() == 1:
        _leave(code)
    sys.exit(code)


def _leave(code: int) -> NoReturn:
    """End at once: letting go of a score object by object takes a tenth of a second and serves nobody."""
    for stream in (sys.stdout, sys.stderr):
        # A stream that was closed before we began is None; one whose reader has left cannot be flushed.
        with suppress(OSError, ValueError):
            if stream is not None:
                stream.flush()
    atexit._run_exitfuncs()
    os._exit(code)


def run(arguments: list[str]) -> int:
    """Run with these arguments and return the exit code: 0, 2 for a user's mistake, 130 for Ctrl-C."""
    _use_utf8()
    try:
        result = inbreath.main(arguments, prog_name="inbreath", standalone_mode=False)
        # What is still on its way counts: a full disk may show only now.
        if sys.stdout is not None:
            sys.stdout.flush()
    except InbreathError as error:
        return _say(with_options(error), error.exit_code)
    except click.exceptions.NoArgsIsHelpError as error:
        click.echo(error.format_message())
        return 0
    except click.ClickException as error:
        return _say(_usage_line(error), 2)
    except (click.Abort, KeyboardInterrupt):
        return _say("Stopped.", 130)
    except (BrokenPipeError, SystemExit):
        # The reader of our output (a pager, head) left, which click makes a leaving of; there is nobody to tell.
        _silence_stdout()
        return 0
    except OSError as error:
        if error.errno not in _FULL:
            return _say(_own_fault(error), 1)
        return _say(f"Output cannot be written: {error.strerror}; free some disk space and try again", 2)
    except Exception as error:
        return _say(_own_fault(error), 1)
    return result if isinstance(result, int) else 0


def _say(line: str, code: int) -> int:
    click.echo(line, err=True)
    return code


def _usage_line(error: click.ClickException) -> str:
    message = " ".join(error.format_message().split())
    name = error.ctx.command_path if isinstance(error, click.UsageError) and error.ctx else "inbreath"
    return f"{message} Try: {name} --help"


def _own_fault(error: Exception) -> str:
    """One line for a fault of ours; the traceback goes to a file that can be sent to us."""
    import tempfile
    import traceback

    with tempfile.NamedTemporaryFile("w", prefix="inbreath-", suffix=".txt", delete=False, encoding="utf-8") as file:
        traceback.print_exception(error, file=file)
    return f"Internal error {type(error).__name__}. Please send us {Path(file.name)}"


def _use_utf8() -> None:
    # A console of another encoding must not stop a summary that holds a title in any script.
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")


def _silence_stdout() -> None:
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
