"""Sixteen Paces: a study of sixteen bars for two players, for a first look."""

from layout import BarPlan, NoteSound, Part, SampleInstrument, Score, TempoMark
from notation import bars_of

MARIMBA = SampleInstrument("marimba", "Marimba", "pitched-percussion.marimba", program=13)
HIGH = SampleInstrument("high", "High wood block", "wood.wood-block", unpitched=77)
LOW = SampleInstrument("low", "Low wood block", "wood.wood-block", unpitched=78)


def score() -> Score:
    """The whole study."""
    plans = [BarPlan(rehearsal="A", tempo=TempoMark("Walking", "92", 92))] + [BarPlan() for _ in range(15)]
    plans[7] = BarPlan(barline="light-light")
    plans[8] = BarPlan(rehearsal="B")
    marimba = bars_of(
        "\\mp A3:q C4:e E4:e A4:q E4:q | G3:q B3:e D4:e G4:q D4:q | A3:q C4:e E4:e A4:e B4:e C5:q | B4:h%~ B4:h% |"
        " R | R | \\p \\< A4:e G4:e E4:e C4:e A3:q r:q | \\! \\mf C4+E4:h A3+E4:h |"
        " \\f A4:e>=R C5:e=L E5:e=R C5:e=L A4:q r:q | r:q G4:e=R B4:e=L D5:q r:q | A4:e> C5:e E5:e C5:e A4:q r:q | R | R |"
        " \\> A4:q E4:q C4:q A3:q | \\! \\p A3+E4:w%~ | A3+E4:w%"
    )
    blocks = bars_of(
        "R | R | R | \\mp r:h lo:e hi:e lo:q | lo:q hi:e hi:e r:e lo:e hi:q | lo:q> hi:e hi:e r:e lo:e hi:e hi:e |"
        " lo:q r:q r:e lo:e hi:q | lo:h r:h | \\f r:h r:e lo:e> hi:e hi:e | lo:q r:q r:e lo:e> hi:e hi:e |"
        " lo:q r:q r:e lo:e> hi:e hi:e | lo:e> hi:e hi:e lo:e hi:e hi:e lo:e hi:e | lo:q> hi:q> lo:q> hi:q> |"
        " \\> lo:q r:q lo:q r:q | \\! \\p lo:q r:q r:h | hi:q r:q r:h"
    )
    sounds = {"hi": NoteSound("high", "D5"), "lo": NoteSound("low", "G4")}
    return Score(
        "Sixteen Paces",
        (
            Part("Player 1 – marimba", "1", (MARIMBA,), music={(1, "1"): marimba}),
            Part(
                "Player 2 – wood blocks",
                "2",
                (HIGH, LOW),
                music={(1, "1"): blocks},
                clefs=("percussion",),
                lines=5,
                sounds=sounds,
            ),
        ),
        tuple(plans),
        movement=True,
    )
