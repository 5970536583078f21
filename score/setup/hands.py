"""Which mallet strikes what, how quick each hand has to be, and what hands cannot do."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from score.activity.lanes import spelled_pitch
from score.piece import Player, StrokeKind
from score.setup.bar_geometry import KEYBOARDS
from score.setup.finding import Finding, FindingKind, Weight
from score.setup.hand_motions import LEFT, RIGHT, DealtPassage, Motion, motions
from score.setup.limits import Limits
from score.setup.mallets import TOLERANCE, hand_of

_NAMES = ("left", "right")


@dataclass(frozen=True, slots=True)
class HandLoad:
    """The most one hand of a player has to do.

    Attributes:
        player: number.
        hand: "left" or "right".
        strokes: strokes a second at its quickest.
        strokes_limit: the comfortable limit there.
        mm: millimetres a second at its furthest leap.
        mm_limit: the comfortable limit.
    """

    player: int
    hand: str
    strokes: float
    strokes_limit: float
    mm: float
    mm_limit: float


def hand_findings(player: Player, passages: Sequence[DealtPassage], limits: Limits) -> Iterator[Finding]:
    """Notes at once, spans, speed and leaps of each hand."""
    yield from _too_many(player, limits)
    for dealt in passages:
        yield from _spans(player, dealt)
        for motion in motions(dealt):
            yield from _too_quick(player, motion, limits)


def hand_loads(player: Player, passages: Sequence[DealtPassage], limits: Limits) -> list[HandLoad]:
    """What each hand has to do at the most; a hand that never strikes twice in two seconds is left out."""
    loads = []
    for hand in (LEFT, RIGHT):
        motions_of_hand = [motion for dealt in passages for motion in motions(dealt) if motion.hand == hand]
        struck = [motion for motion in motions_of_hand if not motion.rolled]
        if struck:
            quick = max(struck, key=lambda motion: motion.rate / motion.limit)
            far = max(motion.mm / motion.seconds for motion in motions_of_hand)
            loads.append(
                HandLoad(
                    player.number,
                    _NAMES[hand],
                    round(quick.rate, 2),
                    strokes_limit=quick.limit,
                    mm=round(far),
                    mm_limit=limits.hand_mm_a_second,
                )
            )
    return loads


def _too_many(player: Player, limits: Limits) -> Iterator[Finding]:
    """More notes on keyboards at one moment than mallets; two voices on one bar are one."""
    struck: dict[tuple[int, Fraction], set[tuple[int, int]]] = {}
    for stroke in player.strokes:
        if stroke.kind is not StrokeKind.GRACE and player.instruments[stroke.instrument].key in KEYBOARDS:
            notes = struck.setdefault((stroke.bar, stroke.at), set())
            notes.update((stroke.instrument, pitch) for pitch in stroke.pitches)
    for (bar, at), notes in struck.items():
        if len(notes) > limits.notes_at_once:
            yield Finding(
                FindingKind.NOTES,
                Weight.CANNOT,
                player.number,
                bar=bar,
                at=at,
                figure=len(notes),
                limit=limits.notes_at_once,
                unit="notes",
                text=f"{len(notes)} notes at once",
                helps="leave inner notes to another player",
            )


def _spans(player: Player, dealt: DealtPassage) -> Iterator[Finding]:
    for blow, mallets in zip(dealt.passage.blows, dealt.mallets, strict=True):
        for hand in (LEFT, RIGHT):
            held = [note for mallet, note in zip(mallets, blow.notes, strict=True) if hand_of(mallet) == hand]
            pitches = sorted(note.pitch for note in held)
            limit = min((note.span for note in held if note.pitch == pitches[0]), default=0.0)
            if len(held) > 1 and pitches[-1] - pitches[0] > limit:
                wide = pitches[-1] - pitches[0]
                text = f"{spelled_pitch(pitches[0])} to {spelled_pitch(pitches[-1])} in one hand, {wide} semitones"
                yield Finding(
                    FindingKind.SPAN,
                    Weight.TIGHT,
                    player.number,
                    bar=blow.bar,
                    at=blow.at,
                    figure=wide,
                    limit=limit,
                    unit="semitones",
                    text=text,
                    helps="break the chord, or leave a note out",
                )


def _too_quick(player: Player, motion: Motion, limits: Limits) -> Iterator[Finding]:
    name, blow = _NAMES[motion.hand], motion.blow
    if motion.rate > motion.limit * TOLERANCE and not motion.rolled:
        how = "with the same mallet" if motion.repeated else "with alternating mallets"
        yield Finding(
            FindingKind.SPEED,
            Weight.TIGHT,
            player.number,
            bar=blow.bar,
            at=blow.at,
            figure=round(motion.rate, 2),
            limit=motion.limit,
            unit="strokes a second",
            text=f"{motion.rate:.1f} strokes a second {how}, {name} hand",
            helps="share it between the hands, or use a double stroke",
        )
    speed = motion.mm / motion.seconds
    if speed > limits.hand_mm_a_second:
        yield Finding(
            FindingKind.LEAP,
            Weight.TIGHT,
            player.number,
            bar=blow.bar,
            at=blow.at,
            figure=round(speed),
            limit=limits.hand_mm_a_second,
            unit="mm a second",
            text=f"{motion.mm:.0f} mm in {motion.seconds:.2f} s, {name} hand",
            helps="change the sticking, or stand where you reach both ends",
        )
