"""Tracks on which the others follow a recorded take, with the take mixed in."""

from collections.abc import Sequence
from dataclasses import replace

from score.errors import RequestError
from score.following.bent_timeline import bent_timeline
from score.following.followed_take import FollowOptions, TakeStroke, followed, rates_of_take
from score.following.leader_moments import leader_moments, moved_moments
from score.following.usual_time import usual_map
from score.piece import Piece, Player
from score.playback.played_notes import PlayedNote
from score.playback.sound_events import Strike, Timeline
from score.playback.tracks import SOFT, Passage, TrackOptions, track_timeline
from score.time.route import Route


def followed_track(
    piece: Piece,
    passage: Passage,
    options: TrackOptions,
    notes: Sequence[PlayedNote],
    follow: FollowOptions,
    earlier: Sequence[Sequence[PlayedNote]] = (),
) -> tuple[Passage, Timeline]:
    """What a passage sounds like when the others follow a take, and the bars it reached.

    Args:
        piece: the piece.
        passage: what was played in the take, from its beginning.
        options: whose take it is, and what else sounds.
        notes: the take.
        follow: how the others follow.
        earlier: takes of the same passage from which they know the player's usual time.

    Raises:
        RequestError: the player strikes nothing in the passage.
    """
    player = piece.player(options.player)
    moments = leader_moments(piece, passage.route, options.player, options.pulse, options.count_in)
    if not moments or not notes:
        what = f"player {options.player} strikes nothing in {passage.name}"
        raise RequestError("Nothing to follow", what, "choose bars in which they play")
    others = track_timeline(piece, passage, replace(options, own="off"))
    rates = [rate for other in earlier if (rate := rates_of_take(moments, _take(other))) is not None]
    usual = usual_map(rates, others.seconds)
    if usual is not None:
        moments, others = moved_moments(moments, usual), bent_timeline(others, usual)
    take = _take(notes)
    bent = followed(others, moments, take, follow)
    mine = _own_strikes(player, options, notes, bent.begins)
    strikes = tuple(sorted((*bent.timeline.strikes, *mine), key=lambda strike: strike.seconds))
    end = max(bent.timeline.seconds, mine[-1].seconds)
    reached = Passage(passage.name, Route(passage.route.visits[: max(1, len(bent.timeline.bars))]))
    return reached, replace(bent.timeline, strikes=strikes, seconds=end)


def _take(notes: Sequence[PlayedNote]) -> tuple[TakeStroke, ...]:
    """A take's strokes; all on one key they are taps, which say nothing of the pitch."""
    is_tapped = len({note.pitch for note in notes}) == 1
    return tuple(TakeStroke(note.moment, None if is_tapped else note.pitch) for note in notes)


def _own_strikes(player: Player, options: TrackOptions, notes: Sequence[PlayedNote], begins: float) -> list[Strike]:
    """The take itself, on the player's first instrument."""
    instrument = player.instruments[0]
    share = SOFT if options.own == "soft" else 1.0
    return [
        Strike(
            begins + note.moment,
            note.length,
            options.player,
            voice=instrument.key or instrument.name,
            pitch=float(note.pitch) if instrument.pitched else None,
            velocity=max(1, round(note.velocity * share)),
        )
        for note in notes
    ]
