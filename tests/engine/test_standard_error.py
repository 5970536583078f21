"""Standard error under a screen: drawn through a descriptor of its own, found again by whatever is started."""

import io
import os
import sys

import pytest

from score.processes import own_stderr, quiet_stderr, started_from_screens


def test_a_screen_is_drawn_while_libraries_are_silenced(capfd: pytest.CaptureFixture[str]) -> None:
    with own_stderr():
        os.write(2, b"a library's warning")
        with quiet_stderr():
            assert sys.__stderr__ is not None
            sys.__stderr__.write("drawn")
            sys.__stderr__.flush()
        sys.stderr.write(" too")
    os.write(2, b" afterwards")
    assert capfd.readouterr().err == "drawn too afterwards"


def test_what_is_started_from_a_screen_finds_a_standard_error(monkeypatch: pytest.MonkeyPatch) -> None:
    class Shown(io.StringIO):
        def fileno(self) -> int:
            return -1

    shown = Shown()
    monkeypatch.setattr(sys, "stderr", shown)
    with started_from_screens():
        assert sys.stderr is sys.__stderr__
    assert sys.stderr is shown
