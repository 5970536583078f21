"""Mallets: brute force over every assignment, printed stickings, speeds, rolls one hand cannot make."""

from dataclasses import replace
from fractions import Fraction
from itertools import combinations, pairwise, permutations, product
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from score.errors import GroupFileError
from score.group import Group, read_group
from score.piece import Instrument, Mark, MarkKind, Piece, Player, Stroke, StrokeKind
from score.playback.pulse import tempo_map
from score.reading import read_score
from score.setup.assign import assign
from score.setup.check import check, suggested_stickings
from score.setup.finding import Finding, Kind, Weight
from score.setup.geometry import bar_mm
from score.setup.hands import dealt_passages, hand_findings, hand_loads, motions
from score.setup.limits import Limits
from score.setup.mallets import Blow, deals, rules_of, span_limit
from score.setup.passages import Hands, note_on, numbered_from_right
from score.setup.rolls import roll_findings

LIMITS = Limits()
SAMPLES = Path(__file__).parents[2] / "samples"


# Outside check: every assignment of a short passage, its cost added up from the words of the docstring of
# `score.setup.mallets` alone, with the limits of the published table.
def cheapest(blows: list[Blow], four: bool) -> float:
    return min(cost_of(blows, ways, four) for ways in product(*(every_way(blow, four) for blow in blows)))


def every_way(blow: Blow, four: bool) -> list[str]:
    mallets = "1234" if four else "LR"
    hands = {"1": "L", "2": "L", "3": "R", "4": "R", "L": "L", "R": "R"}
    asked = [note.asked for note in blow.notes]
    rising = list(combinations(mallets, len(asked)))
    for ways in (rising, list(permutations(mallets, len(asked)))):
        fitting = ["".join(w) for w in ways if all(a in ("", m, hands[m]) for a, m in zip(asked, w, strict=True))]
        if fitting:
            return fitting
    return ["".join(way) for way in rising]


def cost_of(blows: list[Blow], ways: tuple[str, ...], four: bool) -> float:
    cost = 0.0
    last: dict[str, tuple[Blow, dict[str, int]]] = {}
    for blow, way in zip(blows, ways, strict=True):
        struck = dict(zip(way, (note.pitch for note in blow.notes), strict=True))
        here: dict[str, dict[str, int]] = {"L": {}, "R": {}}
        for mallet, pitch in struck.items():
            here["L" if mallet in "L12" else "R"][mallet] = pitch
        for hand, mallets in here.items():
            if mallets:
                cost += too_wide(mallets) + (going(last[hand], blow, mallets, four) if hand in last else 0.0)
                last[hand] = blow, mallets
        if len(struck) == 1 and way in ("1", "4"):
            cost += 0.05
        cost += in_the_way(last, blow.seconds)
    return cost


def too_wide(mallets: dict[str, int]) -> float:
    low, high = min(mallets.values()), max(mallets.values())
    excess = high - low - span_limit(low, LIMITS)
    return 8 + excess / 12 if len(mallets) > 1 and excess > 0 else 0.0


def going(last: tuple[Blow, dict[str, int]], blow: Blow, mallets: dict[str, int], four: bool) -> float:
    wait = blow.seconds - last[0].until
    if wait >= 2.0:
        return 0.0
    far = max(away(mallet, pitch, last[1]) for mallet, pitch in mallets.items())
    again = bool(set(mallets) & set(last[1]))
    limit = (4.0 if again else 8.0) if four else 4.8
    share = 1 / (wait * limit)
    quick = 4.0 * share if share > 1.02 else 1.5 * share**2 if wait < 1.0 else 0.0
    return 0.5 * far / 1000 + far / (2500 * wait) + quick


def away(mallet: str, pitch: int, held: dict[str, int]) -> float:
    """How far a mallet has to go from where it was, or from where its hand lets it wait."""
    place = bar_mm("marimba", pitch)
    if mallet in held:
        return abs(place - bar_mm("marimba", held[mallet]))
    ((_, other),) = held.items()
    if mallet in "24":
        reach = [other, other + int(span_limit(other, LIMITS))]
    else:
        reach = [min(low for low in range(other - 24, other + 1) if other - low <= span_limit(low, LIMITS)), other]
    nearest = min(max(place, bar_mm("marimba", reach[0])), bar_mm("marimba", reach[1]))
    return abs(place - nearest)


def in_the_way(last: dict[str, tuple[Blow, dict[str, int]]], now: float) -> float:
    if len(last) < 2 or now - min(blow.until for blow, _ in last.values()) >= 0.5:
        return 0.0
    left = max(bar_mm("marimba", pitch) for pitch in last["L"][1].values())
    right = min(bar_mm("marimba", pitch) for pitch in last["R"][1].values())
    return max(0.0, left - right) / 1000 * 2.5


def blow(seconds: float, pitches: list[int], asked: list[str] | None = None) -> Blow:
    signs = asked or [""] * len(pitches)
    notes = tuple(replace(note_on("marimba", p, LIMITS), asked=a) for p, a in zip(pitches, signs, strict=True))
    return Blow(seconds, seconds, 0, Fraction(0), notes)


WAITS = st.floats(0.06, 2.4)
TWO = st.lists(
    st.tuples(WAITS, st.lists(st.integers(45, 90), min_size=1, max_size=2, unique=True)), min_size=1, max_size=8
)
FOUR = st.lists(
    st.tuples(WAITS, st.lists(st.integers(45, 90), min_size=1, max_size=4, unique=True)), min_size=1, max_size=5
)


@settings(deadline=None, max_examples=150)
@given(TWO, st.lists(st.sampled_from(["", "", "", "L", "R"]), min_size=8, max_size=8))
def test_no_assignment_to_two_mallets_is_cheaper(drawn: list[tuple[float, list[int]]], asked: list[str]) -> None:
    blows, now = [], 0.0
    for (wait, pitches), wish in zip(drawn, asked, strict=False):
        now += wait
        blows.append(blow(now, sorted(pitches), [wish, *[""] * (len(pitches) - 1)]))
    cost, mallets = assign(blows, rules_of(LIMITS, four=False))
    assert cost == pytest.approx(cheapest(blows, four=False))
    assert cost_of(blows, tuple(mallets), four=False) == pytest.approx(cost)


@settings(deadline=None, max_examples=120)
@given(FOUR, st.lists(st.sampled_from(["", "", "", "L", "R", "1", "2", "3", "4"]), min_size=5, max_size=5))
def test_no_assignment_to_four_mallets_is_cheaper(drawn: list[tuple[float, list[int]]], asked: list[str]) -> None:
    blows, now = [], 0.0
    for (wait, pitches), wish in zip(drawn, asked, strict=False):
        now += wait
        blows.append(blow(now, sorted(pitches), [wish, *[""] * (len(pitches) - 1)]))
    cost, mallets = assign(blows, rules_of(LIMITS, four=True))
    assert cost == pytest.approx(cheapest(blows, four=True))
    assert cost_of(blows, tuple(mallets), four=True) == pytest.approx(cost)


@settings(deadline=None, max_examples=60)
@given(st.lists(st.tuples(st.sampled_from([0.1, 0.15, 0.3]), st.integers(60, 84)), min_size=10, max_size=11))
def test_nothing_is_lost_in_quick_runs(drawn: list[tuple[float, int]]) -> None:
    # Many waiting hands at once: where dropping states could go wrong.
    blows, now = [], 0.0
    for wait, pitch in drawn:
        now += wait
        blows.append(blow(now, [pitch]))
    cost, _ = assign(blows, rules_of(LIMITS, four=False))
    assert cost == pytest.approx(cheapest(blows, four=False))


def test_deals_rise_with_the_notes_and_keep_to_the_print() -> None:
    # Common practice, no source: mallets 1 to 4 from low to high, 1 and 2 in the left hand.
    assert deals(("", ""), False) == ("LR",)
    assert deals(("", ""), True) == ("12", "13", "14", "23", "24", "34")
    assert deals(("L", ""), True) == ("12", "13", "14", "23", "24")
    assert deals(("4", "1"), True) == ("41",)
    assert deals(("", "", "", "", ""), True) == ("12-34",)
    assert deals(("L", "L", "L"), True) == ("123", "124", "134", "234")


@pytest.fixture(scope="module")
def piece() -> Piece:
    return read_score(SAMPLES / "quartet.musicxml").piece


def played(
    piece: Piece, strokes: list[Stroke], marks: tuple[Mark, ...] = (), key: str = "marimba"
) -> tuple[Piece, Player]:
    instruments = (Instrument(key, key.capitalize(), pitched=key == "marimba"),)
    player = replace(piece.player(4), instruments=instruments, strokes=tuple(strokes), marks=marks)
    return replace(piece, players=(*piece.players[:3], player)), player


def note(at: Fraction, *pitches: int, bar: int = 0, **more: object) -> Stroke:
    return replace(Stroke(bar, at, Fraction(1, 4), pitches, StrokeKind.STROKE, 0), **more)  # type: ignore[arg-type]


def found_for(piece: Piece, player: Player) -> list[Finding]:
    passages = dealt_passages(Hands(piece, player, tempo_map(piece), LIMITS))
    return [*hand_findings(player, passages, LIMITS), *roll_findings(piece, player, passages, LIMITS)]


def test_a_scale_goes_hand_to_hand(piece: Piece) -> None:
    # Common practice, no source.
    pitches = (60, 62, 64, 65, 67, 69, 71, 72)
    made, player = played(piece, [note(Fraction(i, 4), p) for i, p in enumerate(pitches)])
    dealt = "".join(suggested_stickings(made, Group(), player).values())
    assert dealt in ("LRLRLRLR", "RLRLRLRL")


def test_a_passage_of_chords_takes_four_mallets_until_they_change(piece: Piece) -> None:
    strokes = [note(Fraction(0), 48, 55, 64, 72), note(Fraction(1), 60), note(Fraction(2), 67), note(Fraction(3), 60)]
    made, player = played(piece, strokes, (Mark(MarkKind.STICKS, 0, Fraction(2), "two hard mallets"),))
    dealt = list(suggested_stickings(made, Group(), player).values())
    assert dealt[0] == "1234"
    assert dealt[1] in "1234"
    assert set(dealt[2:]) <= {"L", "R"}


def test_printed_numbers_stand_and_may_count_from_the_right(piece: Piece, tmp_path: Path) -> None:
    # Common practice, no source: a minority numbers mallets from the right.
    strokes = [note(Fraction(0), 60, 64, stickings=("1", "4")), note(Fraction(1), 62)]
    made, player = played(piece, strokes)
    (dealt,) = dealt_passages(Hands(made, player, tempo_map(made), LIMITS))
    assert dealt.mallets[0] == "14"
    (turned,) = dealt_passages(Hands(made, player, tempo_map(made), LIMITS, from_right=True))
    assert turned.mallets[0] == "41"
    (tmp_path / "g.group.toml").write_text('[hands]\nnumbered_from = "right"\n')
    assert numbered_from_right(read_group(tmp_path / "g.group.toml"))
    (tmp_path / "g.group.toml").write_text('[hands]\nnumbered_from = "below"\n')
    with pytest.raises(GroupFileError, match="below"):
        check(made, read_group(tmp_path / "g.group.toml"))


def test_nothing_printed_is_suggested_again(piece: Piece) -> None:
    made, player = played(piece, [note(Fraction(0), 60, stickings=("R",)), note(Fraction(1), 62)])
    assert list(suggested_stickings(made, Group(), player)) == [(0, Fraction(1))]


def test_a_leap_and_a_quick_hand_are_found_with_their_figures(piece: Piece) -> None:
    quick = [note(Fraction(i, 8), 60, stickings=("R",)) for i in range(8)]
    made, player = played(piece, quick)
    (speed, *_), quarter = found_for(made, player), tempo_map(piece).seconds(Fraction(1))
    assert speed.kind is Kind.SPEED
    assert speed.figure == pytest.approx(8 / quarter, abs=0.01)
    assert speed.limit == LIMITS.hand_strokes_a_second
    far = [note(Fraction(0), 36, stickings=("R",)), note(Fraction(1, 2), 96, stickings=("R",))]
    made, player = played(piece, far)
    leap = next(f for f in found_for(made, player) if f.kind is Kind.LEAP)
    mm = bar_mm("marimba", 96) - bar_mm("marimba", 36)
    assert leap.figure == pytest.approx(mm / (quarter / 2), abs=1)


def test_two_notes_for_one_hand_are_held_against_its_span(piece: Piece) -> None:
    # Published method literature: an octave at the bottom.
    wide = note(Fraction(0), 38, 52, stickings=("L", "L"))
    made, player = played(piece, [wide])
    (found,) = found_for(made, player)
    assert (found.kind, found.figure, found.limit) == (Kind.SPAN, 14, 12)
    made, player = played(piece, [note(Fraction(0), 38, 50, stickings=("L", "L"))])
    assert found_for(made, player) == []


def test_five_notes_are_too_many_but_two_voices_on_one_bar_are_one(piece: Piece) -> None:
    made, player = played(piece, [note(Fraction(0), 48, 52, 55, 60), note(Fraction(0), 60, 64, voice="2")])
    assert [f.figure for f in found_for(made, player) if f.kind is Kind.NOTES] == [5]
    made, player = played(piece, [note(Fraction(0), 48, 52, 55, 60), note(Fraction(0), 60, voice="2")])
    assert not [f for f in found_for(made, player) if f.kind is Kind.NOTES]


def test_a_roll_with_strokes_inside_needs_one_hand(piece: Piece) -> None:
    roll = Stroke(0, Fraction(0), Fraction(4), (60,), StrokeKind.ROLL, 0)
    beats = [note(Fraction(beat), 72) for beat in (0, 1, 2)]
    made, player = played(piece, [roll, *beats])
    (found,) = [f for f in found_for(made, player) if f.kind is Kind.ROLL]
    assert (found.weight, found.figure, found.at) == (Weight.CANNOT, 2, Fraction(1))
    assert "four mallets" in found.helps
    made, player = played(piece, [roll, beats[0]])
    assert not [f for f in found_for(made, player) if f.kind is Kind.ROLL]
    four = [roll, note(Fraction(1), 72), note(Fraction(2), 48, 52, 60, 72)]
    made, player = played(piece, four)
    (found,) = [f for f in found_for(made, player) if f.kind is Kind.ROLL]
    assert found.weight is Weight.TIGHT


def test_a_roll_is_no_quick_hand(piece: Piece) -> None:
    rolls = [Stroke(0, Fraction(i, 2), Fraction(1, 2), (60,), StrokeKind.ROLL, 0) for i in range(6)]
    made, player = played(piece, rolls)
    assert found_for(made, player) == []


def test_a_drum_is_struck_hand_to_hand(piece: Piece) -> None:
    strokes = [replace(note(Fraction(i, 4)), places=("E4",)) for i in range(8)]
    made, player = played(piece, strokes, key="snare-drum")
    dealt = "".join(suggested_stickings(made, Group(), player).values())
    assert all(one != two for one, two in pairwise(dealt))
    assert found_for(made, player) == []


def test_loads_are_the_worst_motion_of_each_hand(piece: Piece) -> None:
    player = piece.player(2)
    passages = dealt_passages(Hands(piece, player, tempo_map(piece), LIMITS))
    loads = hand_loads(player, passages, LIMITS)
    every = [motion for dealt in passages for motion in motions(dealt)]
    assert [load.hand for load in loads] == ["left", "right"]
    for side, load in enumerate(loads):
        assert load.mm == round(max(m.mm / m.seconds for m in every if m.hand == side))
        worst = max(1 / m.seconds / m.limit for m in every if m.hand == side and not m.rolled)
        assert load.strokes / load.strokes_limit == pytest.approx(worst, abs=0.01)
