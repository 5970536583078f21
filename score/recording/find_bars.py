"""Every bar of the piece in a recording: listen, find the runs, put them in place, say how sure each bar is."""

from collections.abc import Callable, Iterator
from functools import partial
from itertools import zip_longest
from pathlib import Path

from score.errors import RequestError
from score.piece import Piece
from score.places import bar_name
from score.progress import ReportProgress
from score.recording.elsewhere import prices_elsewhere
from score.recording.feature_weights import Weights, music_weights
from score.recording.fine import PlacedRun, placed_run
from score.recording.heard_bars import HeardBar, HeardOnset, HeardRecording, StrokeApart
from score.recording.heard_run import BarSpan, HeardRun
from score.recording.last_bars import with_its_end
from score.recording.learnt_shares import learnt_shares
from score.recording.own_attacks import OwnAttacks
from score.recording.rough_runs import RoughRun, rough_runs
from score.recording.score_moments import WrittenMusic, usual_bands
from score.recording.semitones import Array
from score.recording.snap import Attacks
from score.recording.sound_features import SoundFeatures, listen
from score.recording.sound_pieces import sound_facts

LOOKS = 2
"""How often strokes without pitch are listened to."""
_FEW, _NEVER_TUNED = 0.05, 0.95
_DEAR = 3.0
"""How much more it costs that nothing of the score sounds, where only the nearest bars are asked for."""
_WRONG_PIECE = "play it with the score it was made from"


def find_recording(piece: Piece, path: Path, progress: ReportProgress = lambda step, share: None) -> HeardRecording:
    """Find every bar of a piece in a recording of it.

    Args:
        piece: the piece.
        path: WAV, FLAC, MP3 or OGG.
        progress: told how far it is.

    Raises:
        RequestError: the file is no sound, or the piece is not in it.
    """
    facts = sound_facts(path)
    music = WrittenMusic(piece)
    if not music.moments:
        raise RequestError("Nothing to listen for", "the score has no strokes", "choose another score")
    sound = listen(facts, lambda share: progress("listening", share))
    if float(sound.energy.max(initial=0.0)) < 1e-12:
        raise RequestError("Silence", f"{path.name}: nothing sounds in it", "choose another recording")
    shares = usual_bands(music.notes.sorts)
    attacks = Attacks(sound)
    runs = placed_runs(music, sound, attacks, shares, lambda share: progress("finding the bars", share))
    runs = runs or _forced(music, sound, attacks, shares, lambda share: progress("finding the bars", share))
    notes = list(_said_of_the_file(facts.rate, facts.seconds, sound.seconds))
    return _heard(music, sound, attacks, runs, path, notes)


def placed_runs(
    music: WrittenMusic, sound: SoundFeatures, attacks: Attacks, shares: Array, progress: Callable[[float], None]
) -> list[HeardRun]:
    """All runs, in order; strokes without pitch are listened to again, since each look tells how they sound here."""
    looks = LOOKS if music.unpitched_share > _FEW else 1
    weights = music_weights(music, sound)
    runs: list[HeardRun] = []
    doubtful: list[tuple[float, float]] | None = None
    for look in range(looks):
        rough = rough_runs(
            music,
            sound,
            weights,
            shares,
            doubtful,
            lambda share, n=look: progress((n + share) / looks),  # type: ignore[misc]
        )
        place = partial(_placed, music, sound, attacks, weights.fine, shares)
        runs = [
            with_its_end(
                run, place, music, attacks, shares=shares, until=float(after.way.seconds[0]) if after else sound.seconds
            )
            for run, after in zip_longest(rough, rough[1:])
        ]
        if look + 1 < looks:
            shares = learnt_shares(music, attacks, runs, shares)
            doubtful = [stretch for run in runs for stretch in run.doubtful_seconds]
    return runs


def _forced(
    music: WrittenMusic, sound: SoundFeatures, attacks: Attacks, shares: Array, progress: Callable[[float], None]
) -> list[HeardRun]:
    """What a piece that is not heard comes nearest to: runs where nothing of the score costs too much to be chosen."""
    weights = music_weights(music, sound)
    dear = weights._replace(nothing=_DEAR * weights.nothing, unpitched=0.0)
    rough = rough_runs(music, sound, dear, shares, None, progress)
    forced = [_placed(music, sound, attacks, weights.fine, shares, run) for run in rough]
    return [run for run in forced if run.spans and not run.is_heard]


def _placed(
    music: WrittenMusic, sound: SoundFeatures, attacks: Attacks, weights: Weights, shares: Array, run: RoughRun
) -> HeardRun:
    placed = placed_run(music, sound, attacks, run.way, weights, shares)
    prices = partial(prices_elsewhere, music, sound, placed, weights, shares)
    return HeardRun(music, attacks, placed, shares, prices=prices, joined=run.joined)


def _heard(
    music: WrittenMusic, sound: SoundFeatures, attacks: Attacks, runs: list[HeardRun], path: Path, notes: list[str]
) -> HeardRecording:
    kept = _kept(runs)
    if not kept:
        raise RequestError("Piece not heard", f"{path.name}: {_best_claim(music, runs)}", _WRONG_PIECE)
    times: dict[int, int] = {}
    bars: list[HeardBar] = []
    onsets: list[HeardOnset] = []
    apart: list[StrokeApart] = []
    own = OwnAttacks(music, attacks, sound.sharp)
    own.learn([run.placed for run in kept])
    for number, run in enumerate(kept):
        for span in run.spans:
            turn = times[span.bar] = times.get(span.bar, 0) + 1
            facts = span.evidence
            bars.append(
                HeardBar(
                    span.bar, turn, span.start, end=span.end, sure=round(facts.sure, 3), doubt=facts.doubt, run=number
                )
            )
            onsets += _onsets(music, run.placed, span, turn)
            apart += own.told_apart(run.placed, span, turn) if not facts.doubt else ()
    # Drums say nothing of how a group is tuned.
    cents = sound.cents if music.unpitched_share < _NEVER_TUNED else 0.0
    return HeardRecording(
        sound.seconds, cents, tuple(bars), onsets=tuple(onsets), notes=tuple(notes), apart=tuple(apart)
    )


def _kept(runs: list[HeardRun]) -> list[HeardRun]:
    """Runs that are heard, and those between two of them without a break on either side."""
    heard = [run.is_heard for run in runs]
    between = [
        runs[index].joined and runs[index + 1].joined and heard[index - 1] and heard[index + 1]
        for index in range(1, len(runs) - 1)
    ]
    carried = [False, *between, False] if len(runs) > 1 else [False] * len(runs)
    return [
        run
        for run, is_heard, is_between in zip(runs, heard, carried, strict=True)
        if (is_heard or is_between) and run.spans
    ]


def _onsets(music: WrittenMusic, placed: PlacedRun, span: BarSpan, turn: int) -> Iterator[HeardOnset]:
    for index in span.moments:
        bar, at = music.moments[placed.moments[index]]
        yield HeardOnset(bar, turn, at, seconds=float(placed.seconds[index]))


def _best_claim(music: WrittenMusic, runs: list[HeardRun]) -> str:
    if not runs:
        return "no run of bars of this score in it"
    best = max(runs, key=lambda run: (run.is_heard, run.contrast if len(run.margins) else -1.0))
    labels = [bar_name(music.piece, span.bar) for span in best.spans] or ["?"]
    margin = float(best.margins.mean()) if len(best.margins) else 0.0
    return (
        f"its best claim is bars {labels[0]} to {labels[-1]} at {max(0.0, best.placed.way.seconds[0]):.0f} s, "
        f"with a contrast of {margin:.3f} where {best.least_margin:.3f} is the least"
    )


def _said_of_the_file(rate: int, promised: float, heard: float) -> Iterator[str]:
    if rate < 16_000:
        yield f"Recorded at {rate:,} frames a second: high sounds are missing, and places are less sure."
    if heard < promised - 1:
        yield f"The file breaks off at {heard:.0f} s of {promised:.0f} s; what is there was listened to."
