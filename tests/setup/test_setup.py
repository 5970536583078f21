"""The set-up check: published ranges and geometry, brute force for hands, the sample's planted problems."""

import csv
import io
import json
from dataclasses import replace
from fractions import Fraction
from itertools import permutations
from pathlib import Path

import pypdfium2
import pytest

from score.errors import GroupFileError
from score.group.group_file import Group, read_group
from score.instruments.percussion import all_percussion
from score.piece import Piece
from score.reading import read_score
from score.setup.bar_geometry import KEYBOARDS, MARIMBAS, bar_mm, length_mm, smallest_marimba
from score.setup.finding import Finding, FindingKind, Weight, grouped
from score.setup.from_group import limits_of
from score.setup.gear_list import Gear, gear_csv, gear_markdown
from score.setup.instrument_changes import changes_of
from score.setup.limits import SOURCES, Limits, table_of
from score.setup.mallets import span_limit
from score.setup.setup_check import SetupReport, check, suggested_stickings
from score.setup.setup_texts import setup_json, setup_text, write_setup
from score.setup.stations import best_order, travel_mm
from score.time.pulse import tempo_map

SAMPLES = Path(__file__).parents[2] / "samples"
QUARTET = SAMPLES / "quartet.musicxml"
LIMITS = Limits()


@pytest.fixture(scope="module")
def piece() -> Piece:
    return read_score(QUARTET).piece


@pytest.fixture(scope="module")
def group() -> Group:
    return read_group(SAMPLES / "quartet.group.toml")


@pytest.fixture(scope="module")
def report(piece: Piece, group: Group) -> SetupReport:
    return check(piece, group)


# Published encyclopaedias: marimba top C7; 4 octaves from C3, 4.3 from A2, 4.5 from F2, 4.6 from E2, 5 from C2;
# the xylophone sounds F4-C8, the glockenspiel G5-C8. Common practice: vibraphone F3-F6.
def test_ranges_are_the_published_ones() -> None:
    assert MARIMBAS == {"4": 48, "4.3": 45, "4.5": 41, "4.6": 40, "5": 36}
    assert KEYBOARDS["marimba"].high == 96
    assert (KEYBOARDS["xylophone"].low, KEYBOARDS["xylophone"].high) == (65, 108)
    assert (KEYBOARDS["glockenspiel"].low, KEYBOARDS["glockenspiel"].high) == (79, 108)
    assert (KEYBOARDS["vibraphone"].low, KEYBOARDS["vibraphone"].high) == (53, 89)
    assert [smallest_marimba(p) for p in (48, 47, 45, 44, 40, 36, 35)] == ["4", "4.3", "4.3", "4.5", "4.6", "5", ""]


def test_a_five_octave_marimba_is_as_long_as_published() -> None:
    # Published method literature: about 2.59 m over all; the bars alone are somewhat shorter.
    assert 2400 < length_mm("marimba") < 2590
    # Common practice: naturals 80 mm wide at the bottom, 40 mm at the top, so neighbours lie so far apart.
    assert bar_mm("marimba", 38) - bar_mm("marimba", 36) == pytest.approx(80 - 40 / 35 / 2 + 10, abs=0.01)
    assert bar_mm("marimba", 96) - bar_mm("marimba", 95) == pytest.approx(40 + 40 / 35 / 2 + 10, abs=0.01)
    places = [bar_mm("marimba", pitch) for pitch in range(36, 97)]
    assert places == sorted(places)


def test_the_note_that_forces_the_size_is_named(report: SetupReport) -> None:
    marimbas = [item.note for item in report.gear if item.what == "Marimba"]
    assert all("4.3 octaves or more, because of A2" in note and "in bars" in note for note in marimbas)


def test_every_keyboard_is_in_the_table_of_instruments() -> None:
    assert set(KEYBOARDS) <= set(all_percussion())


def test_spans_are_the_published_ones() -> None:
    # Published method literature: an octave at the bottom, a ninth or tenth an octave up, octave and fourth on top.
    assert span_limit(36, LIMITS) == 12
    assert 14 <= span_limit(50, LIMITS) <= 16
    assert span_limit(84, LIMITS) == 17


def test_every_limit_has_a_source() -> None:
    assert {name for name, _, _ in table_of(LIMITS)} == set(SOURCES)
    assert LIMITS.strokes_a_second == pytest.approx(144 / 60 * 4)  # sixteenths at 144, published orchestration writing


def of_kind(report: SetupReport, kind: FindingKind) -> list[Finding]:
    return [found for found in report.findings if found.kind is kind]


def test_the_planted_change_is_found(piece: Piece, report: SetupReport) -> None:
    found = next(f for f in of_kind(report, FindingKind.CHANGE) if f.player == 2 and f.weight is Weight.CANNOT)
    assert piece.bars[found.bar].label == "88"
    assert found.figure < found.limit
    assert found.unit == "seconds"
    assert "crotales" in found.text
    assert found.helps


def test_the_planted_clash_is_found_once_with_all_its_strokes(piece: Piece, report: SetupReport) -> None:
    (found,) = of_kind(report, FindingKind.CLASH)
    assert [piece.bars[bar].label for bar in found.bars] == ["92"]
    assert "A4" in found.text
    assert found.figure == 0


def test_nothing_is_shared_that_the_group_does_not_say(piece: Piece) -> None:
    alone = check(piece, Group())
    assert not of_kind(alone, FindingKind.CLASH)
    assert alone.shares == ()


def test_notes_below_an_owned_marimba_are_found(piece: Piece, tmp_path: Path) -> None:
    path = tmp_path / "g.group.toml"
    path.write_text('[[marimba]]\nplayer = 4\noctaves = "4"\n')
    found = of_kind(check(piece, read_group(path)), FindingKind.RANGE)
    assert {f.player for f in found} == {4}
    assert "4.3 octaves" in found[0].helps
    assert len(found[0].bars) > 1


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[limits]\nnonsense = 3\n", "nonsense"),
        ("[limits]\nclash_seconds = -1\n", "clash_seconds"),
        ('[[marimba]]\nplayer = 1\noctaves = "7"\n', "7"),
        ("[[share]]\nplayers = [1]\n", "cannot share"),
        ('[[share]]\nplayers = [1, 2]\narrangement = "apart"\n', "apart"),
        ('[[station]]\nplayer = 2\norder = ["piano"]\n', "is not what player 2 has"),
    ],
)
def test_a_group_file_that_cannot_be_used_is_one_line(piece: Piece, tmp_path: Path, text: str, said: str) -> None:
    (tmp_path / "g.group.toml").write_text(text)
    with pytest.raises(GroupFileError, match=said) as caught:
        check(piece, read_group(tmp_path / "g.group.toml"))
    assert "\n" not in caught.value.line


def test_limits_can_be_changed(piece: Piece, tmp_path: Path) -> None:
    (tmp_path / "g.group.toml").write_text("[limits]\nnear_seconds = 0.1\n")
    changed = read_group(tmp_path / "g.group.toml")
    assert limits_of(changed).near_seconds == 0.1
    assert not [
        f for f in of_kind(check(piece, changed), FindingKind.CHANGE) if f.weight is Weight.CANNOT and f.player == 2
    ]


@pytest.mark.parametrize(("own", "hand"), [("", 5.5), ("hand_strokes_a_second = 6.0", 6.0)])
def test_one_hand_takes_half_of_what_both_do_unless_the_group_says_otherwise(
    tmp_path: Path, own: str, hand: float
) -> None:
    (tmp_path / "g.group.toml").write_text(f"[limits]\nstrokes_a_second = 11.0\n{own}\n")
    assert limits_of(read_group(tmp_path / "g.group.toml")).hand_strokes_a_second == hand


def test_similar_findings_are_one() -> None:
    one = Finding(
        FindingKind.SPEED,
        Weight.TIGHT,
        1,
        bar=3,
        at=Fraction(0),
        figure=6.0,
        limit=4.8,
        unit="strokes a second",
        text="six",
    )
    made = grouped(
        [one, one._replace(bar=5, figure=7.0, text="seven"), one._replace(player=2), one._replace(alike="x")]
    )
    assert [(f.player, f.figure, f.bars) for f in made] == [(1, 6.0, (3,)), (2, 6.0, (3,)), (1, 7.0, (3, 5))]


def test_changes_are_all_there(piece: Piece) -> None:
    second = piece.player(2)
    keys = [
        (second.instruments[c.before].key, second.instruments[c.after].key)
        for c in changes_of(piece, second, tempo_map(piece))
    ]
    assert keys == [("marimba", "crotales"), ("crotales", "marimba")]


def test_suggested_stickings_leave_printed_ones_alone(piece: Piece) -> None:
    first = piece.player(1)
    printed = {(s.bar, s.at) for s in first.strokes if s.stickings}
    found = suggested_stickings(piece, Group(), first)
    assert printed
    assert not printed & set(found)
    assert len(found) > 300


def test_the_order_of_instruments_travels_least() -> None:
    widths = {"a": 1000.0, "b": 300.0, "c": 300.0, "d": 800.0}
    counts = {("a", "b"): 5, ("b", "a"): 5, ("a", "c"): 1, ("d", "b"): 4}
    order = best_order(list(widths), widths, counts)
    # Outside check: every order there is.
    assert travel_mm(order, widths, counts) == min(travel_mm(other, widths, counts) for other in permutations(widths))


def test_gear_names_shared_things_once_and_what_nobody_owns(piece: Piece, tmp_path: Path) -> None:
    (tmp_path / "g.group.toml").write_text(
        'owned = ["marimba", "vibraphone"]\n[[share]]\ninstrument = "marimba"\nplayers = [1, 2]\n'
    )
    gear = check(piece, read_group(tmp_path / "g.group.toml")).gear
    marimbas = [item for item in gear if item.what == "Marimba"]
    assert [item.players for item in marimbas] == [(1, 2), (4,)]
    assert {item.what for item in gear if item.owned is False} == {"Triangle", "Crotales", "Suspended cymbal"}
    assert any(item.kind == "mallets" and "hard yarn" in item.what for item in gear)
    assert {item.kind for item in gear} == {"instrument", "mallets", "stand", "damp"}
    assert "Crotales, which nobody owns: tubes cut to pitch can play the notes of player 2." in gear_markdown(
        "Title", gear
    )
    assert list(csv.DictReader(io.StringIO(gear_csv(gear))))[1]["players"] == "1 2"


# Common practice, no source: a list says "bar" of one bar, and how many it does not name.
def test_damps_name_each_bar_once_and_say_how_many_more(piece: Piece, group: Group) -> None:
    player = piece.players[0]
    bars = sorted({stroke.bar for stroke in player.strokes})
    notes = []
    for damped in (bars[:1], bars[:10]):
        strokes = tuple(stroke._replace(damp=stroke.bar in damped) for stroke in player.strokes)
        changed = replace(piece, players=(player._replace(strokes=strokes, marks=()), *piece.players[1:]))
        gear = check(changed, group).gear
        notes += [item.note for item in gear if item.kind == "damp" and item.players == (1,)]
    names = [piece.bars[bar].label for bar in bars[:8]]
    assert notes == [f"bar {names[0]}", f"bars {', '.join(names)} and 2 more"]


def test_text_json_and_files_say_the_same(piece: Piece, report: SetupReport, tmp_path: Path) -> None:
    text = setup_text(piece, report)
    made = setup_json(piece, report)
    assert json.loads(json.dumps(made)) == made
    assert all(str(entry["text"]) in text for entry in made["findings"])  # type: ignore[attr-defined]
    files = write_setup(piece, report, tmp_path, "quartet")
    assert [path.suffix for path in files] == [".txt", ".md", ".csv", ".pdf"]
    pdf = pypdfium2.PdfDocument(files[-1])
    words = " ".join(page.get_textpage().get_text_bounded() for page in pdf)
    assert "Crotales" in words
    assert "1:50" in words
    assert "The floor it takes" in words
    assert "breathes together" in words


def test_a_gear_list_holds_no_formula() -> None:
    gear = [Gear("=cmd()", "mallets", (1,), note="+1\x9b2")]
    rows = list(csv.reader(gear_csv(gear).splitlines()))
    assert rows[1] == ["'=cmd()", "mallets", "1", "", "'+12"]
