"""Tracks on which the others follow a recorded take, with the take mixed in."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from score.following.followed_take import FollowOptions, TakeStroke, followed, played_places
from score.following.heard_parts import heard_parts
from score.following.heard_players import Parts
from score.following.leader_moments import moved_moments
from score.following.learned_time import learned_time
from score.following.who_leads import Lead
from score.piece import Piece, Player
from score.playback.bent_timeline import SecondsMap, bent_timeline
from score.playback.played_notes import PlayedNote
from score.playback.sound_events import Strike, Timeline
from score.playback.tracks import SOFT, Passage, TrackOptions, track_timeline
from score.time.route import Route


class Takes(NamedTuple):
    """What was played.

    Attributes:
        notes: a take of each player who is heard, by the player's number, all on one clock; never empty.
        earlier: takes of the same passage by the player it is for, from which the others know that player's usual time.
    """

    notes: Mapping[int, Sequence[PlayedNote]]
    earlier: Sequence[Sequence[PlayedNote]] = ()


def followed_track(
    piece: Piece,
    passage: Passage,
    options: TrackOptions,
    takes: Takes,
    follow: FollowOptions,
    leads: Sequence[Lead] = (),
) -> tuple[Passage, Timeline]:
    """What a passage sounds like when the others follow takes, and the bars it reached.

    Args:
        piece: the piece.
        passage: what was played in the takes, from its beginning.
        options: whose track it is, and what else sounds.
        takes: what was played.
        follow: how the others follow.
        leads: who leads where.

    Raises:
        RequestError: nobody who is heard strikes anything in the passage.
    """
    heard = frozenset(takes.notes)
    parts = heard_parts(piece, passage, options, heard, leads)
    others = track_timeline(piece, passage, replace(options, own="off", silent=options.silent | heard))
    usual = _usual(piece, passage, options, parts, takes.earlier)
    if usual is not None:
        parts = {number: moved_moments(moments, usual) for number, moments in parts.items()}
        others = bent_timeline(others, usual)
    take = sorted(
        (stroke for number in parts for stroke in _take(takes.notes[number], number)), key=lambda stroke: stroke.moment
    )
    bent = followed(others, parts, tuple(take), follow)
    mine = [
        strike
        for number, notes in takes.notes.items()
        for strike in _own_strikes(piece.player(number), options, notes, bent.begins)
    ]
    strikes = tuple(sorted((*bent.timeline.strikes, *mine), key=lambda strike: strike.seconds))
    end = max(bent.timeline.seconds, *(strike.seconds for strike in mine))
    reached = Passage(passage.name, Route(passage.route.visits[: max(1, len(bent.timeline.bars))]))
    return reached, replace(bent.timeline, strikes=strikes, seconds=end)


def _usual(
    piece: Piece, passage: Passage, options: TrackOptions, parts: Parts, earlier: Sequence[Sequence[PlayedNote]]
) -> SecondsMap | None:
    """The usual time of the player it is for, None where nothing is known of it."""
    moments = parts.get(options.player, ())
    readings = [played_places(moments, _take(notes)) for notes in earlier] if moments else []
    return learned_time(piece, passage.route, options.pulse, options.count_in, readings)


def _take(notes: Sequence[PlayedNote], player: int = 0) -> tuple[TakeStroke, ...]:
    """A take's strokes; all on one key they are taps, which say nothing of the pitch."""
    is_tapped = len({note.pitch for note in notes}) == 1
    return tuple(TakeStroke(note.moment, None if is_tapped else note.pitch, player=player) for note in notes)


def _own_strikes(player: Player, options: TrackOptions, notes: Sequence[PlayedNote], begins: float) -> list[Strike]:
    """A take itself, on its player's first instrument."""
    instrument = player.instruments[0]
    share = SOFT if options.own == "soft" and player.number == options.player else 1.0
    return [
        Strike(
            begins + note.moment,
            note.length,
            player.number,
            voice=instrument.key or instrument.name,
            pitch=float(note.pitch) if instrument.pitched else None,
            velocity=max(1, round(note.velocity * share)),
        )
        for note in notes
    ]
