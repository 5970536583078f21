"""Every action of the screens with its usual key: one table, so that keys can be changed in one place.

A key is changed in the settings file, under ``[keys]``, by the action's name:

    [keys]
    play = "p"
"""

from typing import NamedTuple

from textual.binding import Binding


class Action(NamedTuple):
    """An action.

    Attributes:
        name: how the settings file calls it.
        key: its usual key.
        call: the action to run.
        words: what the help says.
        in_footer: whether the foot of the screen shows it.
        foot: a shorter word for the foot; neighbours with one word share it ("- + tempo").
    """

    name: str
    key: str
    call: str
    words: str
    in_footer: bool = True
    foot: str = ""

    @property
    def foot_words(self) -> str:
        """What the foot says."""
        return self.foot or self.words


EVERYWHERE = (
    Action("help", "question_mark,f1", "keys_help", "keys", foot="keys"),
    Action("quit", "ctrl+q,ctrl+c", "quit", "quit", False),
    Action("undo", "ctrl+z", "undo", "undo", False),
    Action("light", "f2", "light", "light or dark", False),
)
PIECES = (
    Action("open", "enter", "open", "open"),
    Action("next_row", "down", "move(1)", "next piece", foot="piece"),
    Action("previous_row", "up", "move(-1)", "previous piece", foot="piece"),
    Action("path", "o", "path", "type the path of another score", foot="other file"),
    Action("complete", "tab", "complete", "complete the path", foot="complete"),
    Action("forget", "delete", "forget", "remove from list"),
    Action("leave", "escape", "leave", "back to the list", False),
)
STAND = (
    Action("practise", "enter", "practise", "practise"),
    Action("find", "slash", "find", "go to bar", foot="bar"),
    Action("today", "g", "today", "next of today's chunks", foot="today"),
    Action("who", "w", "who", "who you are", foot="who"),
    Action("cues", "c", "cues", "cues"),
    Action("plan", "p", "plan", "plan"),
    Action("rehearse", "r", "rehearse", "rehearse"),
    Action("setup", "s", "setup", "set-up"),
    Action("write", "f", "write", "files"),
    Action("tubes", "t", "tubes", "tubes"),
    Action("close", "o", "close", "another piece", foot="other piece"),
    Action("next_row", "down", "move(1)", "next chunk", False),
    Action("previous_row", "up", "move(-1)", "previous chunk", False),
    Action("rows_on", "pagedown", "move(10)", "ten chunks on", False),
    Action("rows_back", "pageup", "move(-10)", "ten chunks back", False),
)
PRACTICE = (
    Action("play", "space", "play", "play or stop", foot="play"),
    Action("slower", "minus", "slower", "slower", foot="tempo"),
    Action("faster", "plus,equals_sign", "faster", "faster", foot="tempo"),
    Action("tempo", "percent_sign", "tempo", "type a tempo", False),
    Action("from_here", "enter", "from_here", "play from the bar at the cursor", foot="from here"),
    Action("next_bar", "right", "step(1)", "next bar", foot="bar"),
    Action("previous_bar", "left", "step(-1)", "previous bar", foot="bar"),
    Action("loop_from", "left_square_bracket", "loop_from", "your own loop begins at this bar", foot="own loop"),
    Action("loop_to", "right_square_bracket", "loop_to", "your own loop ends at this bar", foot="own loop"),
    Action("click", "k", "click", "click"),
    Action("loop", "l", "loop", "loop or once", foot="loop"),
    Action("join", "j", "join", "join with the next chunk", foot="join"),
    Action("own", "o", "own", "own part: on, soft, off", foot="own part"),
    Action("again", "x", "again", "once more from the beginning", False),
    Action("rate_learning", "a", "rate('learning notes')", "rate: learning notes", False),
    Action("rate_under", "s", "rate('under tempo')", "rate: under tempo", False),
    Action("rate_tempo", "d", "rate('at tempo')", "rate: at tempo", False),
    Action("rate_heart", "f", "rate('by heart')", "rate: by heart", False),
    Action("count_in", "i", "count_in", "bars of count-in", False),
    Action("steps", "t", "steps", "tempo in steps", False),
    Action("next_chunk", "n", "next_chunk", "next chunk"),
    Action("previous_chunk", "b", "previous_chunk", "previous chunk", False),
    Action("next_page", "pagedown", "turn(1)", "next page", False),
    Action("previous_page", "pageup", "turn(-1)", "previous page", False),
    *(Action(f"player_{n}", str(n), f"player({n})", f"player {n} on or off", False) for n in range(1, 10)),
    Action("back", "escape", "back", "back"),
)
CUES = (
    Action("print", "space", "print", "print the cue or leave it out", foot="print or leave out"),
    *(
        Action(f"show_{n}", str(n), f"show({n})", f"show player {n} here", n < 3, foot="show player")
        for n in range(1, 10)
    ),
    Action("add_cue", "a", "add", "add cue"),
    Action("next_player", "tab", "next_player", "next player's cues", foot="next player"),
    Action("next_row", "down", "move(1)", "next cue", False),
    Action("previous_row", "up", "move(-1)", "previous cue", False),
    Action("rows_on", "pagedown", "move(10)", "ten cues on", False),
    Action("rows_back", "pageup", "move(-10)", "ten cues back", False),
    Action("back", "escape", "back", "back"),
)
PLAN = (
    Action("previous_day", "left", "day(-1)", "the day before", foot="day"),
    Action("next_day", "right", "day(1)", "the next day", foot="day"),
    Action("add", "a", "add", "add a rehearsal on this day", foot="add"),
    Action("missing", "m", "missing", "who is missing", foot="missing"),
    Action("shorter", "minus", "longer(-15)", "15 minutes less", foot="minutes"),
    Action("longer", "plus,equals_sign", "longer(15)", "15 minutes more", foot="minutes"),
    Action("concert", "d", "concert", "concert on this day", foot="concert"),
    Action("open_rehearsal", "enter", "rehearse", "open this rehearsal", foot="rehearse"),
    Action("remove", "delete", "remove", "remove this rehearsal", foot="remove"),
    Action("next_rehearsal", "tab", "next_rehearsal", "next rehearsal"),
    Action("minutes", "n", "minutes", "your minutes a day", foot="yours"),
    Action("date", "slash", "date", "go to a date", foot="date"),
    *(Action(f"away_{n}", str(n), f"away({n})", f"player {n} missing or not", False) for n in range(1, 10)),
    Action("next_row", "down", "scroll(1)", "further down", False),
    Action("previous_row", "up", "scroll(-1)", "further up", False),
    Action("back", "escape", "back", "back"),
)
REHEARSAL = (
    Action("hold_clock", "space", "hold_clock", "start or stop the clock", foot="clock"),
    Action("next_item", "n,right", "step(1)", "next item", foot="next"),
    Action("previous_item", "b,left", "step(-1)", "previous item", foot="previous"),
    Action("longer_item", "plus,equals_sign", "longer", "two minutes more", foot="2 min more"),
    Action("note", "e", "note", "write a note", foot="note"),
    Action("agree", "y", "settle('agreed')", "agreed", foot="agreed"),
    Action("drop", "x", "settle('dropped')", "dropped", foot="dropped"),
    Action("went_learning", "a", "went('learning notes')", "learning notes", False),
    Action("went_under", "s", "went('under tempo')", "under tempo", False),
    Action("went_tempo", "d", "went('at tempo')", "at tempo", False),
    Action("went_heart", "f", "went('by heart')", "by heart", False),
    Action("next_tried", "down", "choose(1)", "next of what is tried", False),
    Action("previous_tried", "up", "choose(-1)", "previous of what is tried", False),
    Action("write_protocol", "ctrl+s", "write", "write the protocol", False),
    Action("back", "escape", "back", "back"),
)
TUBES = (
    Action("write_tubes", "ctrl+s", "write_tubes", "write files"),
    Action("back", "escape", "back", "back"),
)
SETUP = (
    Action("to_bar", "enter", "practise", "practise from this bar", foot="to the bar"),
    Action("next_row", "down", "move(1)", "next finding", foot="finding"),
    Action("previous_row", "up", "move(-1)", "previous finding", foot="finding"),
    Action("stickings", "h", "stickings", "stickings"),
    Action("check_again", "r", "again", "check again"),
    Action("write_setup", "ctrl+s", "write_setup", "write files"),
    Action("rows_on", "pagedown,space", "page(1)", "a screen down", False),
    Action("rows_back", "pageup", "page(-1)", "a screen up", False),
    Action("back", "escape", "back", "back"),
)
FORM = (
    Action("next_line", "down", "line(1)", "next line", False),
    Action("previous_line", "up", "line(-1)", "previous line", False),
    Action("back", "escape", "back", "back"),
)
READING = (Action("back", "escape", "back", "back"),)

TABLES = {
    "everywhere": EVERYWHERE,
    "pieces": PIECES,
    "stand": STAND,
    "practice": PRACTICE,
    "cues": CUES,
    "plan": PLAN,
    "rehearsal": REHEARSAL,
    "tubes": TUBES,
    "setup": SETUP,
    "reading": READING,
    "form": FORM,
}


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
