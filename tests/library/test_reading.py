"""A folder of scores read, kept, stopped and read on; what is wrong with a score is that score's line."""

import os
from collections.abc import Iterable, Iterator
from pathlib import Path

import music21
import pytest
from lxml import etree

from score.errors import RequestError, WritingError
from score.library.library_index import LibraryIndex
from score.library.library_reading import LibraryEntry, LibraryOptions, read_library
from score.library.score_files import score_files
from score.library.score_work import ReadWork, ScoreLine, ScoreWork, WorkLimits, read_work
from score.library.spreading import Suspect
from score.reading import read_score
from score.reading.reading_store import ReadingStore, raw_digest
from tests.library import readers

SAMPLES = Path(__file__).parents[2] / "samples"
CORPUS = Path(music21.__file__).parent / "corpus"
SMALL = """<score-partwise><part-list><score-part id="P1"><part-name>{part}</part-name></score-part></part-list>
<part id="P1"><measure number="1"><attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type>
</time></attributes><note><pitch><step>C</step><octave>4</octave></pitch><duration>4</duration><type>whole</type></note>
</measure></part></score-partwise>"""


class Here:
    """An engine without processes, which remembers what it was given."""

    def __init__(self) -> None:
        self.workers, self.given, self.closed = 1, list[str](), 0

    def run(self, works: Iterable[ScoreWork], read: ReadWork) -> Iterator[ScoreLine | Suspect]:
        for work in works:
            self.given.append(work.path)
            yield read(work)

    def alone(self, work: ScoreWork, read: ReadWork) -> ScoreLine | None:
        return read(work)

    def close(self) -> None:
        self.closed += 1


class Library:
    """A folder with an index and an engine."""

    def __init__(self, folder: Path, index: Path) -> None:
        self.folder, self.index, self.engine = folder, index, Here()

    def read(self, read: ReadWork = readers.mark, **options: object) -> tuple[LibraryEntry, ...]:
        index = LibraryIndex(self.index)
        try:
            asked = LibraryOptions(**options)  # type: ignore[arg-type]
            return read_library(self.folder, index, lambda: self.engine, asked, lambda *_: None, read)
        finally:
            index.close()

    def given(self) -> list[str]:
        given, self.engine.given = self.engine.given, []
        return given


@pytest.fixture
def library(tmp_path: Path) -> Library:
    folder = tmp_path / "scores"
    (folder / "duos").mkdir(parents=True)
    for name in ("a.musicxml", "b.musicxml", "duos/c.xml"):
        (folder / name).write_text(SMALL.format(part=name))
    return Library(folder, tmp_path / "own" / "library.sqlite")


def test_a_score_s_facts_are_those_of_other_readers() -> None:
    path = SAMPLES / "quartet.musicxml"
    line = read_work(ScoreWork("below/quartet.musicxml", path.read_bytes()))
    facts, root = line.facts, etree.parse(path).getroot()
    assert facts is not None
    assert line.path == "below/quartet.musicxml"
    assert facts.title == root.findtext("work/work-title")
    assert facts.bars == len(root.find("part").findall("measure"))
    # Pitches as the document writes them: a marimba sounds as written (MusicXML 4.0, transpose).
    marimbas = [
        str(each.get("id"))
        for each in root.iter("score-instrument")
        if "Marimba" in str(each.findtext("instrument-name"))
    ]
    notes = [(note, part) for part in root.findall("part") for note in part.iter("note")]
    struck = [_midi(note) for note, part in notes if note.find("pitch") is not None and _played(note, part) in marimbas]
    assert (facts.low, facts.high) == (min(struck), max(struck))
    # 4.3 octaves go down to A2 (MIDI 45), four to C3 (48): makers' own figures.
    assert facts.octaves == "4.3"
    assert facts.needs == {"triangle": 1, "marimba": 3, "crotales": 1, "vibraphone": 1, "suspended-cymbal": 1}
    assert [part.number for part in facts.parts] == [1, 2, 3, 4]
    assert {"medium yarn", "soft yarn", "hard yarn", "medium cord"} <= set(facts.strikers)
    assert all(0 <= value < 1 for value in (facts.together, *(part.own for part in facts.parts)))


def _midi(note: etree._Element) -> int:
    step = "C D EF G A B".index(str(note.findtext("pitch/step")))
    return 12 * (int(note.findtext("pitch/octave") or 0) + 1) + step + int(note.findtext("pitch/alter") or 0)


def _played(note: etree._Element, part: etree._Element) -> str:
    """The instrument a note names, or the part's only one."""
    instrument = note.find("instrument")
    return f"{part.get('id')}-I1" if instrument is None else str(instrument.get("id"))


def test_a_score_that_was_opened_before_is_not_read_anew(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path, store = SAMPLES / "study.musicxml", ReadingStore(tmp_path)
    work = ScoreWork(path.name, path.read_bytes())
    expected = read_work(work)
    store.keep(read_score(path), raw_digest(path))
    monkeypatch.setattr("score.reading.read_score", lambda *_: pytest.fail("it was read"))
    assert read_work(work, tmp_path) == expected


def test_a_score_without_percussion_has_its_line_too() -> None:
    path = CORPUS / "haydn" / "opus1no1" / "movement4.mxl"
    facts = read_work(ScoreWork("movement4.mxl", path.read_bytes())).facts
    assert facts is not None
    assert len(facts.parts) == 4
    assert sum(facts.needs.values()) == 4
    assert (facts.low, facts.octaves) == (None, "")


def test_the_group_s_file_counts_and_a_bad_one_is_a_warning() -> None:
    path = SAMPLES / "quartet.musicxml"
    shared = b'[[share]]\ninstrument = "marimba"\nplayers = [1, 2]\narrangement = "facing"\n'
    with_group = read_work(ScoreWork("quartet.musicxml", path.read_bytes(), shared))
    bad = read_work(ScoreWork("quartet.musicxml", path.read_bytes(), b"[[wobble]]\n"))
    assert with_group.facts is not None
    assert bad.facts is not None
    assert with_group.facts.needs["marimba"] == 2
    assert bad.facts.needs["marimba"] == 3
    assert any("wobble" in warning for warning in bad.facts.warnings)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "Empty file"),
        (b"hello", "Not XML"),
        (b"<score-partwise/>", "No"),
        (b'<!DOCTYPE a [<!ENTITY a "aa"><!ENTITY b "&a;&a;">]><score-partwise>&b;</score-partwise>', ""),
    ],
)
def test_what_is_no_score_is_refused_on_one_line(content: bytes, said: str) -> None:
    line = read_work(ScoreWork("x.musicxml", content))
    assert line.facts is None
    assert line.refused.startswith(said)
    assert "x.musicxml" in line.refused
    assert "\n" not in line.refused


def test_a_score_that_wants_too_much_memory_or_time_is_given_up() -> None:
    content = (SAMPLES / "quartet.musicxml").read_bytes()
    line = read_work(ScoreWork("q.musicxml", content, limits=WorkLimits(seconds=0.05)))
    assert line.refused.startswith("Took too long: q.musicxml was not read within 0.05 s")
    assert line.by_limit
    line = read_work(ScoreWork("q.musicxml", content, limits=WorkLimits(megabytes=1)))
    if os.path.exists("/proc/self/statm"):  # noqa: PTH110
        assert line.refused.startswith("Too much memory")
        assert line.by_limit
    # Neither leaves anything behind.
    assert read_work(ScoreWork("q.musicxml", content)).facts is not None


def test_every_score_is_read_once_and_then_never_again(library: Library) -> None:
    assert [entry.path for entry in library.read()] == ["a.musicxml", "b.musicxml", "duos/c.xml"]
    assert library.given() == ["a.musicxml", "b.musicxml", "duos/c.xml"]
    library.read()
    assert library.given() == []
    assert library.engine.closed == 1
    (library.folder / "b.musicxml").write_text(SMALL.format(part="changed"))
    (library.folder / "a.group.toml").write_text('owned = ["marimba"]\n')
    library.read()
    assert library.given() == ["a.musicxml", "b.musicxml"]
    library.read(anew=True)
    assert len(library.given()) == 3


def test_what_is_gone_is_gone_and_what_moved_is_not_read_again(library: Library) -> None:
    library.read()
    library.given()
    (library.folder / "a.musicxml").unlink()
    (library.folder / "b.musicxml").rename(library.folder / "duos" / "z.musicxml")
    assert [entry.path for entry in library.read()] == ["duos/c.xml", "duos/z.musicxml"]
    assert library.given() == []


def test_the_same_bytes_are_one_score(library: Library) -> None:
    (library.folder / "copy.musicxml").write_bytes((library.folder / "a.musicxml").read_bytes())
    (library.folder / "link.musicxml").symlink_to(library.folder / "b.musicxml")
    first = library.read()[0]
    assert (first.path, first.also) == ("a.musicxml", ("copy.musicxml",))
    assert library.given() == ["a.musicxml", "b.musicxml", "duos/c.xml"]


def test_what_is_no_score_and_what_we_wrote_ourselves_is_passed_over(library: Library) -> None:
    (library.folder / "build.xml").write_text("<project/>")
    (library.folder / ".hidden").mkdir()
    (library.folder / "a-inbreath").mkdir()
    (library.folder / "duos" / "c-prints.json").write_text("{}")
    own = ("a-inbreath/a-player-1.musicxml", "duos/c-player-1.musicxml", "duos/c-player-2.musicxml")
    for name in (".hidden/h.musicxml", *own, "notes.txt"):
        (library.folder / name).write_text(SMALL)
    (library.folder / "loop").symlink_to(library.folder)
    (library.folder / "nowhere.mxl").symlink_to(library.folder / "not-there.mxl")
    if hasattr(os, "mkfifo"):
        os.mkfifo(library.folder / "pipe.musicxml")
    (library.folder / "wide.xml").write_text(SMALL.format(part="wide"), encoding="utf-16")
    paths = [file.path for file in score_files(library.folder)]
    assert paths == ["a.musicxml", "b.musicxml", "duos/c.xml", "wide.xml"]
    # A part that came alone is a score like any other.
    (library.folder / "duos" / "c-prints.json").unlink()
    assert {file.path for file in score_files(library.folder)} - set(paths) == set(own[1:])


@pytest.mark.parametrize("name", ["not-there", "scores/a.musicxml"])
def test_a_folder_that_is_none_is_one_line(library: Library, name: str) -> None:
    library.folder = library.folder.parent / name
    with pytest.raises(RequestError, match="No such folder"):
        library.read()


def test_ctrl_c_keeps_what_was_read_and_the_next_run_goes_on_there(library: Library) -> None:
    def stopped(work: ScoreWork) -> ScoreLine:
        if work.path == "b.musicxml":
            raise KeyboardInterrupt
        return readers.mark(work)

    with pytest.raises(KeyboardInterrupt):
        library.read(stopped)
    assert library.engine.closed == 1
    library.given()
    assert len(library.read(nothing=True)) == 1
    assert len(library.read()) == 3
    assert library.given() == ["b.musicxml", "duos/c.xml"]


def test_what_was_given_up_is_tried_again_under_other_limits_only(library: Library) -> None:
    def given_up(work: ScoreWork) -> ScoreLine:
        return readers.mark(work)._replace(by_limit=work.path == "b.musicxml")

    library.read(given_up)
    library.given()
    library.read(given_up)
    assert library.given() == []
    library.read(given_up, limits=WorkLimits(seconds=300))
    assert library.given() == ["b.musicxml"]


@pytest.mark.parametrize("content", [b"", b"no index at all" * 100, b"SQLite format 3\x00" + b"\x00" * 4000])
def test_an_index_that_is_damaged_is_begun_again(library: Library, content: bytes) -> None:
    library.index.parent.mkdir()
    library.index.write_bytes(content)
    assert len(library.read()) == 3
    library.given()
    library.read()
    assert library.given() == []


def test_an_index_that_cannot_be_written_is_one_line(library: Library) -> None:
    library.index = library.folder / "a.musicxml" / "library.sqlite"
    with pytest.raises(WritingError, match="Cannot keep the library"):
        library.read()


def test_a_score_nobody_may_read_has_its_line(library: Library, monkeypatch: pytest.MonkeyPatch) -> None:
    from score.library import library_reading

    def refuse(file: object) -> str:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(library_reading, "digest_of", refuse)
    entries = library.read()
    assert len(entries) == 3
    assert all(entry.refused.startswith("Cannot be read") for entry in entries)
