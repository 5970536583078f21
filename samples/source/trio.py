"""Kiln Yard: a percussion trio of 24 bars, unpitched, on one-line and five-line staves, in three encodings."""

from layout import BarPlan, Encoding, NoteSound, Part, SampleInstrument, Score, TempoMark
from notation import bars_of

SNARE = SampleInstrument("snare", "Snare drum", "drum.snare-drum", unpitched=39)
BLOCK = SampleInstrument("block", "Wood block", "wood.wood-block", unpitched=77)
HIGH_TOM = SampleInstrument("high-tom", "High tom", "drum.tom-tom", unpitched=51)
MIDDLE_TOM = SampleInstrument("middle-tom", "Middle tom", "drum.tom-tom", unpitched=48)
LOW_TOM = SampleInstrument("low-tom", "Low tom", "drum.tom-tom", unpitched=46)
CYMBAL = SampleInstrument("cymbal", "Suspended cymbal", "metal.cymbal.suspended", unpitched=50)
BASS = SampleInstrument("bass", "Bass drum", "drum.bass-drum", unpitched=36)
TAMTAM = SampleInstrument("tam-tam", "Tam-tam", "metal.tamtam", unpitched=53)


def score(encoding: Encoding) -> Score:
    """The trio with its unpitched sounds written in one of the three ways."""
    plans = [BarPlan(rehearsal="A", tempo=TempoMark("Steady", "112", 112))] + [BarPlan() for _ in range(23)]
    plans[7] = BarPlan(barline="light-light")
    plans[8] = BarPlan("3/4", rehearsal="B")
    plans[9:16] = [BarPlan("3/4") for _ in range(7)]
    plans[15] = BarPlan("3/4", barline="light-light")
    plans[16] = BarPlan(rehearsal="C")
    snare = bars_of(
        "\\p s:e> s:s s:s s:e s:e r:q s:q | s:e> s:s s:s s:e s:e r:q s:q | s:h%~ s:h% | \\< s:w% |"
        " \\! \\f s:e> s:e r:q s:e> s:s s:s s:q | r:e s:e s:q r:e s:e s:q | s:e> s:e r:q s:e> s:s s:s s:q | s:q> r:q r:h |"
        " R | R | \\p {3:2 s:e s:e s:e } s:q s:q | {3:2 s:e s:e s:e } s:q r:q | R | R | \\< s:h.%~ | \\! \\mf s:h.% |"
        " \\f s:e> s:e r:q s:e> s:s s:s s:q | r:e s:e s:q r:e s:e s:q | R | R | (s)s:q> (s)s:q> r:h | s:s s:s s:s s:s s:q> r:h |"
        " \\< s:w% | \\! \\ff s:e^ r:e r:q r:h"
    )
    toms = bars_of(
        "R | R | \\mp hi:q mi:q lo:h | hi:e hi:e mi:e mi:e lo:h | \\f lo:q> r:q hi:e mi:e lo:q | r:q hi:e> mi:e r:q lo:q |"
        " lo:q> r:q hi:e mi:e lo:q | lo:q> r:q \\susp._cym. cym:h* |"
        " \\toms \\mp {4:3 hi:q mi:q hi:q mi:q } | {4:3 hi:q mi:q lo:q mi:q } | {4:3 hi:q mi:q hi:q mi:q } | lo:h. |"
        " hi:e hi:e mi:e mi:e lo:q | hi:e hi:e mi:e mi:e lo:q | R | \\susp._cym. \\p \\< cym:h.% |"
        " \\! \\toms \\f lo:q> r:q hi:e mi:e lo:q | r:q hi:e> mi:e r:q lo:q | hi:s hi:s mi:s mi:s lo:q hi:s hi:s mi:s mi:s lo:q |"
        " lo:e> lo:e lo:e lo:e lo:h | r:h hi:q> lo:q> | r:h mi:s mi:s lo:s lo:s lo:q | \\susp._cym. \\< cym:w% | \\! \\toms \\ff lo:e^ r:e r:q r:h"
    )
    low = bars_of(
        "\\p bd:q r:q r:h | bd:q r:q r:h | bd:q r:q bd:q r:q | R | \\f bd:q> r:q bd:q r:q | bd:q r:q bd:q r:q | bd:q> r:q bd:q r:q |"
        " \\tam-tam tt:w* | \\bass_drum bd:h. | bd:h. | bd:q bd:q bd:q | bd:h. | R | R | \\tam-tam \\p tt:h.* | R |"
        " \\bass_drum \\f bd:q> r:q bd:q r:q | bd:q r:q bd:q r:q | R | R | bd:q> bd:q> r:h | r:h bd:q> r:q | \\< bd:w% | \\! \\tam-tam \\ff tt:w*"
    )
    snare_sounds = {"s": NoteSound("snare", "E4")}
    kit = {
        "hi": NoteSound("high-tom", "E5"),
        "mi": NoteSound("middle-tom", "C5"),
        "lo": NoteSound("low-tom", "A4"),
        "cym": NoteSound("cymbal", "G5", "x"),
    }
    big = {"bd": NoteSound("bass", "F4"), "tt": NoteSound("tam-tam", "C5", "diamond")}
    return Score(
        "Kiln Yard",
        (
            Part(
                "Player 1 – snare drum",
                "1",
                (SNARE,),
                music={(1, "1"): snare},
                clefs=("percussion",),
                lines=1,
                sounds=snare_sounds,
                encoding=encoding,
            ),
            Part(
                "Player 2 – toms, cymbal",
                "2",
                (HIGH_TOM, MIDDLE_TOM, LOW_TOM, CYMBAL),
                music={(1, "1"): toms},
                clefs=("percussion",),
                lines=5,
                sounds=kit,
                encoding=encoding,
            ),
            Part(
                "Player 3 – bass drum, tam-tam",
                "3",
                (BASS, TAMTAM),
                music={(1, "1"): low},
                clefs=("percussion",),
                lines=5,
                sounds=big,
                encoding=encoding,
            ),
        ),
        tuple(plans),
    )
