"""The tuning log on paper and on disk: TOML, written atomically, read with every field checked."""

import re
import tomllib
from pathlib import Path

from score.errors import RequestError, WritingError
from score.group import Table
from score.tubes.acoustics import Column, Pipe
from score.tubes.air import Air
from score.tubes.log import Heard, Log, LogTube
from score.tubes.measured import read_air
from score.tubes.pitch import PITCH, checked_hertz, pitch_hertz, same_name
from score.tubes.units import LENGTH, read_length
from score.writing import write_atomically

NAME = "tuning-log.toml"
"""What the file is called in the folder of a set."""


def read_log(path: Path) -> Log:
    """Read a tuning log.

    Raises:
        RequestError: it is not there or not a log.
        GroupFileError: a field cannot be used; names it.
    """
    try:
        tables = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError) as error:
        raise RequestError(
            "No tuning log", f"{path}: {error}", "make one with --out, then name it with --log"
        ) from error
    except tomllib.TOMLDecodeError as error:
        raise RequestError("Tuning log is not TOML", f"{path.name}: {error}", "mend that line") from error
    if not isinstance(tables.get("tube"), list) or not tables["tube"]:
        raise RequestError("No tuning log", f"{path.name} holds no [[tube]]", "name the log that --out made")
    one = Table(path, "set", tables.get("set", {}))
    pipe = Pipe(_figure(one, "inside"), _figure(one, "outside"), one.text("pipe"))
    capped = one.entry.get("capped") is not False
    column = Column(pipe, capped, one.figure("cap_gap", 0, 0, 1000), one.figure("cap_inside", 0, 0, 1000))
    return Log(
        column=column,
        workshop=_air(one, "workshop"),
        concert=_air(one, "concert"),
        scale=one.figure("scale", 1, 0.5, 2),
        end=one.figure("end", column.long_end, -1000, 1000),
        pitch_spread=one.figure("pitch_spread", 2, 0, 100),
        a4=one.figure("a4", 440, 380, 500),
        tubes=tuple(_tube(Table(path, "tube", entry)) for entry in tables["tube"]),
        heard=tuple(_heard(Table(path, "heard", entry)) for entry in _list(path, tables.get("heard", []))),
    )


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
        raise WritingError("Tuning log kept", f"{path} holds pitches heard", "choose another folder with --out")
    return write_atomically(path, log_text(log).encode())


def log_text(log: Log) -> str:
    """The log as TOML."""
    import tomlkit

    document = tomlkit.document()
    document.add(tomlkit.comment("Tuning log. Lengths in mm, pitches in Hz. Add entries with: inbreath tubes --log"))
    column, pipe = log.column, log.column.pipe
    document["set"] = {
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
    tubes, heard = tomlkit.aot(), tomlkit.aot()
    for tube in log.tubes:
        entry = {"name": tube.name, "target": tube.target, "final": round(tube.final, 2), "cut": round(tube.cut, 2)}
        tubes.append(tomlkit.item(entry))
    for one in log.heard:
        entry = {"tube": one.tube, "frequency": one.frequency, "air": [one.air.celsius, one.air.humidity]}
        entry |= {"length": one.length} if one.length else {}
        heard.append(tomlkit.item(entry | ({"when": one.when} if one.when else {})))
    document["tube"] = tubes
    if log.heard:
        document["heard"] = heard
    return tomlkit.dumps(document)


def read_heard(text: str, log: Log, when: str = "") -> Heard:
    """An entry from a line: the tube, what it sounded, and if wanted temperature and length.

    Args:
        text: "C3: C3-18c 21C", "C3 129.4 Hz 640 mm", "C3 -18c" (cents from the note itself).
        log: for names, A4 and the workshop's air.
        when: a date or time to note.

    Raises:
        RequestError: something is missing or not understood.
    """
    name, _, rest = text.strip().replace(":", " ", 1).partition(" ")
    tube = next((one for one in log.tubes if same_name(one.name, name)), None)
    if tube is None:
        names = ", ".join(one.name for one in log.tubes)
        raise RequestError("No such tube", f"{text!r} begins with no tube of this log", f"it has {names}")
    length = 0.0
    given = re.findall(LENGTH, rest)
    if given:
        length, rest = read_length(given[0]), rest.replace(given[0], " ", 1)
    frequency, rest = _pitch(rest, tube, log, text)
    air = read_air(rest, log.workshop) if rest.strip() else log.workshop
    return Heard(tube.name, frequency, air, length, when)


def _pitch(rest: str, tube: LogTube, log: Log, text: str) -> tuple[float, str]:
    found = re.search(rf"(?<![\w.]){PITCH}(?!\w)", rest)
    if found:
        return pitch_hertz(found[0], log.a4), rest.replace(found[0], " ", 1)
    off = re.search(r"([+-]\s*\d+(?:\.\d+)?)\s*(?:cents?|c|ct)\b", rest)
    if off is None:
        raise RequestError("Pitch heard", f"{text!r} has no pitch", 'write "C3: C3-18c 21C" or "C3: 129.4 Hz"')
    return float(tube.target * 2 ** (float(off[1].replace(" ", "")) / 1200)), rest.replace(off[0], " ", 1)


def _figure(table: Table, field: str) -> float:
    if field not in table.entry:
        raise table.wrong(f"has no {field}", f"write {field} = 52.0")
    return table.figure(field, 0, 0, 1000)


def _air(table: Table, field: str) -> Air:
    value = table.entry.get(field, [20.0, 50.0])
    if not isinstance(value, list) or len(value) != 2 or not all(isinstance(v, int | float) for v in value):
        raise table.wrong(f"{field} is not [temperature, humidity]", f"write {field} = [20.0, 50.0]")
    return Air(float(value[0]), float(value[1]))


def _tube(table: Table) -> LogTube:
    if not table.text("name"):
        raise table.wrong("has no name", 'write name = "C3"')
    final = table.figure("final", 0, 0, 20000)
    return LogTube(
        table.text("name"),
        checked_hertz(table.figure("target", 0, 0, 1e6)),
        final,
        table.figure("cut", final, 0, 20000),
    )


def _heard(table: Table) -> Heard:
    frequency = checked_hertz(table.figure("frequency", 0, 0, 1e6))
    return Heard(
        table.text("tube"), frequency, _air(table, "air"), table.figure("length", 0, 0, 20000), table.text("when")
    )


def _list(path: Path, value: object) -> list[object]:
    if not isinstance(value, list):
        raise RequestError("Tuning log", f"{path.name}: heard is not a list", "write it as [[heard]]")
    return value
