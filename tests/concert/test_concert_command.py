"""`inbreath concert` as a group meets it: the whole job, its JSON, and one line for what cannot be."""

import json
from datetime import datetime
from pathlib import Path
from typing import Any

import icalendar
import pypdfium2
import pytest

from score.chunks.division import divide
from score.concert.person_folders import copies_before, in_order
from score.reading.read_file import read_score
from score.takes.heart_day import MINUTES, begin
from score.takes.history import History
from score.takes.readiness import Readiness
from tui.command import run
from tui.concert_own import keep_person


def _json(capsys: pytest.CaptureFixture[str], *arguments: str) -> Any:
    capsys.readouterr()
    assert run(["concert", *arguments, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


@pytest.fixture
def small(concert: Path) -> Path:
    """Without the quartet, which takes long."""
    text = concert.read_text()
    head, _, rest = text.partition("[[piece]]")
    concert.write_text(head + rest[rest.index("# Short") :])
    assert run(["concert", "edit", str(concert), "--hall", "8x6"]) == 0
    return concert


def test_a_concert_is_begun_and_changed_from_the_command_line(
    concert: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(concert.parent)
    asked = ["--title", "Autumn", "--date", "2037-10-01", "--hall", "9x6.5", "--temperature", "24", "--hand", "Kim"]
    asked += ["--piece", "study.musicxml", "--piece", "trio-plain.musicxml", "--last", "study"]
    asked += ["--people", "study:Ann,Ben", "--people", "2:Ann,Ben,Cleo", "--person", "Ann:30"]
    asked += ["--rehearsal", "2037-09-20T19:00/90", "--missing", "2037-09-20:Ben", "--late", "2037-09-20:Ann 19:15"]
    asked += ["--instrument", "big=marimba,borrowed", "--serves", "big=study", "--moving", "marimba:carriers=3"]
    said = _json(capsys, "edit", "autumn", *asked)
    assert (said["title"], said["date"]) == ("Autumn", "2037-10-01")
    assert said["hall"] == {"width": 9.0, "depth": 6.5, "temperature": 24.0, "hands": ["Kim"]}
    assert [(p["name"], p["people"], p["place"]) for p in said["pieces"]] == [
        ("study", ["Ann", "Ben"], "last"),
        ("trio-plain", ["Ann", "Ben", "Cleo"], ""),
    ]
    assert said["people"] == [{"name": "Ann", "minutes": 30}]
    assert said["rehearsals"][0]["missing"] == ["Ben"]
    assert said["rehearsals"][0]["late"] == [{"person": "Ann", "minutes": 15}]
    assert said["instruments"][0]["pieces"] == ["study"]
    assert said["moving"] == [{"kind": "marimba", "carriers": 3}]
    said = _json(capsys, "edit", "autumn", "--last", "trio-plain")
    assert [piece["place"] for piece in said["pieces"]] == ["", "last"]
    said = _json(capsys, "edit", "autumn", "--anywhere", "trio-plain")
    assert [piece["place"] for piece in said["pieces"]] == ["", ""]
    said = _json(capsys, "edit", "autumn.concert.toml", "--order", "trio-plain,study", "--without-instrument", "big")
    assert [piece["name"] for piece in said["pieces"]] == ["trio-plain", "study"]
    assert said["instruments"] == []
    assert run(["concert", "edit", "autumn"]) == 0
    assert "Ann: trio-plain 1, study 1; 30 minutes a day" in capsys.readouterr().out


def test_the_calendar_says_how_good_it_is_and_whom_it_calls(
    small: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    small = small.rename(small.with_name("late.spring.concert.toml"))
    said = _json(capsys, "plan", str(small), "--seconds", "1", "--out", str(tmp_path / "out"))
    assert said["piece_by_piece"] <= said["worth"] <= said["bound"]
    assert said["gap"] == pytest.approx((said["bound"] - said["worth"]) / said["worth"], abs=1e-5)
    assert said["pieces"] == ["study", "trio-plain"]
    assert said["idle_blocks"] == sum(call["idle_blocks"] for each in said["rehearsals"] for call in each["calls"])
    assert said["set_ups"] == sum(len(each["blocks"]) for each in said["rehearsals"])
    last = said["rehearsals"][-1]
    assert [item["piece"] for item in last["items"] if item["begins"] >= last["run"] and item["kind"] == "whole"] == [
        0,
        1,
    ]
    assert "Dan" not in [call["person"] for call in said["rehearsals"][1]["calls"]]
    ann = [call for call in said["rehearsals"][1]["calls"] if call["person"] == "Ann"]
    assert all(call["begins"] >= 30 for call in ann)
    calendar = icalendar.Calendar.from_ical((tmp_path / "out" / "late.spring-calendar.ics").read_bytes())
    starts = [event.decoded("dtstart") for event in calendar.walk("VEVENT")]
    assert starts[0] == datetime(2037, 2, 1, 19)
    assert len(starts) == 4
    assert (
        (tmp_path / "out" / "late.spring-calendar.csv")
        .read_text()
        .startswith("who,date,from,minutes,piece,kind,what,why")
    )
    assert run(["concert", "plan", str(small), "--seconds", "1"]) == 0
    assert "no calendar can be worth more than" in capsys.readouterr().out


def test_the_calendar_goes_by_what_this_computer_knows_of_its_player(
    small: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Dan is player 2 of the study and knows all of it, one question answered; nothing is known of the others."""
    monkeypatch.setattr("tui.settings.history_path", lambda: tmp_path / "history.sqlite")
    before = _json(capsys, "plan", str(small), "--seconds", "1")
    piece = read_score(small.with_name("study.musicxml")).piece
    history = History(tmp_path / "history.sqlite")
    keep_person(history, small, "Dan")
    begin(piece, 2, history)
    for chunk in divide(piece):
        history.rate(piece.digest, 2, chunk.bars, Readiness.BY_HEART, 1.0)
    history.close()
    after = _json(capsys, "plan", str(small), "--seconds", "1")
    minutes = [{each["person"]: each["by_heart"] for each in said["own_work"]} for said in (before, after)]
    assert set(minutes[0].values()) == {0}
    assert minutes[1] == {**minutes[0], "Dan": MINUTES}
    assert after["worth"] < before["worth"]  # what is ready is worth less to rehearse


def test_the_set_up_lists_gear_stages_changes_order_and_load(
    small: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    said = _json(capsys, "setup", str(small), "--out", str(tmp_path / "out"))
    assert {"gear", "stages", "changes", "order", "load", "hall", "warnings"} <= set(said)
    assert said["order"]["pieces"] == ["study", "trio-plain"]
    assert said["order"]["exact"] is True
    assert said["order"]["best_seconds"] <= said["order"]["seconds"] == pytest.approx(said["changes"][0]["seconds"])
    assert said["cases"] > 0
    pdf = pypdfium2.PdfDocument(tmp_path / "out" / "spring-stage.pdf")
    # The evening, two pieces, what is needed, the van.
    assert len(pdf) == 5
    words = pdf[2].get_textpage().get_text_range()
    # Whoever carries knows the pieces by what the programme of the evening calls them.
    assert "Change after Sixteen Paces" in words
    assert "off to the left" in words
    assert "Stage 8 by 6 m" in words
    said = _json(capsys, "setup", str(small), "--reorder")
    assert said["order"]["pieces"] == said["order"]["best"]
    assert said["order"]["seconds"] == pytest.approx(said["order"]["best_seconds"])
    assert run(["concert", "setup", str(small), "--moving"]) == 0
    assert "marimba: 90 kg, 2 to carry" in capsys.readouterr().out


def test_everybody_gets_a_folder_with_their_parts_in_the_order_of_the_concert(
    small: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = {path: path.read_bytes() for path in small.parent.iterdir() if path.is_file()}
    out = tmp_path / "out"
    said = _json(capsys, "prepare", str(small), "--seconds", "1", "--out", str(out))
    assert [person["person"] for person in said["people"]] == ["Ann", "Dan", "Ben", "Cleo", "Eve"]
    ann = said["people"][0]
    assert [Path(part).name for part in ann["parts"]] == ["1-study.pdf"]
    assert {Path(track).suffix for track in ann["tracks"]} == {".mid"}
    sheet = pypdfium2.PdfDocument(ann["sheet"])
    words = sheet[0].get_textpage().get_text_range()
    assert "Spring: Ann" in words
    assert "When you are called" in words
    events = icalendar.Calendar.from_ical(Path(ann["calendar"]).read_bytes()).walk("VEVENT")
    assert len(events) >= 2
    assert len(pypdfium2.PdfDocument(said["group"])) == 1
    assert {path.name for path in out.iterdir()} >= {"Ann", "Eve", "pieces", "spring-group.pdf", "spring-stage.pdf"}
    assert all(path.read_bytes() == content for path, content in before.items())


@pytest.mark.campaign
def test_another_order_leaves_no_part_under_its_old_number(
    small: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "out"
    _json(capsys, "prepare", str(small), "--seconds", "1", "--out", str(out))
    own = out / "Ann" / "1-notes.pdf"
    own.write_bytes(b"mine")
    assert run(["concert", "edit", str(small), "--order", "trio-plain,study"]) == 0
    said = _json(capsys, "prepare", str(small), "--seconds", "1", "--no-tracks", "--out", str(out))
    for person in said["people"]:
        folder = Path(person["folder"])
        parts = {path.name for path in folder.glob("[1-9]*.pdf")}
        assert parts - {"1-notes.pdf"} == {Path(part).name for part in person["parts"]}
        tracks = {"Ann": ["2-study"], "Dan": ["2-study"]}.get(person["person"], ["1-trio-plain"])
        assert [path.name for path in (folder / "tracks").iterdir()] == tracks
    assert own.read_bytes() == b"mine"


def test_only_copies_of_what_was_printed_are_known_as_an_earlier_order(tmp_path: Path) -> None:
    files = {"pieces/study/a.pdf": b"a", "Ann/1-study.pdf": b"a", "Ann/02-study.pdf": b"a", "Ann/0-Ann.pdf": b"a"}
    files |= {"Ann/2-study.pdf": b"with my fingerings", "Ann/study.pdf": b"a", "Eve/1-study.pdf": b"a"}
    for name, content in files.items():
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_bytes(content)
    before = copies_before(tmp_path, [tmp_path / "Ann", tmp_path / "Dan"])
    assert before == {tmp_path / "Ann" / "1-study.pdf", tmp_path / "Ann" / "02-study.pdf"}


@pytest.mark.parametrize("count", [9, 10, 100])
def test_names_lie_in_the_order_of_the_concert_however_many_pieces_it_has(count: int) -> None:
    names = [in_order(position, count, "piece") for position in range(1, count + 1)]
    assert sorted(names) == names
    assert names[0].lstrip("0") == "1-piece"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["plan", "autumn"], "No such concert: autumn.concert.toml is not there"),
        (["edit", "spring", "--piece", "none.musicxml"], "No such score: none.musicxml is not there; correct its path"),
        (["edit", "spring", "--hall", "wide"], "Not a number: 'wide' cannot be used; write 9x6"),
        (["edit", "spring", "--date", "spring"], "Not a date: 'spring' is not a date; write 2037-03-14"),
        (["edit", "spring", "--people", "study:Ann,Ann"], "study: Ann has parts 1 and 2 at once"),
        (["edit", "spring", "--rehearsal", "2037-03-20T19:00/90"], "comes after the concert of 2037-03-14"),
        (["edit", "spring", "--missing", "Ann"], "Not a date and a name: 'Ann' cannot be used; write 2037-03-02:Ann"),
        (["edit", "spring", "--late", "2037-02-01:Ann"], '"Ann" is not a name and a time'),
        (["edit", "spring", "--moving", "marimba:wings=2"], "[[moving]] wings is not known"),
        (["edit", "spring", "--order", "study"], "an order of 1 is not each piece once"),
    ],
)
def test_what_cannot_be_is_one_line_and_changes_nothing(
    concert: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], arguments: list[str], said: str
) -> None:
    monkeypatch.chdir(concert.parent)
    before = concert.read_bytes()
    assert run(["concert", *arguments]) == 2
    assert concert.read_bytes() == before
    error = capsys.readouterr().err.strip().splitlines()[-1]
    assert said in error.replace("2027", "2037")


def test_a_hall_smaller_than_a_set_up_is_one_line(small: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["concert", "edit", str(small), "--hall", "3x5"]) == 0
    capsys.readouterr()
    assert run(["concert", "setup", str(small)]) == 2
    *_, error = capsys.readouterr().err.strip().splitlines()
    assert error.startswith("Hall too small: study takes ")
    assert error.endswith("m, the hall has 3 by 5; correct the hall, or move stations in study.group.toml")
