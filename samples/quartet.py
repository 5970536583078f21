"""Low Water, Four Lanterns: an invented mallet quartet, written to hold what players meet.

116 bars: A rolls, B interlocking sixteenths, C seven-eight with a repeat, D a travelling tune in three and four
against three, E five-four, F the return. README.md beside this file says what happens where.
"""

from layout import BarPlan, Instrument, Part, Score, Sound, TempoMark
from notation import bars_of
from patterns import CHORDS, beats, roll, seven

MARIMBA = Instrument("marimba", "Marimba", "pitched-percussion.marimba", 13)
TRIANGLE = Instrument("triangle", "Triangle", "metal.triangle", unpitched=82)
CROTALES = Instrument("crotales", "Crotales", "pitched-percussion.crotales", 10, octaves=2)
VIBRAPHONE = Instrument("vibraphone", "Vibraphone", "pitched-percussion.vibraphone", 12)
CYMBAL = Instrument("cymbal", "Suspended cymbal", "metal.cymbal.suspended", unpitched=50)

# B: eight bars of harmony, gone through three times.
HARMONY = ("Dm", "Dm", "Bb", "F", "Gm", "Dm", "C", "Am")
FIRST_HALF = ("x..x .xx. x..x .xx.", "x..x .xx. ..xx x...")
SECOND_HALF = (".xx. x..x .xx. x..x", ".xx. x..x xx.. .xxx")

TUNE = bars_of(
    "D5:q. E5:e F5:q E5:q | D5:h A4:h | C5:q. D5:e E5:q D5:q | A4:w |"
    " F5:q. G5:e A5:q G5:q | F5:q E5:q D5:h | E5:q C5:q D5:q. C5:e | D5:w*"
)
TUNE_IN_THREE = bars_of(
    "D5:h E5:q | F5:q E5:q D5:q | C5:h A4:q | D5:h. | F5:h G5:q | A5:q G5:q F5:q | E5:q F5:q C5:q | D5:h."
)


def bars() -> list[BarPlan]:
    """What all parts share."""
    plans = [BarPlan(fifths=-1) for _ in range(40)]
    plans[0] = BarPlan(fifths=-1, rehearsal="A", tempo=TempoMark("Still", "60-66", 63))
    plans[15] = BarPlan(fifths=-1, barline="light-light")
    plans[16] = BarPlan(fifths=-1, rehearsal="B", tempo=TempoMark("Moving, light", "104", 104))
    plans[39] = BarPlan(fifths=-1, barline="light-light")
    lilt = "2+2+3/8"
    plans.append(BarPlan(lilt, -1, "C", TempoMark("Lilting", "116", 116), repeat="forward"))
    plans += [BarPlan(lilt, -1)] * 5
    plans += [
        BarPlan(lilt, -1, ending="1", ending_edges=("start",)),
        BarPlan(lilt, -1, ending="1", ending_edges=("stop",), repeat="backward"),
        BarPlan(lilt, -1, ending="2", ending_edges=("start",)),
        BarPlan(lilt, -1, ending="2", ending_edges=("discontinue",)),
    ]
    plans += [BarPlan(lilt, -1)] * 5 + [BarPlan(lilt, -1, barline="light-light")]
    plans.append(BarPlan("3/4", -1, "D", TempoMark("Slower, singing", "c. 88", 88)))
    plans += [BarPlan("3/4", -1)] * 22 + [BarPlan("3/4", -1, barline="light-light")]
    plans.append(BarPlan("3+2/4", -1, "E", TempoMark("Bright", "120", 120)))
    plans += [BarPlan("3+2/4", -1)] * 14 + [BarPlan("3+2/4", -1, barline="light-light")]
    plans.append(BarPlan("4/4", -1, "F", TempoMark("Moving, light", "104", 104)))
    plans += [BarPlan("4/4", -1)] * 11
    plans.append(BarPlan("4/4", -1, slowing="start"))
    plans += [BarPlan("4/4", -1), BarPlan("4/4", -1, slowing="stop"), BarPlan("4/4", -1)]
    plans.append(BarPlan("4/4", -1, tempo=TempoMark("Moving, light", "104", 104)))
    plans += [BarPlan("4/4", -1)] * 3
    return plans


def hocket(patterns: tuple[str, str], count: int, upper: bool, hands: str = "") -> list[str]:
    """So many bars of one player's half of the interlocking sixteenths.

    The upper half lies above the lower half's highest note, so that four hands stay out of each other's way.
    """
    texts = []
    for bar in range(count):
        low, *rest = CHORDS[HARMONY[bar % 8]]
        notes = [*rest, _octaves(rest[0], 1)] if upper else [_octaves(name, -1) for name in (low, *rest)]
        turned = notes if bar % 2 == 0 else notes[::-1]
        texts.append(beats(patterns[bar % 2], turned, hands if bar < 2 else ""))
    return texts


def _octaves(name: str, octaves: int) -> str:
    return f"{name[:-1]}{int(name[-1]) + octaves}"


def player_1() -> list[str]:
    """Marimba, the upper end of the shared instrument."""
    a = ["R"] * 12 + roll("A4+D5", 3, "\\pp \\<", "")[:2] + ["A4+D5:w%~", "\\! \\mf A4+D5:w%"]
    b = hocket(FIRST_HALF, 24, True, "RL")
    b[0] = f"\\hard_yarn \\p {b[0]}"
    b[8] = f"\\mp {b[8]}"
    b[16] = f"\\< {b[16]}"
    b[23] = "\\! \\f A4+E5:e^ r:e r:q r:h"
    c = [seven(["D5", "A4", "C5", "G4", "A4", "F4", "E4"]), seven(["D5", "A4", "C5", "G4", "F4"], "xx xx x..")] * 3
    c[0] = f"\\mf {c[0]}"
    c += [seven(["C5", "G4", "Bb4", "F4", "A4", "E4", "D4"]), "D5:e> r:e D5:e r:e A4:q. "]
    c += [seven(["C5", "G4", "Bb4", "F4", "A4", "E4", "F4"]), "G4:e> r:e A4:e r:e C5:q."]
    c += [seven(["D5", "A4", "C5", "G4", "A4", "F4", "E4"]), seven(["F5", "C5", "E5", "Bb4", "D5"], "xx xx x..")] * 2
    c += ["\\> D5:q> r:q A4:q.", "\\! \\p D5:q r:q r:q."]
    d = ["\\soft_yarn \\p " + TUNE_IN_THREE[0], *TUNE_IN_THREE[1:]]
    d += ["r:q A4+C5:q A4+C5:q", "r:q G4+Bb4:q G4+Bb4:q"] * 4
    d += ["{4:3 D5:q C5:q A4:q C5:q }", "{4:3 D5:q C5:q A4:q F4:q }"] * 3 + ["F4:h.%", "R"]
    d[16] = f"\\mp {d[16]}"
    e = _five("A4", "C5")
    e[0] = f"\\hard_yarn \\f {e[0]}"
    # Both players of the shared marimba strike its A4 at the same moments here; see player_2.
    e[11] = "A4:q> A4:q> C5:q A4:q> D5:q"
    e[15] = "D5:q> r:h r:h"
    f = hocket(FIRST_HALF, 8, True)
    f[0] = f"\\mp {f[0]}"
    f += roll("A4+D5", 8, "\\soft_yarn \\p \\<", "\\! \\f")
    f[12] = "\\! \\mf \\> " + f[12]
    f[15] = "\\! \\pp A4+D5:w%@"
    f += [
        "R",
        beats("x..x .xx. x..x .xx.", ["D4", "F4", "A4", "D5"]),
        "D5:e> r:e r:q D5:e> r:e r:q",
        "D4+A4+D5:e^ r:e r:q r:h",
    ]
    return [*a, *b, *c, *d, *e, *_mended(f)]


def player_1_triangle() -> list[str]:
    """Triangle beside the marimba."""
    a = ["R"] * 8 + ["\\p tri:w*", "R", "R", "R", "R", "R", "R", "R"]
    b = ["R"] * 24
    c = ["R"] * 15 + ["r:q r:q tri:q.*"]
    d = ["R"] * 24
    e = ["R"] * 15 + ["r:h. tri:h*"]
    f = ["R"] * 16 + ["\\p tri:w*", "R", "R", "R"]
    return [*a, *b, *c, *d, *e, *f]


def player_2() -> list[str]:
    """Marimba, the lower end of the shared instrument, and crotales."""
    a = ["R"] * 4 + ["\\pp \\< D4+F4:w%~", "D4+F4:w%~", "\\! \\mp D4+F4:w%~", "D4+F4:w%"]
    a += [
        "\\> C4+E4:w%~",
        "\\! \\p C4+E4:w%",
        "D4+F4:w%~",
        "D4+F4:w%~",
        "\\< D4+F4:w%~",
        "D4+F4:w%~",
        "D4+F4:w%~",
        "\\! \\mf D4+F4:w%",
    ]
    b = hocket(SECOND_HALF, 24, False, "LR")
    b[0] = f"\\hard_yarn \\p {b[0]}"
    b[8] = f"\\mp {b[8]}"
    b[16] = f"\\< {b[16]}"
    b[23] = "\\! \\f A3+E4:e^ r:e r:q r:h"
    c = [seven(["D3", "A3", "F3"], "x. x. x.x"), seven(["C3", "G3", "E3"], "x. x. x.x")] * 3
    c[0] = f"\\mf {c[0]}"
    c += ["Bb2:q F3:q Bb3:q.", "A2:q> r:q A3:q."]
    c += ["Bb2:q F3:q Bb3:q.", "C3:q> r:q G3:q."]
    c += [seven(["D3", "A3", "F3"], "x. x. x.x"), seven(["Bb2", "F3", "D3"], "x. x. x.x")] * 2
    c += ["\\> D3:q> r:q A3:q.", "\\! \\p D3:q r:q r:q."]
    d = ["R"] * 10
    d += ["\\soft_yarn \\mp D4:h E4:q", "F4:q E4:q D4:q", "C4:h A3:q", "D4:h.", "F4:h G4:q", "A4:q G4:q F4:q"]
    d += ["A3:h F3:q", "Bb3:h G3:q"] * 3 + ["A3:h.%~", "A3:h.%"]
    e = _five("D4", "F4", low=True)
    e[0] = f"\\hard_yarn \\f {e[0]}"
    # One beat, half a second, to change from the marimba to the crotales: too quick on purpose.
    e[6] = "D4:q> F4:q A3:q D4:q> F4:q"
    e[7] = "D4:q> F4:q A3:q r:q \\to:crotales D5:q>*"
    e[8] = "E5:q* r:q D5:q* r:h"
    # The same A4 as player 1 on beats 1, 2 and 4.
    e[9] = "r:h. r:h"
    e[10] = "r:h. r:h \\to:marimba"
    e[11] = "A4:q> A4:q> F4:q A4:q> D4:q"
    e[15] = "D4:q> r:h r:h"
    f = hocket(SECOND_HALF, 8, False)
    f[0] = f"\\mp {f[0]}"
    f += roll("D4+F4", 8, "\\soft_yarn \\p \\<", "")
    f[12] = "\\! \\mf \\> " + f[12]
    f[15] = "\\! \\pp D4+F4:w%@"
    f += [
        "R",
        beats(".xx. x..x .xx. x..x", ["D3", "F3", "A3", "D4"]),
        "r:q D4:e> r:e r:q D4:e> r:e",
        "D3+A3:e^ r:e r:q r:h",
    ]
    return [*a, *b, *c, *d, *e, *_mended(f)]


def player_3() -> list[str]:
    """Vibraphone and a suspended cymbal."""
    a = ["R"] * 8 + [
        "\\medium_cord \\p A4+E5:w*",
        "R",
        "G4+D5:w*",
        "R",
        "\\mp F4+C5:h* G4+D5:h*",
        "A4+E5:w*",
        "R",
        "\\p \\< cym:w%",
    ]
    b = ["\\! \\mf " + TUNE[0], *TUNE[1:]]
    b += [
        "r:h \\mp D5:q A4:q",
        "C5:w*",
        "r:h F5:q D5:q",
        "E5:w*",
        "r:h G5:q D5:q",
        "F5:w*",
        "(D5)E5:q. C5:e G4:h",
        "A4:w*",
    ]
    b += ["\\f " + TUNE[0], *TUNE[1:7], "E5:e^ \\damp r:e r:q r:h"]
    c = ["R", "R", "\\mf D5:q A4:q C5:q.", "G4:q A4:q F4:q.", "D5:q A4:q C5:q.", "E5:q C5:q D5:q."]
    c += ["F5:q E5:q D5:q.", "C5:q> r:q cym:q.", "F5:q E5:q D5:q.", "E5:q> r:q cym:q."]
    c += [
        "A5:q G5:q F5:q.",
        "G5:q F5:q D5:q.",
        "F5:q E5:q C5:q.",
        "D5:q C5:q A4:q.",
        "\\> D5:q> r:q A4:q.",
        "\\! \\p D5:q r:q r:q.",
    ]
    c[15] = "\\! \\p D5:q \\damp r:q r:q."
    d = ["R"] * 8 + ["\\mf " + TUNE_IN_THREE[0], *TUNE_IN_THREE[1:]]
    d += ["D5:q A4:q F4:q", "D5:q Bb4:q G4:q"] * 3 + ["A4+D5:h.*", "R"]
    d[16] = f"\\mp {d[16]}"
    e = ["r:q A4+D5:q r:q r:q C5+F5:q", "r:q A4+D5:q r:q C5+F5:h"] * 4
    e[0] = f"\\f {e[0]}"
    e += ["D5:q. E5:e F5:q E5:q D5:q", "C5:h.* G4:h*", "D5:q. E5:e F5:q G5:q A5:q", "G5:h.* E5:h*"]
    e += [
        "\\< F5:q E5:q D5:q C5:q A4:q",
        "F5:q E5:q D5:q C5:q E5:q",
        "\\! \\ff A5:q> A5:q> G5:q> F5:q> E5:q>",
        "D5:q> r:h cym:h*",
    ]
    f = ["\\mf " + TUNE[0], *TUNE[1:7], "D5:w*"]
    f += ["R", "\\p A4+E5:w*", "R", "G4+D5:w*", "F4+C5:w*", "R", "A4+E5:w*", "\\pp D5+A5:w*@"]
    f += ["R", "R", "\\mp r:h D5:q A4:q", "D5:e^ \\damp r:e r:q r:h"]
    return [*a, *b, *c, *d, *e, *f]


def player_4() -> tuple[list[str], list[str]]:
    """A smaller marimba on two staves: upper, lower."""
    a_up = ["\\pp \\< A3:w%~", "A3:w%~", "A3:w%~", "\\! \\mp A3:w%", "A3:w%~", "A3:w%~", "A3:w%~", "A3:w%"]
    a_up += ["G3:w%~", "G3:w%", "A3:w%~", "A3:w%~", "\\< A3:w%~", "A3:w%~", "A3:w%~", "\\! \\mf A3:w%"]
    a_low = ["D3:w%~", "D3:w%~", "D3:w%~", "D3:w%", "D3:w%~", "D3:w%~", "D3:w%~", "D3:w%"]
    a_low += ["C3:w%~", "C3:w%", "D3:w%~", "D3:w%~", "D3:w%~", "D3:w%~", "D3:w%~", "D3:w%"]
    b_up = ["R"] * 8
    b_up += [
        "\\mf r:e D4+F4:e r:e D4+F4:e r:q D4+F4:q",
        "r:e D4+F4:e r:q D4+F4:h",
        "r:e D4+F4:e r:e D4+F4:e r:q D4+F4:q",
        "r:e C4+F4:e r:q C4+F4:h",
    ]
    b_up += [
        "r:e D4+G4:e r:e D4+G4:e r:q D4+G4:q",
        "r:e D4+F4:e r:q D4+F4:h",
        "r:e C4+E4:e r:e C4+E4:e r:q C4+E4:q",
        "r:e C4+E4:e r:q C4+E4:h",
    ]
    b_up += b_up[8:16]
    b_up[16] = b_up[16].replace("\\mf ", "\\f ")
    b_up[23] = "C4+E4:e^ r:e r:q r:h"
    b_low = ["R"] * 8 + [f"{n}:h. {n}:q" for n in ("D3", "D3", "Bb2", "F3", "G3", "D3", "C3", "A2")] * 2
    b_low[23] = "A2:e^ r:e r:q r:h"
    c_up = ["R", "R"] + ["r:q F4:q A4:q.", "r:q E4:q G4:q."] * 2 + ["r:q D4:q F4:q.", "C4+E4:q> r:q C4+E4:q."]
    c_up += [
        "r:q D4:q F4:q.",
        "C4+E4:q> r:q C4+G4:q.",
        "r:q F4:q A4:q.",
        "r:q D4:q F4:q.",
        "r:q F4:q A4:q.",
        "r:q D4:q F4:q.",
    ]
    c_up += ["\\> D4+F4:q> r:q C4:q.", "\\! \\p D4+F4:q r:q r:q."]
    c_low = ["R", "R"] + ["D3:q r:q r:q.", "C3:q r:q r:q."] * 2 + ["Bb2:q r:q r:q.", "A2:q> r:q r:q."]
    c_low += ["Bb2:q r:q r:q.", "C3:q> r:q r:q.", "D3:q r:q r:q.", "Bb2:q r:q r:q.", "D3:q r:q r:q.", "Bb2:q r:q r:q."]
    c_low += ["D3:q> r:q r:q.", "D3:q r:q r:q."]
    d_up = ["r:q F4+A4:q F4+A4:q", "r:q F4+Bb4:q F4+Bb4:q"] * 4
    d_up[0] = f"\\p {d_up[0]}"
    d_up += ["r:q F4+A4:q F4+A4:q", "r:q E4+G4:q E4+G4:q"] * 4
    d_up += [
        "\\mf D5:h E5:q",
        "F5:q E5:q D5:q",
        "C5:h A4:q",
        "D5:h.",
        "F5:q E5:q C5:q",
        "D5:h.",
        "D4+F4:h.%~",
        "D4+F4:h.%",
    ]
    d_low = (
        ["D3:h.", "Bb2:h."] * 4
        + ["D3:h.", "C3:h."] * 4
        + ["D3:q A3:q F3:q", "Bb2:q F3:q D3:q"] * 3
        + ["D3:h.%~", "D3:h.%"]
    )
    e_up = ["r:q F4+A4:q r:q r:q A4+C5:q", "r:q F4+A4:q r:q A4+C5:h"] * 7 + [
        "F4+A4:q> F4+A4:q> G4+Bb4:q> A4+C5:q> A4+C5:q>",
        "F4+A4:q> r:h r:h",
    ]
    e_up[0] = f"\\f {e_up[0]}"
    e_low = ["D3:h. A2:h", "D3:h. C3:h"] * 7 + ["D3:q D3:q E3:q F3:q A2:q", "D3:q> r:h r:h"]
    f_up = b_up[8:16]
    f_up = [f_up[0].replace("\\mf", "\\mp"), *f_up[1:]]
    f_up += roll("F4+A4", 8, "\\p \\<", "")
    f_up[12] = "\\! \\mf \\> " + f_up[12]
    f_up[15] = "\\! \\pp F4+A4:w%@"
    f_up += ["R", "R", "r:q F4+A4:q r:q F4+A4:q", "F4+A4:e^ r:e r:q r:h"]
    f_low = b_low[8:16] + roll("D3", 7) + ["D3:w%@"]
    f_low[14] = "D3:w%~"
    f_low += ["R", "\\mp D3:h. D3:q", "D3:h A2:h", "D3:e^ r:e r:q r:h"]
    return [*a_up, *b_up, *c_up, *d_up, *e_up, *_mended(f_up)], [*a_low, *b_low, *c_low, *d_low, *e_low, *f_low]


def _five(high: str, higher: str, low: bool = False) -> list[str]:
    """Sixteen bars of 3+2 beats with a driving figure between two notes."""
    fifth = {"A4": "E4", "D4": "A3"}[high]
    figure = f"{high}:e> {higher}:e {fifth}:e {high}:e {higher}:q {high}:e> {fifth}:e {high}:q"
    answer = f"{high}:q> {higher}:e {fifth}:e {high}:q {higher}:e> {high}:e {fifth}:q"
    return ([answer, figure] if low else [figure, answer]) * 8


def _mended(texts: list[str]) -> list[str]:
    """Rolls that were tied on into the chord under the fermata."""
    return [text.replace("\\! \\f \\! \\pp", "\\! \\pp") for text in texts]


def score() -> Score:
    """The whole piece."""
    upper, lower = player_4()
    cymbal = {"cym": Sound("cymbal", "G5", "x")}
    triangle = {"tri": Sound("triangle", "E4")}
    return Score(
        "Low Water, Four Lanterns",
        (
            Part("Player 1 – marimba", "1", (MARIMBA,), {(1, "1"): player_1()}),
            Part(
                "Player 1 – triangle",
                "1 tri.",
                (TRIANGLE,),
                {(1, "1"): player_1_triangle()},
                ("percussion",),
                1,
                triangle,
            ),
            Part("Player 2 – marimba", "2", (MARIMBA, CROTALES), {(1, "1"): player_2()}),
            Part("Player 3 – vibraphone", "3", (VIBRAPHONE, CYMBAL), {(1, "1"): player_3()}, sounds=cymbal),
            Part("Player 4 – marimba", "4", (MARIMBA,), {(1, "1"): upper, (2, "2"): lower}, ("treble", "bass")),
        ),
        tuple(bars()),
    )
