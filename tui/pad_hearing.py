"""Passes heard stroke by stroke, from a MIDI port or tapped keys: judged with the delay that is kept for that ear."""

from collections.abc import Sequence

from score.strokes.heard_stroke import HeardStroke
from score.takes.count_in_strokes import (
    StruckCountIn,
    count_in_remark,
    kept_count_ins,
    struck_count_in,
    with_count_in,
)
from score.takes.judged_pass import JudgedPass
from score.takes.live_pass import LivePass, judge_live
from score.takes.pad_delay_text import kept_pad_delay
from tui import clock
from tui.ear_choice import EarChoice, count_in_name, delay_name
from tui.pass_watch import Passed
from tui.session import Session


def pad_seconds(session: Session, choice: EarChoice) -> float:
    """How late the ear that is chosen stamps a stroke, as far as that is measured; 0 where it is not."""
    delay = kept_pad_delay(session.history.recall(delay_name(choice)))
    return delay.seconds if delay is not None else 0.0


def judged_strokes(
    session: Session, live: LivePass, passed: Passed, strokes: Sequence[HeardStroke], choice: EarChoice
) -> JudgedPass | None:
    """Judge a pass; each count-in that is struck along is held against those before and kept.

    Args:
        session: the opened piece.
        live: the pass.
        passed: the same as it was reported.
        strokes: what was heard, from before its count-in on.
        choice: what heard it.
    """
    history = session.history
    delay = kept_pad_delay(history.recall(delay_name(choice)))
    judged = judge_live(session.piece, live, strokes, delay, clock.today())
    struck = _struck(session, live, passed, strokes)
    if judged is None or not struck.is_sure:
        return judged
    before = kept_count_ins(history.recall(count_in_name(choice)))
    history.remember(count_in_name(choice), with_count_in(before, struck))
    remark = count_in_remark(struck, before)
    return judged._replace(remarks=(*judged.remarks, remark)) if remark else judged


def _struck(session: Session, live: LivePass, passed: Passed, strokes: Sequence[HeardStroke]) -> StruckCountIn:
    """How its count-in was struck along with; not at all where its tempo was changed on the way."""
    bars = passed.sent[-1].setting.count_in
    counts = live.expected(session.piece).counts
    if len(passed.times) > 1 or not 0 < bars < len(counts):
        return StruckCountIn(0.0, 0.0, 0)
    return struck_count_in(counts[bars], live.begins, strokes)
