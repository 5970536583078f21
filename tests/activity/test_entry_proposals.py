"""Where somebody has to lead: the sample read by hand, and small scores."""

from fractions import Fraction
from pathlib import Path

from score.activity.entry_proposals import entry_proposals
from score.activity.from_group import settled_entries
from score.beats import Place
from score.group.group_file import read_group
from score.piece import Bar, Mark, MarkKind, Meter, Piece, Player, Stroke, StrokeKind, Tempo, TempoChange
from score.reading import read_score

F = Fraction
PIECE = read_score(Path(__file__).parents[2] / "samples" / "quartet.musicxml").piece


def player(number: int, *onsets: str, fermata: int = -1) -> Player:
    """Quarter notes where there is an x, one text a bar; a fermata on the first stroke of a bar."""
    strokes = tuple(
        Stroke(bar, F(at), F(1), pitches=(60 + 4 * number,), kind=StrokeKind.STROKE, instrument=0)
        for bar, text in enumerate(onsets)
        for at, letter in enumerate(text)
        if letter == "x"
    )
    marks = (Mark(MarkKind.FERMATA, fermata, F(0)),) if fermata >= 0 else ()
    return Player(number, str(number), str(number), (0,), ("1",), (), strokes, marks=marks)


def piece(*players: Player, changes: tuple[TempoChange, ...] = (), tempi: tuple[Tempo, ...] = ()) -> Piece:
    meter = Meter("4/4", (F(1),) * 4, F(1))
    bars = tuple(Bar(i, str(i + 1), F(4 * i), length=F(4), meter=meter) for i in range(4))
    first = Tempo(0, F(0), 60.0, low=60.0, high=60.0)
    return Piece("T", players, bars, (0, 1, 2, 3), (first, *tempi), changes)


def test_an_entry_after_a_silence_is_led_by_whoever_moves_first() -> None:
    # One who enters alone needs nobody: only the beginning is left.
    alone = piece(player(1, "xxxx", "----", "-xxx", "xxxx"), player(2, "xxxx", "----", "xxxx", "xxxx"))
    assert [(p.place, p.occasion) for p in entry_proposals(alone)] == [(Place(0, F(0)), "at the beginning")]
    both = piece(player(1, "xxxx", "----", "x---", "xxxx"), player(2, "xxxx", "----", "xxxx", "xxxx"))
    after = entry_proposals(both)[1]
    assert (after.place, after.occasion, after.leader) == (Place(2, F(0)), "after a silence", 2)
    assert after.reason.startswith("moves most in the first bar")


def test_what_the_group_has_settled_is_not_proposed() -> None:
    both = piece(player(1, "xxxx", "----", "x---", "xxxx"), player(2, "xxxx", "----", "xxxx", "xxxx"))
    assert len(entry_proposals(both, settled={F(8)})) == 1
    assert len(entry_proposals(both, settled={F(4)})) == 2


def test_a_breath_or_a_lead_in_the_file_settles_its_beat_and_so_does_one_that_was_dropped(tmp_path: Path) -> None:
    path = tmp_path / "quartet.group.toml"
    path.write_text(
        '[[breath]]\nbar = "41"\nplayer = 1\nstate = "tried"\n\n'
        '[[lead]]\nbars = "17-24"\nplayer = 3\n\n'
        '[[lead]]\nbars = "55"\nbeat = 5\nplayer = 1\nstate = "dropped"\n\n'
        '[[lead]]\nbars = "81"\nbeat = 2\nplayer = 1\n'
    )
    settled = settled_entries(read_group(path), PIECE)
    left = [PIECE.bars[p.place.bar].label for p in entry_proposals(PIECE, settled)]
    # A lead from the second beat of bar 81 on says nothing about who gives its first.
    assert left == ["57", "81", "97", "111", "113"]


def test_fermatas_ritardandi_and_new_tempi_are_occasions() -> None:
    rit = TempoChange("rit", Place(2, F(0)), Place(3, F(0)))
    faster = Tempo(3, F(0), 90.0, low=90.0, high=90.0)
    held = piece(
        player(1, "xxxx", "x---", "xxxx", "xxxx", fermata=1), player(2, "xxxx", "xxxx", "xxxx", "xxxx"), changes=(rit,)
    )
    occasions = {p.place: p.occasion for p in entry_proposals(held)}
    assert occasions[Place(1, F(1))] == "after the fermata"
    assert occasions[Place(3, F(0))] == "after the ritardando"
    new = piece(player(1, "xxxx", "xxxx", "xxxx", "xxxx"), tempi=(faster,))
    assert {p.place: p.occasion for p in entry_proposals(new)}[Place(3, F(0))] == "new tempo"


def test_sight_decides_between_equals() -> None:
    same = piece(player(1, "xxxx", "----", "xxxx", "xxxx"), player(2, "xxxx", "----", "xxxx", "xxxx"))
    proposals = [entry_proposals(same, in_sight=seen)[0] for seen in ((), (2,))]
    assert proposals[0].leader in (1, 2)
    assert proposals[1].reason.endswith("in everybody's sight") == (proposals[1].leader == 2)


def test_the_sample_by_hand() -> None:
    # Bar 41 (seven-eight) is entered together after three and a half beats of silence; bar 113 after the fermata; the
    # ritardando of bars 109-110 ends at bar 111.
    occasions = {PIECE.bars[p.place.bar].label: p.occasion for p in entry_proposals(PIECE) if p.place.at == 0}
    assert occasions["41"] == "after a silence"
    assert occasions["113"] == "after the fermata"
    assert occasions["111"] == "after the ritardando"
    assert "new tempo" in occasions.values()
    assert all(p.leader in (1, 2, 3, 4) and p.reason for p in entry_proposals(PIECE))
