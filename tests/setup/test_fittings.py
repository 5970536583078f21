"""How instruments are held and struck: sets, what to carry, strike places, changes with hand-held ones."""

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from score.errors import GroupFileError
from score.group.group_file import Group, read_group
from score.instruments.percussion import all_percussion, named, of_sound
from score.piece import Instrument, Mark, MarkKind, Piece, Stroke, StrokeKind
from score.reading import read_score
from score.setup.bar_geometry import KEYBOARDS
from score.setup.finding import Finding, FindingKind, Weight
from score.setup.fitting_rows import FITTINGS, STRUCK
from score.setup.fittings import WAYS, fitting, usual_fittings
from score.setup.from_group import fittings_of
from score.setup.kit_layout import kit_places, sets_of
from score.setup.setup_check import SetupReport, check
from score.setup.setup_tables import instrument_facts, instrument_lines
from score.setup.setup_texts import setup_text
from score.setup.striking_places import strike_place

SAMPLES = Path(__file__).parents[2] / "samples"


@pytest.fixture(scope="module")
def piece() -> Piece:
    return read_score(SAMPLES / "quartet.musicxml").piece


@pytest.fixture(scope="module")
def trio() -> Piece:
    return read_score(SAMPLES / "trio-ids.musicxml").piece


def player_of(piece: Piece, instruments: list[tuple[str, bool]], strokes: list[Stroke], *marks: Mark) -> Piece:
    """Player 2 with these instruments and strokes; everybody else is silent."""
    own = tuple(Instrument(key, all_percussion()[key].name, pitched=pitched) for key, pitched in instruments)
    player = piece.player(2)._replace(instruments=own, strokes=tuple(strokes), marks=marks)
    rest = tuple(p._replace(strokes=(), marks=()) for p in piece.players if p.number != 2)
    return replace(piece, players=(rest[0], player, *rest[1:]))


def stroke(at: int, instrument: int, *pitches: int) -> Stroke:
    places = () if pitches else ("E4",)
    return Stroke(
        0, Fraction(at), Fraction(1), pitches=pitches, kind=StrokeKind.STROKE, instrument=instrument, places=places
    )


def test_every_instrument_is_held_or_mounted_and_struck_somewhere() -> None:
    rows = usual_fittings()
    assert set(rows) == set(all_percussion())
    for row in rows.values():
        assert row.how in WAYS
        assert row.struck
        assert (row.width == 0) == (row.key in KEYBOARDS or row.how == "body")
    assert {line.split(";")[5].strip() for line in FITTINGS.strip().splitlines()} == set(STRUCK)


def test_the_tables_say_where_they_come_from() -> None:
    for name in ("fitting_rows", "kit_layout", "mallets", "sight_lines", "stations", "striking_places"):
        text = (Path(__file__).parents[2] / "score" / "setup" / f"{name}.py").read_text()
        assert "ommon practice, no source" in text


# Common practice, no source.
@pytest.mark.parametrize(
    ("key", "how"),
    [
        ("marimba", "frame"),
        ("tam-tam", "hung"),
        ("snare-drum", "stand"),
        ("tambourine", "held"),
        ("claves", "held"),
        ("wood-block", "clamp"),
        ("singing-bowl", "table"),
        ("cajon", "seated"),
    ],
)
def test_usual_mounting(key: str, how: str) -> None:
    assert usual_fittings()[key].how == how


def test_the_group_changes_a_row(tmp_path: Path) -> None:
    path = tmp_path / "g.group.toml"
    path.write_text('[[fitting]]\ninstrument = "Triangel"\nhow = "held"\nwidth = 200\n')
    row = fittings_of(read_group(path))["triangle"]
    assert (row.how, row.carry, row.width, row.held) == ("held", "", 200, True)
    assert usual_fittings()["triangle"].how == "hung"
    unknown = fitting(usual_fittings(), "Lotus pipe")
    assert (unknown.how, unknown.held) == ("table", False)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[[fitting]]\ninstrument = "nonsuch"\n', "nonsuch"),
        ('[[fitting]]\ninstrument = "triangle"\nhow = "floating"\n', "floating"),
        ('[[fitting]]\ninstrument = "triangle"\nwidth = "wide"\n', "width"),
    ],
)
def test_a_row_that_cannot_be_is_one_line(piece: Piece, tmp_path: Path, text: str, said: str) -> None:
    (tmp_path / "g.group.toml").write_text(text)
    with pytest.raises(GroupFileError, match=said) as caught:
        check(piece, read_group(tmp_path / "g.group.toml"))
    assert "\n" not in caught.value.line


def changes(report: SetupReport) -> list[Finding]:
    return [found for found in report.findings if found.kind is FindingKind.CHANGE]


def test_what_is_held_takes_laying_mallets_down(piece: Piece) -> None:
    # Common practice, a guess: two seconds for what is held in the hand.
    made = player_of(piece, [("marimba", True), ("tambourine", False)], [stroke(0, 0, 60), stroke(2, 1)])
    (found,) = changes(check(made, Group()))
    assert (found.weight, found.limit) == (Weight.CANNOT, 2.0)
    assert "held in the hand" in found.text
    gear = {item.what: item for item in check(made, Group()).gear}
    assert "held in the hand" in gear["Tambourine"].note
    assert "tambourine" in gear["trap table"].note
    four = player_of(piece, [("marimba", True), ("claves", False)], [stroke(0, 0, 48, 55, 60, 64), stroke(2, 1)])
    assert changes(check(four, Group()))[0].limit == 3.5


def test_one_hand_reaches_to_what_hangs_beside(piece: Piece, tmp_path: Path) -> None:
    strokes = [stroke(0, 0, 60), stroke(1, 0, 62), stroke(2, 1)]
    made = player_of(piece, [("marimba", True), ("triangle", False)], strokes)
    assert changes(check(made, Group())) == []
    (tmp_path / "g.group.toml").write_text('[[fitting]]\ninstrument = "triangle"\nhow = "held"\n')
    assert changes(check(made, read_group(tmp_path / "g.group.toml")))


def test_pieces_of_a_set_are_no_change(trio: Piece) -> None:
    report = check(trio, Group())
    assert changes(report) == []
    assert [i.what for i in report.gear if i.kind == "instrument"][1] == "High tom, middle tom, low tom"
    assert len(setup_text(trio, report).split("To carry")[0].splitlines()) < 20


def test_a_set_lies_from_low_to_high(trio: Piece) -> None:
    toms = sets_of(trio.player(2))["tom-toms"]
    names = [trio.player(2).instruments[index].name for index, _ in toms.members]
    assert names == ["Low tom", "Middle tom", "High tom"]
    assert toms.width == 3 * usual_fittings()["tom-toms"].width
    places = kit_places(trio.player(2), ("suspended-cymbal", "tom-toms"))
    assert sorted(places, key=lambda member: places[member])[1:] == list(toms.members)


# Common practice, no source: words of the trade in four languages.
@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("edge", "edge"),
        ("near the edge", "edge"),
        ("am Rand", "edge"),
        ("au bord", "edge"),
        ("al bordo", "edge"),
        ("dome", "dome"),
        ("auf der Kuppe", "dome"),
        ("cupola", "dome"),
        ("centre", "centre"),
        ("in der Mitte", "centre"),
        ("au centre", "centre"),
        ("al centro", "centre"),
        ("on the rim", "rim"),
        ("cercle", "rim"),
        ("rim shot", "rim shot"),
        ("cross stick", "cross stick"),
        ("ord.", "usual place"),
        ("on the edge of silence", ""),
        ("dolce", ""),
    ],
)
def test_places_on_the_instrument(text: str, place: str) -> None:
    assert strike_place(text) == place


def test_places_asked_for_are_listed_with_their_bars(piece: Piece) -> None:
    marks = (Mark(MarkKind.WORDS, 0, Fraction(0), text="Mitte"), Mark(MarkKind.WORDS, 0, Fraction(1), text="bell"))
    strokes = [stroke(0, 0), stroke(1, 1), stroke(2, 0)]
    made = player_of(piece, [("tam-tam", False), ("ride-cymbal", False)], strokes, *marks)
    report = check(made, Group())
    asked = {each.instrument: [place for *_, place in each.asked] for each in report.strikings if each.player == 2}
    assert asked == {"Tam-tam": ["centre"], "Ride cymbal": ["dome"]}
    assert "asked for: centre in bar 1" in setup_text(made, report)
    bells = player_of(piece, [("chimes", True)], [stroke(1, 0, 60)], marks[1])
    assert all(not each.asked for each in check(bells, Group()).strikings)


def test_unknown_instruments_are_not_one_set(piece: Piece) -> None:
    unknown = Instrument("", "Zorb", pitched=False), Instrument("", "Blip", pitched=False)
    player = piece.player(2)._replace(instruments=unknown, strokes=(stroke(0, 0), stroke(1, 1)))
    made = replace(piece, players=(piece.player(1), player, *piece.players[2:]))
    names = [item.what for item in check(made, Group()).gear if item.players == (2,) and item.kind == "instrument"]
    assert names == ["Zorb", "Blip"]
    assert "not in the tables" in next(instrument_facts("Zorb", usual_fittings()))


# Names: common practice, no source; sounds: MusicXML 4.0, sounds.xml.
@pytest.mark.parametrize(
    ("names", "sound", "key"),
    [
        (("Suspended cymbal", "H\u00e4ngebecken", "cymbale suspendue", "piatto sospeso"), "metal.cymbal.suspended",
         "suspended-cymbal"),
        (("Bass drum", "Gro\u00dfe Trommel", "grosse caisse", "gran cassa"), "drum.bass-drum", "bass-drum"),
        (("Tubular bells", "R\u00f6hrenglocken", "cloches tubulaires", "campane tubolari"),
         "pitched-percussion.tubular-bells", "chimes"),
        (("Wood block", "Holzblock", "bloc de bois", "blocco di legno"), "wood.wood-block", "wood-block"),
    ],
)  # fmt: skip
def test_names_in_four_languages_and_sound_ids(names: tuple[str, ...], sound: str, key: str) -> None:
    assert {found.key for name in names if (found := named(name))} == {key}
    assert all(named(name) for name in names)
    by_sound = of_sound(sound)
    assert by_sound is not None
    assert by_sound.key == key


def test_what_is_known_of_an_instrument(piece: Piece) -> None:
    lines = "\n".join(instrument_lines(piece, usual_fittings()))
    # Published encyclopaedias: a five-octave marimba goes from C2 to C7; common practice: crotales two octaves up.
    assert "written C2 to C7, sounding as written" in lines
    assert "written C4 to C6, sounding C6 to C8" in lines
    assert "held or mounted: hung, triangle clip and stand" in lines
