"""A concert on the screen: pieces, today over all of them, a key that starts it, changes that can be undone."""

import shutil
from collections.abc import Awaitable, Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from score.errors import RequestError
from score.places import bars_words
from score.reading.read_file import read_score
from score.takes.heart_day import begin
from score.takes.heart_passages import PartByHeart
from score.takes.kept_takes import KeptTakes, TakeOf
from score.takes.readiness import Readiness
from tests.concert.conftest import SAMPLES, TEXT
from tests.takes.test_heart_passages import by_heart
from tests.tui.stand_steps import at_rest, holds, text_of, until, use
from tui.app import InbreathApp
from tui.screens.concert_screen import ConcertScreen
from tui.screens.practice_screen import PracticeScreen

NOW = datetime(2037, 1, 20, 18, 30)
Steps = Callable[[Pilot[int], ConcertScreen], Awaitable[None]]


@pytest.fixture
def concert(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Two short pieces, three rehearsals; the day stands still."""
    monkeypatch.setattr("tui.clock.source", lambda: NOW)
    monkeypatch.setattr("score.takes.history.written_now", lambda: NOW.astimezone(UTC).isoformat())
    monkeypatch.setattr("tui.concert_facts.PLANNING_SECONDS", 0.4)
    for name in ("study.musicxml", "trio-plain.musicxml"):
        shutil.copy(SAMPLES / name, tmp_path / name)
    head, _, rest = TEXT.partition("[[piece]]")
    path = tmp_path / "spring.concert.toml"
    path.write_text(head + rest[rest.index("# Short") :])
    return path


def on_concert(app: InbreathApp, person: str, steps: Steps, size: tuple[int, int] = (80, 24)) -> None:
    async def opened(pilot: Pilot[int]) -> None:
        await until(pilot, "AskOne")
        await pilot.press(person)
        await until(pilot, "ConcertScreen")
        screen = app.screen
        assert isinstance(screen, ConcertScreen)
        await at_rest(pilot)
        await steps(pilot, screen)

    use(app, opened, size)


def test_today_is_of_all_pieces_and_a_key_starts_it(stand, concert: Path, fake_player) -> None:
    app = stand(concert, player=fake_player)

    async def steps(pilot: Pilot[int], screen: ConcertScreen) -> None:
        # Ann plays in one piece, Dan too, then Ben, Cleo and Eve; the samples' own work begins two weeks ahead.
        shown = text_of(app)
        assert "you: Ann" in shown
        assert "Sixteen Paces" in shown
        assert "Kiln Yard" in shown
        assert "concert Saturday 14 March, in 53 days" in shown
        first = next(slot for slot in screen.today.slots if not slot.is_done)
        assert first.piece == 0
        name = screen.facts.chunks[0][first.chunk].chunk.name
        assert f"study {name} {first.minutes} min" in shown
        await pilot.press("g")
        await until(pilot, "PracticeScreen")
        practice = app.screen
        assert isinstance(practice, PracticeScreen)
        assert app.session.path == concert.with_name("study.musicxml")
        assert app.session.me.number == 1
        assert app.session.today[0] == first.chunk
        # What is practised is done on the way back, whatever piece it was of.
        bars = app.session.chunks[first.chunk].chunk.bars
        app.history.rate(app.session.piece.digest, 1, bars, Readiness.UNDER_TEMPO, 0.8)
        await pilot.press("escape")
        await until(pilot, "StandScreen")
        await pilot.press("o")
        await until(pilot, "ConcertScreen")
        await holds(pilot, lambda: all(slot.is_done for slot in screen.today.slots if slot.chunk == first.chunk))

    on_concert(app, "1", steps)


def test_what_is_due_by_heart_in_any_piece_is_part_of_today(stand, concert: Path, fake_player, monkeypatch) -> None:
    """Ann lost two bars of the study yesterday, Dan nothing; the trio is nobody's by heart."""
    monkeypatch.setattr(
        "score.takes.kept_takes.written_now", lambda: (NOW - timedelta(days=1)).astimezone(UTC).isoformat()
    )
    app = stand(concert, player=fake_player)
    piece = read_score(concert.with_name("study.musicxml")).piece
    part = PartByHeart(piece, piece.players[0])
    bars = [index for index, bar in enumerate(part.contents.bars) if bar]
    lost = bars[len(bars) // 2 :][:2]
    what = TakeOf(piece.digest, 1, range(len(piece.bars)), 1.0, source="key", in_sight=False)
    KeptTakes(app.history).keep(what, by_heart(part, what.bars, lost), part.said(by_heart(part, what.bars, lost), ()))
    begin(piece, 1, app.history)

    async def steps(pilot: Pilot[int], screen: ConcertScreen) -> None:
        await holds(pilot, lambda: bool(screen.today.heart.passages))
        shown = text_of(app)
        assert f"study {bars_words(piece, range(lost[0], lost[-1] + 1))} by heart 2 min" in shown
        assert "study questions" in shown
        assert "trio-plain questions" not in shown
        asked = screen.today.heart.questions[0][1]
        await pilot.press("g")
        await until(pilot, "PracticeScreen")
        practice: Any = app.screen
        assert practice.passage.bars == range(lost[0], lost[-1] + 1)
        assert practice.is_at_passage
        assert list(app.session.today) == [slot.chunk for slot in screen.today.slots if slot.piece == 0]
        # Found again, and every chunk practised: the questions are left.
        monkeypatch.setattr("score.takes.kept_takes.written_now", NOW.astimezone(UTC).isoformat)
        good = by_heart(part, what.bars)
        KeptTakes(app.history).keep(what, good, part.said(good, app.history.answers(1).keys()))
        for chunk in app.session.chunks:
            app.history.rate(piece.digest, 1, chunk.chunk.bars, Readiness.BY_HEART, 1.0)
        await pilot.press("escape")
        await until(pilot, "StandScreen")
        await pilot.press("o")
        await until(pilot, "ConcertScreen")
        await holds(pilot, lambda: not screen.today.heart.passages and all(s.is_done for s in screen.today.slots))
        await pilot.press("g")
        await until(pilot, "QuestionsScreen")
        questions: Any = app.screen
        assert set(questions.questions) <= set(asked)
        assert f"1 of {len(questions.questions)}" in text_of(app)

    on_concert(app, "1", steps)


def test_the_calendar_and_the_stage_are_looked_through(stand, concert: Path, fake_player) -> None:
    app = stand(concert, player=fake_player)

    async def steps(pilot: Pilot[int], screen: ConcertScreen) -> None:
        await pilot.press("p")
        await until(pilot, "LeavesScreen")
        await holds(pilot, lambda: "page 1 of 3" in text_of(app))
        assert "Sunday 1 February 19:00, 120 minutes" in text_of(app)
        assert "you: 19:" in text_of(app)
        assert "no calendar can be worth more" in text_of(app)
        await pilot.press("right", "right")
        await holds(pilot, lambda: "page 3 of 3" in text_of(app))
        await pilot.press("pagedown")
        await holds(pilot, lambda: "the whole" in text_of(app))
        await pilot.press("escape")
        await until(pilot, "ConcertScreen")
        await pilot.press("down", "s")
        await until(pilot, "LeavesScreen")
        await holds(pilot, lambda: "Kiln Yard" in text_of(app))
        assert "audience" in text_of(app)
        await pilot.press("pagedown")
        await holds(pilot, lambda: "Change, study to trio-plain" in text_of(app))
        await pilot.press("escape", "f")
        await holds(pilot, lambda: "files are in" in text_of(app))
        assert (concert.parent / "spring-inbreath" / "Ann" / "0-Ann.pdf").is_file()

    on_concert(app, "1", steps)


def not_now(*_: object) -> None:
    raise RequestError("Not now", "nothing is planned in this test", "look at the file")


def test_the_file_is_changed_by_keys_and_taken_back_letter_for_letter(
    stand, concert: Path, fake_player, monkeypatch: pytest.MonkeyPatch
) -> None:
    # The file is read and changed beside the planning, and without it.
    monkeypatch.setattr("tui.screens.concert_screen.concert_facts", not_now)
    app, before = stand(concert, player=fake_player), concert.read_bytes()

    async def typed(pilot: Pilot[int], key: str, text: str) -> None:
        await pilot.press(key)
        await until(pilot, "AskLine")
        app.screen.query_one(Input).value = text
        await pilot.press("enter")

    async def steps(pilot: Pilot[int]) -> None:
        await until(pilot, "ConcertScreen")
        screen = app.screen
        assert isinstance(screen, ConcertScreen)
        await holds(pilot, lambda: "Not now" in text_of(app))
        await pilot.press("plus")
        await holds(pilot, lambda: [piece.name for piece in screen.concert.pieces] == ["trio-plain", "study"])
        await typed(pilot, "r", "2037-02-20 19:00 60")
        await holds(pilot, lambda: len(screen.concert.rehearsals) == 4)
        await typed(pilot, "m", "2037-02-20 Eve")
        await holds(pilot, lambda: screen.concert.rehearsals[2].missing == ("Eve",))
        await typed(pilot, "r", "2037-05-20 19:00 60")
        await until(pilot, "ErrorBox")
        await holds(pilot, lambda: "comes after" in text_of(app))
        await pilot.press("escape")
        await until(pilot, "ConcertScreen")
        assert len(screen.concert.rehearsals) == 4
        await typed(pilot, "c", "late 2037-02-20:Ben 19:15")
        await holds(pilot, lambda: screen.concert.rehearsals[2].late == (("Ben", 15),))
        await typed(pilot, "c", "visits 3")
        await holds(pilot, lambda: screen.concert.visits == 3)
        await typed(pilot, "c", "wings 2")
        await until(pilot, "ErrorBox")
        await holds(pilot, lambda: "says nothing to change" in text_of(app))
        await pilot.press("escape")
        await until(pilot, "ConcertScreen")
        await pilot.press("delete")
        await holds(pilot, lambda: len(screen.concert.pieces) == 1)
        for left in (5, 4, 3, 2, 1, 0):
            await pilot.press("ctrl+z")
            await holds(pilot, lambda left=left: len(screen.undos) == left)  # type: ignore[misc]
            await at_rest(pilot)
        assert concert.read_bytes() == before

    use(app, steps)


def test_a_piece_whose_name_has_a_comma_is_moved_and_given_people(
    stand, concert: Path, fake_player, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tui.screens.concert_screen.concert_facts", not_now)
    concert.with_name("study.musicxml").rename(concert.with_name("Paces, slow.musicxml"))
    concert.write_text(concert.read_text().replace("study.musicxml", "Paces, slow.musicxml"))
    app = stand(concert, player=fake_player)

    async def steps(pilot: Pilot[int]) -> None:
        await until(pilot, "ConcertScreen")
        screen = app.screen
        assert isinstance(screen, ConcertScreen)
        await holds(pilot, lambda: screen.concert is not None)
        await pilot.press("plus")
        await holds(pilot, lambda: screen.concert.pieces[1].name == "Paces, slow")
        await pilot.press("e")
        await until(pilot, "AskLine")
        app.screen.query_one(Input).value = "Dan, Ann"
        await pilot.press("enter")
        await holds(pilot, lambda: screen.concert.pieces[1].people == ("Dan", "Ann"))
        # What somebody writes into the file meanwhile is not undone along.
        changed = concert.read_text() + "# bring the key\n"
        concert.write_text(changed)
        await pilot.press("ctrl+z")
        await until(pilot, "ErrorBox")
        await holds(pilot, lambda: "has been changed elsewhere since" in text_of(app))
        assert concert.read_text() == changed

    use(app, steps)


def test_a_concert_stands_first_in_the_list_of_its_folder(stand, concert: Path, fake_player, monkeypatch) -> None:
    monkeypatch.chdir(concert.parent)
    app = stand(None, player=fake_player)

    async def steps(pilot: Pilot[int]) -> None:
        await until(pilot, "PiecesScreen")
        await holds(pilot, lambda: "concerts in this folder" in text_of(app))
        await pilot.press("enter")
        await until(pilot, "AskOne")
        await holds(pilot, lambda: "Who are you?" in text_of(app))
        await pilot.press("escape")
        await until(pilot, "ConcertScreen")
        await pilot.press("g")
        await holds(pilot, lambda: "Nothing is planned for today." in text_of(app))

    use(app, steps)


def test_what_does_not_fit_is_said_in_place_of_the_plan(stand, concert: Path, fake_player) -> None:
    concert.write_text(concert.read_text().replace("width = 10.0", "width = 2.0"))
    app = stand(concert, player=fake_player)

    async def steps(pilot: Pilot[int]) -> None:
        await until(pilot, "ConcertScreen")
        await holds(pilot, lambda: "Hall too small: study takes" in text_of(app))
        await pilot.press("g")
        await holds(pilot, lambda: "The calendar is being made." in text_of(app))

    use(app, steps, (120, 30))
