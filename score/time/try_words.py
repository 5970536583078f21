"""A try in a player's words: "57-64 hold back 8", "C-C+8 lean forward", "112 wait 0.5", "111-112 short"."""

import re

from score.errors import RequestError
from score.piece import Piece
from score.places import find_bars
from score.time.tries import Tries, Try, Word

_WORDS = {
    **{str(word): word for word in Word},
    "forward": Word.FORWARD,
    "back": Word.BACK,
    "top": Word.TOP,
    "end": Word.END,
    "wait": Word.WAIT,
    "short": Word.SHORT,
}
_LINE = re.compile(r"\s*(\S+)\s+([A-Za-z ]+?)\s*(\d+(?:\.\d+)?)?\s*(?:%|s)?\s*")


def parse_try(piece: Piece, text: str) -> Try:
    """The try a text names: bars, what is done, and how much: percent, or seconds of a wait.

    Raises:
        RequestError: no such bars or word, or too much of it.
    """
    match = _LINE.fullmatch(text)
    word = _WORDS.get(match[2].casefold()) if match else None
    if match is None or word is None:
        words = ", ".join(Word)
        raise RequestError("Not a try", f"{text!r} is not understood", f'write "57-64 hold back 8"; there are {words}')
    bars = find_bars(piece, match[1])
    first, last = piece.bars[bars[0]], piece.bars[bars[-1]]
    trial = Tries(first.start, last.start + last.length).word(word)
    return trial.set_to(float(match[3])).heard if match[3] else trial.heard
