"""`inbreath library`: every score below a folder, and programmes chosen from them."""

from functools import partial
from pathlib import Path
from string import ascii_uppercase
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

import click

from tui.commands.command_common import json_option, print_json
from tui.commands.library_options import choosing_options, reading_options
from tui.progress_line import CountedProgress

if TYPE_CHECKING:
    from score.library.library_reading import LibraryEntry
    from score.library.shelf_choice import ChosenPieces
    from score.library.shelf_model import ChoiceWish

_WORDS = """\b
--only understands, separated by commas:
  4 players, 2 to 4 players, trio     marimba, 2 marimbas, at most 1 marimba
  under 8 minutes, 5 to 8 minutes     no chimes, only marimba and vibraphone
  under 100 bars                      4.3 octaves (a marimba that is enough)
  yarn, bow, no brushes               easy alone, hard together
  called lantern, struck with cord    alone under 0.5, warnings, refused
"""


@click.command("library", epilog=_WORDS)
@click.argument("folder", type=click.Path(path_type=Path))
@click.option(
    "--only",
    multiple=True,
    metavar="WORDS",
    help='Only scores of which this holds: "quartet, 2 marimbas, no chimes, under 8 minutes, easy together".',
)
@choosing_options
@reading_options
@json_option
def command(folder: Path, only: tuple[str, ...], as_json: bool, **asked: Any) -> None:
    """List every score below FOLDER: who plays what on what, how long, how hard; or choose a programme.

    Each score is read once and kept in an index; Ctrl-C keeps what was read, and the next run goes on there.
    """
    from score.library.library_filters import filtered, filters
    from score.library.library_texts import choice_json, choice_text, library_json, library_text

    words, wish = filters(", ".join(only)), _wish(asked)
    entries = filtered(_read(folder, asked), words)
    if wish is None:
        if as_json:
            print_json(library_json(folder, entries))
        else:
            click.echo(library_text(entries))
        return
    from score.library.shelf_choice import choose_pieces

    chosen = choose_pieces(entries, wish, asked["search"])
    if asked["into"] is not None:
        _add_to(asked["into"], folder, chosen)
    if as_json:
        print_json({**library_json(folder, entries), "programme": choice_json(chosen, wish.fewest)})
    else:
        click.echo(choice_text(chosen, wish.fewest))


def _add_to(concert: Path, folder: Path, chosen: "ChosenPieces") -> None:
    """The programme's pieces at the end of a concert's file, with who plays which part."""
    from score.concert.concert_edit import edit_concert, with_piece
    from score.concert.concert_file import concert_path

    path = concert_path(concert)
    casts = [(piece.path, sorted(piece.cast, key=piece.cast.__getitem__)) for piece in chosen.pieces]
    if casts:
        edit_concert(path, [with_piece(path, folder / name, people) for name, people in casts])
        click.echo(str(path), err=True)


def _read(folder: Path, asked: dict[str, Any]) -> "tuple[LibraryEntry, ...]":
    from score.library.library_index import LibraryIndex
    from score.library.library_reading import LibraryOptions, read_library
    from score.library.score_work import WorkLimits, read_work
    from tui.kept_scores import reading_store
    from tui.library_opening import engine_starter, library_path

    options = LibraryOptions(WorkLimits(asked["seconds"], asked["memory"]), asked["again"], asked["indexed"])
    start = engine_starter(*_engine(asked))
    index = LibraryIndex(library_path())
    # A process that ends over a score leaves it behind: here it goes with the folder.
    with CountedProgress("scores") as progress, TemporaryDirectory(prefix="inbreath-") as scratch:
        here = partial(read_work, readings=reading_store().folder, scratch=Path(scratch))
        read = here if asked["backend"] == "joblib" else read_work
        try:
            return read_library(folder, index, start, options, progress, read)
        except KeyboardInterrupt:
            click.echo(f"Read {progress.line.split(',')[0]}; the next run goes on there.", err=True)
            raise
        finally:
            index.close()


def _engine(asked: dict[str, Any]) -> tuple[str, str, Path | None, int]:
    from score.errors import RequestError

    cluster = asked["address"] or asked["certificates"]
    if cluster and asked["backend"] != "dask":
        raise RequestError("No cluster", "an address or certificates are for dask", "add --backend dask")
    if asked["address"] and asked["workers"]:
        raise RequestError("Whose workers", "a cluster has its own", "leave out --workers or --address")
    return asked["backend"], asked["address"], asked["certificates"], asked["workers"]


def _wish(asked: dict[str, Any]) -> "ChoiceWish | None":
    """What programme is asked for, None for none."""
    from score.errors import RequestError
    from score.library.shelf_casting import Person, person_of, stock_of
    from score.library.shelf_model import ChoiceWish

    people = tuple(person_of(text) for text in asked["person"])
    people += tuple(Person(name) for name in ascii_uppercase[: asked["people"]])
    if not asked["programme"]:
        if people or asked["instruments"] or asked["fewest"] or asked["into"]:
            raise RequestError("No programme", "people or instruments without its minutes", "add --programme 20")
        return None
    if not people:
        raise RequestError("Nobody plays", "a programme needs people", 'add --people 4, or --person "Kim: marimba"')
    stock = stock_of(asked["instruments"]) if asked["instruments"] else None
    return ChoiceWish(60 * asked["programme"], people, stock=stock, share=asked["share"] / 100, fewest=asked["fewest"])
