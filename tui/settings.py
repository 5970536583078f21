"""The player's own settings: a TOML file that is made to be edited by hand.

Nothing in it can stop the program: what cannot be used is named once and the usual value is taken. Who hears the player
is written into it when it is chosen on the screen; the rest of the file stays letter for letter.
"""

import json
import re
import tomllib
from dataclasses import dataclass, field, replace
from pathlib import Path

from platformdirs import user_config_path, user_data_path

from score.writing import write_atomically

_LETTERS, _NOTATION = ("auto", "plain"), ("auto", "text")
_NAMES = ("keys", "light", "letters", "notation", "keep_audio", "audio_limit", "ear")
EARS = ("nobody", "tapped keys", "MIDI", "microphone", "microphone, headphones on", "sound file")
"""Words for who hears the player; after MIDI and sound file comes which: "MIDI: Pad"."""
_USUAL_LIMIT = 500


@dataclass(frozen=True, slots=True)
class Settings:
    """What the file says.

    Attributes:
        keys: action's name to key.
        light: dark letters on a light ground.
        letters: "auto" leaves it to the terminal, "plain" draws with plain letters only.
        notation: "auto" shows engraved notation where the terminal can show pictures, "text" never asks.
        keep_audio: whether the sound of passes is kept.
        audio_limit: megabytes that it may take.
        ear: who hears the player, a word of `EARS` with what belongs to it; "" where the file says nothing.
        troubles: what could not be used, one sentence each.
        path: of the file, None where there is none to write to.
    """

    keys: dict[str, str] = field(default_factory=dict)
    light: bool = False
    letters: str = "auto"
    notation: str = "auto"
    keep_audio: bool = False
    audio_limit: int = _USUAL_LIMIT
    ear: str = ""
    troubles: tuple[str, ...] = ()
    path: Path | None = field(default=None, compare=False)

    def with_ear(self, ear: str) -> "Settings":
        """Who hears the player from now on, in the file too; a file that cannot be read is left alone.

        Args:
            ear: as `ear` says it.

        Raises:
            WritingError: the file cannot be written.
        """
        if self.path is not None:
            _write_line(self.path, "ear", ear)
        return replace(self, ear=ear)


def settings_path() -> Path:
    """Where the settings file stands on this system."""
    return user_config_path("inbreath", appauthor=False) / "settings.toml"


def history_path() -> Path:
    """Where a player's history stands on this system."""
    return user_data_path("inbreath", appauthor=False) / "history.sqlite"


def audio_path() -> Path:
    """Where the sound of passes is kept on this system, for those who want that."""
    return user_data_path("inbreath", appauthor=False) / "takes"


def read_settings(path: Path, actions: dict[str, list[str]]) -> Settings:
    """Read the settings; an absent file gives the usual ones.

    Args:
        path: the file.
        actions: names of the actions that have keys.
    """
    try:
        tables = tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return Settings(path=path)
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        return Settings(troubles=(f"{path.name} cannot be read ({error}); usual settings are used",))
    troubles: list[str] = []
    keys = _keys(tables.get("keys", {}), actions, troubles)
    light = _yes_or_no(tables, "light", "dark is used", troubles)
    keep_audio = _yes_or_no(tables, "keep_audio", "no sound is saved", troubles)
    limit = tables.get("audio_limit", _USUAL_LIMIT)
    if not isinstance(limit, int) or isinstance(limit, bool) or limit < 1:
        troubles.append(f"audio_limit is not a number of megabytes; {_USUAL_LIMIT} is used")
        limit = _USUAL_LIMIT
    ear = tables.get("ear", "")
    if not isinstance(ear, str) or (ear and ear.partition(": ")[0] not in EARS):
        troubles.append(f"ear is none of {', '.join(map(repr, EARS))}; nobody hears you")
        ear = ""
    letters = _word(tables, "letters", _LETTERS, troubles)
    notation = _word(tables, "notation", _NOTATION, troubles)
    troubles += [f"{name!r} is not a setting" for name in tables if name not in _NAMES]
    return Settings(
        keys,
        light,
        letters,
        notation=notation,
        keep_audio=keep_audio,
        audio_limit=limit,
        ear=ear,
        troubles=tuple(troubles),
        path=path,
    )


def _yes_or_no(tables: dict[str, object], name: str, otherwise: str, troubles: list[str]) -> bool:
    """True or false, false where the file says nothing."""
    answer = tables.get(name, False)
    if isinstance(answer, bool):
        return answer
    troubles.append(f"{name} is neither true nor false; {otherwise}")
    return False


def _word(tables: dict[str, object], name: str, words: tuple[str, ...], troubles: list[str]) -> str:
    """One of some words, the first of them where the file says nothing."""
    word = tables.get(name, words[0])
    if isinstance(word, str) and word in words:
        return word
    troubles.append(f"{name} is neither {' nor '.join(f'{each!r}' for each in words)}; {words[0]!r} is used")
    return words[0]


def _keys(table: object, actions: dict[str, list[str]], troubles: list[str]) -> dict[str, str]:
    if not isinstance(table, dict):
        troubles.append("keys is not a table; usual keys are used")
        return {}
    usable = {}
    for name, key in table.items():
        if name not in actions:
            troubles.append(f"there is no action {name!r} to give a key")
        elif not isinstance(key, str) or not key.strip():
            troubles.append(f"the key of {name!r} is not text")
        else:
            usable[name] = key.strip()
    return usable


def _write_line(path: Path, name: str, value: str) -> None:
    """Set one text before the first table of the file; a file that cannot be read is left alone."""
    try:
        text = path.read_text(encoding="utf-8") if path.exists() else ""
        tomllib.loads(text)
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError):
        return
    # A text of JSON is one of TOML.
    line = f"{name} = {json.dumps(value, ensure_ascii=False)}\n"
    table = re.search(r"^[ \t]*\[", text, re.MULTILINE)
    head, rest = (text[: table.start()], text[table.start() :]) if table else (text, "")
    changed, count = re.subn(rf"^[ \t]*{name}[ \t]*=.*(?:\n|\Z)", lambda _: line, head, count=1, flags=re.MULTILINE)
    if not count:
        changed = f"{head}{'' if not head or head.endswith(chr(10)) else chr(10)}{line}"
    # Where the settings are a link, what it leads to is written.
    write_atomically(path.resolve(), (changed + rest).encode())
