"""Low Water, Four Lanterns: player 3 (vibraphone, suspended cymbal) and player 4 (a marimba of one's own)."""

from notation import bars_of
from quartet_motifs import DESCENT, TUNE, TUNE_IN_THREE, off_beats, rolls


def player_3() -> list[str]:
    """Vibraphone and a suspended cymbal."""
    a = ["R"] * 8 + ["\\medium_cord \\p A4+E5:w*", "R", "G4+D5:w*", "R"]
    a += ["\\mp F4+C5:h* G4+D5:h*", "A4+D5:w*", "R", "\\p \\< cym:h.% \\! r:q"]
    b = ["\\mf " + TUNE[0], *TUNE[1:]]
    b += bars_of("r:h \\mp D5:q A4:q | C5:w* | r:h F5:q D5:q | E5:w* | r:h G5:q D5:q | F5:w*")
    b += ["(D5)E5:q. C5:e G4:h", "A4:w*"]
    b += ["\\f " + TUNE[0], *TUNE[1:7], "E5:e^ \\damp r:e r:q r:h"]
    c = bars_of(
        "R | R | \\mf D5:q A4:q C5:q. | G4:q A4:q E4:q. | D5:q A4:q C5:q. | E5:q C5:q G4:q. |"
        " F5:q E5:q D5:q. | C5:q> r:q cym:q.* | F5:q E5:q D5:q. | E5:q> r:q cym:q.* |"
        " A5:q G5:q F5:q. | G5:q F5:q D5:q. | F5:q E5:q C5:q. | D5:q C5:q A4:q. |"
        " \\> D5:q> r:q A4:q. | \\! \\p D5:q \\damp r:q r:q."
    )
    d = ["R"] * 8 + ["\\mf " + TUNE_IN_THREE[0], *TUNE_IN_THREE[1:], "\\mp D5:q A4:q F4:q", "D5:q Bb4:q G4:q"]
    d += [*["D5:q A4:q F4:q", "D5:q Bb4:q G4:q"] * 2, "A4+D5:h.*", "R"]
    return [*a, *b, *c, *d, *_player_3_in_five(), *_player_3_return()]


def _player_3_in_five() -> list[str]:
    first = {"Dm": "A4+D5", "C": "G4+C5", "Bb": "F4+Bb4", "Am": "E4+A4"}
    second = {"Dm": "D5+F5", "C": "C5+E5", "Bb": "Bb4+D5", "Am": "A4+C5"}
    e = off_beats(first, second)[:8]
    e[0] = f"\\f {e[0]}"
    return e + bars_of(
        "D5:q. E5:e F5:q E5:q D5:q | C5:h.* G4:h* | D5:q. E5:e F5:q G5:q A5:q | G5:h.* E5:h* |"
        " \\< (E5)F5:q E5:q D5:q C5:q A4:q | F5:q E5:q D5:q C5:q E5:q |"
        " \\! \\ff A5:q> A5:q> G5:q> F5:q> E5:q> | D5:q> r:h cym:h*"
    )


def _player_3_return() -> list[str]:
    f = ["\\mf " + TUNE[0], *TUNE[1:]]
    f += bars_of("R | \\p A4+E5:w* | R | F4+C5:w* | G4+D5:w* | R | A4+E5:w* | \\pp D5+A5:w*@")
    return f + bars_of("\\p r:h cym:h* | R | \\mp r:h D5:q A4:q | D5:e^ \\damp r:e r:q r:h")


Staves = tuple[list[str], list[str]]
"""Bars of the upper and of the lower staff."""


def player_4() -> Staves:
    """A smaller marimba on two staves; nothing below its A2."""
    sections = (_opening(), _rest_and_answers(), _in_seven(), _in_three(), _in_five(), _return())
    return [bar for upper, _ in sections for bar in upper], [bar for _, lower in sections for bar in lower]


def _opening() -> Staves:
    upper = ["A3:w%~", "A3:w%~", "A3:w%~", "A3:w%"] * 2 + ["G3:w%~", "G3:w%", *["A3:w%~"] * 5, "A3:w%"]
    for bar, marks in ((0, "\\soft_yarn \\pp \\<"), (3, "\\! \\mp"), (12, "\\<"), (15, "\\! \\mf")):
        upper[bar] = f"{marks} {upper[bar]}"
    return upper, ["D3:w%~", "D3:w%~", "D3:w%~", "D3:w%"] * 2 + rolls("C3", "D3", "Bb2", "D3")


def _rest_and_answers() -> Staves:
    upper, lower = _answers()
    again = [f"\\f {upper[0]}", *upper[1:7], "C4+E4:e^ r:e r:q r:h"]
    first = [f"\\medium_yarn \\mf {upper[0]}", *upper[1:]]
    return ["R"] * 8 + first + again, ["R"] * 8 + lower + [*lower[:7], "A2:e^ r:e r:q r:h"]


def _answers() -> Staves:
    chords = ("D4+F4", "D4+F4", "D4+F4", "C4+F4", "D4+G4", "D4+F4", "C4+E4", "C4+E4")
    upper = [f"r:e {c}:e r:e {c}:e r:q {c}:q" if i % 2 == 0 else f"r:e {c}:e r:q {c}:h" for i, c in enumerate(chords)]
    return upper, [f"{n}:h. {n}:q" for n in ("D3", "D3", "Bb2", "F3", "G3", "D3", "C3", "A2")]


def _in_seven() -> Staves:
    upper = ["R", "R", "\\mf r:q F4:q A4:q.", "r:q E4:q G4:q.", "r:q F4:q A4:q.", "r:q E4:q G4:q."]
    upper += ["r:q D4:q F4:q.", "C4+E4:q> r:q C4+E4:q.", "r:q D4:q F4:q.", "C4+E4:q> r:q C4+G4:q."]
    upper += ["r:q F4:q A4:q.", "r:q D4:q F4:q."] * 2 + ["\\> D4+F4:q> r:q C4:q.", "\\! \\p D4+F4:q r:q r:q."]
    accented = {7, 9, 14}
    low = ("D3", "C3", "D3", "C3", "Bb2", "A2", "Bb2", "C3", "D3", "Bb2", "D3", "Bb2", "D3", "D3")
    return upper, ["R", "R"] + [f"{n}:q{'>' * (i in accented)} r:q r:q." for i, n in enumerate(low, start=2)]


def _in_three() -> Staves:
    upper = ["r:q F4+A4:q F4+A4:q", "r:q F4+Bb4:q F4+Bb4:q"] * 4 + ["r:q F4+A4:q F4+A4:q", "r:q E4+G4:q E4+G4:q"] * 4
    upper[0] = f"\\p {upper[0]}"
    upper += bars_of("\\mf D5:h E5:q | F5:q E5:q D5:q | C5:h A4:q | D5:h. | (D5)F5:q E5:q C5:q | D5:h.")
    lower = ["D3:h.", "Bb2:h."] * 4 + ["D3:h.", "C3:h."] * 4 + ["D3:q A3:q F3:q", "Bb2:q F3:q D3:q"] * 3
    return [*upper, "D4+F4:h.%~", "D4+F4:h.%"], [*lower, "D3:h.%~", "D3:h.%"]


def _in_five() -> Staves:
    first = {"Dm": "F4+A4", "C": "E4+G4", "Bb": "D4+F4", "Am": "C4+E4"}
    second = {"Dm": "A4+C5", "C": "G4+C5", "Bb": "F4+Bb4", "Am": "E4+A4"}
    low = {"Dm": "D3:h. A2:h", "C": "C3:h. E3:h", "Bb": "Bb2:h. D3:h", "Am": "A2:h. E3:h"}
    upper = [*off_beats(first, second), "\\! \\ff F4+A4:q> F4+A4:q> G4+Bb4:q> A4+C5:q> A4+C5:q>", "F4+A4:q> r:h r:h"]
    upper[0], upper[12] = f"\\f {upper[0]}", f"\\< {upper[12]}"
    return upper, [*(low[chord] for chord in DESCENT), "D3:q D3:q E3:q F3:q A2:q", "D3:q> r:h r:h"]


def _return() -> Staves:
    upper, lower = _answers()
    upper[0], upper[7] = f"\\mp {upper[0]}", "r:e C4+E4:e r:q r:h"
    lower[7] = "A2:q r:q r:h"
    upper += rolls("F4+A4", "F4+Bb4", "E4+G4", "F4+A4")
    upper[8], upper[12] = f"\\p \\< {upper[8]}", f"\\! \\mf \\> {upper[12]}"
    upper[15] = "\\! \\pp F4+A4:w%@"
    lower += [*rolls("D3", "Bb2", "C3", "D3")[:7], "D3:w%@"]
    upper += bars_of("R | R | r:q F4+A4:q r:q F4+A4:q | F4+A4:e^ r:e r:q r:h")
    return upper, lower + bars_of("R | \\mp D3:h. D3:q | D3:h A2:h | D3:e^ r:e r:q r:h")
