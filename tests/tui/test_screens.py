"""The screens as a player uses them: keys in, letters out, and what is kept."""

from collections.abc import Callable
from pathlib import Path
from threading import Event

import pypdfium2
import pytest
from textual.pilot import Pilot

from score.takes.history import History
from tests.longer import longer
from tests.tui.stand_steps import holds, open_as, says, text_of, until, use
from tui.key_bindings import known_names
from tui.keys import TABLES
from tui.opening import ScoreSource, open_session
from tui.session import Session
from tui.settings import Settings, read_settings


@pytest.mark.parametrize("size", [(80, 24), longer((200, 60)), longer((60, 20))])
def test_the_overview_shows_who_plays_when_and_what_chunks_ask(stand, score: Path, size: tuple[int, int]) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await open_as(pilot, 2)
        text = text_of(pilot.app)
        assert "Low Water, Four Lanterns" in text
        assert "you: 2" in text
        assert "17-40" in text
        lines = text.splitlines()
        assert all(len(line) <= size[0] for line in lines)
        assert any(line.startswith(" 2 ") and "█" in line for line in lines)

    use(stand(score), steps, size)


@pytest.mark.campaign
def test_who_and_place_are_kept(stand, score: Path, tmp_path: Path, fake_player) -> None:
    async def first(pilot: Pilot[int]) -> None:
        await open_as(pilot, 3)
        await pilot.press("slash")
        await pilot.press("E", "enter")
        await pilot.press("enter")
        await until(pilot, "PracticeScreen")
        await pilot.press("escape")
        await until(pilot, "StandScreen")

    use(stand(score, player=fake_player), first)
    (piece,) = History(tmp_path / "history.sqlite").pieces()
    assert (piece.player, piece.bar) == (3, 80)

    async def second(pilot: Pilot[int]) -> None:
        await until(pilot, "PiecesScreen")
        await holds(pilot, lambda: "player 3" in text_of(pilot.app))
        await pilot.press("enter")
        await until(pilot, "StandScreen")
        await holds(pilot, lambda: "you: 3" in text_of(pilot.app))

    use(stand(None), second)


@pytest.mark.campaign
def test_files_are_written_from_here(stand, score: Path, tmp_path: Path) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await open_as(pilot, 2)
        await pilot.press("f")
        await until(pilot, "FilesScreen")
        await pilot.press("down", "enter")
        await holds(pilot, lambda: "files are in" in text_of(pilot.app))
        pdf = pypdfium2.PdfDocument(tmp_path / "quartet-inbreath" / "quartet-player-2.pdf")
        # The planted change at bar 88 has its small word here too.
        assert "quick: 0.8 s" in " ".join(page.get_textpage().get_text_bounded() for page in pdf)
        await pilot.press("end", "enter")
        await holds(pilot, lambda: "4 files are in" in text_of(pilot.app))
        assert (tmp_path / "quartet-inbreath" / "quartet-gear.md").exists()

    use(stand(score), steps)


def test_a_score_that_cannot_be_read_is_said_and_the_list_stays(stand, tmp_path: Path) -> None:
    (tmp_path / "no.musicxml").write_text("<html></html>")

    async def steps(pilot: Pilot[int]) -> None:
        await until(pilot, "ErrorBox")
        await holds(pilot, lambda: "Not a score" in text_of(pilot.app))
        assert "no.musicxml" in text_of(pilot.app)
        await pilot.press("x")
        await until(pilot, "PiecesScreen")

    use(stand(tmp_path / "no.musicxml"), steps)


def test_every_action_is_in_the_help_and_nothing_else(stand, score: Path, fake_player) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await open_as(pilot, 1)
        await pilot.press("enter")
        await until(pilot, "PracticeScreen")
        await pilot.press("f1")
        await until(pilot, "HelpScreen")
        lines = [line for line in pilot.app.screen.lines if "  " in line]
        words = {action.words for table in ("practice", "everywhere") for action in TABLES[table]}
        assert {line.split("  ")[-1] for line in lines} == words

    use(stand(score, player=fake_player), steps)


@pytest.mark.campaign
def test_keys_can_be_changed(stand, score: Path, fake_player, tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.write_text('[keys]\nplay = "p"\n')
    settings = read_settings(path, known_names())

    async def steps(pilot: Pilot[int]) -> None:
        await open_as(pilot, 1)
        await pilot.press("enter")
        await until(pilot, "PracticeScreen")
        await pilot.press("p")
        await holds(pilot, lambda: "play" in fake_player.names())

    use(stand(score, settings, fake_player), steps)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[keys", "cannot be read"),
        ('keys = "x"', "not a table"),
        ('[keys]\nnonsense = "x"', "nonsense"),
        ('[keys]\nplay = ""', "not text"),
        ("light = 3", "neither true nor false"),
        ('letters = "few"', "'auto' nor 'plain'"),
        ("notation = 1", "'auto' nor 'text'"),
        ("colour = 1", "colour"),
    ],
)
def test_settings_that_cannot_be_used_are_named_and_usual_ones_taken(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "settings.toml"
    path.write_text(text)
    settings = read_settings(path, known_names())
    assert said in settings.troubles[0]
    assert settings.keys == {}
    assert read_settings(tmp_path / "none.toml", known_names()) == Settings()


@pytest.mark.campaign
def test_tubes_follow_what_is_typed(stand, score: Path, tmp_path: Path) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await open_as(pilot, 1)
        await pilot.press("t")
        await until(pilot, "TubesScreen")
        screen = pilot.app.screen
        await says(pilot, "C3")
        screen.query_one("#notes").value = "Q9"
        await pilot.press("enter")
        await says(pilot, "Q9")
        assert "\n" not in str(screen.query_one("#answer").render()).strip()
        screen.query_one("#notes").value = "G3 A3"
        await pilot.press("enter")
        await says(pilot, "A3")
        await pilot.press("ctrl+s")
        await holds(pilot, lambda: bool(list((tmp_path / "quartet-inbreath").glob("*.pdf"))))

    use(stand(score), steps)


@pytest.mark.campaign
def test_reading_can_be_stopped(stand, score: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    left, ended = Event(), Event()

    def held(source: ScoreSource, report: Callable[[str, float], None]) -> Session:
        # However quick the machine is, reading goes on after it was stopped.
        assert left.wait(60)
        try:
            return open_session(source, report)
        finally:
            ended.set()

    monkeypatch.setattr("tui.screens.opening_screen.open_session", held)

    async def steps(pilot: Pilot[int]) -> None:
        await until(pilot, "OpeningScreen")
        await pilot.press("escape")
        await until(pilot, "PiecesScreen")
        left.set()
        await holds(pilot, ended.is_set)
        assert type(pilot.app.screen).__name__ == "PiecesScreen"
        assert "Not" not in text_of(pilot.app)

    app = stand(score)
    use(app, steps)
    assert app.session is None
