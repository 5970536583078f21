"""Mallets: brute force over every assignment, and what players would call playable."""

from dataclasses import replace
from fractions import Fraction
from itertools import combinations, permutations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from score.setup.bar_geometry import bar_mm
from score.setup.hand_passages import note_on
from score.setup.limits import Limits
from score.setup.mallet_assignment import assign
from score.setup.mallets import Blow, deals, rules_of, span_limit

LIMITS = Limits()


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
            return [way for way in fitting if in_place(way)] or fitting
    return ["".join(way) for way in rising]


def in_place(way: str) -> bool:
    left, right = ("".join(m for m in way if m in hand) for hand in ("12", "34"))
    return left != "21" and right != "43"


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
        cost += in_the_way(last)
    return cost


def too_wide(mallets: dict[str, int]) -> float:
    low, high = min(mallets.values()), max(mallets.values())
    excess = high - low - span_limit(low, LIMITS)
    if len(mallets) < 2:
        return 0.0
    return 0.05 * max(0, high - low - 9) + (8 + excess / 12 if excess > 0 else 0.0)


def going(last: tuple[Blow, dict[str, int]], blow: Blow, mallets: dict[str, int], four: bool) -> float:
    wait = blow.seconds - last[0].until
    if wait >= 2.0:
        return 0.0
    far = max(away(mallet, pitch, last[1]) for mallet, pitch in mallets.items())
    again = bool(set(mallets) & set(last[1]))
    limit = (4.0 if again else 8.0) if four else 4.8
    share = 1 / (wait * limit)
    quick = 4.0 * share if share > 1.02 else 1.5 * share**2 + 0.1 if wait < 1.0 else 0.0
    turned = 4.0 if wait < 0.5 and changed_places(last[1], mallets) else 0.0
    return 0.5 * far / 1000 + far / (2500 * wait) + quick + turned


def changed_places(before: dict[str, int], after: dict[str, int]) -> bool:
    if len(before) > 1 or len(after) > 1 or set(before) == set(after):
        return False
    pitches = sorted({**before, **after}.items())
    return pitches[0][1] > pitches[1][1]


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


def in_the_way(last: dict[str, tuple[Blow, dict[str, int]]]) -> float:
    if len(last) < 2:
        return 0.0
    left = max(bar_mm("marimba", pitch) for pitch in last["L"][1].values())
    right = min(bar_mm("marimba", pitch) for pitch in last["R"][1].values())
    return max(0.0, left - right) / 1000 * 2.5


def blow(seconds: float, pitches: list[int], asked: list[str] | None = None) -> Blow:
    signs = asked or [""] * len(pitches)
    notes = tuple(replace(note_on("marimba", p, LIMITS), asked=a) for p, a in zip(pitches, signs, strict=True))
    return Blow(seconds, seconds, 0, at=Fraction(0), notes=notes)


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


@pytest.mark.campaign
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


@pytest.mark.campaign
@settings(deadline=None, max_examples=60)
@given(st.lists(st.tuples(st.sampled_from([0.1, 0.3, 0.45, 1.9, 2.1]), st.integers(50, 84)), min_size=6, max_size=6))
def test_nothing_is_lost_where_four_mallets_turn_and_rest(drawn: list[tuple[float, int]]) -> None:
    blows, now = [], 0.0
    for wait, pitch in drawn:
        now += wait
        blows.append(blow(now, [pitch]))
    cost, _ = assign(blows, rules_of(LIMITS, four=True))
    assert cost == pytest.approx(cheapest(blows, four=True))


def test_hands_do_not_stay_crossed_however_slow_the_passage() -> None:
    # A low note, then two high ones together, again and again: the hand that struck the low one is in the way of none.
    for beat in (0.3, 0.6, 1.5, 4.0):
        blows = [blow(i * beat, [45] if i % 3 == 0 else [72, 76]) for i in range(12)]
        _, mallets = assign(blows, rules_of(LIMITS, four=True))
        last: dict[str, tuple[Blow, dict[str, int]]] = {}
        for one, way in zip(blows, mallets, strict=True):
            for hand in ("12", "34"):
                struck = {m: note.pitch for m, note in zip(way, one.notes, strict=True) if m in hand}
                if struck:
                    last["L" if hand == "12" else "R"] = one, struck
            assert in_the_way(last) == 0.0


def test_mallets_of_one_hand_keep_their_places() -> None:
    blows = [blow(i * 0.12, [pitch]) for i, pitch in enumerate((60, 72, 64, 76, 67, 79, 64, 76, 60, 72))]
    _, mallets = assign(blows, rules_of(LIMITS, four=True))
    last: dict[str, int] = {}
    for way, struck in zip(mallets, blows, strict=True):
        low, high = ("1", "2") if way in "12" else ("3", "4")
        last[way] = struck.notes[0].pitch
        assert last.get(low, 0) <= last.get(high, 127)
    assert deals(("4", ""), True) == ("41", "42")
    assert deals(("2", "1"), True) == ("21",)


def test_the_same_figure_gets_the_same_mallets() -> None:
    figure = (57, 64, 60, 67, 57, 64, 60, 67)
    blows = [blow(i * 0.2, [pitch]) for i, pitch in enumerate(figure * 4)]
    for four in (False, True):
        _, mallets = assign(blows, rules_of(LIMITS, four=four))
        assert mallets[4:8] == mallets[8:12] == mallets[12:16]


def test_deals_rise_with_the_notes_and_keep_to_the_print() -> None:
    # Common practice, no source: mallets 1 to 4 from low to high, 1 and 2 in the left hand.
    assert deals(("", ""), False) == ("LR",)
    assert deals(("", ""), True) == ("12", "13", "14", "23", "24", "34")
    assert deals(("L", ""), True) == ("12", "13", "14", "23", "24")
    assert deals(("4", "1"), True) == ("41",)
    assert deals(("", "", "", "", ""), True) == ("12-34",)
    assert deals(("L", "L", "L"), True) == ("123", "124", "134", "234")
