"""`inbreath play`: practise in a plain terminal, on one line."""

import sys
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import click

from tui.commands.command_common import json_option, open_score, print_json, score_argument
from tui.commands.play_options import play_options, track_options
from tui.keyboard import Keyboard
from tui.progress_line import Progress


@click.command("play")
@score_argument
@click.option("--player", type=int, default=0, metavar="N", help="Who you are; your own part is left out or soft.")
@play_options
@click.option("--port", default="", metavar="NAME", help="Sound on this MIDI port.")
@click.option("--silent", is_flag=True, help="No sound; only the line, in time.")
@click.option("--loop", is_flag=True, help="Begin again at the end.")
@click.option("--gap", type=click.FloatRange(0, 60), default=0.0, metavar="SECONDS", help="Silence between passes.")
@click.option("--follow", default="", metavar="PORT", help='The others follow you on this MIDI port, or on "keys".')
@click.option(
    "--give",
    type=click.FloatRange(0, 1),
    default=0.75,
    show_default=True,
    metavar="SHARE",
    help="How far they go with you.",
)
@json_option
def command(
    score: Path,
    player: int,
    port: str,
    silent: bool,
    loop: bool,
    gap: float,
    follow: str,
    give: float,
    as_json: bool,
    **asked: Any,
) -> None:
    """Play SCORE: one line with bar, beat and tempo.

    Keys: space stops and plays, r begins again, - and + change the tempo by five percent at the next beat, q ends.
    While the others follow you, h says that your next stroke is from here, and with "keys" every other key is a stroke.
    """
    from score.playback.sounding.sound_process import Device, SoundProcess

    # Started first: it opens the device while the score is read.
    process = SoundProcess(Device(port, audio=not silent, quick=bool(follow)))
    process.start()
    try:
        with Progress() as progress:
            reading, group = open_score(score, progress)
        from score.playback.passage_finding import find_passage

        passage = find_passage(reading.piece, group, asked["chunk"], asked["bars"])
        options = track_options(reading.piece, group, player, asked)
        line = _TempoLine(process, reading.piece, passage, options, loop=loop, gap=gap)
        with _followed(line, follow, give):
            played = line.run()
    finally:
        process.close()
    if as_json:
        print_json(played)


class _TempoLine:
    """The line and its keys."""

    def __init__(self, process: Any, piece: Any, passage: Any, options: Any, *, loop: bool, gap: float) -> None:
        self.process, self.piece, self.passage, self.options = process, piece, passage, options
        self.loop, self.gap = loop, gap
        self.playing = True
        self.seconds = 0.0
        self.passes = 0
        self.said: list[str] = []
        self.bar = -1
        self.following: Any = None
        self.by_keys = False

    def run(self) -> dict[str, object]:
        """Play until the end or q; gives back what was played."""
        self.process.load(self._timeline(), self.loop, self.gap)
        self.process.play()
        with Keyboard() as keyboard:
            while self._step(keyboard.key()):
                time.sleep(0.002 if self.by_keys else 0.02)
        self._clear()
        return {"passage": self.passage.name, "passes": self.passes, "said": self.said}

    def _step(self, key: str) -> bool:
        from score.playback.sounding.sound_messages import PassEnded, Position, Said, Stopped

        for report in self.process.reports():
            if isinstance(report, Position):
                self._show(report)
            elif isinstance(report, PassEnded):
                self.passes += 1
                if self.following:
                    self.following.begin()
            elif isinstance(report, Said):
                self.said.append(report.text)
                self._clear()
                click.echo(report.text, err=True)
            elif isinstance(report, Stopped):
                self.playing = False
                if self.passes and not self.loop:
                    return False
        return self._obey(key)

    def _obey(self, key: str) -> bool:
        if key == "q":
            return False
        if self.following and key not in ("", " ", "r"):
            self._struck(key)
            return True
        if key == " ":
            if self.playing:
                self.process.stop()
            else:
                self._play()
            self.playing = not self.playing
        elif key == "r":
            self.process.stop()
            self._play()
            self.playing = True
        elif key in ("+", "=", "-"):
            self._faster(-0.05 if key == "-" else 0.05)
        return True

    def _play(self) -> None:
        if self.following:
            self.following.begin()
        self.process.play()

    def _struck(self, key: str) -> None:
        if key == "h":
            self.following.begin(self.seconds)
        elif self.by_keys:
            self.following.struck(time.perf_counter(), None)

    def _faster(self, by: float) -> None:
        from dataclasses import replace

        from score.playback.tempo_steps import in_limits

        pulse = self.options.pulse
        if pulse.steady is not None:
            pulse = replace(pulse, steady=max(10.0, pulse.steady * (1 + by)))
        else:
            pulse = replace(pulse, scale=in_limits(pulse.scale + by))
        self.options = replace(self.options, pulse=pulse)
        self.process.swap(self._timeline())

    def _timeline(self) -> Any:
        from score.playback.tracks import track_timeline

        return track_timeline(self.piece, self.passage, self.options)

    def _show(self, position: Any) -> None:
        if position.bar < 0:
            where = f"count-in {position.beat}"
        else:
            label = self.piece.bars[position.bar].label or f"({position.bar + 1})"
            where = f"bar {label}  beat {position.beat}"
        self.seconds = position.seconds
        line = f"{self.passage.name}  {where}  quarter = {position.quarters_per_minute:.0f}  pass {position.turn}"
        if self.following:
            line += f"  {self.following.words(position.seconds)}"
        if sys.stdout.isatty():
            click.echo(f"\r{line:<70}", nl=False)
        elif position.bar != self.bar:
            click.echo(line)
        self.bar = position.bar

    def _clear(self) -> None:
        if sys.stdout.isatty():
            click.echo("\r" + " " * 70 + "\r", nl=False)


@contextmanager
def _followed(line: _TempoLine, source: str, give: float) -> Iterator[None]:
    """The line follows its player on a port or on keys while it plays; without a source it does not."""
    if not source:
        yield
        return
    from score.errors import RequestError
    from score.following.leader_moments import leader_moments
    from score.following.live_following import LiveFollowing
    from score.playback.sounding.midi_ports import open_input

    options = line.options
    if not options.player:
        raise RequestError("Nobody to follow", "--follow needs to know who you are", "add --player 1")
    moments = leader_moments(line.piece, line.passage.route, options.player, options.pulse, options.count_in)
    if not moments:
        raise RequestError("Nothing to follow", f"player {options.player} rests here", "choose bars in which they play")
    line.following, line.by_keys = LiveFollowing(line.process, moments, give), source == "keys"
    if line.by_keys:
        yield
        return
    try:
        port = open_input(source, lambda pitch: line.following.struck(time.perf_counter(), pitch))
    except OSError as error:
        what = f"{source!r} cannot be opened ({error})"
        raise RequestError("MIDI port", what, "see inbreath sound for the ports there are") from error
    with closing(port):
        yield
