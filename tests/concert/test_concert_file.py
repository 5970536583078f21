"""The concert's file: what it says, what it refuses in one line, and that an edit leaves every other letter alone."""

import difflib
import random
import re
from datetime import date, datetime
from pathlib import Path

import pytest

from score.concert.concert_edit import (
    Edit,
    changed_piece,
    edit_concert,
    in_order,
    with_changed,
    with_entry,
    with_hall,
    with_piece,
    with_top,
    without_entry,
    without_piece,
)
from score.concert.concert_file import concert_of, concert_path, people_named, piece_named, read_concert
from score.concert.concert_values import Hall
from score.concert.rehearsal_edit import with_absence, without_rehearsal
from score.errors import ConcertFileError
from tests.concert.conftest import TEXT


def test_the_file_says_who_plays_what_when_and_where(concert: Path) -> None:
    spring = read_concert(concert)
    assert (spring.title, spring.day) == ("Spring", date(2037, 3, 14))
    assert spring.hall == Hall(10.0, 7.0, 20.0)
    assert [piece.name for piece in spring.pieces] == ["quartet", "study", "trio-plain"]
    assert people_named(spring) == ("Ann", "Ben", "Cleo", "Dan", "Eve")
    second = spring.rehearsals[1]
    assert (second.missing, second.late, second.leaves) == (("Dan",), (("Ann", 30),), ())
    assert piece_named(spring, "2") == piece_named(spring, "study") == piece_named(spring, "study.musicxml") == 1
    assert concert_path(Path("spring")) == concert_path(Path("spring.concert.toml")) == Path("spring.concert.toml")


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ("[[piece]]", "[[peice]]", "peice is not known; write [[piece]]"),
        ("minutes = 120", "minuets = 120", "[[rehearsal]] minuets is not known; write minutes"),
        ("width = 10.0", 'width = "wide"', '[hall] width = "wide" is not a figure'),
        ("width = 10.0", "width = 0", "[hall] width = 0 is not a figure from 1 to 200; correct it, or leave width out"),
        ('["Ann", "Dan"]', '["Ann", "Ann"]', "study: Ann has parts 1 and 2 at once; give one of them to somebody"),
        ("study.musicxml", "quartet.musicxml", "[[piece]] quartet is there twice"),
        ("2037-03-14", "2037-03-12", "the rehearsal of 2037-03-13 15:00 comes after the concert of 2037-03-12"),
        ("2037-03-13T15", "2037-02-15T20", "goes on until 21:00, the next begins at 20:00; move one of them"),
        ('["Dan"]', '["Don"]', "names Don, who plays nothing; there are Ann, Ben, Cleo, Dan, Eve"),
        ("Ann 19:30", "Ann soon", '"Ann soon" is not a name and a time; write "Ann 19:30"'),
        ("Ann 19:30", "Ann 22:30", '"Ann 22:30" is not within 19:00 and 21:00'),
        ('title = "Spring"', "title = ", "spring.concert.toml"),
        ('score = "study.musicxml"', "", '[[piece]] has no score; write score = "quartet.musicxml"'),
        ("title =", "visits = 0\ntitle =", "visits = 0 is not a whole number from 1"),
        (
            "[hall]",
            '[[instrument]]\nkind="gong"\nfrom="stolen"\n\n[hall]',
            'from = "stolen" is not known; write one of',
        ),
        ("[hall]", '[[instrument]]\nkind="gong"\npieces=["x"]\n\n[hall]', 'has no piece "x"; there are quartet, study'),
        ("[hall]", '[[moving]]\nkind="gong"\ncarriers=40\n\n[hall]', "carriers = 40 is not a figure from 0 to 12"),
    ],
)
def test_what_cannot_be_is_one_line_that_says_what_to_change(concert: Path, before: str, after: str, said: str) -> None:
    text = concert.read_text()
    assert before in text
    concert.write_text(text.replace(before, after, 1))
    with pytest.raises(ConcertFileError) as refused:
        read_concert(concert)
    assert said in refused.value.line
    assert "\n" not in refused.value.line


def _changed_lines(before: str, after: str) -> list[str]:
    lines = difflib.ndiff(before.splitlines(), after.splitlines())
    return [line for line in lines if line[0] in "+-" and line[2:].strip()]


def test_an_edit_changes_its_own_lines_and_keeps_every_comment(concert: Path) -> None:
    before = concert.read_text()
    edits = [with_top("title", "Late spring"), with_hall({"depth": 6.5}), changed_piece("study", {"place": "first"})]
    undo, spring = edit_concert(concert, edits)
    assert _changed_lines(before, concert.read_text()) == [
        '- title = "Spring"',
        '+ title = "Late spring"',
        "- depth = 7.0      # to the curtain",
        "+ depth = 6.5      # to the curtain",
        '+ place = "first"',
    ]
    assert undo.decode() == before
    assert (spring.title, spring.hall.depth, spring.pieces[1].place) == ("Late spring", 6.5, "first")


def test_entries_come_and_go_where_they_belong(concert: Path) -> None:
    before = concert.read_text()
    own = {"kind": "marimba", "from": "borrowed"}
    edit_concert(
        concert,
        [
            with_changed("instrument", "name", "the old one", own),
            with_changed("instrument", "name", "the old one", {"pieces": ["quartet"]}),
            with_changed("moving", "kind", "marimba", {"carriers": 3}),
            with_entry("rehearsal", {"at": datetime(2037, 2, 20, 19), "minutes": 60}),
            with_absence("2037-02-20", "leaves", "Eve 19:45"),
            with_absence("2037-02-20", "leaves", "Eve 19:50"),
        ],
    )
    spring = read_concert(concert)
    assert [(each.name, each.source, each.pieces) for each in spring.instruments] == [
        ("the old one", "borrowed", ("quartet",))
    ]
    assert spring.moving == {"marimba": {"carriers": 3}}
    assert spring.rehearsals[2].leaves == (("Eve", 50),)
    edit_concert(
        concert,
        [
            without_rehearsal("2037-02-20"),
            without_entry("instrument", "name", "the old one"),
            without_entry("moving", "kind", "marimba"),
        ],
    )
    assert concert.read_text() == before


def test_pieces_change_places_with_their_comments(concert: Path) -> None:
    _, spring = edit_concert(concert, [in_order(["3", "quartet", "study"])])
    assert [piece.name for piece in spring.pieces] == ["trio-plain", "quartet", "study"]
    text = concert.read_text()
    assert text.index("# Short, and quiet.") > text.index("quartet.musicxml")
    assert text.index("# Short, and quiet.") < text.index("study.musicxml")
    _, spring = edit_concert(concert, [without_piece("study")])
    assert [piece.name for piece in spring.pieces] == ["trio-plain", "quartet"]
    assert "# Short, and quiet." not in concert.read_text()


def test_who_plays_nothing_any_more_stays_where_they_are_named(concert: Path) -> None:
    edit_concert(concert, [without_piece("quartet")])
    _, spring = edit_concert(concert, [without_piece("study")])
    assert [person.name for person in spring.people] == ["Ann", "Dan"]
    assert spring.rehearsals[1].missing == ("Dan",)


def test_a_file_is_begun_with_paths_as_seen_from_it(concert: Path) -> None:
    score = concert.with_name("study.musicxml")
    path = concert.parent / "later" / "autumn.concert.toml"
    path.parent.mkdir()
    undo, autumn = edit_concert(
        path, [with_top("date", date(2037, 10, 1)), with_piece(path, score), with_hall({"width": 5.0})]
    )
    assert undo == b""
    assert 'score = "../study.musicxml"' in path.read_text()
    assert path.read_text().index("[hall]") < path.read_text().index("[[piece]]")
    assert autumn.title == "autumn"
    assert autumn.pieces[0].score.samefile(score)


@pytest.mark.parametrize(
    ("edit", "said"),
    [
        (without_piece("duo"), 'has no piece "duo"; there are quartet, study, trio-plain'),
        (in_order(["1", "2"]), "an order of 2 is not each piece once"),
        (without_rehearsal("2037-05-05"), "no rehearsal begins on 2037-05-05; there are 2037-02-01 19:00"),
        (without_entry("instrument", "name", "x"), "there is no [[instrument]]"),
        (changed_piece("study", {"people": ["Eve", "Eve"]}), "Eve has parts 1 and 2 at once"),
        (with_top("date", date(2037, 1, 1)), "comes after the concert of 2037-01-01"),
    ],
)
def test_an_edit_that_cannot_be_changes_nothing(concert: Path, edit: Edit, said: str) -> None:
    before = concert.read_bytes()
    with pytest.raises(ConcertFileError) as refused:
        edit_concert(concert, [edit])
    assert said in refused.value.line
    assert concert.read_bytes() == before


def test_whatever_is_in_the_file_is_a_concert_or_refused_in_one_line() -> None:
    chance, lines = random.Random(1), []
    values = [match.span(1) for match in re.finditer(r"= ([^\n#]+)", TEXT)]
    words = ["true", "-1", "1e400", "nan", '""', "[]", "{}", "2037-03-14", "19:00:00", "[1]", "[[]]", "9" * 30]
    words += ["2037-03-14T10:00:00Z", '"\\u0007"', '["Ann 25:99"]', '["Ann 19:30", "Ann 19:40"]', '["Ann"]', "{a = 1}"]
    for turn in range(300):
        letters = list(TEXT)
        if turn % 2:
            begin, end = chance.choice(values)
            letters[begin:end] = f"{chance.choice(words)} "
        else:
            for _ in range(chance.randint(1, 3)):
                letters[chance.randrange(len(letters))] = chance.choice('"[]=\n#x0-.{},')
        try:
            concert_of(Path("spring.concert.toml"), "".join(letters))
        except ConcertFileError as refused:
            lines.append(refused.line)
    assert not [line for line in lines if "\n" in line]
    assert 150 < len(lines) < 290


@pytest.mark.parametrize("content", [b'title = "\xff"\n', None])
def test_what_is_no_text_is_said_in_plain_words(tmp_path: Path, content: bytes | None) -> None:
    path = tmp_path / "spring.concert.toml"
    if content is None:
        path.mkdir()
    else:
        path.write_bytes(content)
    for use in (lambda: read_concert(path), lambda: edit_concert(path, [with_top("title", "Spring")])):
        with pytest.raises(ConcertFileError) as refused:
            use()
        assert "spring.concert.toml" in refused.value.line
        assert "Errno" not in refused.value.line
        assert "codec" not in refused.value.line
