"""What words in a percussion part mean: an instrument, mallets, a sticking, damping, ringing, a swell.

The trade's own words in English, German, French and Italian (common practice, no source).
"""

import re
from typing import NamedTuple

from score.instruments.percussion import Percussion, fold, named

_TO = re.compile(
    r"^(?:(?:change|switch|move|go|back|return|turn)\s+)?"
    r"(?:to the|to|zu|zur|zum|nach|al|alla|allo|au|aux|a la|a l'|in)\s+|"
    r"^(?:take|pick up|on|play|nimm|nehme|nehmen|wechsel zu|wechseln zu|prendre|prenez|changez en|passez au|"
    r"muta in|mutano in|cambia in|cambiare in|prende|prendere|prendi)\s+(?:the\s+)?"
)
_STICKS = re.compile(
    r"\b(mallets?|malls|sticks?|beaters?|brush(es)?|bow(ed|s)?|arco|yarn|rubber|cord|birch|rattan|acrylic|rutes?|rods?|"
    r"schlageln?|schlegeln?|kloppeln?|stocke|besen|bogen|baguettes?|mailloches?|balais|archet|bacchett[ae]|spazzole|mazza|"
    r"mazze|archetto|felt|fingertips?|fingernails?|knuckles|coins?|thimbles?|needles?|superball)\b"
)
_BARE_HANDS = re.compile(
    r"(with |mit |avec |con )?(the |your |den |les |le )?(hands?|fingers?|fists?|handen|doigts|mani|dita)"
)
_NOT_STICKS = re.compile(
    r"\b((cross|side|rim) ?sticks?|sticks? (shots?|clicks?|on sticks?)|click(ing)? sticks?|back ?sticking|no bow)\b"
)
_WAY = re.compile(r"(on |with |the )*stick")
_LET_RING = re.compile(
    r"l ?v|let ring|laissez vibrer|laisser vibrer|lasciar? vibrare|lassen|klingen lassen|l ?v sempre"
)
_DAMP = re.compile(
    r"damp(en|ed|ening)?|damp all|mute|muffle|choke|etouffez?|etouffer|dampfen|abdampfen|smorzare|spegnere|soffocare"
)
_SWELL = re.compile(
    r"(?:molto |poco |un poco |poco a poco )?(cresc|crescendo|dim|dimin|diminuendo|decresc|decrescendo)\b"
)
_HAND = re.compile(r"[RLrl]|RH|LH|R\.H\.|L\.H\.|R/L|L/R|RL|LR|B")
_MALLET = re.compile(r"[1-4](?:[,/ ]?[1-4]){0,3}")


class NamedInstrument(NamedTuple):
    """An instrument named by words.

    Attributes:
        percussion: which.
        text: the words without "to".
        change: the words say that the player goes to it ("to crotales"), not only what is struck.
    """

    percussion: Percussion
    text: str
    change: bool


def pieces(text: str) -> list[str]:
    """Words cut where a new thought begins: "to crotales, brass mallets" is two."""
    return [piece.strip(" ()[]") for piece in re.split(r"[,;\n/]| - | \u2013 ", text) if piece.strip(" ()[]")]


def instrument_in(text: str) -> NamedInstrument | None:
    """The instrument that words name outright; None for words that only mention one ("like a bell")."""
    folded = fold(text)
    bare = _TO.sub("", folded, count=1)
    changed = bare != folded
    percussion = named(bare) if changed or len(folded) > 2 or "." in text else None
    if percussion is None:
        return None
    shown = text.strip(" ()[]")
    return NamedInstrument(percussion, " ".join(shown.split()[-len(bare.split()) :]) if changed else shown, changed)


def is_sticks(text: str) -> bool:
    """Whether words say what to strike with."""
    folded = fold(text)
    if _BARE_HANDS.fullmatch(folded):
        return True
    return bool(_STICKS.search(folded)) and not _NOT_STICKS.search(folded)


def is_bare_stick(text: str) -> bool:
    """Whether words say only "stick": as opposed to "rim" or "click", where a stick is in the hand already."""
    return bool(_WAY.fullmatch(fold(text)))


def is_let_ring(text: str) -> bool:
    """Whether words ask to let ring."""
    return bool(_LET_RING.fullmatch(fold(text)))


def is_damp(text: str) -> bool:
    """Whether words ask to damp."""
    return bool(_DAMP.fullmatch(fold(text)))


def swell(text: str) -> int:
    """1 for words that grow ("cresc."), -1 for words that fall, 0 for others."""
    match = _SWELL.fullmatch(fold(text)) or _SWELL.match(fold(text))
    return 0 if match is None else 1 if match.group(1).startswith("cresc") else -1


def is_hand(text: str) -> bool:
    """Whether a short text is a sticking by hand ("R", "LH")."""
    return bool(_HAND.fullmatch(text.strip()))


def is_mallet(text: str) -> bool:
    """Whether a short text is a sticking by mallet number ("1", "2 4")."""
    return bool(_MALLET.fullmatch(text.strip()))
