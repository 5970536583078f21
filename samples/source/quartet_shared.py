"""Low Water, Four Lanterns: players 1 and 2, who share the five-octave marimba, and player 1's triangle."""

from patterns import beats, seven
from quartet_motifs import FIRST_HALF, SECOND_HALF, TUNE_IN_THREE, driving, hocket, rolls


def player_1() -> list[str]:
    """The upper half of the shared marimba."""
    a = ["R"] * 12 + ["\\medium_yarn \\pp \\< A4+D5:w%~", "A4+D5:w%~", "A4+D5:w%~", "\\! \\mf A4+D5:w%"]
    b = hocket(FIRST_HALF, 24, True, "RL")
    b[0] = f"\\p {b[0]}"
    b[8] = f"\\mp {b[8]}"
    b[16] = f"\\< {b[16]}"
    b[23] = "\\! \\f A4+E5:e^ r:e r:q r:h"
    return [*a, *b, *_player_1_in_seven(), *_player_1_in_three(), *_player_1_in_five(), *_player_1_return()]


def _player_1_in_seven() -> list[str]:
    over_d = seven(["D5", "A4", "C5", "G4", "A4", "F4", "E4"])
    c = [over_d, seven(["C5", "G4", "E5", "C5", "G4"], "xx xx x..")] * 3
    c[0] = f"\\mf {c[0]}"
    c += [seven(["D5", "Bb4", "C5", "F4", "Bb4", "F4", "D4"]), "E5:e> r:e E5:e r:e A4:q."]
    c += [seven(["D5", "Bb4", "C5", "F4", "Bb4", "F4", "D4"]), "G4:e> r:e G4:e r:e C5:q."]
    c += [over_d, seven(["F5", "D5", "C5", "Bb4", "D5"], "xx xx x..")] * 2
    c[13] = f"\\> {c[13]}"
    # Free hands from here on: time to take the soft mallets.
    return [*c, "D5:q> r:q A4:q.", "\\! R"]


def _player_1_in_three() -> list[str]:
    d = [*TUNE_IN_THREE, *["R"] * 8]
    d[0] = f"\\soft_yarn \\p {d[0]}"
    d[4] = "(E5)F5:h G5:q"
    d += ["{4:3 D5:q C5:q A4:q C5:q }", "{4:3 D5:q C5:q A4:q F4:q }"] * 3 + ["F4:h.%", "R"]
    d[16] = f"\\mp {d[16]}"
    return d


def _player_1_in_five() -> list[str]:
    e = driving(upper=True)
    e[0] = f"\\hard_yarn \\f {e[0]}"
    # Both players of the shared marimba strike its A4 at the same moments here; see player 2.
    e[11] = "A4:q> A4:q> C5:q A4:q> E5:q"
    e[12] = f"\\< {e[12]}"
    return [*e, "\\! \\ff A4:q> A4:q> Bb4:q> C5:q> C5:q>", "D5:q> r:h r:h"]


def _player_1_return() -> list[str]:
    f = hocket(FIRST_HALF, 8, True)
    f[0] = f"\\mp {f[0]}"
    f[7] = "A4+E5:e^ r:e r:q r:h"
    f += rolls("A4+D5", "Bb4+D5", "G4+C5", "A4+D5")
    f[8] = f"\\p \\< {f[8]}"
    f[12] = f"\\! \\mf \\> {f[12]}"
    f[15] = "\\! \\pp A4+D5:w%@"
    return [
        *f,
        "R",
        "\\mp " + beats(FIRST_HALF[0], ["F4", "A4", "D5", "F5"]),
        "D5:e> r:e r:q D5:e> r:e r:q",
        "D4+A4+D5:e^ r:e r:q r:h",
    ]


def player_1_triangle() -> list[str]:
    """Triangle beside the marimba, struck only where player 1 has put the mallets down."""
    texts = ["R"] * 116
    texts[8] = texts[10] = "\\p tri:w*"
    texts[66] = texts[69] = "\\p tri:h.*"
    return texts


def player_2() -> list[str]:
    """The lower half of the shared marimba, and crotales."""
    a = ["R"] * 4 + [*["D4+F4:w%~"] * 3, "D4+F4:w%", "C4+E4:w%~", "C4+E4:w%", *["D4+F4:w%~"] * 5, "D4+F4:w%"]
    for bar, marks in ((4, "\\medium_yarn \\pp \\<"), (6, "\\! \\mp"), (8, "\\>"), (9, "\\! \\p"), (12, "\\<")):
        a[bar] = f"{marks} {a[bar]}"
    a[15] = "\\! \\mf D4+F4:w%"
    b = hocket(SECOND_HALF, 24, False, "LR")
    b[0] = f"\\clef:bass \\p {b[0]}"
    b[8] = f"\\mp {b[8]}"
    b[16] = f"\\< {b[16]}"
    b[23] = "\\! \\f A3+E4:e^ r:e r:q r:h"
    return [*a, *b, *_player_2_in_seven(), *_player_2_in_three(), *_player_2_in_five(), *_player_2_return()]


def _player_2_in_seven() -> list[str]:
    over_d = seven(["D3", "A3", "F3"], "x. x. x.x")
    c = [over_d, seven(["C3", "G3", "E3"], "x. x. x.x")] * 3
    c[0] = f"\\mf {c[0]}"
    c += ["Bb2:q F3:q Bb3:q.", "A2:q> r:q A3:q."]
    c += ["Bb2:q F3:q Bb3:q.", "C3:q> r:q G3:q."]
    c += [over_d, seven(["Bb2", "F3", "D3"], "x. x. x.x")] * 2
    return [*c, "\\> D3:q> r:q A3:q.", "\\! \\p D3:q r:q r:q."]


def _player_2_in_three() -> list[str]:
    d = ["R"] * 10 + ["D4:h E4:q", "F4:q E4:q D4:q", "C4:h A3:q", "D4:h.", "F4:h G4:q", "A4:q G4:q F4:q"]
    d[10] = f"\\clef:treble \\soft_yarn \\mp {d[10]}"
    d += ["A3:h F3:q", "Bb3:h G3:q"] * 3 + ["A3:h.%", "R"]
    d[16] = f"\\clef:bass {d[16]}"
    return d


def _player_2_in_five() -> list[str]:
    e = driving(upper=False)
    e[0] = f"\\clef:treble \\hard_yarn \\f {e[0]}"
    # One beat, half a second, to change from the marimba to the crotales: too quick on purpose.
    e[7] = "C4:q> E4:q A3:q r:q \\to:crotales E5:q>*"
    e[8:11] = ["D5:q* r:q A5:q* r:h", "R", "r:h. r:h \\to:marimba"]
    # The same A4 as player 1 on beats 1, 2 and 4.
    e[11] = "A4:q> A4:q> E4:q A4:q> C4:q"
    e[12] = f"\\< {e[12]}"
    return [*e, "\\! \\ff D4:q> D4:q> E4:q> F4:q> E4:q>", "D4:q> r:h r:h"]


def _player_2_return() -> list[str]:
    f = hocket(SECOND_HALF, 8, False)
    f[0] = f"\\clef:bass \\mp {f[0]}"
    f[7] = "A3+E4:e^ r:e r:q r:h"
    f += rolls("D4+F4", "D4+F4", "C4+E4", "D4+F4")
    f[8] = f"\\clef:treble \\soft_yarn \\p \\< {f[8]}"
    f[12] = f"\\! \\mf \\> {f[12]}"
    f[15] = "\\! \\pp D4+F4:w%@"
    return [
        *f,
        "R",
        "\\clef:bass \\hard_yarn \\mp " + beats(SECOND_HALF[0], ["D3", "F3", "A3", "D4"]),
        "r:q D4:e> r:e r:q D4:e> r:e",
        "D3+A3:e^ r:e r:q r:h",
    ]
