"""Low Water, Four Lanterns: an invented mallet quartet, written to hold what players meet.

116 bars: A rolls, B interlocking sixteenths, C seven-eight with a repeat, D a travelling tune in three and four
against three, E five-four, F the return. README.md beside this file says what happens where.
"""

from layout import BarPlan, Instrument, Part, Score, Sound, TempoMark
from quartet_shared import player_1, player_1_triangle, player_2
from quartet_single import player_3, player_4

MARIMBA = Instrument("marimba", "Marimba", "pitched-percussion.marimba", 13)
TRIANGLE = Instrument("triangle", "Triangle", "metal.triangle", unpitched=82)
CROTALES = Instrument("crotales", "Crotales", "pitched-percussion.crotales", 10, octaves=2)
VIBRAPHONE = Instrument("vibraphone", "Vibraphone", "pitched-percussion.vibraphone", 12)
CYMBAL = Instrument("cymbal", "Suspended cymbal", "metal.cymbal.suspended", unpitched=50)


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
    plans += [BarPlan("4/4", -1), BarPlan("4/4", -1, slowing="stop"), BarPlan("4/4", -1, barline="light-light")]
    plans.append(BarPlan("4/4", -1, tempo=TempoMark("Moving, light", "104", 104)))
    plans += [BarPlan("4/4", -1)] * 3
    return plans


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
