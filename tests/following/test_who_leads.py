"""Who leads: the group's file is obeyed, several players are heard, and nobody is followed where another leads."""

import statistics
from fractions import Fraction
from pathlib import Path

import pytest

from score.errors import GroupFileError
from score.following.followed_take import FollowOptions, followed
from score.following.follower import Follower
from score.following.from_group import group_leads
from score.following.heard_players import HeardPlayers
from score.following.leader_moments import LeaderMoment, leader_moments
from score.following.who_leads import Lead, WhoLeads
from score.group.group_file import Group, read_group
from score.playback.click import Thinning
from score.playback.sound_events import Timeline
from score.playback.timeline import PlayOptions, timeline
from score.time.route import bars
from tests.following.performances import arcs, performance, steady
from tests.following.test_following import LONG, PIECE, PULSE, SAMPLE

GROUP = read_group(SAMPLE.with_suffix(".group.toml"))


def group_with(tmp_path: Path, text: str) -> Group:
    path = tmp_path / "g.group.toml"
    path.write_text(text)
    return read_group(path)


def without(*players: int) -> Timeline:
    sounding = frozenset(player.number for player in PIECE.players) - set(players)
    return timeline(PIECE, LONG, PlayOptions(PULSE, sounding, Thinning.NONE, count_in=0))


def test_the_groups_file_says_who_leads() -> None:
    leads = group_leads(GROUP, PIECE)
    # Bars are found by their printed numbers, which begin at 1 in the sample.
    begin, end = PIECE.bars[24].start, PIECE.bars[39].start + PIECE.bars[39].length
    assert Lead(begin, end, 3) in leads
    assert Lead(PIECE.bars[16].start, PIECE.bars[16].start, 1) in leads
    who = WhoLeads(PIECE, leads, frozenset({2}))
    assert who.at(PIECE.bars[30].start, 30) == 3
    assert who.at(PIECE.bars[41].start, 41) == 2
    assert who.at(PIECE.bars[16].start, 16) == 1
    assert who.at(PIECE.bars[16].start + Fraction(1, 2), 16) == 2
    assert WhoLeads(PIECE, leads, frozenset({1})).gives(1, PIECE.bars[16].start)


def test_with_several_heard_whoever_carries_the_tune_leads() -> None:
    who = WhoLeads(PIECE, (), frozenset({1, 3}))
    playing = {n: {s.bar for s in PIECE.player(n).strokes} for n in (1, 3)}
    leaders = {bar.index: who.at(bar.start, bar.index) for bar in PIECE.bars}
    assert set(leaders.values()) == {1, 3}
    # Nobody leads where they rest while the other one plays.
    assert all(bar in playing[n] for bar, n in leaders.items() if bar in playing[1] | playing[3])


def test_a_player_or_a_bar_that_is_not_there_is_one_line(tmp_path: Path) -> None:
    for text in ('[[lead]]\nbars = "25-32"\nplayer = 9\n', '[[lead]]\nbars = "900"\nplayer = 1\n'):
        with pytest.raises(GroupFileError, match="lead"):
            group_leads(group_with(tmp_path, text), PIECE)
    assert group_leads(group_with(tmp_path, '[[lead]]\nbars = "25"\nplayer = 1\nstate = "dropped"\n'), PIECE) == ()


def test_where_another_leads_the_others_keep_their_time() -> None:
    who = WhoLeads(PIECE, group_leads(GROUP, PIECE), frozenset({1}))
    route = bars(PIECE, range(24, 56))
    moments = leader_moments(PIECE, route, 1, PULSE, 0, who)
    led = [moment for moment in moments if moment.leads]
    assert 0 < len(led) < len(moments)
    sounding = timeline(PIECE, route, PlayOptions(PULSE, frozenset({2, 3, 4}), Thinning.NONE, count_in=0))
    played = performance(moments, 101, arcs)
    bent = followed(sounding, {1: moments}, played.take, FollowOptions(1.0))
    end = led[0].seconds
    steps = [
        (after.seconds - bent.timeline.strikes[0].seconds) - (before.seconds - sounding.strikes[0].seconds)
        for before, after in zip(sounding.strikes, bent.timeline.strikes, strict=True)
        if before.seconds < end - 1e-6
    ]
    # Bars 25 to 40 are led by player 3, whom the machine plays: nothing bends there, however player 1 pushes.
    assert max(map(abs, steps[1:])) < 0.04
    # Where nobody else is named the others go with player 1 again.
    places = {round(m.seconds, 6): at for m, at in zip(moments, played.moments, strict=True) if m.leads}
    off = [
        after.seconds - bent.begins - places[round(before.seconds, 6)]
        for before, after in zip(sounding.strikes, bent.timeline.strikes, strict=True)
        if round(before.seconds, 6) in places
    ]
    assert statistics.pstdev(off[8:]) < 0.05


def test_an_entry_the_player_gives_is_waited_for() -> None:
    who = WhoLeads(PIECE, [Lead(PIECE.bars[20].start, PIECE.bars[20].start, 1)], frozenset({1}))
    moments = leader_moments(PIECE, LONG, 1, PULSE, 0, who)
    given = [index for index, moment in enumerate(moments) if moment.waits]
    assert len(given) == 1
    follower = Follower(moments, 1.0)
    for moment in moments[: given[0]]:
        follower.heard(10 + moment.seconds, min(moment.pitches, default=None))
    assert follower.reach == pytest.approx(moments[given[0]].seconds)
    # Given by another player, nobody waits for this one.
    other = WhoLeads(PIECE, [Lead(PIECE.bars[20].start, PIECE.bars[20].start, 2)], frozenset({1}))
    assert not any(moment.waits for moment in leader_moments(PIECE, LONG, 1, PULSE, 0, other))


def test_two_players_are_heard_and_the_others_go_with_the_one_who_leads() -> None:
    half = PIECE.bars[60].start
    end = PIECE.bars[104].start
    leads = [Lead(PIECE.bars[16].start, half, 1), Lead(half, end, 2)]
    who = WhoLeads(PIECE, leads, frozenset({1, 2}))
    parts = {number: leader_moments(PIECE, LONG, number, PULSE, 0, who) for number in (1, 2)}
    others = without(1, 2)

    # Each leads at a tempo of their own; the other one, listening, plays with them.
    def tempo(seconds: float) -> float:
        return 1.1 if seconds < boundary else 0.9

    boundary = next(m.seconds for m in parts[2] if m.leads)
    played = {n: performance(parts[n], 100 + n, tempo, jitter=0.005) for n in (1, 2)}
    start = {n: parts[n][0].seconds for n in (1, 2)}
    shift = 1.1 * (start[2] - start[1])
    take = sorted(
        [s._replace(player=1) for s in played[1].take]
        + [s._replace(player=2, moment=s.moment + shift) for s in played[2].take],
        key=lambda s: s.moment,
    )
    bent = followed(others, parts, tuple(take), FollowOptions(1.0)).timeline

    def rate(low: float, high: float) -> float:
        inside = [
            (b.seconds, a.seconds)
            for b, a in zip(others.strikes, bent.strikes, strict=False)
            if low <= b.seconds < high
        ]
        return (inside[-1][1] - inside[0][1]) / (inside[-1][0] - inside[0][0])

    assert rate(boundary - 20, boundary - 1) == pytest.approx(1.1, abs=0.02)
    assert rate(boundary + 10, boundary + 40) == pytest.approx(0.9, abs=0.02)


def test_a_missing_player_holds_nobody_up() -> None:
    parts = {
        1: tuple(LeaderMoment(0.5 * i, frozenset({60 + i % 5})) for i in range(40)),
        2: tuple(LeaderMoment(0.5 * i, frozenset({50}), leads=False) for i in range(40)),
    }
    players = HeardPlayers(parts, 1.0)
    for i in range(20):
        players.heard(1 + 0.5 * i, 60 + i % 5, 1)
    assert players.is_heard
    assert players.when(10.0) == pytest.approx(11.0, abs=0.01)
    players.heard(10.9, 72, 4)
    assert players.followers[2].place == -1
    assert steady(0.0) == 1.0
