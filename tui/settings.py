"""The player's own settings: a TOML file that is made to be edited by hand.

Nothing in it can stop the program: what cannot be used is named once and the usual value is taken.
"""

import tomllib
from dataclasses import dataclass, field
from pathlib import Path

from platformdirs import user_config_path, user_data_path


@dataclass(frozen=True, slots=True)
class Settings:
    """What the file says.

    Attributes:
        keys: action's name to key.
        light: light colours on a dark-lettered page.
        troubles: what could not be used, one sentence each.
    """

    keys: dict[str, str] = field(default_factory=dict)
    light: bool = False
    troubles: tuple[str, ...] = ()


def settings_path() -> Path:
    """Where the settings file stands on this system."""
    return user_config_path("inbreath", appauthor=False) / "settings.toml"


def history_path() -> Path:
    """Where a player's history stands on this system."""
    return user_data_path("inbreath", appauthor=False) / "history.sqlite"


def read_settings(path: Path, known: dict[str, list[str]]) -> Settings:
    """Read the settings; an absent file gives the usual ones.

    Args:
        path: the file.
        known: names of the actions that have keys.
    """
    try:
        tables = tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return Settings()
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        return Settings(troubles=(f"{path.name} cannot be read ({error}); usual settings are used",))
    troubles: list[str] = []
    keys = _keys(tables.get("keys", {}), known, troubles)
    light = tables.get("light", False)
    if not isinstance(light, bool):
        troubles.append("light is neither true nor false; dark is used")
        light = False
    troubles += [f"{name!r} is not a setting" for name in tables if name not in ("keys", "light")]
    return Settings(keys, light, tuple(troubles))


def _keys(table: object, known: dict[str, list[str]], troubles: list[str]) -> dict[str, str]:
    if not isinstance(table, dict):
        troubles.append("keys is not a table; usual keys are used")
        return {}
    found = {}
    for name, key in table.items():
        if name not in known:
            troubles.append(f"there is no action {name!r} to give a key")
        elif not isinstance(key, str) or not key.strip():
            troubles.append(f"the key of {name!r} is not text")
        else:
            found[name] = key.strip()
    return found
