"""What a bar holds in a few words: notes with the beats they are struck on, as players count."""

from fractions import Fraction
from itertools import groupby

from score.activity.lanes import spelled_pitch
from score.memory.bar_contents import Content, Onset, StruckSound
from score.piece import Bar, Player

_PARTS = {Fraction(1, 2): "+", Fraction(1, 4): "e", Fraction(3, 4): "a"}
"""Parts of a beat as players count them (common practice, no source); others are said as fractions."""


def beat_words(bar: Bar, at: Fraction) -> str:
    """Where in a bar, as counted: "1", "2+", "3a", "4 2/3"."""
    unit = bar.meter.beat or Fraction(1)
    beat, rest = divmod(at, unit)
    part = rest / unit
    return f"{beat + 1}{_PARTS[part]}" if part in _PARTS else f"{beat + 1} {part}" if part else f"{beat + 1}"


def sound_words(player: Player, sounds: tuple[StruckSound, ...], key: int = 0) -> str:
    """What is struck: "D5", "F3 A3 (roll)", "Wood block"."""
    names: list[str] = []
    for kind, alike in groupby(sounds, key=lambda sound: sound.kind):
        for sound in alike:
            names += [spelled_pitch(pitch, key) for pitch in sound.pitches] or [
                player.instruments[sound.instrument].name
            ]
        if kind == "roll":
            names.append("(roll)")
    return " ".join(names)


def onset_words(player: Player, bar: Bar, onset: Onset) -> str:
    """What is struck and when: "D5 on 2+"."""
    return f"{sound_words(player, onset[1], bar.key)} on {beat_words(bar, onset[0])}"


def bar_words(player: Player, bar: Bar, content: Content) -> str:
    """A bar in a line: "D5 on 1, A4 on 3+"; "rest" for an empty one."""
    return ", ".join(onset_words(player, bar, onset) for onset in content) or "rest"
