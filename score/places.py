"""Finding bars and players by the words a musician uses for them."""

import re
from collections.abc import Sequence

from score.errors import RequestError
from score.piece import Piece, Player

_DASHES = str.maketrans({"\u2013": "-", "\u2014": "-", "\u2212": "-"})


def find_bar(piece: Piece, text: str) -> int:
    """Index of the bar a text names: a printed number, a rehearsal mark, or "C+8" (8 bars after C).

    A printed number wins over a mark of the same name; of several bars with one label the first counts.

    Raises:
        RequestError: no bar is called that.
    """
    wanted = text.strip()
    for bar in piece.bars:
        if bar.label == wanted:
            return bar.index
    mark, plus, count = wanted.partition("+")
    for bar in piece.bars:
        if bar.rehearsal_mark and bar.rehearsal_mark.casefold() == mark.strip().casefold():
            index = bar.index + (int(count) if plus and count.strip().isdecimal() else 0)
            if index < len(piece.bars) and (not plus or count.strip().isdecimal()):
                return index
    raise RequestError("No such bar", f"no bar is called {wanted!r}", f"the score has {bars_text(piece)}")


def find_bars(piece: Piece, text: str) -> range:
    """Indices of the bars of "17-32", "17", "C-D" or "C+4-C+8", both ends included.

    Raises:
        RequestError: a bar is not there, or the second comes before the first.
    """
    plain = text.translate(_DASHES).strip()
    whole = [bar.index for bar in piece.bars if bar.label == plain]
    if whole:
        return range(whole[0], whole[0] + 1)
    first, dash, last = (part.strip() for part in re.sub(r"\s*-\s*", "-", plain).partition("-"))
    start = find_bar(piece, first)
    end = find_bar(piece, last) if dash else start
    if end < start:
        raise RequestError("Bars in the wrong order", f"{text!r} ends before it begins", f"try {last}-{first}")
    return range(start, end + 1)


def find_player(piece: Piece, number: int) -> Player:
    """The player with this number.

    Raises:
        RequestError: the piece has no such player.
    """
    for player in piece.players:
        if player.number == number:
            return player
    names = ", ".join(f"{player.number} ({player.name})" for player in piece.players)
    raise RequestError("No such player", f"the piece has no player {number}", f"it has {names}")


def bar_name(piece: Piece, index: int) -> str:
    """How a player would call a bar: its printed number, or its position where it has none."""
    return piece.bars[index].label or f"({index + 1})"


def bars_name(piece: Piece, bars: range) -> str:
    """How a player would call a run of bars: "17" or "17-20"."""
    first, last = bar_name(piece, bars[0]), bar_name(piece, bars[-1])
    return first if len(bars) == 1 else f"{first}-{last}"


def bars_words(piece: Piece, bars: range) -> str:
    """The same in a sentence: "bar 17" or "bars 17-20"."""
    return f"bar{'' if len(bars) == 1 else 's'} {bars_name(piece, bars)}"


def few_bars(names: Sequence[str], most: int) -> str:
    """Bars by their names, no more than so many of them: "bar 17", "bars 3, 17 and 4 more"."""
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return f"bar{'' if len(names) == 1 else 's'} {', '.join(names[:most])}{more}"


def bars_text(piece: Piece) -> str:
    """The piece's bars in words, for error messages."""
    return bars_words(piece, range(len(piece.bars)))
