"""The timeline against worked examples and the samples."""

from fractions import Fraction
from itertools import pairwise
from math import isclose
from pathlib import Path

import pytest

from score.errors import GroupFileError
from score.group.group_file import read_group
from score.piece import StrokeKind
from score.playback.click import Thinning
from score.playback.player_strikes import GRACE_SECONDS
from score.playback.roll_strokes import roll_speed, roll_strokes
from score.playback.sound_events import BREATH, CLICK_PLAYER, CLICK_STRONG, Timeline
from score.playback.timeline import PlayOptions, timeline
from score.reading import read_score
from score.time.from_group import pulse_options
from score.time.pulse import PulseOptions, route_tempo_map
from score.time.route import bars, whole
from score.time.shapes import ShapeKind
from score.time.tempo_map import Hold

PIECE = read_score(Path(__file__).parents[2] / "samples" / "quartet.musicxml").piece
QUIET = PlayOptions(click=Thinning.NONE, count_in=0)


def alone(player: int, tempo: float) -> PlayOptions:
    """One player without click at a steady tempo."""
    return PlayOptions(PulseOptions(steady=tempo), frozenset({player}), Thinning.NONE, count_in=0)


def of_player(made: Timeline, number: int) -> list[float]:
    return [strike.seconds for strike in made.strikes if strike.player == number]


def test_sixteenths_at_104_stand_where_they_should() -> None:
    made = timeline(
        PIECE,
        bars(PIECE, range(16, 18)),
        PlayOptions(PulseOptions(steady=104), frozenset({1}), Thinning.NONE, count_in=0),
    )
    grid = 60 / 104 / 4
    # x..x .xx. x..x .xx. and x..x .xx. ..xx x...
    places = [0, 3, 5, 6, 8, 11, 13, 14, 16, 19, 21, 22, 26, 27, 28]
    assert of_player(made, 1) == pytest.approx([place * grid for place in places])
    assert made.seconds == pytest.approx(8 * 60 / 104)


def test_every_written_stroke_sounds_once_along_the_playing_order() -> None:
    made = timeline(PIECE, whole(PIECE), QUIET)
    for player in PIECE.players:
        plain = [s for s in player.strokes if s.kind is StrokeKind.STROKE]
        times = [PIECE.playing_order.count(stroke.bar) for stroke in plain]
        notes = sum(max(1, len(s.pitches)) * count for s, count in zip(plain, times, strict=True))
        assert len(of_player(made, player.number)) >= notes
    assert made.seconds == pytest.approx(route_tempo_map(PIECE, whole(PIECE)).seconds(whole(PIECE).length))


def test_rolls_fill_their_length_evenly_and_faster_when_high_or_loud() -> None:
    strokes = roll_strokes((60, 67), 0.5, 2.0)
    gaps = {round(b[0] - a[0], 9) for a, b in pairwise(strokes)}
    assert len(gaps) == 1
    assert isclose(strokes[-1][0] + strokes[-1][1], 2.0)
    assert {pitches for _, _, pitches in strokes} == {(60,), (67,)}
    assert roll_speed((36,), 0.5) < roll_speed((60,), 0.5) < roll_speed((96,), 0.5)
    assert roll_speed((60,), 0.2) < roll_speed((60,), 0.9)


def test_a_grace_stroke_comes_before_the_beat() -> None:
    grace = next(s for s in PIECE.player(3).strokes if s.kind is StrokeKind.GRACE)
    route = bars(PIECE, (grace.bar - 1, grace.bar))
    made = timeline(PIECE, route, alone(3, 120))
    main = 2.0  # the bar before lasts two seconds at 120
    assert any(strike.seconds == pytest.approx(main - GRACE_SECONDS) for strike in made.strikes)


def test_a_damp_cuts_what_rings() -> None:
    made = timeline(
        PIECE, bars(PIECE, (39,)), PlayOptions(PulseOptions(steady=60), frozenset({3}), Thinning.NONE, count_in=0)
    )
    (strike,) = made.strikes
    assert strike.damped
    assert strike.length == pytest.approx(0.5)  # the damp stands an eighth after it


def test_count_in_and_click_follow_the_meter() -> None:
    made = timeline(PIECE, bars(PIECE, (40,)), PlayOptions(PulseOptions(steady=120), frozenset(), count_in=2))
    clicks = [strike for strike in made.strikes if strike.player == CLICK_PLAYER]
    assert len(clicks) == 3 * 7  # seven-eight: seven beats a bar
    assert made.starts == pytest.approx(2 * 3.5 * 0.5)
    assert [strike.voice for strike in clicks[:7]].count(CLICK_STRONG) == 1
    assert made.beats[0].bar == -1
    assert made.beats[14].bar == 40


def test_a_pickup_is_counted_up_to() -> None:
    route = bars(PIECE, (16, 17), pickup=Fraction(1))
    made = timeline(PIECE, route, PlayOptions(PulseOptions(steady=60), frozenset(), count_in=1))
    assert made.starts == pytest.approx(4 + 3)  # a bar, then three beats of the bar the pickup stands in


def test_a_breath_leads_into_entries_made_together() -> None:
    route = bars(PIECE, range(38, 42))
    made = timeline(PIECE, route, PlayOptions(PulseOptions(steady=120), click=Thinning.NONE, count_in=1, breath=True))
    breaths = [strike for strike in made.strikes if strike.voice == BREATH]
    ends = [strike.seconds + strike.length for strike in breaths]
    # Bar 40 is struck and stopped; bar 41 is entered together after three and a half beats of silence.
    assert made.starts + 2 * 2.0 == pytest.approx(ends[-1])
    assert breaths[-1].length == pytest.approx(0.25)  # one beat of the seven-eight at 120
    assert not [strike for strike in made.strikes if strike.voice.startswith("click")]


def test_dynamics_and_hairpins_shape_velocity() -> None:
    made = timeline(PIECE, bars(PIECE, range(4)), QUIET)
    first, last = made.strikes[0].velocity, made.strikes[-1].velocity
    assert first < last


def test_players_and_levels_choose_what_sounds() -> None:
    route = bars(PIECE, range(16, 20))
    soft = timeline(PIECE, route, PlayOptions(click=Thinning.NONE, count_in=0, levels={1: 0.5}))
    full = timeline(PIECE, route, QUIET)
    assert {
        s.player for s in timeline(PIECE, route, PlayOptions(players=frozenset({2, 3}), click=Thinning.NONE)).strikes
    } <= {0, 2, 3}
    assert sum(s.velocity for s in soft.strikes if s.player == 1) < sum(
        s.velocity for s in full.strikes if s.player == 1
    )
    assert [s.seconds for s in soft.strikes] == [s.seconds for s in full.strikes]


def test_the_groups_shapes_holds_and_ranges(tmp_path: Path) -> None:
    path = tmp_path / "q.group.toml"
    path.write_text(
        '[tempo]\nwithin_range = 0\n[[shape]]\nbars = "57-64"\nkind = "back"\npercent = 10\nplayer = 1\n'
        '[[hold]]\nbar = "112"\nseconds = 3.5\n'
    )
    options = pulse_options(read_group(path), PIECE, scale=0.8)
    assert options.within_range == 0
    assert options.shapes[0].kind is ShapeKind.BACK
    assert options.holds == (Hold(PIECE.bars[112].start, 3.5),)
    plain, shaped = (
        route_tempo_map(PIECE, whole(PIECE), o).seconds(whole(PIECE).length) for o in (PulseOptions(0.8), options)
    )
    assert shaped > plain


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[[shape]]\nbars = "57"\nkind = "wobble"\n', "wobble"),
        ('[[shape]]\nbars = "999"\nkind = "top"\n', "999"),
        ('[[hold]]\nbar = "112"\nseconds = 900\n', "seconds"),
    ],
)
def test_choices_that_cannot_hold_are_one_line(tmp_path: Path, text: str, said: str) -> None:
    (tmp_path / "q.group.toml").write_text(text)
    with pytest.raises(GroupFileError, match=said):
        pulse_options(read_group(tmp_path / "q.group.toml"), PIECE)


def test_pedal_holds_and_motor_turns() -> None:
    from dataclasses import replace

    from score.beats import Place
    from score.piece import Mark, MarkKind, Span, SpanKind

    third = PIECE.player(3)
    pedal = Span(SpanKind.PEDAL, Place(16, Fraction(0)), Place(17, Fraction(0)))
    motor = Mark(MarkKind.WORDS, 17, Fraction(0), text="motor on")
    changed = third._replace(spans=(*third.spans, pedal), marks=(*third.marks, motor))
    piece = replace(PIECE, players=(*PIECE.players[:2], changed, PIECE.players[3]))
    made = timeline(piece, bars(piece, (16, 17)), alone(3, 60))
    held = [strike for strike in made.strikes if strike.seconds < 4]
    # At 60 the bar lasts four seconds; everything struck under the pedal is damped where it is lifted.
    assert all(strike.damped and strike.seconds + strike.length == pytest.approx(4.0) for strike in held)
    assert {strike.variant for strike in held} == {""}
    assert {strike.variant for strike in made.strikes if strike.seconds >= 4} == {"motor"}
