"""Finding what to play by the words a player uses: a chunk, a join, bars, or the whole."""

from fractions import Fraction

from score.chunks.chunk import Chunk
from score.chunks.division import divide
from score.chunks.from_group import chunk_edits
from score.errors import RequestError
from score.group.group_file import Group
from score.piece import Piece
from score.places import bars_name, find_bars
from score.playback.tempo_steps import FASTEST, SLOWEST
from score.playback.tracks import Passage, chunk_route, whole_passage
from score.time.route import Route, join
from score.time.route import bars as bars_route


def find_passage(piece: Piece, group: Group, chunk: str = "", bars: str = "") -> Passage:
    """What a player asks for.

    Args:
        piece: the piece.
        group: the group's file, for its chunks.
        chunk: name of a chunk ("C+8"), or of two neighbours for their join ("C|C+8"); "" for none.
        bars: printed bars ("17-32"); "" for none.

    Raises:
        RequestError: nothing is called that, or both were asked for.
    """
    if chunk and bars:
        raise RequestError("Chunk or bars", f"both chunk {chunk} and bars {bars} were asked for", "give one of them")
    if bars:
        indices = find_bars(piece, bars)
        return Passage(bars_name(piece, indices), bars_route(piece, list(indices), Fraction(0)))
    if not chunk:
        return whole_passage(piece)
    chunks = divide(piece, edits=chunk_edits(group, piece))
    names = [name.strip() for name in chunk.split("|")]
    wanted = [_chunk(chunks, name) for name in names]
    if len(wanted) == 1:
        return Passage(wanted[0].name, chunk_route(piece, wanted[0]))
    return Passage("-".join(names), join_route(piece, wanted[0], wanted[1]))


def join_route(piece: Piece, before: Chunk, after: Chunk) -> Route:
    """The seam of two chunks: the last four bars of one into the first four of the other."""
    return join(piece, list(before.bars), list(after.bars))


def parse_tempo(text: str) -> tuple[float, float | None]:
    """(factor of the written tempo, or quarters a minute that replace it) of "80%" or "72".

    Raises:
        RequestError: neither a percentage from 10 to 300 nor a figure from 10 to 400.
    """
    plain = text.strip()
    try:
        if plain.endswith("%"):
            share = float(plain[:-1]) / 100
            if SLOWEST <= share <= FASTEST:
                return share, None
        else:
            figure = float(plain)
            if 10 <= figure <= 400:
                return 1.0, figure
    except ValueError:
        pass
    raise RequestError("Practice tempo", f"{text!r} cannot be used", "write 80% or a figure such as 72")


def _chunk(chunks: tuple[Chunk, ...], name: str) -> Chunk:
    for chunk in chunks:
        if chunk.name.casefold() == name.casefold():
            return chunk
    names = ", ".join(chunk.name for chunk in chunks)
    raise RequestError("No such chunk", f"no chunk is called {name!r}", f"there are {names}")
