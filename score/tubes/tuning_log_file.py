"""The tuning log on paper and on disk: TOML, written atomically, read with every field checked."""

import re
import tomllib
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import replace
from pathlib import Path
from time import monotonic, sleep, time
from typing import Any

from score.errors import RequestError, TuningLogError, WritingError
from score.tubes.measured_tubes import read_air
from score.tubes.tube_acoustics import Column, Pipe
from score.tubes.tube_pitch import PITCH, pitch_hertz, same_name
from score.tubes.tuning_log import Heard, Log, LogTube
from score.tubes.tuning_log_table import LogTable
from score.tubes.units import LENGTH, read_length
from score.writing import write_atomically

NAME = "tuning-log.toml"
"""What the file is called in the folder of a set."""

_MOST = 1000
"""Tubes a log may hold."""

_PATIENCE, _STALE = 5.0, 10.0
"""Seconds to wait for another change, and after which a lock was left by a process that is gone."""


def read_log(path: Path) -> Log:
    """Read a tuning log, whole or not at all.

    Raises:
        RequestError: it is not there or not a log.
        GroupFileError: a field is missing or cannot be used, or tubes are; names file, tube and field.
    """
    tables = _tables(path)
    heading = LogTable(path, "[set]", tables["set"])
    entries = _list(path, tables, "tube")
    tubes = tuple(_tube(LogTable(path, "[[tube]]", entry, _which(n, entry))) for n, entry in enumerate(entries, 1))
    many = heading.needed("tubes", 1, _MOST)
    if len(tubes) != many:
        last = tubes[-1].name if tubes else "none"
        raise heading.wrong(f"says {many:g} tubes, the file holds {len(tubes)} (last: {last})", "take it from a copy")
    pitch_spread, a4 = heading.needed("pitch_spread", 0.01, 100), heading.needed("a4", 380, 500)
    log = Log(
        column=_column(heading),
        workshop=heading.air("workshop"),
        concert=heading.air("concert"),
        scale=heading.needed("scale", 0.5, 2),
        end=heading.needed("end", -1000, 1000),
        pitch_spread=pitch_spread,
        a4=a4,
        tubes=tubes,
    )
    heard = enumerate(_list(path, tables, "heard"), 1)
    return replace(log, heard=tuple(_heard(LogTable(path, "[[heard]]", entry, str(n)), log) for n, entry in heard))


def changed(path: Path, change: Callable[[Log], Log]) -> Log:
    """Read a log, change it and write it back, so that no other change made at once is lost.

    Args:
        path: of the log.
        change: gives the new log; where it raises, nothing is written.

    Raises:
        InbreathError: no log, a change that cannot be, or another one that never ends.
    """
    # What is wrong with the file is said before its folder is touched.
    read_log(path)
    with _alone(path):
        log = change(read_log(path))
        write_log(log, path)
    return log


def write_log(log: Log, path: Path, fresh: bool = False) -> Path:
    """Write a tuning log whole.

    Args:
        log: the log.
        path: where.
        fresh: refuse to replace a log that holds entries.

    Raises:
        WritingError: it cannot be written, or would lose what was entered.
    """
    if fresh and path.exists() and "[[heard]]" in path.read_text(encoding="utf-8", errors="replace"):
        raise WritingError("Tuning log kept", f"{path} holds pitches heard", "choose another folder")
    return write_atomically(path, log_text(log).encode())


def log_text(log: Log) -> str:
    """The log as TOML."""
    import tomlkit

    document = tomlkit.document()
    document.add(tomlkit.comment("Tuning log. Lengths in mm, pitches in Hz. Add entries with: inbreath tubes --log"))
    document["set"] = _set_fields(log)
    tubes, heard = tomlkit.aot(), tomlkit.aot()
    for tube in log.tubes:
        entry = {"name": tube.name, "target": tube.target, "final": round(tube.final, 2), "cut": round(tube.cut, 2)}
        tubes.append(tomlkit.item(entry))
    for reading in log.heard:
        entry = {
            "tube": reading.tube,
            "frequency": reading.frequency,
            "air": [reading.air.celsius, reading.air.humidity],
        }
        entry |= {"length": reading.length} if reading.length else {}
        heard.append(tomlkit.item(entry | ({"when": reading.when} if reading.when else {})))
    document["tube"] = tubes
    if log.heard:
        document["heard"] = heard
    return tomlkit.dumps(document)


def _set_fields(log: Log) -> dict[str, Any]:
    column, pipe = log.column, log.column.pipe
    return {
        "tubes": len(log.tubes),
        "pipe": pipe.name,
        "inside": round(pipe.inside, 4),
        "outside": round(pipe.outside, 4),
        "capped": column.capped,
        "cap_gap": column.gap,
        "cap_inside": column.gap_inside,
        "workshop": [log.workshop.celsius, log.workshop.humidity],
        "concert": [log.concert.celsius, log.concert.humidity],
        "scale": log.scale,
        "end": log.end,
        "pitch_spread": log.pitch_spread,
        "a4": log.a4,
    }


def read_heard(text: str, log: Log, when: str = "") -> Heard:
    """An entry from a line: the tube, what it sounded, and if wanted temperature and length.

    Args:
        text: "C3: C3-18c 21C", "C3 129.4 Hz 640 mm", "C3 (2): -18c" (cents from the note itself).
        log: for names, A4 and the workshop's air.
        when: a date or time to note.

    Raises:
        RequestError: something is missing or not understood.
    """
    begun = re.match(r"\s*([^\s:(]*(?:\s*\(\d+\))?)\s*:?(.*)", text, re.S)
    name, rest = (begun[1], begun[2]) if begun else ("", "")
    tube = next((listed for listed in log.tubes if same_name(listed.name, name)), None)
    if tube is None:
        names = ", ".join(listed.name for listed in log.tubes)
        raise RequestError("No such tube", f"{text!r} begins with no tube of this log", f"it has {names}")
    length = 0.0
    lengths = re.findall(LENGTH, rest)
    if lengths:
        length, rest = read_length(lengths[0]), rest.replace(lengths[0], " ", 1)
    frequency, rest = _pitch(rest, tube, log, text)
    air = read_air(rest, log.workshop) if rest.strip() else log.workshop
    return Heard(tube.name, frequency, air, length=length, when=when)


def _pitch(rest: str, tube: LogTube, log: Log, text: str) -> tuple[float, str]:
    match = re.search(rf"(?<![\w.]){PITCH}(?!\w)", rest)
    if match:
        return pitch_hertz(match[0], log.a4), rest.replace(match[0], " ", 1)
    off = re.search(r"([+-]\s*\d+(?:\.\d+)?)\s*(?:cents?|c|ct)\b", rest)
    if off is None:
        raise RequestError("Pitch heard", f"{text!r} has no pitch", 'write "C3: C3-18c 21C" or "C3: 129.4 Hz"')
    return float(tube.target * 2 ** (float(off[1].replace(" ", "")) / 1200)), rest.replace(off[0], " ", 1)


def _tables(path: Path) -> dict[str, Any]:
    try:
        tables = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        why = (error.strerror or "cannot be read").lower()
        raise TuningLogError("No tuning log", f"{path}: {why}", "write the files of a set first") from error
    except UnicodeDecodeError as error:
        raise TuningLogError(f"Tuning log {path.name}", "is not text in UTF-8", "save it as UTF-8 text") from error
    except tomllib.TOMLDecodeError as error:
        what = f"cannot be read as TOML: {error}"
        raise TuningLogError(
            f"Tuning log {path.name}", what, "correct that line, or take the file from a copy"
        ) from error
    if "set" not in tables or not tables.get("tube"):
        lack = "[set]" if "set" not in tables else "[[tube]]"
        raise TuningLogError(f"Tuning log {path.name}", f"holds no {lack}", "take the log from a copy")
    return tables


def _which(number: int, entry: object) -> str:
    """A tube's number and, where it has one, its name."""
    name = entry.get("name") if isinstance(entry, dict) else None
    return f"{number} ({name})" if isinstance(name, str) and name else str(number)


def _column(table: LogTable) -> Column:
    inside, outside = table.needed("inside", 5, 400), table.needed("outside", 5, 400)
    capped, gap, wide = table.yes("capped"), table.needed("cap_gap", 0, 1000), table.needed("cap_inside", 0, 1000)
    with table.mine():
        return Column(Pipe(inside, outside, table.text("pipe")), capped, gap, gap_inside=wide)


def _tube(table: LogTable) -> LogTube:
    name, target = table.named("name"), table.needed("target", 10, 20000)
    final = table.needed("final", 1, 20000)
    return LogTube(name, target, final, cut=table.needed("cut", final, 20000))


def _heard(table: LogTable, log: Log) -> Heard:
    tube, frequency = table.named("tube"), table.needed("frequency", 10, 20000)
    if not any(same_name(listed.name, tube) for listed in log.tubes):
        raise table.wrong(f"is of {tube}, which is not a [[tube]]", f"it has {', '.join(t.name for t in log.tubes)}")
    length = table.needed("length", 1, 20000) if "length" in table.entry else 0.0
    return Heard(tube, frequency, table.air("air"), length=length, when=table.text("when"))


def _list(path: Path, tables: dict[str, Any], name: str) -> list[object]:
    value = tables.get(name, [])
    if not isinstance(value, list):
        raise TuningLogError(f"Tuning log {path.name}", f"{name} is not a list", f"write it as [[{name}]]")
    return value


@contextmanager
def _alone(path: Path) -> Iterator[None]:
    """Wait until no other process changes the log: a file beside it that only one can make."""
    lock, until = path.with_name(f".{path.name}.lock"), monotonic() + _PATIENCE
    while not _locked(lock):
        if monotonic() > until:
            what = f"{path} is being changed by another window"
            raise WritingError("Tuning log busy", what, f"wait, or remove {lock.name} if none is open")
        sleep(0.02)
    try:
        yield
    finally:
        lock.unlink(missing_ok=True)


def _locked(lock: Path) -> bool:
    try:
        lock.touch(exist_ok=False)
    except FileExistsError:
        # What a killed process left behind goes; a change takes milliseconds.
        with suppress(OSError):
            if time() - lock.stat().st_mtime > _STALE:
                lock.unlink(missing_ok=True)
        return False
    except OSError as error:
        why = error.strerror or "cannot be written"
        raise WritingError("Tuning log", f"{lock.parent}: {why}", "make the folder writable") from error
    return True
