"""What the players who are heard strike along a passage, and the others' timeline beside it."""

from collections.abc import Iterable, Sequence

from score.errors import RequestError
from score.following.heard_players import Parts
from score.following.leader_moments import leader_moments
from score.following.who_leads import Lead, WhoLeads
from score.piece import Piece
from score.places import find_player
from score.playback.tracks import Passage, TrackOptions


def heard_parts(
    piece: Piece, passage: Passage, options: TrackOptions, heard: Iterable[int], leads: Sequence[Lead] = ()
) -> Parts:
    """What they strike.

    Args:
        piece: the piece.
        passage: what is played.
        options: of the others' timeline.
        heard: numbers of the players who are heard.
        leads: the group's.

    Raises:
        RequestError: no such player, or none of them strikes anything there.
    """
    numbers = frozenset(find_player(piece, number).number for number in heard)
    who = WhoLeads(piece, leads, numbers)
    parts = {
        number: leader_moments(piece, passage.route, number, options.pulse, options.count_in, who)
        for number in sorted(numbers)
    }
    if not any(parts.values()):
        names = " and ".join(map(str, sorted(numbers)))
        they = f"player {names} strikes" if len(numbers) == 1 else f"players {names} strike"
        what = f"{they} nothing in {_called(passage)}"
        raise RequestError("Nothing to follow", what, "choose bars in which they play")
    return {number: moments for number, moments in parts.items() if moments}


def _called(passage: Passage) -> str:
    """Printed bars are called so, a chunk by its name."""
    if passage.name[:1].isdigit() or passage.name.startswith("("):
        return f"bar{'s' if '-' in passage.name else ''} {passage.name}"
    return "the piece" if passage.name == "whole" else f"chunk {passage.name}"
