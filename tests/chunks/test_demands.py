"""Measures against published figures and worked examples; the two figures rise with every measure."""

from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from score.chunks.chunk import ChunkEdits, ChunkOptions
from score.chunks.cross_rhythm import cross_rhythms, interlocks
from score.chunks.demands import demands, figure, own_scales, together_scales
from score.chunks.division import divide
from score.chunks.explain import chunks_json, chunks_text
from score.chunks.offbeat import note_to_beat_distance, off_beat_share
from score.piece import Bar, Meter
from score.reading import read_score

F = Fraction
SAMPLE = Path(__file__).parents[2] / "samples" / "quartet.musicxml"
CLAVES = {
    "shiko": (0, 4, 6, 10, 12),
    "son": (0, 3, 6, 10, 12),
    "rumba": (0, 3, 7, 10, 12),
    "gahu": (0, 3, 6, 10, 14),
    "bossa": (0, 3, 6, 10, 13),
}


# Gómez, Melvin, Rappaport & Toussaint (2005), quoted in secondary literature; the last note is cyclic.
@pytest.mark.parametrize(
    ("name", "distance"), [("shiko", 1.2), ("son", 2.8), ("rumba", 3.6), ("gahu", 3.6), ("bossa", 4.0)]
)
def test_note_to_beat_distance_of_the_claves(name: str, distance: float) -> None:
    onsets = [F(pulse, 4) for pulse in CLAVES[name]]
    beats = [F(beat) for beat in range(8)]
    assert note_to_beat_distance(onsets, beats, F(4)) == pytest.approx(distance)


def test_off_beat_share_counts_strokes_between_beats() -> None:
    assert off_beat_share([F(0), F(1, 2), F(1), F(3, 2)], [F(0), F(1)]) == 0.5
    assert off_beat_share([], [F(0)]) == 0.0


def bar(*groups: int) -> Bar:
    lengths = tuple(F(group) for group in groups)
    return Bar(0, "1", F(0), length=sum(lengths, F(0)), meter=Meter(f"{sum(groups)}/4", lengths, F(1)))


def even(length: int, parts: int) -> list[Fraction]:
    return [F(length) * i / parts for i in range(parts)]


@pytest.mark.parametrize("ratio", [(3, 2), (4, 3), (5, 4), (5, 3), (7, 4)])
def test_cross_rhythms_are_found_exactly(ratio: tuple[int, int]) -> None:
    three = bar(1, 1, 1)
    (found,) = cross_rhythms(three, [even(3, ratio[1]), even(3, ratio[0]), []])
    assert found.ratio == ratio
    assert found.players == (1, 0)
    assert found.length == 3


def test_multiples_and_uneven_strokes_cross_nothing() -> None:
    four = bar(1, 1, 1, 1)
    assert cross_rhythms(four, [even(4, 4), even(4, 8)]) == []
    assert cross_rhythms(four, [[F(0), F(3, 4), F(5, 2)], even(4, 4)]) == []


def test_triplets_against_eighths_in_one_beat_cross() -> None:
    (found,) = cross_rhythms(bar(1, 1), [[F(0), F(1, 3), F(2, 3)], [F(0), F(1, 2)]])
    assert (found.ratio, found.at, found.length) == ((3, 2), 0, 1)


def test_interlocking_needs_two_who_fill_each_others_gaps() -> None:
    four = bar(1, 1, 1, 1)
    odd, off = even(4, 8), [at + F(1, 4) for at in even(4, 8)]
    (found,) = interlocks(four, [odd, off])
    assert found.strokes == 16
    assert interlocks(four, [odd, odd]) == []
    assert interlocks(four, [odd[:2], off]) == []


VALUES = st.fixed_dictionaries({kind: st.floats(0, 50) for kind in own_scales()})
GROUP = st.fixed_dictionaries({kind: st.floats(0, 50) for kind in together_scales()})


@given(VALUES, st.sampled_from(sorted(own_scales())), st.floats(0, 20))
def test_own_work_rises_with_every_measure(values: dict[str, float], kind: str, more: float) -> None:
    raised = {**values, kind: values[kind] + more}
    assert 0 <= figure(values, own_scales()) <= figure(raised, own_scales()) <= 1


@given(GROUP, st.sampled_from(sorted(together_scales())), st.floats(0, 20))
def test_together_work_rises_with_every_measure(values: dict[str, float], kind: str, more: float) -> None:
    raised = {**values, kind: values[kind] + more}
    assert 0 <= figure(values, together_scales()) <= figure(raised, together_scales()) <= 1


def test_speeds_are_strokes_a_second(make_piece) -> None:
    # Sixteenths at 120 are eight a second.
    piece = make_piece("|xxxxxxxxxxxxxxxx|xxxxxxxxxxxxxxxx|", "|x...|....|")
    (asked,) = demands(piece, divide(piece))
    mine = {demand.kind: demand for demand in asked.players[0].demands}
    assert mine["peak speed"].value == pytest.approx(8.0)
    assert mine["mean speed"].value == pytest.approx(8.0)
    assert asked.own(1) > asked.own(2) > 0


def test_strokes_together_after_a_silence(make_piece) -> None:
    piece = make_piece("|x...|....|x...|x...|", "|x...|....|x...|..x.|")
    (asked,) = demands(piece, divide(piece))
    together = next(demand for demand in asked.group if demand.kind == "together after silence")
    assert (together.value, together.bar) == (2.0, 0)  # the start and bar 3; in bar 4 they strike apart


def test_the_sample_says_what_it_was_written_for() -> None:
    piece = read_score(SAMPLE).piece
    chunks = divide(piece, ChunkOptions())
    asked = {chunk.name: found for chunk, found in zip(chunks, demands(piece, chunks), strict=True)}
    kinds = {name: {demand.kind: demand.text for demand in found.group} for name, found in asked.items()}
    assert "1 and 2 share one line" in kinds["B"]["interlocking"]
    assert "4:3 between 1 and" in kinds["D+8"]["cross rhythm"]
    assert kinds["A"]["sustained"]
    assert asked["D+8"].needed == (1, 2, 3, 4)
    leap = next(d for d in asked["E"].players[1].demands if d.kind == "largest leap")
    assert piece.bars[leap.bar].label == "88"  # from the marimba up to the crotales


def test_the_group_says_who_leads() -> None:
    piece = read_score(SAMPLE).piece
    chunks = divide(piece)
    edits = ChunkEdits(leads=((range(16, 18), 4),))
    asked = demands(piece, chunks, edits)
    assert (asked[2].leader, asked[2].lead) == (4, "the group says so")
    assert asked[0].leader == 4


def test_text_and_json_say_the_same() -> None:
    piece = read_score(SAMPLE).piece
    chunks = divide(piece)
    asked = demands(piece, chunks)
    text, made = chunks_text(piece, chunks, asked), chunks_json(piece, chunks, asked)
    assert [entry["name"] for entry in made] == [chunk.name for chunk in chunks]
    for entry in made:
        assert str(entry["name"]) in text
        assert {"bars", "start", "seconds", "because", "leader", "together", "players", "needed"} <= set(entry)
