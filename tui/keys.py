"""Every action of the screens with its usual key: one table, so that keys can be changed in one place.

A key is changed in the settings file, under ``[keys]``, by the action's name:

    [keys]
    play = "p"
"""

from typing import NamedTuple


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
    Action("help", "question_mark,f1", "keys_help", words="keys", foot="keys"),
    Action("quit", "ctrl+q,ctrl+c", "quit", words="quit", in_footer=False),
    Action("undo", "ctrl+z", "undo", words="undo", in_footer=False),
    Action("light", "f2", "light", words="light or dark", in_footer=False),
)
PIECES = (
    Action("open", "enter", "open", words="open"),
    Action("next_row", "down", "move(1)", words="next piece", foot="piece"),
    Action("previous_row", "up", "move(-1)", words="previous piece", foot="piece"),
    Action("path", "o", "path", words="type the path of another score", foot="other file"),
    Action("complete", "tab", "complete", words="complete the path", foot="complete"),
    Action("forget", "delete", "forget", words="remove from list"),
    Action("leave", "escape", "leave", words="back to the list", in_footer=False),
)
STAND = (
    Action("practise", "enter", "practise", words="practise"),
    Action("find", "slash", "find", words="go to bar", foot="bar"),
    Action("today", "g", "today", words="what is next today: places lost by heart, then chunks", foot="today"),
    Action("who", "w", "who", words="who you are", foot="who"),
    Action("cues", "c", "cues", words="cues"),
    Action("plan", "p", "plan", words="plan"),
    Action("rehearse", "r", "rehearse", words="rehearse"),
    Action("setup", "s", "setup", words="set-up"),
    Action("write", "f", "write", words="files"),
    Action("tubes", "t", "tubes", words="tubes"),
    Action("questions", "y", "questions", words="questions about the piece", foot="questions"),
    Action("differences", "d", "differences", words="differences of your copies", foot="differences"),
    Action("entries", "e", "entries", words="entries without a leader", foot="entries"),
    Action("lesson", "x", "lesson", words="use what your takes teach, or leave it out", in_footer=False),
    Action("close", "o", "close", words="another piece", foot="other piece"),
    Action("next_row", "down", "move(1)", words="next chunk", in_footer=False),
    Action("previous_row", "up", "move(-1)", words="previous chunk", in_footer=False),
    Action("rows_on", "pagedown", "move(10)", words="ten chunks on", in_footer=False),
    Action("rows_back", "pageup", "move(-10)", words="ten chunks back", in_footer=False),
)
PRACTICE = (
    Action("play", "space", "play", words="play or stop", foot="play"),
    Action("slower", "minus", "slower", words="slower", foot="tempo"),
    Action("faster", "plus,equals_sign", "faster", words="faster", foot="tempo"),
    Action("tempo", "percent_sign", "tempo", words="type a tempo", in_footer=False),
    Action("from_here", "enter", "from_here", words="play from the bar at the cursor", foot="from here"),
    Action("next_bar", "right", "step(1)", words="next bar", foot="bar"),
    Action("previous_bar", "left", "step(-1)", words="previous bar", foot="bar"),
    Action("loop_from", "left_square_bracket", "loop_from", words="your own loop begins at this bar", foot="own loop"),
    Action("loop_to", "right_square_bracket", "loop_to", words="your own loop ends at this bar", foot="own loop"),
    Action("click", "k", "click", words="click"),
    Action("loop", "l", "loop", words="loop or once", foot="loop"),
    Action("join", "j", "join", words="join with the next chunk", foot="join"),
    Action("own", "o", "own", words="own part: on, soft, off", foot="own part"),
    Action("try", "h", "try", words="try to bend bars: loop, phrase or all", foot="try"),
    Action("recording", "P", "recording", words="play along with a recording, or with the machine", in_footer=False),
    Action("other_recording", "B", "other_recording", words="the next recording, at the same place", in_footer=False),
    Action("new_recording", "O", "new_recording", words="add another recording", in_footer=False),
    Action("recorded_time", "M", "recorded_time", words="the machine in the recording's time", in_footer=False),
    Action("ear", "R", "ear", words="who hears you", foot="hear me"),
    Action("hear_pass", "T", "hear_pass", words="play your last pass back with the others", in_footer=False),
    Action("follow", "F", "follow", words="the others follow you, or no more", foot="follow me"),
    Action("follow_here", "H", "follow_here", words="followed: your next stroke is from here", in_footer=False),
    Action("give", "W", "give", words="followed: how far the others go with you", in_footer=False),
    Action("leaps", "L", "leaps", words="followed: they look for you, or stay in place", in_footer=False),
    Action("usual", "U", "usual", words="your usual time, or the recording's, as a try", in_footer=False),
    Action("forget_usual", "X", "forget_usual", words="followed: forget your usual time", in_footer=False),
    Action("tap", "q,p", "tap", words="tap your part, when tapped keys are heard", in_footer=False),
    Action(
        "breath", "apostrophe", "mark('breath')", words="set a breath before the beat at the cursor", in_footer=False
    ),
    Action("lead", "e", "mark('lead')", words="set who leads the entry at the cursor", in_footer=False),
    Action("look", "u", "mark('look')", words="set whom to look at, at the cursor", in_footer=False),
    Action("wait", "z", "wait", words="try a wait before the beat at the cursor", in_footer=False),
    Action("word", "m", "word", words="write a word to one or all; while trying: name it", in_footer=False),
    Action("next_beat", "shift+right", "beat(1)", words="next beat; in a try: end later", in_footer=False),
    Action("previous_beat", "shift+left", "beat(-1)", words="previous beat; in a try: end earlier", in_footer=False),
    Action("try_longer", "full_stop", "try_end(1)", words="while trying: a bar longer", in_footer=False),
    Action("try_shorter", "comma", "try_end(-1)", words="while trying: a bar shorter", in_footer=False),
    Action("try_top_later", "greater_than_sign", "try_top(1)", words="while trying: top later", in_footer=False),
    Action("try_top_earlier", "less_than_sign", "try_top(-1)", words="while trying: top earlier", in_footer=False),
    Action("try_curve", "c", "try_curve", words="while trying: next curve", in_footer=False),
    Action("try_next", "v", "try_next", words="while trying: hear the next try", in_footer=False),
    Action("try_written", "V", "try_written", words="while trying: hear it as written", in_footer=False),
    Action("try_away", "delete,backspace", "try_away", words="while trying: throw this try away", in_footer=False),
    Action("agree", "y", "agree", words="while trying: keep as agreed", in_footer=False),
    Action("again", "x", "again", words="once more from the beginning", in_footer=False),
    Action("rate_learning", "a", "rate('learning notes')", words="rate: learning notes", in_footer=False),
    Action("rate_under", "s", "rate('under tempo')", words="rate: under tempo", in_footer=False),
    Action("rate_tempo", "d", "rate('at tempo')", words="rate: at tempo", in_footer=False),
    Action("rate_heart", "f", "rate('by heart')", words="rate: by heart", in_footer=False),
    Action("fade", "g", "fade", words="by heart: hide more of your part", in_footer=False),
    Action("fade_back", "G", "fade(-1)", words="by heart: hide less", in_footer=False),
    Action("glance", "w", "glance", words="by heart: show the bar for a moment", in_footer=False),
    Action("hide_others", "r", "hide_others", words="by heart: hide the others' rhythms", in_footer=False),
    Action("lost", "N", "lost", words="by heart: go to the next place you got lost", in_footer=False),
    Action("accept", "A", "accept", words="rate: as it was heard", in_footer=False),
    Action("count_in", "i", "count_in", words="bars of count-in", in_footer=False),
    Action("steps", "t", "steps", words="tempo in steps", in_footer=False),
    Action("next_chunk", "n", "next_chunk", words="next chunk"),
    Action("previous_chunk", "b", "previous_chunk", words="previous chunk", in_footer=False),
    Action("next_page", "pagedown", "turn(1)", words="next page", in_footer=False),
    Action("previous_page", "pageup", "turn(-1)", words="previous page", in_footer=False),
    *(
        Action(f"player_{n}", str(n), f"player({n})", words=f"player {n} on or off", in_footer=False)
        for n in range(1, 10)
    ),
    Action("back", "escape", "back", words="back"),
)
QUESTIONS = (
    Action("turn_over", "space,enter", "turn_over", words="show the choices, go on after the answer", foot="on"),
    Action("hear", "h", "hear", words="hear the bars in the question", foot="hear"),
    *(
        Action(f"choose_{n}", str(n), f"choose({n})", words=f"answer {n}", in_footer=n < 5, foot="answer")
        for n in range(1, 7)
    ),
    Action("back", "escape", "back", words="back"),
)
CUES = (
    Action("print", "space", "print", words="print the cue or leave it out", foot="print or leave out"),
    *(
        Action(f"show_{n}", str(n), f"show({n})", words=f"show player {n} here", in_footer=n < 3, foot="show player")
        for n in range(1, 10)
    ),
    Action("add_cue", "a", "add", words="add cue"),
    Action("next_player", "tab", "next_player", words="next player's cues", foot="next player"),
    Action("next_row", "down", "move(1)", words="next cue", in_footer=False),
    Action("previous_row", "up", "move(-1)", words="previous cue", in_footer=False),
    Action("rows_on", "pagedown", "move(10)", words="ten cues on", in_footer=False),
    Action("rows_back", "pageup", "move(-10)", words="ten cues back", in_footer=False),
    Action("back", "escape", "back", words="back"),
)
PLAN = (
    Action("previous_day", "left", "day(-1)", words="the day before", foot="day"),
    Action("next_day", "right", "day(1)", words="the next day", foot="day"),
    Action("add", "a", "add", words="add a rehearsal on this day", foot="add"),
    Action("missing", "m", "missing", words="who is missing", foot="missing"),
    Action("shorter", "minus", "longer(-15)", words="15 minutes less", foot="minutes"),
    Action("longer", "plus,equals_sign", "longer(15)", words="15 minutes more", foot="minutes"),
    Action("concert", "d", "concert", words="concert on this day", foot="concert"),
    Action("open_rehearsal", "enter", "rehearse", words="open this rehearsal", foot="rehearse"),
    Action("remove", "delete", "remove", words="remove this rehearsal", foot="remove"),
    Action("next_rehearsal", "tab", "next_rehearsal", words="next rehearsal"),
    Action("minutes", "n", "minutes", words="your minutes a day", foot="yours"),
    Action("date", "slash", "date", words="go to a date", foot="date"),
    *(
        Action(f"away_{n}", str(n), f"away({n})", words=f"player {n} missing or not", in_footer=False)
        for n in range(1, 10)
    ),
    Action("next_row", "down", "scroll(1)", words="further down", in_footer=False),
    Action("previous_row", "up", "scroll(-1)", words="further up", in_footer=False),
    Action("back", "escape", "back", words="back"),
)
REHEARSAL = (
    Action("hold_clock", "space", "hold_clock", words="start or stop the clock", foot="clock"),
    Action("next_item", "n,right", "step(1)", words="next item", foot="next"),
    Action("previous_item", "b,left", "step(-1)", words="previous item", foot="previous"),
    Action("longer_item", "plus,equals_sign", "longer", words="two minutes more", foot="2 min more"),
    Action("note", "e", "note", words="write a note", foot="note"),
    Action("agree", "y", "settle('agreed')", words="agreed", foot="agreed"),
    Action("drop", "x", "settle('dropped')", words="dropped", foot="dropped"),
    Action("went_learning", "a", "went('learning notes')", words="learning notes", in_footer=False),
    Action("went_under", "s", "went('under tempo')", words="under tempo", in_footer=False),
    Action("went_tempo", "d", "went('at tempo')", words="at tempo", in_footer=False),
    Action("went_heart", "f", "went('by heart')", words="by heart", in_footer=False),
    Action("next_tried", "down", "choose(1)", words="next of what is tried", in_footer=False),
    Action("previous_tried", "up", "choose(-1)", words="previous of what is tried", in_footer=False),
    Action("write_protocol", "ctrl+s", "write", words="write the protocol", in_footer=False),
    Action("back", "escape", "back", words="back"),
)
TUBES = (
    Action("next_line", "down", "line(1)", words="next line", foot="line"),
    Action("previous_line", "up", "line(-1)", words="previous line", foot="line"),
    Action("write_tubes", "ctrl+s", "write_tubes", words="write files"),
    Action("back", "escape", "back", words="back"),
)
SETUP = (
    Action("to_bar", "enter", "practise", words="practise from this bar", foot="to the bar"),
    Action("next_row", "down", "move(1)", words="next finding", foot="finding"),
    Action("previous_row", "up", "move(-1)", words="previous finding", foot="finding"),
    Action("stickings", "h", "stickings", words="stickings"),
    Action("check_again", "r", "again", words="check again"),
    Action("write_setup", "ctrl+s", "write_setup", words="write files"),
    Action("rows_on", "pagedown,space", "page(1)", words="a screen down", in_footer=False),
    Action("rows_back", "pageup", "page(-1)", words="a screen up", in_footer=False),
    Action("back", "escape", "back", words="back"),
)
GATHER = (
    Action("take", "enter", "take", words="take this side", foot="take this side"),
    Action("previous_side", "left", "side(-1)", words="previous side", foot="side"),
    Action("next_side", "right", "side(1)", words="next side", foot="side"),
    Action("both", "b", "both", words="keep both", foot="both"),
    Action("add_copy", "a", "add", words="join another copy", foot="another copy"),
    Action("next_row", "down", "move(1)", words="next difference", in_footer=False),
    Action("previous_row", "up", "move(-1)", words="previous difference", in_footer=False),
    Action("back", "escape", "back", words="back"),
)
PROPOSALS = (
    Action("accept", "enter", "accept", words="accept", foot="accept"),
    *(
        Action(f"giver_{n}", str(n), f"giver({n})", words=f"player {n} leads", in_footer=n < 5, foot="who leads")
        for n in range(1, 10)
    ),
    Action("nobody", "delete,backspace", "nobody", words="nobody is needed here", foot="nobody"),
    Action("next_row", "down", "move(1)", words="next entry", foot="entry"),
    Action("previous_row", "up", "move(-1)", words="previous entry", foot="entry"),
    Action("back", "escape", "back", words="back"),
)
CONCERT = (
    Action("open_piece", "enter", "open_piece", words="open this piece", foot="open"),
    Action("today", "g", "today", words="what is next today, in any piece", foot="today"),
    Action("who", "w", "who", words="who you are", foot="who"),
    Action("calendar", "p", "calendar", words="the calendar", foot="calendar"),
    Action("stage", "s", "stage", words="the stage", foot="stage"),
    Action("write", "f", "write", words="write calendar, stage and everybody's pages", foot="files"),
    Action("add_piece", "a", "add_piece", words="add a piece", foot="add"),
    Action("people", "e", "people", words="who plays which part of this piece", foot="parts"),
    Action("earlier", "minus", "place(-1)", words="this piece earlier", foot="order"),
    Action("later", "plus,equals_sign", "place(1)", words="this piece later", foot="order"),
    Action("add_rehearsal", "r", "add_rehearsal", words="add a rehearsal", foot="rehearsal"),
    Action("missing", "m", "missing", words="who is missing at a rehearsal", foot="missing"),
    Action("concert_day", "d", "day", words="the concert's day", foot="day"),
    Action("hall", "h", "hall", words="the stage's measures", foot="hall"),
    Action("other", "c", "other", words="change something else: who is late, instruments, moving", foot="more"),
    Action("take_out", "delete", "take_out", words="remove this piece", in_footer=False),
    Action("next_row", "down", "move(1)", words="next piece", in_footer=False),
    Action("previous_row", "up", "move(-1)", words="previous piece", in_footer=False),
    Action("back", "escape,o", "back", words="back"),
)
LEAVES = (
    Action("next_leaf", "right", "leaf(1)", words="next page", foot="page"),
    Action("previous_leaf", "left", "leaf(-1)", words="previous page", foot="page"),
    Action("next_row", "down", "scroll(1)", words="further down", foot="lines"),
    Action("previous_row", "up", "scroll(-1)", words="further up", foot="lines"),
    Action("rows_on", "pagedown,space", "scroll(10)", words="ten lines down", in_footer=False),
    Action("rows_back", "pageup", "scroll(-10)", words="ten lines up", in_footer=False),
    Action("back", "escape", "back", words="back"),
)
FORM = (
    Action("next_line", "down", "line(1)", words="next line", in_footer=False),
    Action("previous_line", "up", "line(-1)", words="previous line", in_footer=False),
    Action("back", "escape", "back", words="back"),
)
READING = (Action("back", "escape", "back", words="back"),)

TABLES = {
    "everywhere": EVERYWHERE,
    "pieces": PIECES,
    "stand": STAND,
    "practice": PRACTICE,
    "questions": QUESTIONS,
    "cues": CUES,
    "plan": PLAN,
    "rehearsal": REHEARSAL,
    "tubes": TUBES,
    "setup": SETUP,
    "reading": READING,
    "form": FORM,
    "gather": GATHER,
    "proposals": PROPOSALS,
    "concert": CONCERT,
    "leaves": LEAVES,
}
