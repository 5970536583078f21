"""What passes say beyond their strokes, as JSON: tempo, hands, places, partners, strokes lost."""

from collections.abc import Sequence
from typing import Any

from score.piece import Piece
from score.strokes.timing_figures import Figure
from score.takes.hand_findings import hand_finding
from score.takes.judged_pass import JudgedPass
from score.takes.partner_findings import partner_findings
from score.takes.place_findings import lost_strokes, place_findings
from score.takes.tempo_findings import TempoFigure, tempo_finding


def findings_json(piece: Piece, player: int, passes: Sequence[JudgedPass]) -> dict[str, Any]:
    """Findings over passes of one player; what the strokes are too few for is null or left out.

    Args:
        piece: the piece.
        player: number of the player.
        passes: the earliest first; the tempo is the last one's.
    """
    return {
        "tempo": _tempo(passes[-1]) if passes and passes[-1].judged else None,
        "hands": _hands(passes),
        "places": [
            {
                "bar": finding.place.bar,
                "at": str(finding.place.at),
                "step": str(finding.place.step),
                "after_rest": finding.place.after_rest,
                **_later(finding.figure),
                "strokes": finding.figure.strokes,
                "passes": finding.passes,
                "of": finding.of,
            }
            for finding in place_findings(piece, player, passes)
        ],
        "partners": [
            {
                "player": partner.number,
                "strokes": partner.strokes,
                "spread_ms": round(partner.spread_ms, 2),
                **_later(partner.later),
                "words": partner.words,
            }
            for partner in partner_findings(piece, player, passes)
        ],
        "lost_strokes": [
            {"bar": strokes.bar, "lost": strokes.lost, "written": strokes.written} for strokes in lost_strokes(passes)
        ],
    }


def _tempo(judged: JudgedPass) -> dict[str, Any] | None:
    finding = tempo_finding(judged)
    if finding is None:
        return None
    return {
        **_later(finding.moved, "moved_ms"),
        "words": finding.words,
        **_share(finding.start, "start"),
        **_share(finding.end, "end"),
    }


def _share(tempo: TempoFigure | None, name: str) -> dict[str, Any]:
    if tempo is None:
        return {name: None, f"{name}_interval": None}
    ends = [round(tempo.share - tempo.half, 4), round(tempo.share + tempo.half, 4)]
    return {name: round(tempo.share, 4), f"{name}_interval": ends}


def _hands(passes: Sequence[JudgedPass]) -> dict[str, Any] | None:
    finding = hand_finding(passes)
    if finding is None:
        return None
    return {**_later(finding.later, "left_later_ms"), "left": finding.left, "right": finding.right}


def _later(figure: Figure | None, name: str = "later_ms") -> dict[str, Any]:
    if figure is None:
        return {name: None, f"{name}_interval": None}
    return {name: round(figure.mean, 2), f"{name}_interval": [round(end, 2) for end in figure.interval]}
