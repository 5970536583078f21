"""Every score gets its line exactly once, with both engines, whatever happens to the processes."""

from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from score.errors import RequestError
from score.library import dask_engine
from score.library.dask_engine import DaskEngine, check_address
from score.library.joblib_engine import JoblibEngine
from score.library.score_work import ScoreLine, ScoreWork, WorkLimits
from score.library.spreading import Engine, spread
from tests.library import readers

USUAL = WorkLimits()
ENGINES: dict[str, Callable[[], Engine]] = {"joblib": lambda: JoblibEngine(2), "dask": lambda: DaskEngine(workers=2)}


@pytest.fixture(scope="module", params=["joblib", pytest.param("dask", marks=pytest.mark.campaign)])
def engine(request: pytest.FixtureRequest) -> Iterator[Engine]:
    started = ENGINES[request.param]()
    yield started
    started.close()


def works(*names: str, content: bytes = b"", limits: WorkLimits = USUAL) -> list[ScoreWork]:
    return [ScoreWork(name, content, limits=limits) for name in names]


def lines_of(answers: Iterator[ScoreLine], names: list[ScoreWork]) -> dict[str, ScoreLine]:
    lines = list(answers)
    assert Counter(line.path for line in lines) == Counter(work.path for work in names)
    return {line.path: line for line in lines}


def test_every_work_has_its_line_once_and_both_processes_read(engine: Engine) -> None:
    asked = works(*(f"score-{number}" for number in range(24)))
    lines = lines_of(spread(asked, engine, readers.mark), asked)
    assert len({line.refused for line in lines.values()}) == 2


def test_what_kills_its_process_gets_its_line_and_nothing_else_is_blamed(engine: Engine) -> None:
    names = [f"score-{number}" for number in range(10)]
    asked = works(*names[:3], "killer-1", *names[3:6], "killer-2", *names[6:])
    lines = lines_of(spread(asked, engine, readers.deadly), asked)
    blamed = {path for path, line in lines.items() if line.refused.startswith("Ended the reader")}
    assert blamed == {"killer-1", "killer-2"}
    assert all(line.by_limit == (path in blamed) for path, line in lines.items())


def test_a_process_killed_from_outside_costs_nobody_a_line(engine: Engine, tmp_path: Path) -> None:
    names = [f"score-{number}" for number in range(6)]
    flag = str(tmp_path / "was-hit").encode()
    asked = [*works(*names[:3]), *works("hit", content=flag), *works(*names[3:])]
    lines = lines_of(spread(asked, engine, readers.hit_once), asked)
    assert (tmp_path / "was-hit").exists()
    assert all(line.refused.isdigit() for line in lines.values())


def test_what_never_comes_back_is_given_up_and_said(engine: Engine) -> None:
    asked = works("score-1", "endless", "score-2", limits=WorkLimits(seconds=0.7))
    lines = lines_of(spread(asked, engine, readers.endless), asked)
    assert lines["endless"].refused.startswith("Took too long: endless was not read within 0.7 s")
    assert lines["score-1"].refused.isdigit()
    assert lines["score-2"].refused.isdigit()


@pytest.mark.parametrize(
    ("address", "said"),
    [
        ("10.0.0.5:8786", "without TLS"),
        ("tcp://cluster.example:8786", "without TLS"),
        ("tls://cluster.example:8786", "No certificates"),
        ("ftp://127.0.0.1:8786", "Not a scheduler"),
        ("tcp://", "Not a scheduler"),
    ],
)
def test_an_address_that_is_not_safe_is_refused(address: str, said: str) -> None:
    with pytest.raises(RequestError, match=said):
        check_address(address, None)


@pytest.mark.parametrize("address", ["", "127.0.0.1:8786", "tcp://localhost:8786", "tcp://[::1]:8786"])
def test_this_machine_needs_no_certificates(address: str) -> None:
    check_address(address, None)


def test_certificates_that_are_not_there_are_named(tmp_path: Path) -> None:
    (tmp_path / "ca.pem").write_text("")
    with pytest.raises(RequestError, match=r"has no cert.pem, key.pem"):
        check_address("tls://cluster.example:8786", tmp_path)


@pytest.mark.campaign
def test_a_cluster_whose_processes_never_come_back_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(dask_engine.SCHEDULER, "distributed.scheduler.no-workers-timeout", "2 s")
    engine = DaskEngine(workers=1)
    try:
        engine._cluster.scale(0)
        with pytest.raises(RequestError, match="has no worker: all of them have gone"):
            list(spread(works("score-1", "score-2"), engine, readers.mark))
    finally:
        engine.close()
