"""Every limit of the set-up check in one table, with its unit and where it comes from.

The group's file changes any of them (`from_group`).
"""

from collections.abc import Iterator
from dataclasses import dataclass, fields

PRACTICE = "common practice, no source"
GUESS = "common practice, a guess: no published change times were found"


@dataclass(frozen=True, slots=True)
class Limits:
    """The limits in force.

    Attributes:
        notes_at_once: mallets one player holds.
        span_low, span_middle, span_high: semitones one hand spans below C3, below C5, and above.
        strokes_a_second: of both hands together, hand to hand.
        hand_strokes_a_second: of one hand with one mallet, again and again.
        four_hand_strokes_a_second: of one mallet, again and again, when a hand holds two.
        in_turn_strokes_a_second: of one hand whose two mallets take turns.
        rebound_strokes_a_second: of one hand with single strokes where the stick rebounds: on skins, pads and cymbals.
        double_strokes_a_second: of one hand there with doubles, the two strokes of a double counted.
        hand_mm_a_second: along the bars.
        clash_seconds: two players on one bar of a shared instrument within this time get in each other's way.
        close_mm: hands of two players nearer than this at one moment.
        one_hand_seconds: one hand reaching to something beside the player while the other plays.
        reach_seconds: something struck in its place beside the player, with the mallets in both hands.
        near_seconds: an instrument beside the player's own.
        handheld_seconds: laying mallets down and picking an instrument up, or the other way round.
        walk_seconds, walk_metres_a_second: starting to walk, and walking.
        mallet_seconds: another pair of mallets.
        mallet_set_seconds: another set of four.
        bow_seconds: taking a bow.
        tight_factor: a change with less than this times what it needs is tight.
        loud_share: share of strokes at f or louder from which hearing is mentioned.
        load_strokes: strokes in ten minutes from which overuse is mentioned.
    """

    notes_at_once: float = 4
    span_low: float = 12
    span_middle: float = 15
    span_high: float = 17
    strokes_a_second: float = 9.6
    hand_strokes_a_second: float = 4.8
    four_hand_strokes_a_second: float = 4.0
    in_turn_strokes_a_second: float = 8.0
    rebound_strokes_a_second: float = 7.0
    double_strokes_a_second: float = 12.0
    hand_mm_a_second: float = 2500
    clash_seconds: float = 0.15
    close_mm: float = 60
    one_hand_seconds: float = 0.25
    reach_seconds: float = 0.5
    near_seconds: float = 1.0
    handheld_seconds: float = 2.0
    walk_seconds: float = 2.0
    walk_metres_a_second: float = 1.0
    mallet_seconds: float = 1.75
    mallet_set_seconds: float = 3.5
    bow_seconds: float = 3.0
    tight_factor: float = 1.5
    loud_share: float = 0.5
    load_strokes: float = 2500


SOURCES = {
    "notes_at_once": PRACTICE,
    "span_low": "published method literature: an octave at the bottom",
    "span_middle": "published method literature: a ninth or tenth an octave higher",
    "span_high": "published method literature: an octave and a fourth at the top",
    "strokes_a_second": "published orchestration writing: sixteenths hand to hand at quarter = 144",
    "hand_strokes_a_second": "half of the above, computed",
    "four_hand_strokes_a_second": "published orchestration writing: four mallets at quarter = 120, half of 8 a second",
    "in_turn_strokes_a_second": PRACTICE,
    "rebound_strokes_a_second": PRACTICE,
    "double_strokes_a_second": PRACTICE,
    "hand_mm_a_second": GUESS,
    "clash_seconds": PRACTICE,
    "close_mm": PRACTICE,
    "one_hand_seconds": GUESS,
    "reach_seconds": GUESS,
    "near_seconds": GUESS,
    "handheld_seconds": GUESS,
    "walk_seconds": GUESS,
    "walk_metres_a_second": GUESS,
    "mallet_seconds": GUESS,
    "mallet_set_seconds": GUESS,
    "bow_seconds": GUESS,
    "tight_factor": PRACTICE,
    "loud_share": PRACTICE,
    "load_strokes": PRACTICE,
}


def table_of(limits: Limits) -> Iterator[tuple[str, float, str]]:
    """(name, figure, source) of every limit."""
    for each in fields(Limits):
        yield each.name, getattr(limits, each.name), SOURCES[each.name]
