"""Short ways to write the figures that come back: beats of sixteenths, seven-eight bars."""

from collections.abc import Sequence

CHORDS = {
    "Dm": ("D4", "F4", "A4", "D5"),
    "Bb": ("D4", "F4", "Bb4", "D5"),
    "F": ("C4", "F4", "A4", "C5"),
    "C": ("C4", "E4", "G4", "C5"),
    "Gm": ("D4", "G4", "Bb4", "D5"),
    "Am": ("E4", "A4", "C5", "E5"),
}
# How a beat of four sixteenths is written: the note values in order, "r" before a rest.
_BEATS = {
    "x..x": ("s", "re", "s"),
    "xx..": ("s", "s", "re"),
    ".xx.": ("rs", "s", "s", "rs"),
    "..xx": ("re", "s", "s"),
    "x.x.": ("e", "e"),
    ".x.x": ("rs", "s", "rs", "s"),
    "x.xx": ("e", "s", "s"),
    "xx.x": ("s", "e", "s"),
    "xxx.": ("s", "s", "e"),
    ".xxx": ("rs", "s", "s", "s"),
    "xxxx": ("s", "s", "s", "s"),
    "x...": ("e", "re"),
    "..x.": ("re", "e"),
    "....": ("rq",),
}


def beats(pattern: str, notes: Sequence[str], hands: str = "", accents: bool = True) -> str:
    """A bar of beats of sixteenths; notes are taken in turn, the first stroke of the bar may be accented.

    Args:
        pattern: four letters a beat, beats parted by spaces: "x" a stroke, "." none.
        notes: pitches, one a stroke, taken round and round.
        hands: a sticking a stroke, or "" for none.
        accents: accent the first stroke of a bar that begins with one.
    """
    tokens: list[str] = []
    count = 0
    for beat in pattern.split():
        for value in _BEATS[beat]:
            if value.startswith("r"):
                tokens.append(f"r:{value[1:]}")
                continue
            accent = ">" if accents and count == 0 and pattern[0] == "x" else ""
            hand = f"={hands[count % len(hands)]}" if hands else ""
            tokens.append(f"{notes[count % len(notes)]}:{value}{accent}{hand}")
            count += 1
    return " ".join(tokens)


def seven(notes: Sequence[str], pattern: str = "xx xx xxx") -> str:
    """A bar of 2+2+3 eighths: "x" a stroke, "." a rest, groups parted by spaces."""
    tokens, count = [], 0
    for place in pattern.replace(" ", ""):
        if place == "x":
            tokens.append(f"{notes[count % len(notes)]}:e" + (">" if count == 0 else ""))
            count += 1
        else:
            tokens.append("r:e")
    return " ".join(tokens)
