"""The cues above a player's staff with the group's wishes: what is printed, what was left out, what was asked for."""

from enum import StrEnum
from typing import NamedTuple

from score.cues.cue_choice import choose_cues
from score.cues.sheet import Cue, Level
from score.group.group_file import CueWish
from score.places import find_bars
from tui.session import Session


class CueState(StrEnum):
    """How a cue stands, with the sign it has in the list."""

    PRINTED = "+"
    LEFT_OUT = "-"
    ASKED_FOR = "*"


class CueRow(NamedTuple):
    """A cue, printed or left out.

    Attributes:
        state: how it stands.
        bars: indices.
        source: number of the player shown; 0 where nobody may be.
        next_mover: who moves next where it ends, None for nobody.
        reasons: why, in words, the weightiest first.
        wish: position of the group's wish among those of the file, None for a cue of the rules.
    """

    state: CueState
    bars: range
    source: int
    next_mover: int | None
    reasons: tuple[str, ...]
    wish: int | None = None


def cue_rows(session: Session, player: int) -> tuple[CueRow, ...]:
    """Every cue above a player's staff in score order, those left out among them; takes up to some tenths of a second.

    Raises:
        InbreathError: a wish of the group cannot hold.
    """
    piece, wishes = session.piece, session.group.cues
    rows = [_printed(session, player, cue) for cue in choose_cues(piece, player, Level.USUAL, wishes).cues]
    hidden = [(at, wish) for at, wish in enumerate(wishes) if wish.player == player and wish.hide is not None]
    if hidden:
        shown = tuple(wish for wish in wishes if wish.hide is None)
        usual = choose_cues(piece, player, Level.USUAL, shown).cues
        rows += [_left_out(session, at, wish, usual) for at, wish in hidden]
    return tuple(sorted(rows, key=lambda row: (row.bars[0], row.state is CueState.LEFT_OUT, row.source)))


def _printed(session: Session, player: int, cue: Cue) -> CueRow:
    texts = tuple(dict.fromkeys(reason.text for reason in cue.reasons))
    if not cue.forced:
        return CueRow(CueState.PRINTED, cue.bars, cue.source, next_mover=cue.next_mover, reasons=texts)
    wish = next(
        (
            at
            for at, wish in enumerate(session.group.cues)
            if wish.player == player
            and wish.show == cue.source
            and set(find_bars(session.piece, wish.bars)) & set(cue.bars)
        ),
        None,
    )
    return CueRow(CueState.ASKED_FOR, cue.bars, cue.source, next_mover=cue.next_mover, reasons=texts, wish=wish)


def _left_out(session: Session, at: int, wish: CueWish, usual: tuple[Cue, ...]) -> CueRow:
    bars = find_bars(session.piece, wish.bars)
    source = wish.hide or 0
    cue = next((cue for cue in usual if set(cue.bars) & set(bars) and source in (0, cue.source)), None)
    texts = tuple(dict.fromkeys(reason.text for reason in cue.reasons)) if cue else ()
    mover = cue.next_mover if cue else None
    return CueRow(CueState.LEFT_OUT, bars, source, next_mover=mover, reasons=texts, wish=at)
