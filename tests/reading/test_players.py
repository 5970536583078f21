"""Parts to players: the score's own names, brackets around parts, and the group's file."""

from collections.abc import Callable

import pytest

from score.errors import GroupFileError
from score.group.group_file import Group, PlayerEntry
from score.piece import Piece
from score.reading.chair_names import Chair, with_clear_names
from score.reading.rosters import who

Read = Callable[..., Piece]
Make = Callable[..., str]


@pytest.fixture
def named(read: Read, score_xml: Make, attributes: Make, note: Make) -> Callable[..., Piece]:
    def make(*names: str, group: Group | None = None, listed: tuple[str, ...] = (), wrap: str = "") -> Piece:
        bars = [[attributes() + note(f"{step}4", 16)] for step in "CDEFGAB"[: len(names)]]
        xml = score_xml(*bars, names=names, listed=listed)
        return read(xml.replace("<part-list>", f"<part-list>{wrap}"), group=group)

    return make


Named = Callable[..., Piece]


def _seats(piece: Piece) -> list[tuple[int, str, tuple[int, ...]]]:
    return [(player.number, player.name, player.parts) for player in piece.players]


def test_a_part_is_a_player(named: Named) -> None:
    assert _seats(named("Marimba 1", "Marimba 2", "Vibraphone")) == [
        (1, "Marimba 1", (0,)),
        (2, "Marimba 2", (1,)),
        (3, "Vibraphone", (2,)),
    ]


@pytest.mark.parametrize(
    "names",
    [
        ("Player 1 \u2013 marimba", "Player 2 - marimba", "Player 2 - triangle"),
        ("Percussion 1 (Marimba)", "Percussion 2 (Vibraphone)", "Percussion 2 (Triangle)"),
        ("Perc. I: Marimba", "Perc. II: Vibraphone", "Perc. II: Triangle"),
        ("Spieler 1, Marimba", "Spieler 2, Vibraphon", "Spieler 2, Triangel"),
        ("Joueur 1", "Joueur 2", "Joueur 2 : triangle"),
        ("Marimba (Player 1)", "Vibraphone (Player 2)", "Triangle (Player 2)"),
        ("Schlagzeug 1", "Schlagzeug 2", "Schlagzeug 2 Triangel"),
    ],
)
def test_parts_named_as_one_players_are_joined(named: Named, names: tuple[str, ...]) -> None:
    piece = named(*names)
    assert [parts for _, _, parts in _seats(piece)] == [(0,), (1, 2)]
    assert piece.player(2).name == who(names[1])[1]  # type: ignore[index]
    assert piece.player(2).part_names == names[1:]
    assert [stroke.part for stroke in piece.player(2).strokes] == [1, 2]


@pytest.mark.parametrize("names", [("Marimba 1", "Marimba 1"), ("Violin", "Violin"), ("Percussion", "Percussion")])
def test_the_same_name_twice_is_two_players(named: Named, names: tuple[str, ...]) -> None:
    assert [parts for _, _, parts in _seats(named(*names))] == [(0,), (1,)]


def test_a_bracket_named_after_a_player_joins_its_parts(
    read: Read, score_xml: Make, attributes: Make, note: Make
) -> None:
    start = '<part-group type="start" number="1"><group-name>Player 2</group-name></part-group>'
    xml = score_xml(*[[attributes() + note("C4", 16)]] * 3, names=("Marimba", "Vibraphone", "Triangle"))
    xml = xml.replace('<score-part id="P2">', f'{start}<score-part id="P2">')
    xml = xml.replace("</part-list>", '<part-group type="stop" number="1"/></part-list>')
    assert _seats(read(xml)) == [(1, "Marimba", (0,)), (2, "Player 2", (1, 2))]


def test_the_printed_form_of_a_name_wins(named: Named) -> None:
    shown = "<part-name-display><display-text>Second Marimba</display-text></part-name-display>"
    assert _seats(named("X", listed=(shown,))) == [(1, "Second Marimba", (0,))]


def test_what_exporters_write_where_a_part_has_no_name_is_no_name(named: Named) -> None:
    # Eight files of music21's corpus call their parts so.
    for names in (("MusicXML Part", "MusicXML Part"), ("Midi_69", "Track 2"), ("Instrument 1", "Unnamed-001")):
        assert _seats(named(*names)) == [(1, "Player 1", (0,)), (2, "Player 2", (1,))]


def test_short_names(named: Named) -> None:
    abbreviation = "<part-abbreviation>Mar. 1</part-abbreviation>"
    assert [player.short for player in named("Marimba 1", "Marimba 2", listed=(abbreviation,)).players] == [
        "Mar. 1",
        "Mar. 2",
    ]
    assert [player.short for player in named("Player 1 - marimba", "Player 2 - triangle").players] == ["1", "2"]
    same = "<part-abbreviation>Mar.</part-abbreviation>"
    shorts = [player.short for player in named("Marimba 1", "Marimba 2", listed=(same, same)).players]
    assert len(set(shorts)) == 2


def test_instruments_of_joined_parts_are_in_order_of_first_use(named: Named) -> None:
    piece = named("Player 1 - marimba", "Player 1 - triangle")
    assert [item.key for item in piece.player(1).instruments] == ["marimba", "triangle"]
    assert [stroke.instrument for stroke in piece.player(1).strokes] == [0, 1]


def _group(*entries: PlayerEntry) -> Group:
    return Group(players=entries)


def test_the_groups_file_seats_parts_by_name_or_id(named: Named) -> None:
    group = _group(PlayerEntry(1, "First", "I", parts=("P3", "marimba 1")), PlayerEntry(2, parts=("Marimba 2",)))
    piece = named("Marimba 1", "Marimba 2", "Vibraphone", group=group)
    assert _seats(piece) == [(1, "First", (0, 2)), (2, "Marimba 2", (1,))]
    assert piece.player(1).short == "I"


def test_the_groups_file_undoes_a_join(named: Named) -> None:
    group = _group(PlayerEntry(3, "Guest", parts=("Player 2 - triangle",)))
    piece = named("Player 1 - marimba", "Player 2 \u2013 marimba", "Player 2 \u2013 triangle", group=group)
    assert _seats(piece) == [(1, "Player 1", (0,)), (2, "Player 2", (1,)), (3, "Guest", (2,))]


def test_the_groups_file_renames_without_parts(named: Named) -> None:
    piece = named("Marimba 1", "Marimba 2", group=_group(PlayerEntry(2, "Second", "2nd")))
    assert [(player.name, player.short) for player in piece.players][1] == ("Second", "2nd")


@pytest.mark.parametrize(
    ("entries", "said"),
    [
        ((PlayerEntry(1, parts=("Tuba",)),), r"no part called 'Tuba'.*'Marimba' \(P1\)"),
        ((PlayerEntry(1, parts=("Marimba",)),), "several parts are called 'Marimba'.*P1, P2"),
        ((PlayerEntry(1, parts=("P1",)), PlayerEntry(2, parts=("P1",))), "to player 1 and to player 2"),
        ((PlayerEntry(1), PlayerEntry(1)), "described twice"),
        ((PlayerEntry(7, "Nobody"),), "no player 7"),
    ],
)
def test_a_groups_file_that_contradicts_the_score(named: Named, entries: tuple[PlayerEntry, ...], said: str) -> None:
    with pytest.raises(GroupFileError, match=said):
        named("Marimba", "Marimba", group=_group(*entries))


@pytest.mark.parametrize("name", ["Marimba", "Violin I", "Perc.", "Mallet Quartet", "Drumset", "Playerless 1x", ""])
def test_names_that_name_no_player(name: str) -> None:
    assert who(name) is None


def test_names_that_differ_only_after_three_letters_are_not_cut() -> None:
    chairs = [Chair(i, name, "", parts=(i,)) for i, name in enumerate(("Vibraphone 1", "Vibraslap", "Marimba"), 1)]
    assert [chair.short for chair in with_clear_names(chairs)] == ["Vibraphone 1", "Vibraslap", "Mar."]


def test_neither_an_instruments_key_nor_its_number_alone_is_its_short_name() -> None:
    names = (
        "Bb Clarinet 1",
        "B\u266d Clarinet 2",
        "A-flat Trumpet",
        "F Horn",
        "Euphonium",
        "Bass Drum",
        "E flat Cornet",
        "2nd Violin",
    )
    chairs = [Chair(number, name, "", parts=(number,)) for number, name in enumerate(names, 1)]
    shorts = [chair.short for chair in with_clear_names(chairs)]
    assert shorts == ["Cla. 1", "Cla. 2", "Tru.", "F Horn", "Eup.", "Bass", "Cor.", "2nd Violin"]


def _names(piece: Piece) -> list[tuple[str, str]]:
    return [(player.name, player.short) for player in piece.players]


def test_players_called_alike_are_numbered(named: Named) -> None:
    short = "<part-abbreviation>Sn. Dr.</part-abbreviation>"
    assert _names(named(*["Snare Drum"] * 5, listed=(short,) * 5)) == [
        (f"Snare Drum {number}", f"Sn. Dr. {number}") for number in range(1, 6)
    ]
    assert _names(named("Snare Drum", "Snare Drum 2", "Snare drum")) == [
        ("Snare Drum 1", "Sna. 1"),
        ("Snare Drum 2", "Sna. 2"),
        ("Snare drum 3", "Sna. 3"),
    ]


def test_no_two_short_names_are_alike(named: Named) -> None:
    shorts = [short for _, short in _names(named("Tenor Drum", "Tenor Drum low", "Tent", "Ten."))]
    assert len(set(shorts)) == 4
    assert not any(short.isdigit() for short in shorts)


def test_both_hands_are_one_player(named: Named) -> None:
    piece = named("Celesta RH", "Celesta LH", "Harp (right hand)", "Harp (left hand)", "Marimba l.h.")
    assert _seats(piece) == [(1, "Celesta", (0, 1)), (2, "Harp", (2, 3)), (3, "Marimba l.h.", (4,))]
    assert [instrument.name for instrument in piece.player(1).instruments] == ["Celesta"]


# MusicXML 4.0, part-group: group-name belongs to the parts in the bracket.
def test_a_part_called_by_numbers_has_its_groups_name(
    read: Read, score_xml: Make, attributes: Make, note: Make
) -> None:
    bars = [[attributes() + note("C4", 16)]] * 3
    xml = score_xml(*bars, names=("1 2", "3", "1"))
    for number, (id_, group) in enumerate((("P1", "Horns in F"), ("P3", "Percussion"))):
        start = f'<part-group type="start" number="{number}"><group-name>{group}</group-name></part-group>'
        xml = xml.replace(f'<score-part id="{id_}">', f'{start}<score-part id="{id_}">')
        if number == 0:
            stop = f'<part-group type="stop" number="{number}"/>'
            xml = xml.replace('<score-part id="P3">', f'{stop}<score-part id="P3">')
    assert [name for name, _ in _names(read(xml))] == ["Horns in F 1 2", "Horns in F 3", "Percussion 1"]


def test_players_of_percussion_are_more_than_a_number(named: Named) -> None:
    abbreviation = "<part-abbreviation>2</part-abbreviation>"
    shorts = [player.short for player in named("Percussion 1", "Percussion 2", listed=("", abbreviation)).players]
    assert shorts == ["Perc. 1", "Perc. 2"]
    # A made abbreviation says less than the number, and so does a made name.
    assert [player.short for player in named("Player 7", listed=(abbreviation.replace(">2", ">Pla. 7"),)).players] == [
        "7"
    ]
    assert [player.short for player in named("", "").players] == ["1", "2"]


def test_what_an_exporter_left_open_in_a_name_is_left_out(named: Named) -> None:
    assert _seats(named("Hi-Hat%g Closed", "50% wood", "Snare %s")) == [
        (1, "Hi-Hat Closed", (0,)),
        (2, "50% wood", (1,)),
        (3, "Snare", (2,)),
    ]
