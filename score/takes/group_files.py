"""A rehearsal's recordings: a file a player in their order, or one file with a channel a player."""

from collections.abc import Sequence
from pathlib import Path

from score.errors import RequestError
from score.piece import Piece
from score.plain_text import several
from score.playback.recording_file import read_channels, resampled
from score.strokes.spectral_rise import Samples
from score.takes.group_hearing import GroupHeard, hear_group
from score.time.route import Route


def hear_files(piece: Piece, route: Route, paths: Sequence[Path]) -> GroupHeard:
    """Match a rehearsal player by player.

    Args:
        piece: the piece.
        route: what was played.
        paths: recordings begun at the same moment.

    Raises:
        RequestError: a file cannot be used, or there are not as many microphones as players.
    """
    channels = _channels(paths)
    numbers = [player.number for player in piece.players]
    if len(channels) != len(numbers):
        what = f"{several(len(channels), 'recording')} for {several(len(numbers), 'player')}"
        raise RequestError("Whose recording", what, "give one a player in their order, or one file with a channel each")
    shortest = min(map(len, channels))
    return hear_group(piece, route, numbers, [channel[:shortest] for channel in channels])


def _channels(paths: Sequence[Path]) -> list[Samples]:
    if len(paths) == 1:
        channels, rate = read_channels(paths[0])
        return [resampled(channels[:, column], rate) for column in range(channels.shape[1])]
    mono = []
    for path in paths:
        channels, rate = read_channels(path)
        mono.append(resampled(channels.mean(axis=1), rate))
    return mono
