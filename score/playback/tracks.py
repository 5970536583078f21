"""Practice tracks: what a player takes along, as MIDI and as sound."""

import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor, as_completed
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path

from score.activity.breath import Breath
from score.chunks.chunk import Chunk
from score.piece import Piece
from score.plain_text import file_name_part
from score.playback.click import Thinning
from score.playback.midi_file import midi_file
from score.playback.sound_events import Timeline
from score.playback.timeline import PlayOptions, timeline
from score.progress import ReportProgress
from score.time.pulse import PulseOptions
from score.time.route import Route, whole
from score.time.route import bars as bars_route
from score.writing import write_atomically

SOFT = 0.35
"""Loudness of one's own part when it is soft, as a share."""


@dataclass(frozen=True, slots=True)
class TrackOptions:
    """What a track holds.

    Attributes:
        player: number of the player it is for.
        own: "off", "soft" or "on": the player's own part.
        kinds: endings of the files, of "mid", "wav", "flac", "ogg", "mp3".
        pulse: tempo and shapes.
        click: which clicks are left.
        count_in: bars.
        breath: breaths instead of clicks.
        subdivisions: parts each beat of the click is cut into.
        breaths: those the group has agreed on or tries.
        silent: numbers of other players who do not sound.
    """

    player: int
    own: str = "off"
    kinds: tuple[str, ...] = ("mid", "mp3")
    pulse: PulseOptions = field(default_factory=PulseOptions)
    click: Thinning = Thinning.EVERY_BEAT
    count_in: int = 1
    breath: bool = False
    subdivisions: int = 1
    breaths: tuple[Breath, ...] = ()
    silent: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Passage:
    """What is played on a track.

    Attributes:
        name: for titles and file names.
        route: the bars.
    """

    name: str
    route: Route


def whole_passage(piece: Piece) -> Passage:
    """The whole piece in its playing order."""
    return Passage("whole", whole(piece))


def chunk_passages(piece: Piece, chunks: Sequence[Chunk]) -> tuple[Passage, ...]:
    """Each chunk, from its pickup."""
    return tuple(Passage(chunk.name, chunk_route(piece, chunk)) for chunk in chunks)


def chunk_route(piece: Piece, chunk: Chunk) -> Route:
    """A chunk's bars, begun with its pickup."""
    pickup = Fraction(0)
    if chunk.start.bar < chunk.first:
        pickup = piece.bars[chunk.start.bar].length - chunk.start.at
    return bars_route(piece, list(chunk.bars), pickup)


def write_tracks(
    piece: Piece,
    passages: Sequence[Passage],
    folder: Path,
    stem: str,
    options: TrackOptions,
    progress: ReportProgress,
    sounding: Callable[[Passage], tuple[Passage, Timeline]] | None = None,
) -> tuple[Path, ...]:
    """Write every passage in every kind asked for; each file appears whole or not at all.

    Args:
        piece: the piece.
        passages: what to write.
        folder: where to.
        stem: how the names begin.
        options: what tracks hold.
        progress: told after each file.
        sounding: what a passage sounds like and the bars it reaches; as written without it.

    Raises:
        WritingError: the folder cannot be written.
    """
    jobs = [(passage, kind) for passage in passages for kind in options.kinds]
    progress("tracks", 0.0)

    def sounds(passage: Passage) -> tuple[Passage, Timeline]:
        return sounding(passage) if sounding else (passage, track_timeline(piece, passage, options))

    # Encoding is most of the work and holds no interpreter lock: a thread for each core.
    pool = ThreadPoolExecutor(max(1, min(os.cpu_count() or 1, len(jobs))))
    try:
        timelines = {passage.name: pool.submit(sounds, passage) for passage in passages}
        files = [
            pool.submit(
                _write, piece, timelines[passage.name], folder / f"{stem}-player-{options.player}", kind, options
            )
            for passage, kind in jobs
        ]
        for done, file in enumerate(as_completed(files), 1):
            progress("tracks", done / len(jobs))
            file.result()
        return tuple(file.result() for file in files)
    finally:
        pool.shutdown(cancel_futures=True)


def track_timeline(piece: Piece, passage: Passage, options: TrackOptions) -> Timeline:
    """The timeline of a track: everybody, one's own part off, soft or on."""
    return timeline(piece, passage.route, wished_sounds(piece, options))


def wished_sounds(piece: Piece, options: TrackOptions) -> PlayOptions:
    """What is heard on a track."""
    others = frozenset(player.number for player in piece.players) - {options.player} - options.silent
    players = others if options.own == "off" else others | {options.player}
    levels = {options.player: SOFT} if options.own == "soft" else {}
    return PlayOptions(
        options.pulse,
        players,
        options.click,
        subdivisions=options.subdivisions,
        count_in=options.count_in,
        breath=options.breath,
        levels=levels,
        breaths=options.breaths,
    )


def _write(
    piece: Piece, timed: Future[tuple[Passage, Timeline]], begins: Path, kind: str, options: TrackOptions
) -> Path:
    passage, sounds = timed.result()
    path = begins.with_name(f"{begins.name}-{file_name_part(passage.name)}.{kind}")
    title = f"{piece.title}: {passage.name}, {piece.player(options.player).name}"
    if kind == "mid":
        return write_atomically(path, midi_file(piece, passage.route, sounds, title, _markers(piece)))
    from score.playback.loudness import evened
    from score.playback.mixing import render
    from score.playback.sound_file import USUAL_RATES, write_sound

    rate = USUAL_RATES[kind]
    write_sound(path, evened(render(_with_tail(sounds), None, rate), rate), rate, kind, {"title": title})
    return path


def _markers(piece: Piece) -> tuple[tuple[int, str], ...]:
    return tuple((bar.index, bar.rehearsal_mark) for bar in piece.bars if bar.rehearsal_mark)


def _with_tail(sounds: Timeline) -> Timeline:
    """Room for the last notes to ring out."""
    return replace(sounds, seconds=sounds.seconds + 1.5)


def missing_voices(piece: Piece) -> Iterator[str]:
    """A line for every instrument that sounds as another one."""
    from score.playback.voices.voice_choice import stand_in_line

    said: dict[str, None] = {}
    for player in piece.players:
        for instrument in player.instruments:
            line = stand_in_line(instrument.key, instrument.name, instrument.pitched)
            if line:
                said[line] = None
    yield from said
