"""Files of `inbreath memory`: a sound file of questions, cards, and pages of look-alikes."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import click

from tui.option_sets import Command, take_options

if TYPE_CHECKING:
    from score.group.group_file import Group
    from score.piece import Piece, Player
    from score.progress import ReportProgress
    from score.reading.reading_result import Reading
    from score.recall.listening import Listening

_HEARD, _ON_CARDS = 20, 24
"""Questions where nobody says how many: in a sound file five to ten minutes, on cards two sheets or three."""
_FILE = click.Path(dir_okay=False, path_type=Path)
_OPTIONS = (
    click.option("--cards", type=_FILE, metavar="OUT.pdf", help="Questions as cards, A5, the answers upside down."),
    click.option(
        "--pages", type=_FILE, metavar="OUT.pdf", help="Look-alikes engraved under each other, a family a page."
    ),
    click.option(
        "--listen", type=_FILE, metavar="OUT.mp3", help="Questions by ear, as a sound file: mp3, wav, ogg, flac."
    ),
)


class WrittenFile(NamedTuple):
    """A file that was written: what is said of it, and the same as values for JSON."""

    text: str
    values: dict[str, object]


def file_options(command: Command) -> Command:
    """Give a command the options of files for learning by heart: cards, pages, listen."""
    return take_options(command, _OPTIONS)


def write_memory_files(
    reading: "Reading", group: "Group", player: "Player", asked: dict[str, Any], progress: "ReportProgress"
) -> list[WrittenFile]:
    """Write what was asked for.

    Raises:
        InbreathError: a file cannot be written, or nothing in the part can be asked.
    """
    return list(_written(reading, group, player, asked, progress))


def _written(
    reading: "Reading", group: "Group", player: "Player", asked: dict[str, Any], progress: "ReportProgress"
) -> Iterator[WrittenFile]:
    if asked["pages"] is not None:
        yield _pages(reading, player, asked, progress)
    if asked["cards"] is not None:
        yield _cards(reading, player, asked, progress)
    if asked["listen"] is not None:
        yield _listening(reading, group, player, asked, progress)


def _pages(reading: "Reading", player: "Player", asked: dict[str, Any], progress: "ReportProgress") -> WrittenFile:
    from score.recall.look_alike_pages import write_look_alikes

    written = write_look_alikes(reading, player.number, asked["pages"], progress, transposed=asked["transposed"])
    families = "1 family" if written.families == 1 else f"{written.families} families"
    traps = "1 counting trap" if written.traps == 1 else f"{written.traps} counting traps"
    counts = [families, traps]
    if written.shifted:
        counts.append(f"{written.shifted} half a bar later")
    values: dict[str, object] = {
        "file": str(written.pdf),
        "families": written.families,
        "traps": written.traps,
        "shifted": written.shifted,
    }
    return WrittenFile(f"{written.pdf}: {', '.join(counts)}", values)


def _cards(reading: "Reading", player: "Player", asked: dict[str, Any], progress: "ReportProgress") -> WrittenFile:
    from score.memory.question_round import question_round
    from score.recall.cards import write_cards

    chosen = question_round(reading.piece, player, asked["questions"] or _ON_CARDS, asked["lap"])
    written = write_cards(reading, player.number, chosen, asked["cards"], progress)
    sheets = "1 sheet" if written.sheets == 1 else f"{written.sheets} sheets"
    values: dict[str, object] = {"file": str(written.pdf), "sheets": written.sheets, "questions": written.questions}
    return WrittenFile(f"{written.pdf}: {written.questions} questions on {sheets}", values)


def _listening(
    reading: "Reading", group: "Group", player: "Player", asked: dict[str, Any], progress: "ReportProgress"
) -> WrittenFile:
    from score.errors import RequestError
    from score.memory.question_round import question_round
    from score.playback.sound_file import sound_format
    from score.recall.listening import HEARD, listening
    from score.recall.listening_file import write_listening
    from score.time.from_group import pulse_options

    piece, path = reading.piece, asked["listen"]
    sound_format(path)
    progress("sound", 0.0)
    chosen = [each for each in question_round(piece, player, 500, asked["lap"]) if each.kind in HEARD]
    heard = listening(piece, player, chosen[: asked["questions"] or _HEARD], pulse_options(group, piece))
    if not heard.questions:
        raise RequestError("Nothing to ask", f"{player.name}: no question that the music answers", "try another player")
    write_listening(path, heard, f"{piece.title}: what comes next? {player.name}")
    return WrittenFile("\n".join(_heard_lines(piece, path, heard)), _heard_json(path, heard))


def _heard_lines(piece: "Piece", path: Path, heard: "Listening") -> "Iterator[str]":
    from score.beats import minutes_text
    from score.places import bar_name

    yield f"{path}: {len(heard.questions)} questions in {minutes_text(heard.sounds.seconds)}"
    for each in heard.questions:
        at = minutes_text(int(each.tones))
        # The bars that lead there are heard: to print them again would fill a page.
        asked_for = each.question.text if each.question.kind != "goes on" else "what comes next?"
        yield f"  {at}  bar {bar_name(piece, each.question.bar)}  {asked_for}  {each.question.answer}"


def _heard_json(path: Path, heard: "Listening") -> dict[str, object]:
    return {
        "file": str(path),
        "seconds": round(heard.sounds.seconds, 2),
        "questions": [
            {
                "id": each.question.id,
                "bar": each.question.bar,
                "stops": round(each.stops, 2),
                "goes_on": round(each.goes_on, 2),
            }
            for each in heard.questions
        ],
    }
