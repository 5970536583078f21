"""The sound process end to end: on a MIDI sink, on the null sound device, with kills and lost devices."""

import os
import signal
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import mido
import pytest

from score.playback.sound_events import BarTime, BeatTime, Strike, Timeline
from score.playback.sounding.clockwork import Clockwork
from score.playback.sounding.sound_messages import PassEnded, Position, Report, Said, Stopped
from score.playback.sounding.sound_outputs import MidiPort, OutputLost, Silent
from score.playback.sounding.sound_process import Device, SoundProcess

SINK = '''
"""A MIDI backend for mido that writes every message with its moment to a file, and can vanish."""
import os, time

class Output:
    def __init__(self, name=None, **kwargs):
        if name == "refuses":
            raise OSError("the port is busy")
        self.name, self.closed = name, False
        self.file = open(os.environ["SINK_FILE"], "a", buffering=1)

    def send(self, message):
        if os.path.exists(os.environ["SINK_FILE"] + ".gone"):
            raise OSError("the port has gone")
        self.file.write(f"{time.perf_counter()} {message}\\n")

    def close(self):
        self.closed = True

def get_devices(**kwargs):
    return [{"name": "sink", "is_input": False, "is_output": True}]
'''


def steady(count: int, step: float = 0.1) -> Timeline:
    """Five strokes a quarter, two quarters a bar: a bar a second where strokes are a tenth of a second apart."""
    strikes = tuple(
        Strike(i * step, step / 2, 1, voice="marimba", pitch=60 + i % 12, velocity=80, offset=i / 5)
        for i in range(count)
    )
    quarter = 5 * step
    beats = tuple(
        BeatTime(i * quarter, i // 2, i % 2 + 1, offset=float(i), quarters_per_minute=60 / quarter)
        for i in range(count // 5)
    )
    bars = tuple(BarTime(2 * quarter * i, i) for i in range(count // 10))
    seconds = count * step
    return Timeline(strikes, seconds, bars=bars, beats=beats, starts=0.0)


@pytest.fixture
def sink(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "sinkbackend.py").write_text(SINK)
    monkeypatch.syspath_prepend(str(tmp_path))  # a spawned process takes this over
    monkeypatch.setenv("MIDO_BACKEND", "sinkbackend")
    monkeypatch.setenv("SINK_FILE", str(tmp_path / "sent.txt"))
    return tmp_path / "sent.txt"


@pytest.fixture
def started() -> Iterator[Callable[[Device], SoundProcess]]:
    made: list[SoundProcess] = []

    def start(device: Device) -> SoundProcess:
        player = SoundProcess(device)
        player.start()
        made.append(player)
        return player

    yield start
    for player in made:
        player.close()


def until(player: SoundProcess, wanted: Callable[[Report], bool], seconds: float = 10.0) -> list[Report]:
    found: list[Report] = []
    deadline = time.monotonic() + seconds
    while time.monotonic() < deadline:
        new = player.reports()
        found += new
        if any(wanted(report) for report in new):
            return found
        time.sleep(0.01)
    raise AssertionError(f"never came; got {found[-5:]}")


def sent(sink: Path) -> list[tuple[float, mido.Message]]:
    lines = [line.split(" ", 1) for line in sink.read_text().splitlines()]
    return [(float(when), mido.Message.from_str(text)) for when, text in lines]


def hanging(messages: list[tuple[float, mido.Message]]) -> set[tuple[int, int]]:
    """Notes still on at the end."""
    on: set[tuple[int, int]] = set()
    for _, message in messages:
        if message.type == "note_on" and message.velocity:
            on.add((message.channel, message.note))
        elif message.type == "note_off":
            on.discard((message.channel, message.note))
        elif message.is_cc(123) or message.is_cc(120):
            on = {note for note in on if note[0] != message.channel}
    return on


def test_every_stroke_is_sent_on_time_and_no_note_hangs(sink: Path, started) -> None:
    player = started(Device(port="sink"))
    player.load(steady(30))
    player.play()
    reports = until(player, lambda report: isinstance(report, Stopped))
    ons = [(when, m) for when, m in sent(sink) if m.type == "note_on"]
    assert [m.note for _, m in ons] == [60 + i % 12 for i in range(30)]
    # Against absolute deadlines: the error does not grow, however late a busy machine may be for one of them.
    first = ons[0][0]
    errors = [abs(when - first - i * 0.1) for i, (when, _) in enumerate(ons)]
    assert sorted(errors)[len(errors) // 2] < 0.02
    assert sorted(errors[-9:])[4] < sorted(errors[:9])[4] + 0.02
    positions = [report for report in reports if isinstance(report, Position)]
    assert [p.seconds for p in positions] == sorted(p.seconds for p in positions)
    assert positions[-1].bar == 2
    player.close()
    assert hanging(sent(sink)) == set()


def test_stop_silences_at_once(sink: Path, started) -> None:
    player = started(Device(port="sink"))
    long = Timeline((Strike(0.0, 30.0, 1, voice="marimba", pitch=60, velocity=80),), 30.0)
    player.load(long)
    player.play()
    until(player, lambda report: isinstance(report, Position))
    player.stop()
    until(player, lambda report: isinstance(report, Stopped))
    assert hanging(sent(sink)) == set()


def test_a_loop_begins_again_without_a_stumble(sink: Path, started) -> None:
    player = started(Device(port="sink"))
    player.load(steady(5), loop=True)
    player.play()
    until(player, lambda report: isinstance(report, PassEnded) and report.turn == 3)
    player.stop()
    until(player, lambda report: isinstance(report, Stopped))
    ons = [when for when, m in sent(sink) if m.type == "note_on"]
    gaps = [b - a for a, b in pairwise(ons)]
    assert sorted(gaps)[len(gaps) // 2] == pytest.approx(0.1, abs=0.01)


def test_another_tempo_takes_hold_at_the_next_beat(sink: Path, started) -> None:
    player = started(Device(port="sink"))
    player.load(steady(20))
    player.play()
    until(player, lambda report: isinstance(report, Position) and report.seconds > 0.2)
    player.swap(steady(20, step=0.2))
    until(player, lambda report: isinstance(report, Stopped))
    ons = [when for when, m in sent(sink) if m.type == "note_on"]
    gaps = [b - a for a, b in pairwise(ons)]
    # One quarter, or two where the machine was late, at ten strokes a second, all others at five; none lost or doubled.
    assert len(ons) == 20
    assert sum(gap > 0.15 for gap in gaps) in (9, 14)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_a_killed_application_leaves_no_note_and_no_process(sink: Path) -> None:
    child = os.fork()
    if child == 0:
        player = SoundProcess(Device(port="sink"))
        player.start()
        player.load(Timeline((Strike(0.0, 30.0, 1, voice="marimba", pitch=60, velocity=80),), 30.0))
        player.play()
        while not any(isinstance(report, Position) for report in player.reports()):
            time.sleep(0.01)
        Path(f"{sink}.pid").write_text(str(player.pid))
        os.kill(os.getpid(), signal.SIGKILL)
    os.waitpid(child, 0)
    pid = int(Path(f"{sink}.pid").read_text())
    deadline = time.monotonic() + 5
    while _lives(pid) and time.monotonic() < deadline:
        time.sleep(0.02)
    assert not _lives(pid)
    assert hanging(sent(sink)) == set()


def _lives(pid: int) -> bool:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[0] != "Z"
    except OSError:
        return False


@pytest.mark.skipif(os.name == "nt", reason="POSIX signals")
@pytest.mark.parametrize("sign", [signal.SIGTERM, signal.SIGINT])
def test_signals_to_the_player_leave_no_note(sink: Path, started, sign: signal.Signals) -> None:
    player = started(Device(port="sink"))
    player.load(Timeline((Strike(0.0, 30.0, 1, voice="marimba", pitch=60, velocity=80),), 30.0))
    player.play()
    until(player, lambda report: isinstance(report, Position))
    assert player.pid is not None
    os.kill(player.pid, sign)
    time.sleep(0.3)
    assert player.alive == (sign == signal.SIGINT)  # Ctrl-C is the application's to answer
    player.close()
    assert hanging(sent(sink)) == set()


def test_a_killed_player_is_said_once_and_the_application_goes_on(started) -> None:
    player = started(Device(audio=False))
    player.load(steady(50))
    player.play()
    until(player, lambda report: isinstance(report, Position))
    assert player.pid is not None
    os.kill(player.pid, signal.SIGKILL)
    (said,) = [r for r in until(player, lambda report: isinstance(report, Said)) if isinstance(r, Said)]
    assert said.is_trouble
    player.play()
    player.stop()
    assert player.reports() == []


def test_a_port_that_vanishes_is_said_and_the_clock_goes_on(sink: Path, started) -> None:
    player = started(Device(port="sink"))
    player.load(steady(30))
    player.play()
    until(player, lambda report: isinstance(report, Position) and report.seconds > 0.3)
    Path(f"{sink}.gone").touch()
    reports = until(player, lambda report: isinstance(report, Stopped))
    said = [report for report in reports if isinstance(report, Said)]
    assert len(said) == 1
    assert "\n" not in said[0].text
    assert max(r.seconds for r in reports if isinstance(r, Position)) > 2.5


def test_a_port_that_refuses_or_is_not_there_means_silence(sink: Path, started) -> None:
    player = started(Device(port="refuses"))
    player.load(steady(5))
    player.play()
    reports = until(player, lambda report: isinstance(report, Stopped))
    assert [r.text for r in reports if isinstance(r, Said)] == [
        "MIDI port 'refuses' cannot be opened (the port is busy); silent."
    ]


def test_without_a_sound_card_the_clock_runs(started) -> None:
    player = started(Device())  # this machine has none; with one, nothing is said and it plays
    player.load(steady(5))
    player.play()
    reports = until(player, lambda report: isinstance(report, Stopped))
    assert [r for r in reports if isinstance(r, Position)]
    assert len([r for r in reports if isinstance(r, Said)]) <= 1


def test_the_null_sound_device_plays_in_real_time(started) -> None:
    pytest.importorskip("miniaudio")
    player = started(Device(backend="NULL"))
    player.load(steady(20))
    player.play()
    start = time.monotonic()
    reports = until(player, lambda report: isinstance(report, Stopped), 20)
    assert 1.8 < time.monotonic() - start < 6
    assert not [report for report in reports if isinstance(report, Said)]


def test_the_clockwork_alone_keeps_absolute_time() -> None:
    struck: list[float] = []

    class Ear(Silent):
        def strike(self, strike: Strike, when: float) -> None:
            struck.append(when)

    clockwork = Clockwork(Ear(), lambda report: None)
    clockwork.load(steady(10), loop=True, gap=0.5)
    clockwork.play(0.0, 100.0)
    now = 100.0
    while now < 103.1:
        clockwork.step(now)
        now += 0.0137  # steps that fall nowhere in particular
    assert struck[:10] == pytest.approx([100.02 + i * 0.1 for i in range(10)])
    assert struck[10] == pytest.approx(100.02 + 1.5)


def test_a_loop_waits_before_its_first_beat() -> None:
    struck: list[float] = []

    class Ear(Silent):
        def strike(self, strike: Strike, when: float) -> None:
            struck.append(when)

    clockwork = Clockwork(Ear(), lambda report: None)
    clockwork.load(replace(steady(10), again=0.75), loop=True, gap=0.0)
    clockwork.play(0.0, 100.0)
    for step in range(400):
        clockwork.step(100.0 + step * 0.01)
    gaps = [later - earlier for earlier, later in pairwise(struck)]
    assert gaps[:20] == pytest.approx([0.1] * 9 + [0.1 + 0.75] + [0.1] * 9 + [0.1 + 0.75])


def test_a_midi_port_that_fails_is_lost() -> None:
    class Broken:
        def send(self, message: object) -> None:
            raise OSError("gone")

        def close(self) -> None:
            raise OSError("gone")

    port = MidiPort(Broken())
    with pytest.raises(OutputLost):
        port.strike(Strike(0.0, 1.0, 1, voice="marimba", pitch=60, velocity=80), 0.0)
    port.close()
