"""Low Water, Four Lanterns: an invented mallet quartet, written to hold what players meet.

116 bars: A rolls, B interlocking sixteenths, C seven-eight with a repeat, D a travelling tune in three and four
against three, E five-four, F the return. README.md beside this file says what happens where.
"""

from layout import BarPlan, NoteSound, Part, SampleInstrument, Score, TempoMark
from quartet_shared import player_1, player_1_triangle, player_2
from quartet_single import player_3, player_4

MARIMBA = SampleInstrument("marimba", "Marimba", "pitched-percussion.marimba", program=13)
TRIANGLE = SampleInstrument("triangle", "Triangle", "metal.triangle", unpitched=82)
CROTALES = SampleInstrument("crotales", "Crotales", "pitched-percussion.crotales", program=10, octaves=2)
VIBRAPHONE = SampleInstrument("vibraphone", "Vibraphone", "pitched-percussion.vibraphone", program=12)
CYMBAL = SampleInstrument("cymbal", "Suspended cymbal", "metal.cymbal.suspended", unpitched=50)


def bars() -> list[BarPlan]:
    """What all parts share."""
    plans = [BarPlan(fifths=-1) for _ in range(40)]
    plans[0] = BarPlan(fifths=-1, rehearsal="A", tempo=TempoMark("Still", "60-66", 63))
    plans[15] = BarPlan(fifths=-1, barline="light-light")
    plans[16] = BarPlan(fifths=-1, rehearsal="B", tempo=TempoMark("Moving, light", "104", 104))
    plans[39] = BarPlan(fifths=-1, barline="light-light")
    lilt = "2+2+3/8"
    plans.append(BarPlan(lilt, -1, "C", tempo=TempoMark("Lilting", "116", 116), repeat="forward"))
    plans += [BarPlan(lilt, -1)] * 5
    plans += [
        BarPlan(lilt, -1, ending="1", ending_edges=("start",)),
        BarPlan(lilt, -1, ending="1", ending_edges=("stop",), repeat="backward"),
        BarPlan(lilt, -1, ending="2", ending_edges=("start",)),
        BarPlan(lilt, -1, ending="2", ending_edges=("discontinue",)),
    ]
    plans += [BarPlan(lilt, -1)] * 5 + [BarPlan(lilt, -1, barline="light-light")]
    plans.append(BarPlan("3/4", -1, "D", tempo=TempoMark("Slower, singing", "c. 88", 88)))
    plans += [BarPlan("3/4", -1)] * 22 + [BarPlan("3/4", -1, barline="light-light")]
    plans.append(BarPlan("3+2/4", -1, "E", tempo=TempoMark("Bright", "120", 120)))
    plans += [BarPlan("3+2/4", -1)] * 14 + [BarPlan("3+2/4", -1, barline="light-light")]
    plans.append(BarPlan("4/4", -1, "F", tempo=TempoMark("Moving, light", "104", 104)))
    plans += [BarPlan("4/4", -1)] * 11
    plans.append(BarPlan("4/4", -1, slowing="start"))
    plans += [BarPlan("4/4", -1), BarPlan("4/4", -1, slowing="stop"), BarPlan("4/4", -1, barline="light-light")]
    plans.append(BarPlan("4/4", -1, tempo=TempoMark("Moving, light", "104", 104)))
    plans += [BarPlan("4/4", -1)] * 3
    return plans


def score() -> Score:
    """The whole piece."""
    upper, lower = player_4()
    cymbal = {"cym": NoteSound("cymbal", "G5", "x")}
    triangle = {"tri": NoteSound("triangle", "E4")}
    return Score(
        "Low Water, Four Lanterns",
        (
            Part("Player 1 – marimba", "1", (MARIMBA,), music={(1, "1"): player_1()}),
            Part(
                "Player 1 – triangle",
                "1 tri.",
                (TRIANGLE,),
                music={(1, "1"): player_1_triangle()},
                clefs=("percussion",),
                lines=1,
                sounds=triangle,
            ),
            Part("Player 2 – marimba", "2", (MARIMBA, CROTALES), music={(1, "1"): player_2()}),
            Part("Player 3 – vibraphone", "3", (VIBRAPHONE, CYMBAL), music={(1, "1"): player_3()}, sounds=cymbal),
            Part(
                "Player 4 – marimba",
                "4",
                (MARIMBA,),
                music={(1, "1"): upper, (2, "2"): lower},
                clefs=("treble", "bass"),
            ),
        ),
        tuple(bars()),
    )
