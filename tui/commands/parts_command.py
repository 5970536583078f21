"""`inbreath parts`: a cue-annotated part for every player."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from score.plain_text import several
from tui.commands.command_common import json_option, open_score, print_json, score_argument
from tui.commands.fade_options import fade_of, fade_options, faded_json, faded_text
from tui.commands.part_options import CHECKERS, SCORE, part_options
from tui.output_folder import default_folder
from tui.progress_line import Progress

if TYPE_CHECKING:
    from score.parts.engraving_processes import Engravers
    from tui.kept_scores import KeptScore


@click.command("parts")
@score_argument
@part_options
@fade_options
@click.option("--explain", is_flag=True, help="Write nothing: list each cue and why it is there.")
@json_option
def command(
    score: Path, explain: bool, as_json: bool, fade: int | None, no_cues: bool, fade_bars: str, **asked: Any
) -> None:
    """Write each player's part of SCORE as MusicXML and PDF, the others' rhythms above the staff.

    With --fade, a part for learning by heart beside the others: what stays stands where it stands in the full part.
    """
    if explain:
        _explain(score, as_json, asked)
    elif fade is not None or no_cues or fade_bars:
        _write_faded(score, as_json, asked, (fade or 1, no_cues, fade_bars))
    else:
        _write(score, as_json, asked)


def _explain(score: Path, as_json: bool, asked: dict[str, Any]) -> None:
    from score.cues.explain import cues_json, explain_text
    from score.parts.write_parts import cue_sheets

    with Progress() as progress:
        reading, group = open_score(score, progress)
    sheets = cue_sheets(reading.piece, engine_options(asked), group.cues)
    if as_json:
        print_json([cues_json(reading.piece, sheet) for sheet in sheets])
    else:
        click.echo("\n\n".join(explain_text(reading.piece, sheet) for sheet in sheets))


def _write(score: Path, as_json: bool, asked: dict[str, Any]) -> None:
    with Progress() as progress, begun(score, asked, progress) as (kept, options, workers):
        from score.parts.all_parts import begin_all_parts

        reading = kept.read()
        progress("engraving", 0.0)
        printing = begin_all_parts(reading, kept.group, asked["out"] or default_folder(score), options, workers)
        kept.keep()
        files = printing.write(progress)
    say_parts(reading.piece, files, as_json, asked["changed"])


def _write_faded(score: Path, as_json: bool, asked: dict[str, Any], wanted: tuple[int, bool, str]) -> None:
    if asked["changed"]:
        raise click.UsageError("--fade writes whole parts: leave out --changed")
    with Progress() as progress, begun(score, asked, progress) as (kept, options, workers):
        from score.parts.write_faded import write_faded

        kept.keep()
        reading, group = kept.read(), kept.group
        fade = fade_of(reading.piece, *wanted)
        folder = asked["out"] or default_folder(score)
        parts = write_faded(reading, group, folder, options, fade, workers, progress)
    if as_json:
        print_json([faded_json(part, fade) for part in parts])
    else:
        click.echo(faded_text(reading.piece, parts, fade))


def say_parts(piece: Any, files: Any, as_json: bool, changed: bool) -> None:
    """Say which parts were written, or which pages differ from the last print."""
    if changed and not as_json:
        report_changes(piece, files)
    else:
        report(piece, files, as_json)


@contextmanager
def begun(
    score: Path, asked: dict[str, Any], progress: Progress, *, with_score: bool = False
) -> "Iterator[tuple[KeptScore, Any, Engravers]]":
    """The score, which has been read and is still to be kept, what was asked, and workers that have begun the parts.

    With the score for all to engrave, one of them is for that.
    """
    from score.parts.engraving_processes import engravers
    from tui.kept_scores import KeptScore

    kept = KeptScore(score)
    # Loaded before: where workers begin as copies of this process, they have it too.
    from score.parts import all_parts  # noqa: F401

    options = engine_options(asked)
    with engravers((*CHECKERS, SCORE) if with_score else CHECKERS, score=with_score) as workers:
        kept.read(progress, lambda outline: workers.begin(outline, options.players, options.level), keep_later=True)
        yield kept, options, workers


def engine_options(asked: dict[str, Any]) -> Any:
    """The engine's `PartOptions` for what was asked on the command line.

    Raises:
        RequestError: paper that does not exist, a booklet with more than two pages open.
    """
    from score.cues.sheet import Level
    from score.errors import RequestError
    from score.parts.paper import PageOptions, paper_named
    from score.parts.write_parts import PartOptions

    paper_named(asked["paper"])
    if asked["both_sides"] and not asked["changed"]:
        raise RequestError("Both sides", "all pages are printed anyway", "add --changed")
    if asked["booklet"] and asked["side_by_side"] > 2:
        raise RequestError("Booklet", "a booklet lies open at two pages", "leave out one of the two options")
    pages = PageOptions(
        asked["paper"],
        asked["staff_height"],
        asked["turn_time"],
        side_by_side=asked["side_by_side"],
        booklet=asked["booklet"],
        stickings=asked["stickings"],
        cue_pitches=asked["cue_notes"] == "pitches",
    )
    return PartOptions(
        asked["players"],
        Level(asked["cues"]),
        pages,
        curve=asked["curve"],
        changed=asked["changed"],
        both_sides=asked["both_sides"],
        anew=asked["divide_anew"],
    )


def report(piece: Any, files: Any, as_json: bool) -> None:
    """Say which files were written, and what a player should know of the pages."""
    if as_json:
        print_json([file_json(part) for part in files])
        return
    for part in files:
        name = piece.player(part.player).name
        pages = several(part.page_count, "page")
        click.echo(f"{name}: {len(part.sheet.cues)} cues, {pages}  {part.pdf}")
    for part in files:
        for warning in (*part.warnings, *part.unprinted):
            click.echo(f"  {piece.player(part.player).name}: {warning}", err=True)
    signs, lost = sum(part.signs for part in files), sum(len(part.unprinted) for part in files)
    click.echo(f"{signs - lost} of {signs} signs printed")


def report_changes(piece: Any, files: Any) -> None:
    """Say which pages of whose part differ from the last print, and why."""
    for file in files:
        name = piece.player(file.player).name
        if not file.changes:
            click.echo(f"{name}: nothing to print")
            continue
        numbers = ", ".join(str(change.page) for change in file.changes)
        click.echo(f"{name}: page{'s' if len(file.changes) > 1 else ''} {numbers}  {file.changed_pdf}")
        for change in file.changes:
            click.echo(f"  page {change.page}: {'; '.join(change.reasons)}")
        for warning in file.warnings:
            click.echo(f"  {name}: {warning}", err=True)


def file_json(part: Any) -> dict[str, object]:
    """One player's files with stable keys."""
    return {
        "player": part.player,
        "musicxml": str(part.musicxml),
        "pdf": str(part.pdf),
        "cues": len(part.sheet.cues),
        "pages": part.page_count,
        "warnings": list(part.warnings),
        "signs": part.signs,
        "unprinted": list(part.unprinted),
        "changes": [{"page": change.page, "why": list(change.reasons)} for change in part.changes],
        "changed": str(part.changed_pdf) if part.changed_pdf else None,
    }
