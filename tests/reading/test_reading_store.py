"""Readings kept: equal to what was read, never another piece, never an error, and bounded."""

import os
import random
import shutil
import subprocess
import sys
from pathlib import Path

import music21
import pytest

from score.group.group_file import Group, PlayerEntry
from score.reading import read_score
from score.reading.reading_result import Reading
from score.reading.reading_store import ReadingStore, raw_digest

SAMPLES = Path(__file__).parents[2] / "samples"
CORPUS = Path(music21.__file__).parent / "corpus"
SCORES = [
    SAMPLES / "trio-ids.musicxml",
    SAMPLES / "quartet.musicxml",
    CORPUS / "mozart" / "k80" / "movement3.mxl",
    Path(__file__).parent / "data" / "everything.musicxml",
]


def _kept(store: ReadingStore, path: Path, group: Group | None = None) -> Reading:
    raw = raw_digest(path)
    reading = read_score(path, group)
    store.keep(reading, raw, group)
    return reading


@pytest.mark.parametrize("path", SCORES, ids=lambda path: path.stem)
def test_a_score_seen_before_is_equal_in_everything(tmp_path: Path, path: Path) -> None:
    store = ReadingStore(tmp_path)
    assert store.find(path) is None
    reading = _kept(store, path)
    again = store.find(path)
    assert again == reading
    assert again is not None
    assert again.piece == reading.piece
    assert type(again.piece.players[0].strokes[0]) is type(reading.piece.players[0].strokes[0])


def test_another_roster_another_stem_or_another_letter_is_read_anew(tmp_path: Path) -> None:
    store = ReadingStore(tmp_path / "store")
    path = Path(shutil.copy(SAMPLES / "study.musicxml", tmp_path))
    _kept(store, path)
    assert store.find(path, Group(players=(PlayerEntry(1, "Somebody"),))) is None
    # The title is printed: the file may be called otherwise.
    moved = path.rename(tmp_path / "elsewhere.musicxml")
    again = store.find(moved)
    assert again is not None
    assert again.source.path == moved
    moved.write_bytes(moved.read_bytes().replace(b"<octave>4", b"<octave>3", 1))
    assert store.find(moved) is None


def test_where_no_title_is_printed_the_stem_counts(tmp_path: Path) -> None:
    store = ReadingStore(tmp_path / "store")
    text = (SAMPLES / "study.musicxml").read_text()
    untitled = tmp_path / "first.musicxml"
    untitled.write_text(text.replace(">Sixteen Paces<", "><"))
    reading = _kept(store, untitled)
    assert reading.piece.title == "first"
    assert store.find(untitled) == reading
    assert store.find(untitled.rename(tmp_path / "second.musicxml")) is None


@pytest.mark.parametrize("count", [150, pytest.param(2000, marks=pytest.mark.campaign)])
def test_damaged_entries_are_never_another_piece_and_never_an_error(tmp_path: Path, count: int) -> None:
    store, path = ReadingStore(tmp_path), SAMPLES / "study.musicxml"
    _kept(store, path)
    (entry,) = tmp_path.glob("*.reading")
    whole, chance = entry.read_bytes(), random.Random(20)
    for _ in range(count):
        damaged = bytearray(whole)
        for _ in range(chance.randint(1, 4)):
            damaged[chance.randrange(len(damaged))] ^= chance.randint(1, 255)
        cut = chance.choice((len(damaged), chance.randrange(len(damaged))))
        entry.write_bytes(bytes(damaged[:cut]))
        assert store.find(path) is None
    entry.write_bytes(whole)
    assert store.find(path) is not None


def test_an_entry_under_another_name_is_not_taken(tmp_path: Path) -> None:
    store = ReadingStore(tmp_path)
    _kept(store, SAMPLES / "study.musicxml")
    (study,) = tmp_path.glob("*.reading")
    _kept(store, SAMPLES / "trio-ids.musicxml")
    (trio,) = set(tmp_path.glob("*.reading")) - {study}
    shutil.copy(study, trio)
    assert store.find(SAMPLES / "trio-ids.musicxml") is None


def test_the_room_is_bounded_and_what_was_used_last_stays(tmp_path: Path) -> None:
    store = ReadingStore(tmp_path)
    _kept(store, SAMPLES / "trio-ids.musicxml")
    (old,) = tmp_path.glob("*.reading")
    os.utime(old, (1, 1))
    store.room = old.stat().st_size
    _kept(store, SAMPLES / "study.musicxml")
    assert store.find(SAMPLES / "study.musicxml") is not None
    assert store.find(SAMPLES / "trio-ids.musicxml") is None


def test_a_folder_that_cannot_be_is_no_fault(tmp_path: Path) -> None:
    (tmp_path / "store").write_bytes(b"a file")
    store = ReadingStore(tmp_path / "store")
    _kept(store, SAMPLES / "study.musicxml")
    assert store.find(SAMPLES / "study.musicxml") is None


def test_two_programs_may_keep_the_same_score_at_once(tmp_path: Path) -> None:
    code = (
        "import sys; from pathlib import Path; from score.reading import read_score\n"
        "from score.reading.reading_store import ReadingStore, raw_digest\n"
        "path, store = Path(sys.argv[1]), ReadingStore(Path(sys.argv[2]))\n"
        "reading = read_score(path)\n"
        "for _ in range(40): store.keep(reading, raw_digest(path)); assert store.find(path) == reading\n"
    )
    ask = [sys.executable, "-c", code, str(SAMPLES / "study.musicxml"), str(tmp_path)]
    both = [subprocess.Popen(ask, stderr=subprocess.PIPE, text=True) for _ in range(2)]
    assert [(program.communicate()[1], program.returncode) for program in both] == [("", 0), ("", 0)]
    assert [file.suffix for file in tmp_path.iterdir()] == [".reading"]


def test_a_kept_score_opens_without_what_reads(tmp_path: Path) -> None:
    _kept(ReadingStore(tmp_path), SAMPLES / "study.musicxml")
    code = (
        "import sys; from pathlib import Path; from score.reading.reading_store import ReadingStore\n"
        "assert ReadingStore(Path(sys.argv[1])).find(Path(sys.argv[2])) is not None\n"
        "print(*sys.modules)"
    )
    ask = [sys.executable, "-c", code, str(tmp_path), str(SAMPLES / "study.musicxml")]
    loaded = set(subprocess.run(ask, capture_output=True, text=True, check=True).stdout.split())
    assert not loaded & {"music21", "lxml", "numpy", "scipy"}
