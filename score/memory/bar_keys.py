"""What the bars of a part are kept by, so that a correction elsewhere in the score leaves them as they were."""

import hashlib
from collections import Counter

from score.memory.bar_contents import Contents
from score.places import bar_name


def bar_keys(contents: Contents) -> tuple[str, ...]:
    """A key a bar, each once: it follows from the piece's title, the player, the bar's name and what is struck in it.

    Args:
        contents: the part.
    """
    piece, player = contents.piece, contents.player
    seen: Counter[str] = Counter()
    keys = []
    for index, content in enumerate(contents.bars):
        about = repr((piece.title, player.number, bar_name(piece, index), content))
        key = hashlib.sha256(about.encode()).hexdigest()[:16]
        seen[key] += 1
        # Two bars of one name that hold the same are told apart by their order.
        keys.append(f"bar {key}" if seen[key] == 1 else f"bar {key}-{seen[key]}")
    return tuple(keys)
