"""What Low Water, Four Lanterns is made of: its harmony, its tune, and the figures that come back."""

from notation import bars_of
from patterns import CHORDS, beats

# B and F: eight bars of harmony, gone through again and again.
HARMONY = ("Dm", "Dm", "Bb", "F", "Gm", "Dm", "C", "Am")
FIRST_HALF = ("x..x .xx. x..x .xx.", "x..x .xx. ..xx x...")
SECOND_HALF = (".xx. x..x .xx. x..x", ".xx. x..x xx.. .xxx")

# E: four bars down and round again; the last four gather.
DESCENT = ("Dm", "C", "Bb", "Am") * 3 + ("Dm", "Bb")
_DRIVING = {
    "Dm": ("D5", "F5", "A4"),
    "C": ("C5", "E5", "G4"),
    "Bb": ("D5", "F5", "Bb4"),
    "Am": ("C5", "E5", "A4"),
}

TUNE = bars_of(
    "D5:q. E5:e F5:q E5:q | D5:h A4:h | D5:q. C5:e Bb4:q D5:q | C5:h A4:h |"
    " F5:q. G5:e A5:q G5:q | F5:q E5:q D5:h | E5:q C5:q D5:q. C5:e | D5:q. C5:e A4:h*"
)
TUNE_IN_THREE = bars_of(
    "D5:h E5:q | F5:q E5:q D5:q | C5:h A4:q | D5:h. | F5:h G5:q | A5:q G5:q F5:q | E5:q F5:q C5:q | D5:h."
)


def hocket(patterns: tuple[str, str], count: int, upper: bool, hands: str = "") -> list[str]:
    """So many bars of one player's half of the interlocking sixteenths.

    The upper half lies above the lower half's highest note, so that four hands stay out of each other's way.
    """
    texts = []
    for bar in range(count):
        low, *rest = CHORDS[HARMONY[bar % 8]]
        notes = [*rest, octaves(rest[0], 1)] if upper else [octaves(name, -1) for name in (low, *rest)]
        turned = notes if bar % 2 == 0 else notes[::-1]
        texts.append(beats(patterns[bar % 2], turned, hands if bar < 2 else ""))
    return texts


def driving(upper: bool) -> list[str]:
    """The bars of 3+2 beats, player 1's (upper) or player 2's, an octave below and the two figures exchanged."""
    texts = []
    for bar, chord in enumerate(DESCENT):
        high, higher, fifth = _DRIVING[chord] if upper else (octaves(name, -1) for name in _DRIVING[chord])
        if (bar % 2 == 0) is upper:
            texts.append(f"{high}:e> {higher}:e {fifth}:e {high}:e {higher}:q {high}:e> {fifth}:e {high}:q")
        else:
            texts.append(f"{high}:q> {higher}:e {fifth}:e {high}:q {higher}:e> {high}:e {fifth}:q")
    return texts


def off_beats(first: dict[str, str], second: dict[str, str]) -> list[str]:
    """Chords between the beats of the bars of 3+2, for the chords of `DESCENT`."""
    return [
        f"r:q {first[chord]}:q r:q " + (f"r:q {second[chord]}:q" if bar % 2 == 0 else f"{second[chord]}:h")
        for bar, chord in enumerate(DESCENT)
    ]


def rolls(*chords: str) -> list[str]:
    """Two rolled bars for each chord, tied."""
    return [text for chord in chords for text in (f"{chord}:w%~", f"{chord}:w%")]


def octaves(name: str, up: int) -> str:
    """The same note so many octaves higher."""
    return f"{name[:-1]}{int(name[-1]) + up}"
