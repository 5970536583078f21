"""From the table of actions to the terminal library's bindings, and from a key to what is printed on it."""

from collections.abc import Mapping

from textual.binding import Binding

from tui.keys import TABLES, Action

_PRINTED = {
    "escape": "esc", "slash": "/", "minus": "-", "plus": "+", "equals_sign": "=", "question_mark": "?",
    "left": "←", "right": "→", "up": "↑", "down": "↓", "pageup": "pgup", "pagedown": "pgdn", "delete": "del",
    "percent_sign": "%", "left_square_bracket": "[", "right_square_bracket": "]", "apostrophe": "'", "comma": ",",
    "full_stop": ".", "less_than_sign": "<", "greater_than_sign": ">", "underscore": "_", "colon": ":",
}  # fmt: skip
"""Keys whose printed sign is not the name the terminal library gives them."""


def bindings(table: str, actions: tuple[Action, ...]) -> list[Binding]:
    """Textual's bindings for a table of actions; ids are ``table.name``."""
    return [
        Binding(
            action.key,
            action.call,
            action.words,
            show=action.in_footer,
            id=f"{table}.{action.name}",
            # Leaving works from wherever one is, in a line to type too.
            priority=action.name == "quit",
        )
        for action in actions
    ]


def action_of(binding_id: str | None) -> Action | None:
    """The action a binding stands for, None for one that is not ours."""
    table, _, name = (binding_id or "").partition(".")
    return next((action for action in TABLES.get(table, ()) if action.name == name), None)


def place_of(binding_id: str) -> int:
    """Where a binding stands in its table: the most important first."""
    table, _, name = binding_id.partition(".")
    return next((place for place, action in enumerate(TABLES.get(table, ())) if action.name == name), 0)


def keys_of(table: str, name: str, changed: Mapping[str, str]) -> tuple[str, ...]:
    """The keys of an action, as the settings have them; a key they give to another action is that one's alone.

    Args:
        table: of the action.
        name: of the action.
        changed: action's name to the keys the settings give it.
    """
    if name in changed:
        return tuple(changed[name].split(","))
    usual = next(action.key for action in TABLES[table] if action.name == name)
    others = {action.name for action in TABLES[table]} & set(changed)
    taken = {key for other in others for key in changed[other].split(",")}
    return tuple(key for key in usual.split(",") if key not in taken)


def key_name(key: str) -> str:
    """A key as it is printed on the keyboard: "+" for "plus", "esc", "ctrl+s"."""
    *held, last = key.split("+")
    return "+".join([*held, _PRINTED.get(last, last)])


def known_names() -> dict[str, list[str]]:
    """Every action's name and the binding ids it stands for."""
    names: dict[str, list[str]] = {}
    for table, actions in TABLES.items():
        for action in actions:
            names.setdefault(action.name, []).append(f"{table}.{action.name}")
    return names
