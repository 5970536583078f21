"""Players with readings of their own and the scores they play, measured from outside: the table of goals.

Seeds from 1 to 99 were used while thresholds were chosen; what is printed and tested uses those from 100 on.
"""

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import music21

from score.following.follower import Follower
from score.following.leader_moments import LeaderMoment, leader_moments, moved_moments
from score.following.learned_time import PlayedPlace, learned_time
from score.piece import Piece
from score.reading import read_score
from score.time.pulse import PulseOptions
from score.time.route import bars, whole
from tests.following.from_outside import Nearness, Score, asked_tracks, nearness, strikes_of, write_take
from tests.following.performances import Performance, performance, steady
from tests.following.readings import Rubato

_CORPUS = Path(music21.__file__).parent / "corpus"
_SAMPLE = Path(__file__).parents[2] / "samples" / "quartet.musicxml"
PARTS = (
    (_SAMPLE, 1, 104),
    (_SAMPLE, 3, 104),
    (_CORPUS / "haydn" / "opus74no1" / "movement4.mxl", 1, 140),
    (_CORPUS / "mozart" / "k155" / "movement1.mxl", 1, 126),
    (_CORPUS / "mozart" / "k155" / "movement1.mxl", 3, 126),
    (_CORPUS / "haydn" / "opus1no1" / "movement3.mxl", 1, 50),
)
"""Scores, who is followed, quarters a minute (common practice, no source). The first movement of the corpus here is one
in which string quartets were measured (Wing et al., 2014)."""


class Part(NamedTuple):
    """Somebody's part.

    Attributes:
        score: as the command takes it.
        piece: as the engine has read it.
        moments: what they strike.
    """

    score: Score
    piece: Piece
    moments: tuple[LeaderMoment, ...]

    @property
    def pulse(self) -> PulseOptions:
        """The tempo it is played in."""
        return PulseOptions(steady=float(self.score.tempo))

    @property
    def quarter(self) -> float:
        """Seconds of a quarter."""
        return 60 / float(self.score.tempo)


def measured_parts(folder: Path, parts: tuple[tuple[Path, int, int], ...] = PARTS) -> Iterator[Part]:
    """Every part, its score copied without the group's file, in which others lead now and then."""
    for path, player, tempo in parts:
        copied = Path(shutil.copy(path, folder))
        piece = read_score(copied).piece
        moments = leader_moments(piece, whole(piece), player, PulseOptions(steady=tempo))
        yield Part(Score(copied, player, str(tempo)), piece, moments)


def steady_nearness(
    folder: Path, part: Part, seed: int, *, errors: float = 0.0, blind: bool = False, give: str = "0.75"
) -> Nearness:
    """How close the others keep with a player who keeps time within 10 ms."""
    played = performance(part.moments, seed, steady, errors=errors, others=Follower(part.moments, float(give)))
    return nearness(folder, part.score, part.moments, tapped(played) if blind else played, "--give", give)


def rubato_nearness(
    folder: Path, part: Part, takes: int, seed: int, *, errors: float = 0.0, give: str = "0.75"
) -> Nearness:
    """How close they keep with a player who bends the time, after so many earlier takes."""
    quarters = int(part.moments[-1].seconds / part.quarter) + 8
    earlier, more = [], []
    for number in range(takes):
        rate = Rubato(seed, number, part.quarter, quarters)
        listened = Follower(part.moments, 1.0)
        take = performance(
            part.moments, 1000 * seed + number, rate, jitter=0.005, clock=2e-4, errors=errors, others=listened
        )
        earlier.append([PlayedPlace(m.offset, at, m.run) for m, at in zip(part.moments, take.moments, strict=True)])
        more += ["--after", str(write_take(folder / f"earlier-{number}.mid", take.take))]
    usual = learned_time(part.piece, whole(part.piece), part.pulse, 0, earlier)
    follower = Follower(moved_moments(part.moments, usual) if usual else part.moments, float(give))

    class Others:
        """Heard in the written time."""

        heard = staticmethod(follower.heard)

        @staticmethod
        def when(seconds: float) -> float:
            return follower.when(usual(seconds) if usual else seconds)

    rate = Rubato(seed, 99, part.quarter, quarters)
    played = performance(part.moments, 1000 * seed + 99, rate, jitter=0.005, clock=2e-4, errors=errors, others=Others())
    return nearness(folder, part.score, part.moments, played, "--give", give, *more)


def tapped(played: Performance) -> Performance:
    """The same on one key: a chord is one tap, nothing is known of the pitch."""
    taps = [
        stroke._replace(pitch=None)
        for index, stroke in enumerate(played.take)
        if not index or stroke.moment - played.take[index - 1].moment > 0.045
    ]
    return played._replace(take=tuple(taps))


def wrong_places(part: Part, seed: int, *, blind: bool = False, errors: float = 0.03) -> tuple[int, int]:
    """How many strokes of a steady player were taken for another moment's, and of how many."""
    played = performance(part.moments, seed, steady, errors=errors, others=Follower(part.moments))
    follower, wrong, count, coming = Follower(part.moments), 0, 0, 0
    for stroke in (tapped(played) if blind else played).take:
        follower.heard(stroke.moment, stroke.pitch)
        while coming + 1 < len(played.moments) and played.moments[coming + 1] <= stroke.moment + 0.03:
            coming += 1
        if abs(stroke.moment - played.moments[coming]) < 0.04:
            count += 1
            wrong += follower.place != coming
    return wrong, count


def hold_lateness(folder: Path, seed: int, pause: float) -> list[float]:
    """Milliseconds from a player's stroke after a written hold to the others' next ones, less what is written between.

    The sample's third player over its last bars, where a fermata stands; the score's own tempo, so that holds are kept.
    """
    copied = Path(shutil.copy(_SAMPLE, folder))
    piece = read_score(copied).piece
    score, named = Score(copied, 3), ("--bars", "105-116")
    moments = leader_moments(piece, bars(piece, range(104, 116)), 3, PulseOptions())
    held = next(index for index, moment in enumerate(moments) if moment.waits)
    played = performance(moments, seed, steady, pause=pause)
    take = write_take(folder / "take.mid", played.take)
    written = strikes_of(asked_tracks(folder / "written", score, *named))
    bent = strikes_of(asked_tracks(folder / "bent", score, *named, "--follow", str(take)))
    mine = piece.player(3).name
    begins = bent[mine][0][0] - played.take[0].moment
    at, heard = moments[held].seconds, played.moments[held]
    return [
        1000 * (after - begins - heard - (before - at))
        for name, strikes in written.items()
        for (before, _), (after, _) in zip(strikes, bent.get(name, ()) if name != mine else (), strict=False)
        if at - 1e-3 <= before < at + 2.5
    ]
