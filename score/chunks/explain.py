"""Chunks and what they ask as text and as JSON."""

from collections.abc import Sequence

from score.beats import quarters_text
from score.chunks.chunk import Chunk, ChunkDemands, Demand
from score.chunks.division import where
from score.piece import Piece
from score.places import bars_name


def chunks_text(piece: Piece, chunks: Sequence[Chunk], demands: Sequence[ChunkDemands]) -> str:
    """The chunks as players would read them: where, how long, why, what they ask, who leads."""
    return "\n\n".join(_chunk_text(piece, chunk, asked) for chunk, asked in zip(chunks, demands, strict=True))


def chunks_json(piece: Piece, chunks: Sequence[Chunk], demands: Sequence[ChunkDemands]) -> list[dict[str, object]]:
    """The chunks with stable keys; bars are indices from 0, offsets fractions of a quarter as strings."""
    return [_chunk_json(piece, chunk, asked) for chunk, asked in zip(chunks, demands, strict=True)]


def _chunk_text(piece: Piece, chunk: Chunk, asked: ChunkDemands) -> str:
    again = chunk.as_bars(piece)
    head = f"{chunk.name}  {where(piece, chunk)}  {chunk.seconds:.0f} s" + (f"  {again}" if again else "")
    lines = [head]
    if chunk.because:
        lines.append(f"  begins here: {', '.join(reason.text for reason in chunk.because)}")
    leader = piece.player(asked.leader).name if asked.leader is not None else "nobody in particular"
    lead = f" ({asked.lead})" if asked.lead else ""
    lines.append(f"  leads: {leader}{lead}")
    lines.append(
        f"  together {asked.together:.2f}  {'; '.join(demand.text for demand in asked.group) or 'nothing special'}"
    )
    for player in asked.players:
        words = "; ".join(demand.text for demand in player.demands[:3]) or "rests"
        lines.append(f"  {piece.player(player.player).short:>4}  own {player.own:.2f}  {words}")
    return "\n".join(lines)


def _chunk_json(piece: Piece, chunk: Chunk, asked: ChunkDemands) -> dict[str, object]:
    return {
        "index": chunk.index,
        "name": chunk.name,
        "bars": bars_name(piece, chunk.bars),
        "first": chunk.first,
        "last": chunk.last,
        "start": {"bar": chunk.start.bar, "at": quarters_text(chunk.start.at)},
        "seconds": round(chunk.seconds, 3),
        "because": [{"rule": r.rule, "text": r.text, "weight": round(r.weight, 3)} for r in chunk.because],
        "same_first": chunk.same_first,
        "sameness": chunk.sameness.value if chunk.sameness else None,
        "asked": chunk.asked,
        "leader": asked.leader,
        "lead": asked.lead,
        "needed": list(asked.needed),
        "together": round(asked.together, 4),
        "group": [_demand_json(demand) for demand in asked.group],
        "players": [
            {"player": p.player, "own": round(p.own, 4), "demands": [_demand_json(d) for d in p.demands]}
            for p in asked.players
        ],
    }


def _demand_json(demand: Demand) -> dict[str, object]:
    return {
        "kind": demand.kind,
        "value": round(demand.value, 4),
        "unit": demand.unit,
        "bar": demand.bar,
        "text": demand.text,
    }
