"""Options that take a number: whatever is none, or out of the limits, is one line before anything is read."""

from collections.abc import Iterator
from pathlib import Path

import click
import pytest

from tui.command import inbreath, run
from tui.option_numbers import TypedNumber

NO_NUMBERS = ("nan", "inf", "-inf", "1e400", "", "twelve", "0x10", "1,5", "9" * 5000, "\u00b2")
"""The last is a digit to Unicode (general category No), and no decimal one."""


def numbered(command: click.Command, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], click.Option]]:
    """Each option of every command that takes a number, behind the words that lead there."""
    if isinstance(command, click.Group):
        for name in command.list_commands(click.Context(command)):
            below = command.get_command(click.Context(command), name)
            assert below is not None
            yield from numbered(below, (*path, name))
        return
    required = [param for param in command.params if param.required and isinstance(param, click.Argument)]
    for param in command.params:
        # A range of click's takes "nan", because it is neither under nor over.
        assert not isinstance(param.type, (click.types.FloatParamType, click.types.IntParamType)), param.name
        if isinstance(param, click.Option) and isinstance(param.type, TypedNumber):
            yield (*path, *("x" for _ in required)), param


OPTIONS = [pytest.param(words, option, id=f"{words[0]}{option.opts[0]}") for words, option in numbered(inbreath)]


def refused(words: tuple[str, ...], option: click.Option, text: str, capsys: pytest.CaptureFixture[str]) -> str:
    assert run([*words, f"{option.opts[0]}={text}"]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    return line


@pytest.mark.parametrize(("words", "option"), OPTIONS)
def test_what_is_no_number_is_refused_in_one_line(
    words: tuple[str, ...], option: click.Option, capsys: pytest.CaptureFixture[str]
) -> None:
    assert isinstance(option.type, TypedNumber)
    kind = "whole number" if option.type.whole else "number"
    limits = f"from {option.type.limits}" if option.type.limits else ""
    for text in NO_NUMBERS:
        line = refused(words, option, text, capsys)
        assert option.opts[0] in line
        assert f"is not a {kind}" in line
        assert limits in line


@pytest.mark.parametrize(("words", "option"), OPTIONS)
def test_the_limits_stand_in_the_help_and_hold(
    words: tuple[str, ...], option: click.Option, capsys: pytest.CaptureFixture[str]
) -> None:
    figure = option.type
    assert isinstance(figure, TypedNumber)
    if figure.between is None:
        return
    # A pass is called by its number in a list.
    assert option.opts[0] == "--take" or f"{figure.limits}]" in (option.help or "")
    for beyond in (figure.between[0] - 1, figure.between[1] + 1):
        assert f"from {figure.limits}" in refused(words, option, f"{beyond:g}", capsys)
    for limit in figure.between:
        assert figure.convert(f"{limit:.10g}", None, None) == limit


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("tracks", "--player", "0"), "no player 0"),
        (("play", "--player", "0", "--silent"), "no player 0"),
        (("tracks", "--player", "1", "--bars", "A+\u00b2"), "A+\u00b2"),
        (("plan", "--rehearsal", "2099-03-02T19:00/99999999999999"), "1440"),
        (("plan", "--rehearsal", "2099-03-02T19:00/90", "--minutes", "9:40"), "no player 9"),
        (("plan", "--rehearsal", "2099-03-02T19:00/90", "--minutes", "1:9999"), "1440"),
        (("plan", "--rehearsal", "2099-03-02T19:00/90", "--missing", "2099-03-03:1"), "2099-03-03"),
        (("plan", "--rehearsal", "2099-03-02T19:00/90", "--missing", "2099-03-02"), "write 2027-03-02:2"),
    ],
)
def test_figures_within_words_are_refused_too(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], said: str
) -> None:
    score = Path(__file__).parents[2] / "samples" / "trio-ids.musicxml"
    command, *rest = arguments
    dates = ["--concert", "2099-03-14"] if command == "plan" else []
    out = ["--out", str(tmp_path)] if command != "play" else []
    assert run([command, str(score), *rest, *dates, *out]) == 2
    line = capsys.readouterr().err.splitlines()[-1]
    assert said in line.replace("No such player: player", "no player")
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("wish", [("--person", "Ann:nan"), ("--person", "Ann:inf"), ("--hall", "nanx6")])
def test_a_concert_takes_no_endless_figures(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], wish: tuple[str, str]
) -> None:
    concert = tmp_path / "spring.concert.toml"
    assert run(["concert", "edit", str(concert), "--title", "Spring"]) == 0
    before = concert.read_bytes()
    capsys.readouterr()
    assert run(["concert", "edit", str(concert), *wish]) == 2
    assert "Not a number" in capsys.readouterr().err
    assert concert.read_bytes() == before


def test_a_concert_takes_no_bytes_that_are_no_letters(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Python hands on such bytes of a command line as lone surrogates (PEP 383)."""
    concert = tmp_path / "spring.concert.toml"
    assert run(["concert", "edit", str(concert), "--title", "Spring \udcff"]) == 2
    assert "Name not usable: spring.concert.toml" in capsys.readouterr().err
    assert not concert.exists()
