"""Practice tracks: what a player takes along, as MIDI and as sound."""

from collections.abc import Callable, Iterator, Sequence
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
    files = []
    jobs = [(passage, kind) for passage in passages for kind in options.kinds]
    timelines: dict[str, tuple[Passage, Timeline]] = {}
    for done, (passage, kind) in enumerate(jobs):
        progress(f"track {passage.name} ({kind})", done / len(jobs))
        if passage.name not in timelines:
            written = sounding(passage) if sounding else (passage, track_timeline(piece, passage, options))
            timelines = {passage.name: written}
        path = folder / f"{stem}-player-{options.player}-{file_name_part(passage.name)}.{kind}"
        files.append(_write(piece, *timelines[passage.name], path, kind, options))
    progress("tracks", 1.0)
    return tuple(files)


def track_timeline(piece: Piece, passage: Passage, options: TrackOptions) -> Timeline:
    """The timeline of a track: everybody, one's own part off, soft or on."""
    others = frozenset(player.number for player in piece.players) - {options.player} - options.silent
    players = others if options.own == "off" else others | {options.player}
    levels = {options.player: SOFT} if options.own == "soft" else {}
    wished = PlayOptions(
        options.pulse,
        players,
        options.click,
        subdivisions=options.subdivisions,
        count_in=options.count_in,
        breath=options.breath,
        levels=levels,
        breaths=options.breaths,
    )
    return timeline(piece, passage.route, wished)


def _write(piece: Piece, passage: Passage, sounds: Timeline, path: Path, kind: str, options: TrackOptions) -> Path:
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
