"""Families and traps in words: a block a family, a line an occurrence, the bars where they part beside it."""

from collections.abc import Iterator

from score.memory.bar_contents import Contents
from score.memory.bar_words import bar_words, onset_words
from score.memory.families import Family, Occurrence, Trap, shared_onsets
from score.memory.look_alikes import LookAlike
from score.piece import Piece, Player
from score.places import bar_name, bars_name


def families_text(
    piece: Piece,
    player: Player,
    families: tuple[Family, ...],
    traps: tuple[Trap, ...],
    shifted: tuple[LookAlike, ...] = (),
) -> str:
    """Everything a player could take for something else."""
    contents = Contents(piece, player)
    blocks = ["\n".join(_family_lines(contents, family)) for family in families]
    if shifted:
        blocks.append("\n".join(["Half a bar later", *(f"  {shifted_words(piece, pair)}" for pair in shifted)]))
    if traps:
        blocks.append("\n".join(["How many times?", *(f"  {_trap_line(contents, trap)}" for trap in traps)]))
    return "\n\n".join(blocks) or "No two passages are nearly the same."


def shifted_words(piece: Piece, pair: LookAlike) -> str:
    """Two passages of which one begins in the middle of a bar: "17-20, and from the middle of 33 on"."""
    bars = bars_name(piece, range(pair.first, pair.first + pair.length))
    nearly = "" if pair.unlike == 0 else f", {pair.unlike} of {pair.onsets} strokes differ"
    return f"{bars}, and from the middle of {bar_name(piece, pair.second)} on{nearly}"


def families_json(
    piece: Piece,
    player: Player,
    families: tuple[Family, ...],
    traps: tuple[Trap, ...],
    shifted: tuple[LookAlike, ...] = (),
) -> dict[str, object]:
    """The same as values JSON can write.

    Keys: `families`, each with `length` (bars) and `occurrences` (`bar` index from 0, `semitones`, `partings`: `bar`
    index and what stands there in words); `traps`, each with `bar` and `times` (`bar`, `times`); `shifted`, each with
    `bar`, `length` and `middle_of` (the bar in whose middle it begins again).
    """
    contents = Contents(piece, player)
    return {
        "families": [
            {
                "length": family.length,
                "occurrences": [
                    {
                        "bar": passage.first,
                        "semitones": passage.semitones,
                        "partings": [
                            {"bar": passage.first + bar, "text": _words(contents, passage.first + bar)}
                            for bar in family.partings
                        ],
                    }
                    for passage in family.occurrences
                ],
            }
            for family in families
        ],
        "traps": [
            {"bar": trap.bar, "times": [{"bar": first, "times": many} for first, many in trap.times]} for trap in traps
        ],
        "shifted": [{"bar": pair.first, "length": pair.length, "middle_of": pair.second} for pair in shifted],
    }


def kind_words(family: Family) -> str:
    """How many passages, how long, and how they part."""
    kind = "part inside and meet again" if family.meets_again else "are the same and then part"
    return f"{len(family.occurrences)} passages of {family.length} bars {kind}"


def _family_lines(contents: Contents, family: Family) -> Iterator[str]:
    yield kind_words(family)
    inside = [bar for bar in family.partings if bar < family.length]
    for passage in family.occurrences:
        bars = bars_name(contents.piece, range(passage.first, passage.first + family.length))
        if passage.semitones:
            yield f"  {bars}  the same {abs(passage.semitones)} semitones {'up' if passage.semitones > 0 else 'down'}"
            continue
        columns = [parting_words(contents, family, passage, bar) for bar in inside]
        if family.length in family.partings and not inside:
            columns.append(f"then {_words(contents, passage.first + family.length)}")
        yield f"  {bars}  {'  |  '.join(columns)}"


def parting_words(contents: Contents, family: Family, passage: Occurrence, bar: int) -> str:
    """What one passage has in a bar that not all of them have there."""
    shared = shared_onsets(contents, family, bar)
    index = passage.first + bar
    own = [onset for onset in contents.bars[index] if onset not in shared]
    written = contents.piece.bars[index]
    said = ", ".join(onset_words(contents.player, written, onset) for onset in own)
    return f"{bar_name(contents.piece, index)}: {said or 'nothing there'}"


def trap_words(piece: Piece, trap: Trap) -> str:
    """How often a bar comes where: "once at 3, 4 times at 33"."""
    return ", ".join(f"{_times(many)} at {bar_name(piece, first)}" for first, many in trap.times)


def _times(many: int) -> str:
    return {1: "once", 2: "twice"}.get(many, f"{many} times")


def _trap_line(contents: Contents, trap: Trap) -> str:
    return f"{_words(contents, trap.bar)}: {trap_words(contents.piece, trap)}"


def _words(contents: Contents, bar: int) -> str:
    if bar >= len(contents.bars):
        return "the piece is over"
    return bar_words(contents.player, contents.piece.bars[bar], contents.bars[bar])
