"""The plan: its rules, the best there is on small cases, better than two simple plans, its files, its refusals."""

import csv
import io
import random
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import product
from pathlib import Path

import pypdfium2
import pytest
from icalendar import Calendar

from score.errors import RequestError
from score.group.group_file import read_group
from score.plan import rehearsal_choice
from score.plan.calendar_file import plan_calendar
from score.plan.from_group import group_concert, group_minutes, group_rehearsals
from score.plan.own_work import own_minutes, own_work
from score.plan.plan import make_plan
from score.plan.plan_inputs import Material, PlanInputs, Rehearsal
from score.plan.plan_of_piece import plan_of, write_plan
from score.plan.plan_tasks import TaskKind, difficulty, tasks_of
from score.plan.plan_texts import plan_csv, plan_json, plan_markdown, plan_text
from score.plan.rehearsal_choice import TaskChoice, allowed, choose, playing_minutes, worth
from score.plan.rehearsal_order import items_of
from score.reading import read_score

SAMPLES = Path(__file__).parents[2] / "samples"
FIRST = datetime(2027, 3, 2, 19, 0)
PLAYERS = ((1, "Player 1"), (2, "Player 2"), (3, "Player 3"), (4, "Player 4"))


def chunk(together: float, seconds: float = 30.0, needed: tuple[int, ...] = (1, 2, 3, 4)) -> Material:
    return Material("A", seconds, together, own=tuple((n, together) for n, _ in PLAYERS), needed=needed)


def inputs(chunks: list[Material], minutes: list[int], missing: dict[int, tuple[int, ...]] | None = None) -> PlanInputs:
    rehearsals = tuple(
        Rehearsal(FIRST + timedelta(days=3 * day), length, (missing or {}).get(day, ()))
        for day, length in enumerate(minutes)
    )
    named = tuple(replace(c, name=f"chunk {i + 1}") for i, c in enumerate(chunks))
    return PlanInputs(
        "Drawn",
        named,
        rehearsals,
        concert=date(2027, 4, 30),
        today=date(2027, 2, 10),
        minutes_a_day=((1, 30),),
        players=PLAYERS,
    )


def random_inputs(seed: int) -> PlanInputs:
    chance = random.Random(seed)
    chunks = [
        chunk(chance.random(), chance.uniform(10, 50), tuple(n for n in (1, 2, 3, 4) if chance.random() < 0.8) or (1,))
        for _ in range(chance.randint(2, 7))
    ]
    missing = {day: (chance.randint(1, 4),) for day in range(3) if chance.random() < 0.3}
    return inputs(chunks, [chance.choice([30, 60, 90]) for _ in range(chance.randint(1, 3))], missing)  # type: ignore[arg-type]


@pytest.mark.parametrize("seed", range(12))
def test_every_rule_holds(seed: int) -> None:
    given = random_inputs(seed)
    tasks = tasks_of(given.chunks)
    choice = choose(tasks, given)
    assert allowed(tasks, given, choice.visits)
    for rehearsal, items in zip(given.rehearsals, items_of(tasks, given, choice), strict=True):
        clock = 0
        for item in items:
            assert item.begins == clock
            clock += item.minutes
        assert clock <= rehearsal.minutes


@pytest.mark.parametrize(
    ("minutes", "hardness"), [([14, 14], [0.9, 0.2]), ([20], [0.5, 0.5]), ([12, 25], [0.8, 0.1]), ([40, 9], [0.3, 0.9])]
)
def test_no_plan_is_better_on_small_cases(minutes: list[int], hardness: list[float]) -> None:
    # Outside check: every way to visit every task.
    given = inputs([chunk(value) for value in hardness], minutes)
    tasks = tasks_of(given.chunks)
    subsets = [tuple(p for p in range(len(tasks)) if bits >> p & 1) for bits in range(2 ** len(tasks))]
    best = max(
        worth(tasks, given, visits) for visits in product(subsets, repeat=len(minutes)) if allowed(tasks, given, visits)
    )
    assert worth(tasks, given, choose(tasks, given).visits) >= best * 0.998 - 1e-9


def filled(given: PlanInputs, order: list[int]) -> tuple[tuple[int, ...], ...]:
    """A simple plan: chunks in an order, each join as soon as both its chunks are done, while there is time."""
    tasks = tasks_of(given.chunks)
    whole = len(tasks) - 1
    waiting, done = list(order), set[int]()
    visits = []
    for day, rehearsal in enumerate(given.rehearsals):
        here: list[int] = []
        left = playing_minutes(rehearsal)
        if day == len(given.rehearsals) - 1 and tasks[whole].minutes <= left:
            here.append(whole)
            left -= tasks[whole].minutes
        for position in list(waiting):
            if tasks[position].minutes <= left and set(tasks[position].after) <= done | set(here):
                here.append(position)
                waiting.remove(position)
                left -= tasks[position].minutes
        if not waiting:
            waiting = list(order)
        done |= set(here)
        visits.append(tuple(sorted(here)))
    return tuple(visits)


@pytest.mark.parametrize("name", ["quartet", "study", "trio-ids"])
@pytest.mark.parametrize("minutes", [[45], [60, 60], [90, 60, 90]])
def test_at_least_as_good_as_score_order_and_hardest_first(
    name: str, minutes: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    # Beside other work a second and a half is little.
    monkeypatch.setattr(rehearsal_choice, "_SECONDS", 20.0)
    piece = read_score(SAMPLES / f"{name}.musicxml").piece
    rehearsals = [Rehearsal(FIRST + timedelta(days=3 * i), length) for i, length in enumerate(minutes)]
    given = plan_of(piece, read_group(Path("none.toml")), rehearsals, date(2027, 4, 1), date(2027, 2, 20)).plan.inputs
    tasks = tasks_of(given.chunks)
    ours = worth(tasks, given, choose(tasks, given).visits)
    order = list(range(len(tasks) - 1))
    hardest = sorted(
        order, key=lambda p: (tasks[p].kind is not TaskKind.CHUNK, -difficulty(given.chunks[tasks[p].first]))
    )
    for simple in (order, hardest):
        assert ours >= worth(tasks, given, filled(given, simple)) - 0.01


def test_the_last_rehearsal_ends_with_the_whole() -> None:
    made = make_plan(inputs([chunk(0.5) for _ in range(4)], [60, 60]))
    assert made.items[-1][-1].kind is TaskKind.WHOLE


def test_chunks_come_before_their_joins_and_joins_before_runs() -> None:
    made = make_plan(inputs([chunk(0.2 + 0.1 * i) for i in range(6)], [90, 90, 90]))
    seen: set[tuple[TaskKind, int]] = set()
    for items in made.items:
        for item in items:
            if item.kind is TaskKind.JOIN:
                assert {(TaskKind.CHUNK, item.first), (TaskKind.CHUNK, item.last)} <= seen
            if item.kind is TaskKind.RUN:
                assert {(TaskKind.JOIN, i) for i in range(item.first, item.last)} <= seen
            seen.add((item.kind, item.first))


def test_a_missing_players_day_takes_chunks_that_can_do_without() -> None:
    without = [chunk(0.5, needed=(1, 2, 3)) if i % 2 else chunk(0.5) for i in range(6)]
    made = make_plan(inputs(without, [22, 90], {0: (4,)}))
    assert {item.first % 2 for item in made.items[0]} == {1}
    assert not [item for item in made.items[0] if item.kind in (TaskKind.RUN, TaskKind.WHOLE)]


def test_breaks_and_what_does_not_fit_are_said() -> None:
    made = make_plan(inputs([chunk(0.9, 50) for _ in range(8)], [120]))
    assert sum(item.kind is TaskKind.BREAK for item in made.items[0]) == 1
    assert made.left_out
    assert all(line in plan_text(made) for line in made.left_out)


def test_material_that_comes_back_is_rehearsed_once() -> None:
    chunks = [chunk(0.5), chunk(0.6), replace(chunk(0.5), repeats=0)]
    made = make_plan(inputs(chunks, [90, 90]))
    assert not [item for items in made.items for item in items if item.kind is TaskKind.CHUNK and item.first == 2]
    assert [item for items in made.items for item in items if item.kind is TaskKind.JOIN and item.last == 2]


def test_own_work_is_done_a_rehearsal_ahead_and_within_the_minutes() -> None:
    given = inputs([chunk(0.3 + 0.1 * i) for i in range(5)], [60, 60, 60])
    made = make_plan(given)
    firsts = {}  # type: ignore[var-annotated]
    for day, items in enumerate(made.items):
        for item in items:
            if item.kind is TaskKind.CHUNK:
                firsts.setdefault(item.first, day)
    for work in made.own:
        for day in work.days:  # type: ignore[assignment]
            assert sum(slot.minutes for slot in day.slots) <= dict(given.minutes_a_day).get(work.player, 45)  # type: ignore[attr-defined]
            for slot in day.slots:  # type: ignore[attr-defined]
                assert day.day <= given.rehearsals[max(0, firsts[slot.chunk] - 1)].start.date()  # type: ignore[attr-defined]
        done = {i: sum(s.minutes for d in work.days for s in d.slots if s.chunk == i) for i in range(5)}
        left = dict(work.left)
        assert all(done[i] + left.get(i, 0) == own_minutes(given.chunks[i].together) for i in range(5))


def test_own_work_that_finds_no_day_is_said() -> None:
    given = replace(inputs([chunk(0.9) for _ in range(6)], [60]), today=FIRST.date(), minutes_a_day=((1, 10),))
    tasks = tasks_of(given.chunks)
    work = own_work(tasks, given, choose(tasks, given))
    assert work[0].left


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"rehearsals": ()}, "No rehearsals"),
        ({"rehearsals": (Rehearsal(FIRST, 90), Rehearsal(FIRST + timedelta(hours=1), 60))}, "overlap"),
        ({"rehearsals": (Rehearsal(FIRST, 0),)}, "0 minutes"),
        ({"rehearsals": (Rehearsal(datetime(2026, 1, 1, 19), 60),)}, "is before"),
        ({"concert": date(2027, 3, 1)}, "Concert before"),
        ({"rehearsals": (Rehearsal(FIRST, 60, (9,)),)}, "player 9"),
        ({"minutes_a_day": ((1, -5),)}, "-5"),
    ],
)
def test_what_cannot_be_is_one_line(change: dict[str, object], said: str) -> None:
    given = replace(inputs([chunk(0.5)], [60]), **change)  # type: ignore[arg-type]
    with pytest.raises(RequestError, match=said) as caught:
        make_plan(given)
    assert "\n" not in caught.value.line


def test_the_groups_file_gives_dates_and_minutes(tmp_path: Path) -> None:
    path = tmp_path / "q.group.toml"
    path.write_text(
        "concert = 2027-03-14\n[[rehearsal]]\nat = 2027-03-02T19:00:00\nminutes = 90\nmissing = [2]\n"
        '[[rehearsal]]\nat = "2027-03-09T18:30"\nminutes = 60\n[[practice]]\nplayer = 1\nminutes = 40\n'
    )
    group = read_group(path)
    assert group_rehearsals(group) == (
        Rehearsal(FIRST, 90, (2,)),
        Rehearsal(datetime(2027, 3, 9, 18, 30), 60),
    )
    assert group_concert(group) == date(2027, 3, 14)
    assert group_minutes(group) == ((1, 40),)


def test_the_calendar_is_what_rfc_5545_asks() -> None:
    made = make_plan(inputs([chunk(0.5) for _ in range(3)], [60, 90]))
    stamp = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
    data = plan_calendar(made, stamp)
    assert data == plan_calendar(made, stamp)
    # RFC 5545: lines end with CRLF and hold 75 octets at most; a calendar has VERSION and PRODID, an event UID,
    # DTSTAMP and DTSTART.
    lines = data.split(b"\r\n")
    assert all(len(line) <= 75 and b"\n" not in line for line in lines)
    calendar = Calendar.from_ical(data)
    assert calendar["version"] == "2.0"
    assert calendar["prodid"]
    events = list(calendar.walk("VEVENT"))
    assert len(events) == 3
    assert len({str(event["uid"]) for event in events}) == 3
    assert all(event.get("dtstamp") and event.get("dtstart") for event in events)
    assert events[0].decoded("dtstart") == FIRST
    assert events[0].decoded("dtend") - events[0].decoded("dtstart") == timedelta(minutes=60)


def test_texts_hold_every_line() -> None:
    made = make_plan(inputs([chunk(0.5) for _ in range(3)], [60, 90]))
    rows = list(csv.DictReader(io.StringIO(plan_csv(made))))
    items = [item for items in made.items for item in items]
    assert sum(row["kind"] != "own work" for row in rows) == len(items)
    assert plan_markdown(made).count("\n## ") >= 2
    documented = plan_json(made)
    assert [len(r["items"]) for r in documented["rehearsals"]] == [len(items) for items in made.items]  # type: ignore[attr-defined]


def test_minutes_by_heart_are_taken_off_the_day_and_said() -> None:
    usual = inputs([chunk(0.9) for _ in range(6)], [60, 90])
    made = make_plan(replace(usual, by_heart=((1, 10),)))
    most = [max(sum(s.minutes for s in day.slots) for day in plan.own[0].days) for plan in (make_plan(usual), made)]
    assert most[0] > 20 >= most[1]
    assert [work.by_heart for work in made.own] == [10, 0, 0, 0]
    assert "own work, plus 10 min a day by heart" in plan_text(made)
    assert ": own work, plus 10 min a day by heart" in plan_markdown(made)
    assert plan_json(made)["own_work"][0]["by_heart"] == 10  # type: ignore[index]
    # Never more than the day has.
    assert make_plan(replace(usual, by_heart=((1, 90),))).own[0].by_heart == 30


def test_the_sheet_is_one_page_with_everything(tmp_path: Path) -> None:
    piece = read_score(SAMPLES / "quartet.musicxml").piece
    rehearsals = [Rehearsal(FIRST + timedelta(days=3 * i), 120) for i in range(4)]
    made = plan_of(piece, read_group(Path("none.toml")), rehearsals, date(2027, 4, 1), date(2027, 2, 20))
    files = write_plan(made, piece, tmp_path, "quartet", datetime(2026, 11, 25, tzinfo=UTC))
    assert sorted(path.suffix for path in files) == [".csv", ".ics", ".md", ".pdf"]
    pdf = pypdfium2.PdfDocument(next(path for path in files if path.suffix == ".pdf"))
    assert len(pdf) == 1
    text = " ".join(pdf[0].get_textpage().get_text_bounded().split())
    assert piece.title in text
    for rehearsal in rehearsals:
        assert f"{rehearsal.start:%Y-%m-%d}" in text
    for entry in made.chunks:
        assert entry.name in text


def test_nothing_to_choose_from_is_no_error() -> None:
    given = inputs([chunk(0.5)], [5])
    tasks = tasks_of(given.chunks)
    choice = choose(tasks, given)
    assert isinstance(choice, TaskChoice)
    assert allowed(tasks, given, choice.visits)
