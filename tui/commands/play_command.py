"""`inbreath play`: practise in a plain terminal, on one line."""

import sys
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import click

from score.errors import InbreathError, RequestError
from tui.commands.command_common import json_option, open_score, print_json, score_argument
from tui.commands.play_following import FollowAsked, PlayFollowing, opened
from tui.commands.play_options import play_options, track_options
from tui.commands.recording_options import recorded_timelines, timelines_in_time_of
from tui.keyboard import Keyboard
from tui.option_numbers import PLAYER, number_option
from tui.progress_line import Progress


@click.command("play")
@score_argument
@click.option("--player", type=PLAYER, metavar="N", help="Who you are; your own part is left out or soft.")
@play_options
@click.option("--port", default="", metavar="NAME", help="Sound on this MIDI port.")
@click.option("--silent", is_flag=True, help="No sound; only the line, in time.")
@click.option("--loop", is_flag=True, help="Begin again at the end.")
@number_option("--gap", between=(0, 60), default=0.0, metavar="SECONDS", help="Silence between passes.")
@click.option(
    "--follow",
    multiple=True,
    metavar="PORT",
    help='The others follow you on this MIDI port, or on "keys". PORT#3 is its channel 3, 2=PORT another player.',
)
@click.option("--forget", is_flag=True, help="Forget the time you took in earlier passes.")
@number_option(
    "--give",
    between=(0, 1),
    default=0.75,
    show_default=True,
    metavar="SHARE",
    help="How far the others go with you.",
)
@click.option(
    "--recording",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="A recording in place of the machine's players; with --player and --own soft or off your part is softer.",
)
@click.option(
    "--time-of", type=click.Path(path_type=Path), metavar="FILE", help="The machine's players in this recording's time."
)
@click.option("--beside", multiple=True, type=PLAYER, metavar="N", help="A player of the machine beside the recording.")
@json_option
def command(
    score: Path,
    player: int | None,
    port: str,
    silent: bool,
    loop: bool,
    gap: float,
    follow: tuple[str, ...],
    forget: bool,
    give: float,
    recording: Path | None,
    time_of: Path | None,
    beside: tuple[int, ...],
    as_json: bool,
    **asked: Any,
) -> None:
    """Play SCORE: one line with bar, beat and tempo.

    Keys: space stops and plays, r begins again, - and + change the tempo by five percent at the next beat, q ends.
    While the others follow you: h, your next stroke is from here; a bar's number and Enter, they wait there for you;
    < and > how far they go with you; l whether they look for you elsewhere. With "keys" every other key is a stroke.
    """
    if (recording or time_of) and follow:
        raise RequestError("A recording with --follow", "a recording follows nobody", "give one of them")
    if recording and time_of:
        raise RequestError("--recording with --time-of", "both say what plays", "give one of them")
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
        if recording:
            line.making = recorded_timelines(reading.piece, passage, options, recording, beside)
        elif time_of:
            line.making = timelines_in_time_of(reading.piece, passage, time_of)
        follows = FollowAsked(follow, give, forget)
        played = _followed(line, group, follows) if follow or forget else line.run()
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
        self.following: PlayFollowing | None = None
        self.making: Callable[[Any], Any] | None = None

    def run(self) -> dict[str, object]:
        """Play until the end or q; gives back what was played."""
        self.process.load(self._timeline(), self.loop, self.gap)
        self.process.play()
        with Keyboard() as keyboard:
            while self._step(keyboard.key()):
                if self.following:
                    self.following.step()
                time.sleep(0.002 if self.following else 0.02)
        self._clear()
        played: dict[str, object] = {"passage": self.passage.name, "passes": self.passes, "said": self.said}
        if self.following:
            played["readings"] = self.following.readings
        return played

    def _step(self, key: str) -> bool:
        from score.playback.sounding.sound_messages import PassEnded, Position, Said, Stopped

        for report in self.process.reports():
            if isinstance(report, Position):
                self._show(report)
            elif isinstance(report, PassEnded):
                self.passes += 1
                if self.following:
                    self.following.pass_over()
            elif isinstance(report, Said):
                self.say(report.text)
            elif isinstance(report, Stopped):
                self.playing = False
                if self.passes and not self.loop:
                    return False
        return self._obey(key)

    def _obey(self, key: str) -> bool:
        if key == "q":
            return False
        if self.following and self.following.obey(key):
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
            self.process.load(self._timeline(), self.loop, self.gap)
        self.process.play()

    def say(self, text: str) -> None:
        """One line for the user, kept for the answer as JSON."""
        self.said.append(text)
        self._clear()
        click.echo(text, err=True)

    def _faster(self, by: float) -> None:
        from dataclasses import replace

        from score.playback.tempo_steps import in_limits

        pulse = self.options.pulse
        if pulse.steady is not None:
            pulse = replace(pulse, steady=max(10.0, pulse.steady * (1 + by)))
        else:
            pulse = replace(pulse, scale=in_limits(pulse.scale + by))
        before, self.options = self.options, replace(self.options, pulse=pulse)
        try:
            sounds = self._timeline()
        except InbreathError as error:
            # What a recording cannot go is said; it plays on as before.
            self.options = before
            self.say(error.line)
        else:
            self.process.swap(sounds)

    def _timeline(self) -> Any:
        from dataclasses import replace

        if self.making:
            return self.making(self.options)
        from score.playback.tracks import track_timeline

        following, options = self.following, self.options
        if following is None:
            return track_timeline(self.piece, self.passage, options)
        # Whoever is heard plays their own part.
        heard = options.silent | frozenset(following.sources)
        return following.timeline(track_timeline(self.piece, self.passage, replace(options, silent=heard)))

    def _show(self, position: Any) -> None:
        if position.bar < 0:
            where = f"count-in {position.beat}"
        else:
            label = self.piece.bars[position.bar].label or f"({position.bar + 1})"
            where = f"bar {label}  beat {position.beat}"
        self.seconds = position.seconds
        tempo, how = position.quarters_per_minute, ""
        if self.following:
            how = f"  {self.following.at(position)}"
            tempo /= self.following.live.rate
        line = f"{self.passage.name}  {where}  quarter = {tempo:.0f}  pass {position.turn}{how}"
        if sys.stdout.isatty():
            click.echo(f"\r{line:<70}", nl=False)
        elif position.bar != self.bar:
            click.echo(line)
        self.bar = position.bar

    def _clear(self) -> None:
        if sys.stdout.isatty():
            click.echo("\r" + " " * 70 + "\r", nl=False)


def _followed(line: _TempoLine, group: Any, asked: FollowAsked) -> dict[str, object]:
    """The line follows its players while it plays."""
    from score.takes.history import History
    from tui.settings import history_path

    if not asked.sources:
        raise RequestError("--forget alone", "--forget was given without --follow", "add --follow with a port or keys")
    with closing(History(history_path())) as history:
        following = line.following = PlayFollowing(line, group, asked, history, line.say)
        with opened(following):
            return line.run()
