"""Writing outputs whole or not at all."""

import errno
import os
import tempfile
from pathlib import Path

from score.errors import WritingError

_FULL = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)


def write_atomically(path: Path, content: bytes) -> Path:
    """Write a file so that a reader, or a kill at any moment, finds the old content or the new.

    The folder is made when it is missing. The content reaches the disk before the name changes.

    Raises:
        WritingError: the folder or file cannot be written; names the path and the system's reason. What is no file, a
            folder or a device, is never replaced.
    """
    try:
        if path.exists() and not path.is_file():
            raise WritingError("Not a file", f"{path}: {'a folder' if path.is_dir() else 'a device'}", "name a file")
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
    except OSError as error:
        raise cannot_write(path, error) from error
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        _give_usual_permissions(Path(name))
        Path(name).replace(path)
    except OSError as error:
        raise cannot_write(path, error) from error
    finally:
        Path(name).unlink(missing_ok=True)
    return path


def _give_usual_permissions(path: Path) -> None:
    # mkstemp makes private files; an output should be as readable as any file the user makes.
    mask = os.umask(0)
    os.umask(mask)
    path.chmod(0o666 & ~mask)


def cannot_write(path: Path, error: Exception, reason: str = "") -> WritingError:
    """The error that is shown where an output cannot be written.

    Args:
        path: of the output.
        error: what the system or a library says.
        reason: the same in words, where the error itself has none.
    """
    in_the_way = next((above for above in path.parents if above.is_file()), None)
    if in_the_way is not None:
        return WritingError("Cannot write", f"{path}: {in_the_way} is a file", "choose another folder")
    is_full = isinstance(error, OSError) and error.errno in _FULL
    what = f"{path}: {reason or getattr(error, 'strerror', None) or error}"
    return WritingError("Cannot write", what, f"{'free some disk space or ' if is_full else ''}choose another folder")
