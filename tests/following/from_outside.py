"""How close the others keep, measured from outside: the command writes them, its MIDI is read back.

Nothing of the engine is asked but what the player strikes; whoever has another program that plays a take into a MIDI
file can repeat it.
"""

import io
import statistics
from collections.abc import Sequence
from contextlib import redirect_stdout
from pathlib import Path
from typing import NamedTuple

import mido

from score.following.followed_take import TakeStroke
from score.following.leader_moments import LeaderMoment
from tests.following.performances import Performance

_REST = 2.0
"""After a longer rest the player listens and enters with the others; in a take made beforehand nobody can."""


class Score(NamedTuple):
    """What is played.

    Attributes:
        path: the file.
        player: who is followed.
        tempo: as the command takes it.
    """

    path: Path
    player: int
    tempo: str = "100%"


class Nearness(NamedTuple):
    """How close they kept, milliseconds; positive when the others were later.

    Attributes:
        off: at every place where both strike.
        places: index of the player's moment for each.
    """

    off: tuple[float, ...]
    places: tuple[int, ...] = ()

    @property
    def deviation(self) -> float:
        """Standard deviation."""
        return statistics.pstdev(self.off)

    @property
    def robust(self) -> float:
        """Standard deviation by the median of absolute deviations."""
        return robust(self.off)

    def beyond(self, milliseconds: float) -> float:
        """Share of strokes farther off, percent."""
        return 100 * sum(abs(value) > milliseconds for value in self.off) / len(self.off)

    def percentile(self, percent: float) -> float:
        """Of the distances."""
        return sorted(map(abs, self.off))[int(percent / 100 * len(self.off))]


def robust(off: Sequence[float]) -> float:
    """Standard deviation by the median of absolute deviations."""
    middle = statistics.median(off)
    return 1.4826 * statistics.median(abs(value - middle) for value in off)


def write_take(path: Path, take: tuple[TakeStroke, ...]) -> Path:
    """A take as a MIDI file, to half a millisecond; without pitch it is taps on one key."""
    song = mido.MidiFile(ticks_per_beat=1000)
    track = song.add_track()
    ticks = 0
    for stroke in take:
        at = round(stroke.moment * 2000)
        pitch = min(127, max(0, stroke.pitch if stroke.pitch is not None else 60))
        track.append(mido.Message("note_on", note=pitch, velocity=stroke.velocity, time=at - ticks))
        track.append(mido.Message("note_off", note=pitch, time=0))
        ticks = at
    song.save(str(path))
    return path


def asked_tracks(folder: Path, score: Score, *more: str) -> Path:
    """The MIDI file the command writes."""
    from tui.command import run

    folder.mkdir(exist_ok=True)
    asked = ["tracks", str(score.path), "--player", str(score.player), "--tempo", score.tempo, "--as", "mid"]
    said = io.StringIO()
    with redirect_stdout(said):
        assert run([*asked, "--click", "none", "--count-in", "0", "--out", str(folder), *more]) == 0
    return Path(said.getvalue().strip().splitlines()[-1])


def nearness(
    folder: Path, score: Score, moments: tuple[LeaderMoment, ...], played: Performance, *more: str
) -> Nearness:
    """How close the others keep with a performance.

    Args:
        folder: for files.
        score: what is played.
        moments: what the player strikes.
        played: how.
        more: options of the command.
    """
    take = write_take(folder / "take.mid", played.take)
    written = strikes_of(asked_tracks(folder / "written", score, "--own", "on"))
    bent = strikes_of(asked_tracks(folder / "bent", score, "--follow", str(take), *more))
    mine = _name_of(written, moments)
    begins = bent[mine][0][0] - played.take[0].moment
    places = {round(moment.seconds, 3): index for index, moment in enumerate(moments)}
    off, where = [], []
    for name, strikes in written.items():
        for (before, _), (after, _) in zip(strikes, bent.get(name, ()) if name != mine else (), strict=False):
            index = places.get(round(before, 3), -1)
            if index > 3 and moments[index].seconds - moments[index - 1].seconds <= _REST:
                off.append(1000 * (after - begins - played.moments[index]))
                where.append(index)
    return Nearness(tuple(off), tuple(where))


def strikes_of(path: Path) -> dict[str, list[tuple[float, int]]]:
    """(seconds, note) of every track by its name, in order."""
    song = mido.MidiFile(str(path), charset="utf-8")
    tempi = sorted(
        (tick, message.tempo) for track in song.tracks for tick, message in _ticks(track) if message.type == "set_tempo"
    )
    strikes: dict[str, list[tuple[float, int]]] = {}
    for track in song.tracks:
        notes, seconds, last, tempo, coming = [], 0.0, 0, 500_000, 0
        for tick, message in _ticks(track):
            while coming < len(tempi) and tempi[coming][0] <= tick:
                seconds += mido.tick2second(tempi[coming][0] - last, song.ticks_per_beat, tempo)
                last, tempo = tempi[coming]
                coming += 1
            seconds += mido.tick2second(tick - last, song.ticks_per_beat, tempo)
            last = tick
            if message.type == "note_on" and message.velocity:
                notes.append((seconds, message.note))
        if notes:
            strikes[track.name] = sorted(notes)
    return strikes


def _ticks(track: mido.MidiTrack) -> list[tuple[int, mido.Message]]:
    now, messages = 0, []
    for message in track:
        now += message.time
        messages.append((now, message))
    return messages


def _name_of(written: dict[str, list[tuple[float, int]]], moments: tuple[LeaderMoment, ...]) -> str:
    """The track of the player: the one with all their moments."""
    wanted = {round(moment.seconds, 3) for moment in moments}
    at = {name: {round(seconds, 3) for seconds, _ in strikes} for name, strikes in written.items()}
    return max(written, key=lambda name: (len(wanted & at[name]), -len(at[name])))
