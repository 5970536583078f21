"""Today over all pieces: ten minutes by heart in all, chunks of every piece in its turn."""

from contextlib import closing
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from score.concert.concert_file import read_concert
from score.concert.concert_pieces import ConcertPiece, concert_pieces
from score.concert.concert_today import concert_heart, shared_out
from score.concert.programme_of_concert import OwnState, programme_of
from score.concert.programme_plan import plan_programme
from score.concert.programme_texts import programme_json, programme_text
from score.group.group_file import group_path, read_group
from score.plan.plan_inputs import USUAL_MINUTES_A_DAY
from score.plan.today import TodaySlot
from score.reading.read_file import read_score
from score.takes.heart_day import A_ROUND, MINUTES, MOST_PASSAGES, PASSAGE_MINUTES, HeartDay, first_day, minutes_of
from score.takes.heart_passages import LostPassage, PartByHeart
from score.takes.history import History
from tests.concert.drawn_programmes import drawn_programme
from tests.longer import longer
from tui.concert_facts import concert_facts, today_of


@pytest.fixture
def pieces(concert: Path) -> tuple[ConcertPiece, ...]:
    """The concert's three pieces."""
    file = read_concert(concert)
    return concert_pieces(
        file, [(read_score(entry.score), read_group(group_path(entry.score))) for entry in file.pieces]
    )


def first_days(pieces: tuple[ConcertPiece, ...], *mine: int) -> dict[int, HeartDay]:
    """What the first player of some pieces is asked on a first day."""
    return {
        place: first_day(PartByHeart(pieces[place].piece, pieces[place].piece.players[0]), date(2037, 1, 20), None)
        for place in mine
    }


def lost(bar: int) -> LostPassage:
    return LostPassage(range(bar, bar + 1), range(bar, bar + 2))


def test_ten_minutes_by_heart_are_shared_out_among_pieces(pieces: tuple[ConcertPiece, ...]) -> None:
    days = first_days(pieces, 0, 1)
    (first, second) = concert_heart(days).questions
    assert (first[0], second[0]) == (0, 1)
    # As many of each, as far as there are any, in the order in which the piece alone asks them.
    assert len(first[1]) + len(second[1]) == min(A_ROUND, sum(len(day.questions) for day in days.values()))
    assert abs(len(first[1]) - len(second[1])) <= 1 or min(len(first[1]), len(second[1])) == len(days[1].questions)
    assert all(mine == days[piece].questions[: len(mine)] for piece, mine in (first, second))
    assert concert_heart({0: days[0]}).questions == ((0, days[0].questions),)


@pytest.mark.parametrize(("lost_in_first", "lost_in_second", "played"), [(4, 3, 0), (1, 1, 0), (1, 1, 2), (0, 0, 4)])
def test_passages_come_first_four_a_day_over_all_pieces(
    pieces: tuple[ConcertPiece, ...], lost_in_first: int, lost_in_second: int, played: int
) -> None:
    days = first_days(pieces, 0, 1)
    many = {0: lost_in_first, 1: lost_in_second}
    days = {place: day._replace(passages=tuple(map(lost, range(many[place])))) for place, day in days.items()}
    days[0] = days[0]._replace(played=played)
    heart = concert_heart(days)
    assert len(heart.passages) == min(MOST_PASSAGES - played, lost_in_first + lost_in_second)
    # A piece in its turn.
    assert [piece for piece, _ in heart.passages][:2] == [0, 1][: len(heart.passages)]
    minutes = PASSAGE_MINUTES * (len(heart.passages) + played)
    asked = sum(len(questions) for _, questions in heart.questions)
    assert minutes + minutes_of(asked) <= MINUTES
    assert asked > 0 or minutes >= MINUTES - 1


def test_what_was_answered_today_is_not_asked_beyond_the_minutes(pieces: tuple[ConcertPiece, ...]) -> None:
    days = first_days(pieces, 0, 1)
    days[0] = days[0]._replace(asked=A_ROUND - 4)
    assert sum(len(questions) for _, questions in concert_heart(days).questions) == 4
    days[1] = days[1]._replace(asked=4)
    assert concert_heart(days).questions == ()


def test_chunks_are_shared_out_a_piece_in_its_turn_within_the_minutes() -> None:
    slots = [TodaySlot(chunk, 8, "") for chunk in range(4)]
    shared = shared_out({0: slots, 2: slots[:2], 1: ()}, 45)
    assert [(piece, slot.chunk) for piece, slot in shared] == [(0, 0), (2, 0), (0, 1), (2, 1), (0, 2)]
    assert shared_out({0: slots}, 7) == ()


def test_the_calendar_leaves_the_minutes_by_heart_free_of_chunks(
    concert: Path, pieces: tuple[ConcertPiece, ...]
) -> None:
    own, changes = OwnState(by_heart={"Ann": MINUTES}), (0.0, 0.0)
    assert programme_of(read_concert(concert), pieces, date(2037, 1, 20), changes, own).by_heart == (10, 0, 0, 0, 0)
    # Small enough to be proven the best in a fifth of a second, so that both searches end at the same calendar.
    usual = drawn_programme(3, pieces=2, evenings=2, people=3)
    plans = [plan_programme(replace(usual, by_heart=minutes), 20) for minutes in ((), (MINUTES, 0, 0))]
    before, after = (
        [[sum(slot.minutes for slot in day.slots) for day in work.days] for work in plan.own] for plan in plans
    )
    assert max(before[0]) > 45 - MINUTES >= max(after[0])
    assert before[1:] == after[1:]
    assert "A, own work, plus 10 min a day by heart" in programme_text(plans[1])
    said = programme_json(plans[1])["own_work"]
    assert isinstance(said, list)
    assert [entry["by_heart"] for entry in said] == [10, 0, 0]


@pytest.mark.parametrize(
    ("concert_says", "group_says", "minutes"), [longer(None, 20, 20), (150, 20, 150), longer(0, None, 0)]
)
def test_without_a_calendar_today_takes_the_minutes_that_a_file_gives(
    concert: Path, tmp_path: Path, concert_says: int | None, group_says: int | None, minutes: int
) -> None:
    """Of the whole day, whatever one piece has to do: Ann plays the quartet and the study."""
    text = concert.read_text().split("[[rehearsal]]", maxsplit=1)[0]
    person = f'[[person]]\nname = "Ann"\nminutes = {concert_says}\n' if concert_says is not None else ""
    concert.write_text(text + person)
    if group_says is not None:
        group = concert.with_name("study.group.toml")
        group.write_text(
            f"[[practice]]\nplayer = 1\nminutes = {group_says}\n\n[[practice]]\nplayer = 2\nminutes = 99\n"
        )
    with closing(History(tmp_path / "history.sqlite")) as history:
        facts = concert_facts(read_concert(concert), history, "Ann", date(2037, 1, 20))
        slots = today_of(facts, history, "Ann", date(2037, 1, 20)).slots
    assert facts.plan is None
    taken = sum(slot.minutes for slot in slots)
    assert taken <= minutes
    # Less than the shortest slot is left over, or the quartet alone takes more than the usual minutes of a day.
    assert minutes - taken < 3 or sum(slot.minutes for slot in slots if slot.piece == 0) > USUAL_MINUTES_A_DAY
    assert programme_of(facts.concert, facts.pieces, date(2037, 1, 20), (0.0, 0.0)).minutes_a_day[0] == minutes
