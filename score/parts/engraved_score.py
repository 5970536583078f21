"""The score for all engraved, with what was written over it: what runs in a process of its own."""

import pickle
from collections.abc import Sequence

from score.parts.full_score import full_score
from score.parts.score_jobs import Curve, ScoreJob, ScoreMark, ScoreOptions, ScorePages
from score.parts.score_overlay import written_over
from score.parts.score_pages import score_pages
from score.parts.title_block import FirstPage
from score.piece import Piece
from score.reading.reading_result import Reading

_LEGEND = ("Black boxes name the chunks. Slanted letters are the group's own.",)


def score_of(job: ScoreJob) -> ScorePages:
    """The pages that a job asks for.

    Raises:
        InbreathError: the engraver refuses the score.
    """
    piece = pickle.loads(job.piece)
    assert isinstance(piece, Piece)
    return engraved_score(Reading(piece, job.source), job.options, job.marks, job.curve)


def engraved_score(
    reading: Reading, options: ScoreOptions, marks: Sequence[ScoreMark], curve: Curve | None = None
) -> ScorePages:
    """The score's pages, engraved here.

    Raises:
        InbreathError: the engraver refuses the score.
    """
    piece = reading.piece
    front = FirstPage(piece.heading, "Score", _LEGEND)
    return score_pages(
        full_score(reading), piece, front, options, lambda system, bars: written_over(system, bars, piece, marks, curve)
    )
