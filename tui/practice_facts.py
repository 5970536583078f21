"""What the practice screen draws from, gathered once for a chunk beside the screen."""

from fractions import Fraction
from typing import NamedTuple

from score.activity.agreed_marks import AgreedMark, MarkSort
from score.activity.from_group import agreed_marks
from score.activity.lanes import Run, run
from score.beats import Place
from score.cues.cue_choice import choose_cues
from score.cues.sheet import Cue, Level
from score.errors import InbreathError
from score.memory.landmarks import landmarks
from score.piece import Piece
from score.places import bar_name
from tui.drawing.staff_rows import StaffNeeds, staff_needs
from tui.drawing.time_grid import Page
from tui.practice_setting import Setting, shown_bars
from tui.session import Session

_BARS_AFTER = 12
"""Bars after the chunk that are shown where there is room."""


class PracticeFacts(NamedTuple):
    """Everything about the bars that are practised.

    Attributes:
        bars: indices of the bars.
        run: their lanes, and those of some bars after them.
        player: number of the player.
        cues: the player's cues.
        needs: what the bars ask of the staff.
        stickings: whether any is printed in them.
        words: whether any stand in them.
        names: number of each player to what stands beside the lane.
        marks: what the group has agreed or tries.
        trouble: why its marks cannot be shown, "" where they can.
        landmarks: the strokes that stay longest when the part fades.
    """

    bars: range
    run: Run
    player: int
    cues: tuple[Cue, ...]
    needs: StaffNeeds
    stickings: bool
    words: bool
    names: dict[int, str]
    marks: tuple[AgreedMark, ...]
    trouble: str = ""
    landmarks: frozenset[Place] = frozenset()

    @property
    def end(self) -> Fraction:
        """Quarters from the beginning of the run to the end of the bars."""
        last = self.run.bars[len(self.bars) - 1]
        return last.at + last.length

    def moment(self, piece: Piece, place: Place) -> Fraction:
        """Quarters from the beginning of the run to a place."""
        return piece.offset(place) - piece.bars[self.bars[0]].start

    def bars_of(self, page: Page) -> range:
        """Indices of the bars of a page."""
        return range(self.bars[0] + page.first, self.bars[0] + page.last + 1)

    def cue_on(self, bars: range) -> Cue | None:
        """The first cue that stands in these bars on paper."""
        return next((cue for cue in self.cues if cue.first <= bars[-1] and bars[0] <= cue.last), None)


def practice_facts(session: Session, setting: Setting) -> PracticeFacts:
    """Gather the facts; takes too long for the screen's own thread.

    Raises:
        InbreathError: the group's wishes for cues cannot be used.
    """
    piece, player = session.piece, session.me
    bars = shown_bars(session, setting)
    lanes = run(piece, range(bars[0], min(len(piece.bars), bars[-1] + 1 + _BARS_AFTER)))
    last = lanes.bars[len(bars) - 1]
    own = next(lane for lane in lanes.lanes if lane.player == player.number)
    signs = [sign for sign in own.signs if sign.at < last.at + last.length]
    marks, trouble = _marks(session)
    return PracticeFacts(
        bars,
        lanes,
        player.number,
        cues=choose_cues(piece, player.number, Level.USUAL, session.group.cues).cues,
        needs=staff_needs(signs),
        stickings=any(sign.stickings for sign in signs),
        words=any(word.at < last.at + last.length for word in own.words),
        names={each.number: _lane_name(each.number, each.short) for each in piece.players},
        marks=marks,
        trouble=trouble,
        landmarks=landmarks(piece, player, [each.chunk.first for each in session.chunks]),
    )


def _lane_name(number: int, short: str) -> str:
    """The player's number, and the short name where that says more: the number tells equal names apart."""
    return str(number) if short in ("", str(number)) else f"{number} {short}"


def _marks(session: Session) -> tuple[tuple[AgreedMark, ...], str]:
    """What the group has agreed or tries; a mark that cannot hold hides none of the notation."""
    try:
        return agreed_marks(session.group, session.piece, tried=True), ""
    except InbreathError as error:
        return (), error.line


def shown_marks(session: Session, facts: PracticeFacts) -> tuple[tuple[Fraction, str], ...]:
    """Breaths, leads and looks over their beats: a comma and the giver, an arrow, or spectacles and a name.

    What is only tried ends with a question mark.
    """
    texts = []
    for mark in facts.marks:
        at = facts.moment(session.piece, Place(mark.bar, mark.at))
        if at >= 0 and mark.sort is not MarkSort.NOTE and facts.player in mark.players:
            texts.append((at, _mark_text(mark) + "?" * mark.tried))
    return tuple(texts)


def _mark_text(mark: AgreedMark) -> str:
    if mark.sort is MarkSort.BREATH:
        return f"’{mark.text}"
    if mark.sort is MarkSort.LEAD:
        return f"→{mark.does}"
    return f"oo {mark.text}" if mark.sort is MarkSort.LOOK else mark.text


def page_lines(session: Session, setting: Setting, facts: PracticeFacts, bars: range) -> tuple[str, ...]:
    """What is said above a page: who leads and what is cued; marks and notes for its bars; what the chunk asks."""
    chunk = session.chunks[setting.chunk]
    leader = f"{session.piece.player(chunk.asked.leader).short} leads" if chunk.asked.leader is not None else ""
    cue = facts.cue_on(bars)
    first = "   ".join(part for part in (leader, _why(session.piece, cue, bars)) if part)
    said = [
        _mark_words(session.piece, mark) for mark in facts.marks if mark.bar in bars and facts.player in mark.players
    ]
    asked = [demand.text for entry in chunk.asked.players if entry.player == facts.player for demand in entry.demands]
    after = [chunk.again] if chunk.again else []
    return tuple(line for line in (first, *said, *after, *asked) if line)


def _mark_words(piece: Piece, mark: AgreedMark) -> str:
    bar = bar_name(piece, mark.bar)
    words = {
        MarkSort.BREATH: f"breathe with {mark.text}" if mark.text else "breathe together",
        MarkSort.LOOK: f"look at {mark.text}",
    }.get(mark.sort, mark.text)
    return f"{bar}: {words}{', tried' * mark.tried}"


def _why(piece: Piece, cue: Cue | None, bars: range) -> str:
    """Who is cued on this page, and the reasons that hold there."""
    if cue is None:
        return ""
    here = [reason.text for reason in cue.reasons if reason.bar in bars] or [r.text for r in cue.reasons[:1]]
    return f"▶ {piece.player(cue.source).short}: {'; '.join(dict.fromkeys(here))}"
