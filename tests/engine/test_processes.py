"""Processes of ours go with the one that started them, also while they are at work."""

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

STARTER = """
import sys, time
from pathlib import Path
from score.processes import end_with_parent, new_process

def work(path):
    end_with_parent()
    path.write_text(str(__import__("os").getpid()))
    while True:
        sum(range(10_000))

if __name__ == "__main__":
    new_process(work, Path(sys.argv[1])).start()
    time.sleep(600)
"""


@pytest.mark.skipif(os.name == "nt", reason="asks /proc and kills with SIGKILL")
def test_a_worker_goes_with_whoever_started_it(tmp_path: Path) -> None:
    (tmp_path / "starter.py").write_text(STARTER)
    said = tmp_path / "worker"
    environment = os.environ | {"PYTHONPATH": str(Path(__file__).parents[2])}
    starter = subprocess.Popen([sys.executable, str(tmp_path / "starter.py"), str(said)], env=environment)
    while not (said.exists() and said.read_text()):
        assert starter.poll() is None
        time.sleep(0.01)
    worker = int(said.read_text())
    starter.kill()
    starter.wait()
    deadline = time.monotonic() + 60
    while is_there(worker) and time.monotonic() < deadline:
        time.sleep(0.02)
    assert not is_there(worker)


def is_there(process: int) -> bool:
    try:
        os.kill(process, 0)
    except OSError:
        return False
    # Gone, but nobody has asked how it went.
    stat = Path(f"/proc/{process}/stat")
    return not (stat.exists() and stat.read_text().rsplit(")", 1)[1].split()[0] == "Z")
