"""What is being tried at the stand: ways to bend some bars, or one mark of the group's with its giver."""

from collections.abc import Mapping
from datetime import date
from fractions import Fraction
from typing import NamedTuple

from score.activity.who_moves import activity
from score.beats import Place
from score.errors import RequestError
from score.piece import Piece
from score.places import bar_name, bars_name
from score.time.beat_places import beat_number, place_of
from score.time.from_group import pulse_options
from score.time.meter_beats import beats
from score.time.tried_tempo import bent, group_entry, seconds_gained, tempo_points
from score.time.tries import Tries, Word
from tui.drawing.bent_tempo import TempoCurve
from tui.session import Session

WORDS = tuple(Word)
KEYS_OF_WORDS = "1-6 - + , . < > c v V enter y del now try:"
SHORT_WORDS = "1 forward 2 back 3 stretch top 4 stretch end 5 wait 6 cut"
MARK_WORDS = {"breath": "gives the breath", "lead": "leads", "look": "is who all look at"}


class MarkTry(NamedTuple):
    """A mark that is being set.

    Attributes:
        kind: "breath", "lead" or "look".
        place: before or at which beat.
        giver: number of the player who gives it, leads, or is looked at.
    """

    kind: str
    place: Place
    giver: int


def tries_over(session: Session, bars: range, cursor: Place | None, own_loop: tuple[int, int] | None) -> Tries:
    """Tries of a loop of one's own, or from the cursor to the end of the phrase, or of all the bars.

    Args:
        session: the opened piece.
        bars: indices of the bars that are practised.
        cursor: where it stands, None where it was not moved.
        own_loop: indices of the first and last bar of a loop.
    """
    piece = session.piece
    if own_loop is not None:
        bars, start = range(own_loop[0], own_loop[1] + 1), None
    else:
        start = piece.offset(cursor) if cursor is not None else None
        bars = _phrase(piece, bars, cursor.bar) if cursor is not None else bars
    end = piece.bars[bars[-1]].start + piece.bars[bars[-1]].length
    return Tries(piece.bars[bars[0]].start if start is None else start, end)


def _phrase(piece: Piece, bars: range, first: int) -> range:
    """From a bar to before the next place where the group comes together again, or to the last of the bars."""
    joins = activity(piece).joins
    end = next((bar for bar in range(first + 1, bars[-1] + 1) if bar in joins), bars[-1] + 1)
    return range(first, end)


def proposed_mark(session: Session, kind: str, place: Place) -> MarkTry:
    """A mark with who would give it: whoever leads the chunk, if they strike there, else the first who does.

    Raises:
        RequestError: nobody strikes there.
    """
    piece = session.piece
    striking = [p.number for p in piece.players if any(s.bar == place.bar and s.at == place.at for s in p.strokes)]
    if not striking:
        where = f"bar {bar_name(piece, place.bar)}, beat {beat_number(piece, place):g}"
        raise RequestError("Nobody enters", f"nobody strikes on {where}", "choose the beat they enter on")
    leader = session.chunks[session.chunk_at(place.bar)].asked.leader
    return MarkTry(kind, place, leader if leader in striking else striking[0])


def mark_entry(session: Session, mark: MarkTry) -> Mapping[str, object]:
    """The fields of a mark in the group's file."""
    piece = session.piece
    bar = {("bars" if mark.kind == "lead" else "bar"): bar_name(piece, mark.place.bar)}
    who = {("at" if mark.kind == "look" else "player"): mark.giver}
    return bar | {"beat": beat_number(piece, mark.place)} | who


def try_entry(session: Session, tries: Tries) -> tuple[str, Mapping[str, object]]:
    """The table and fields of the try that is heard.

    Raises:
        RequestError: nothing is tried, or it cannot hold here.
    """
    return group_entry(session.piece, pulse_options(session.group, session.piece), tries.heard)


def stamped(session: Session, fields: Mapping[str, object], state: str) -> dict[str, object]:
    """Fields with who enters them, when, and how far the group is with them."""
    return {**fields, "by": session.me.number, "state": state, "on": date.today()}


def mark_lines(session: Session, mark: MarkTry) -> tuple[str, ...]:
    """The strip while a mark is set: which keys changed, and what would be kept."""
    piece = session.piece
    numbers = " ".join(str(player.number) for player in piece.players)
    where = f"bar {bar_name(piece, mark.place.bar)}, beat {beat_number(piece, mark.place):g}"
    who = piece.player(mark.giver).short
    return (f"{numbers} enter y esc now set a {mark.kind}:", f"{where}: {who} {MARK_WORDS[mark.kind]}")


def try_lines(session: Session, tries: Tries) -> tuple[str, ...]:
    """The strip while bars are bent: which keys changed, the tries side by side, seconds won or lost, the words."""
    labels = [tries.label(number) for number in range(len(tries.tries) + 1)]
    shown = [f"[{label}]" if number == tries.chosen else f" {label} " for number, label in enumerate(labels)]
    where = bars_name(session.piece, _bars_of(session.piece, tries))
    tried = f"{where}: {'  '.join(shown)}{gained_words(session, tries)}"
    # Before anything is tried the words matter more; small screens show two lines.
    return (KEYS_OF_WORDS, tried, SHORT_WORDS) if tries.tries else (KEYS_OF_WORDS, SHORT_WORDS, tried)


def gained_words(session: Session, tries: Tries) -> str:
    """Seconds won or lost ("+0.8 s"), nothing while it is played as written."""
    if not tries.chosen:
        return ""
    try:
        seconds = seconds_gained(session.piece, pulse_options(session.group, session.piece), tries.heard)
    except RequestError:
        return ""
    return f"   {seconds:+.1f} s"


def tempo_curve(session: Session, tries: Tries, scale: float, start: Fraction) -> TempoCurve | None:
    """The tempo over the bars of the try that is heard, quarters from the beginning of the run; None as written.

    Args:
        session: the opened piece.
        tries: the tries.
        scale: practice tempo as a share of the written one.
        start: quarters from the beginning of the piece to the beginning of the run.
    """
    if not tries.chosen or tries.heard.shape is None:
        return None
    options = bent(session.piece, pulse_options(session.group, session.piece, scale), tries.heard)
    points = tempo_points(session.piece, options, tries.heard.start, tries.heard.end)
    return TempoCurve(tuple((at - start, tempo) for at, tempo in points))


def _bars_of(piece: Piece, tries: Tries) -> range:
    heard = tries.heard
    return range(place_of(piece, heard.start).bar, place_of(piece, heard.end, before=True).bar + 1)


def moved_end(session: Session, tries: Tries, bars: range, by: int) -> Tries:
    """Its end a bar later or earlier, inside the bars that are practised and after its beginning."""
    piece = session.piece
    last = place_of(piece, tries.heard.end, before=True).bar + by
    if last not in bars or last < place_of(piece, tries.heard.start).bar:
        return tries
    return tries.to(tries.heard.start, piece.bars[last].start + piece.bars[last].length)


def moved_end_beat(session: Session, tries: Tries, bars: range, by: int) -> Tries:
    """Its end a beat later or earlier, inside the bars that are practised and after its beginning."""
    piece = session.piece
    first, last = piece.bars[bars[0]], piece.bars[bars[-1]]
    places = [piece.bars[bar].start + beat.at for bar in bars for beat in beats(piece.bars[bar])]
    places = [place for place in (*places, last.start + last.length) if place > max(first.start, tries.heard.start)]
    later = [place for place in places if place > tries.heard.end]
    earlier = [place for place in places if place < tries.heard.end]
    reached = later[:1] if by > 0 else earlier[-1:]
    return tries.to(tries.heard.start, reached[0]) if reached else tries


def moved_top(tries: Tries, by: int) -> Tries:
    """Its top a quarter later or earlier."""
    heard = tries.heard
    top = heard.top if heard.top is not None else (heard.start + heard.end) / 2
    return tries.topped(top + by)
