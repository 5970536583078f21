"""Outputs are whole or absent."""

import errno
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from score.concert.concert_file import read_concert
from score.errors import GroupFileError, WritingError
from score.group.group_file import read_group
from score.writing import cannot_write, write_atomically


def test_writes_into_a_new_folder_and_replaces(tmp_path: Path) -> None:
    target = tmp_path / "new" / "part.pdf"
    write_atomically(target, b"one")
    write_atomically(target, b"two")
    assert target.read_bytes() == b"two"
    assert [path.name for path in target.parent.iterdir()] == ["part.pdf"]


def test_a_folder_in_the_way_is_said_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "out").write_bytes(b"a file")
    with pytest.raises(WritingError) as caught:
        write_atomically(tmp_path / "out" / "part.pdf", b"x")
    assert "\n" not in caught.value.line
    assert caught.value.line.endswith(f"{tmp_path / 'out'} is a file; choose another folder")


def test_a_full_disk_is_said_to_be_one(tmp_path: Path) -> None:
    for error in (OSError(errno.ENOSPC, "No space left on device"), OSError(errno.EFBIG, "File too large")):
        line = cannot_write(tmp_path / "part.pdf", error).line
        assert line.endswith(f"{error.strerror}; free some disk space or choose another folder")


@pytest.mark.parametrize("kind", ["group", "concert"])
def test_a_folder_where_a_file_of_ours_should_be_is_one_line(tmp_path: Path, kind: str) -> None:
    path = tmp_path / f"spring.{kind}.toml"
    path.mkdir()
    with pytest.raises(GroupFileError, match="Is a directory; "):
        (read_group if kind == "group" else read_concert)(path)


@pytest.mark.parametrize(("kind", "said"), [("folder", "a folder"), ("pipe", "a device")])
def test_what_is_no_file_is_not_replaced(kind: str, said: str, tmp_path: Path) -> None:
    target = tmp_path / "there"
    if kind == "folder":
        target.mkdir()
    else:
        pipe = getattr(os, "mkfifo", None)
        target = Path(os.devnull) if pipe is None else target
        if pipe is not None:
            pipe(target)
    with pytest.raises(WritingError) as caught:
        write_atomically(target, b"x")
    assert said in caught.value.line
    assert target.exists()
    assert not target.is_file()


def test_killed_half_way_leaves_the_old_content(tmp_path: Path) -> None:
    target = tmp_path / "part.pdf"
    target.write_bytes(b"old")
    code = (
        "import sys; from pathlib import Path; from score.writing import write_atomically\n"
        "print('go', flush=True)\n"
        "for i in range(100000): write_atomically(Path(sys.argv[1]), bytes([65 + i % 2]) * 2_000_000)\n"
    )
    for wait in (0.0, 0.01, 0.03, 0.08):
        child = subprocess.Popen([sys.executable, "-c", code, str(target)], stdout=subprocess.PIPE)
        assert child.stdout is not None
        child.stdout.readline()
        time.sleep(wait)
        child.kill()
        child.wait()
        child.stdout.close()
        content = target.read_bytes()
        assert content == b"old" or (len(content) == 2_000_000 and len(set(content)) == 1)
