"""What the overview says of an opened piece, gathered for its pictures: boxes, table, panel and lines."""

from rich.text import Text

from score.places import bars_name, bars_words
from score.plan.today import in_days
from score.takes.heart_day import PASSAGE_MINUTES
from score.takes.heart_passages import passage_words
from tui import clock
from tui.drawing.chunk_panel import Panel
from tui.drawing.chunk_rows import ChunkRow, LostToday, today_line
from tui.drawing.overview_picture import ChunkBox
from tui.drawing.palette import Palette, ink_on, style
from tui.own_lessons import lesson_words
from tui.planning import Today
from tui.rehearsal_notes import notes_in, notes_of
from tui.session import Session


def heading(session: Session, today: Today, width: int, colours: Palette) -> Text:
    """The piece, the player, how far concert and rehearsal are."""
    me, text = session.me, Text(" ", no_wrap=True)
    text.append(session.piece.title, style(colours.ink, bold=True))
    text.append("  ")
    colour = colours.player(me.number)
    name = "" if me.name == f"Player {me.number}" else f" {me.name}"
    text.append(f" you: {me.number}{name} ", style(ink_on(colour), colour, bold=True))
    days = (("concert", today.to_concert), ("rehearsal", today.to_rehearsal))
    said = [f"{what} {in_days(count)}" for what, count in days if count is not None]
    repairs = len(session.piece.warnings)
    said += [f"{repairs} repairs (inbreath read lists them)"] if repairs else []
    text.append(f"  {', '.join(said)}", colours.faint)
    text.truncate(width, pad=True)
    text.stylize_before(f"on {colours.panel}")
    return text


def boxes_of(session: Session) -> list[ChunkBox]:
    """Each chunk with how ready it is."""
    boxes = []
    for chunk in session.chunks:
        standing = session.standing(chunk)
        boxes.append(ChunkBox(chunk.chunk.bars, chunk.chunk.name, standing.readiness.step if standing else None))
    return boxes


def row_of(session: Session, today: Today, position: int) -> ChunkRow:
    """One chunk for the table."""
    chunk = session.chunks[position]
    standing = session.standing(chunk)
    slot = next((slot for slot in today.slots if slot.chunk == position), None)
    return ChunkRow(
        chunk.chunk.name,
        bars_name(session.piece, chunk.chunk.bars),
        chunk.chunk.seconds,
        own=chunk.asked.own(session.me.number),
        together=chunk.asked.together,
        leader=chunk.asked.leader,
        ready=standing.readiness.value if standing else "",
        tempo=standing.best_tempo if standing else 0.0,
        days=max(0, (clock.today() - standing.at.astimezone().date()).days) if standing else None,
        today=slot.minutes if slot else 0,
        is_done=slot.is_done if slot else False,
        again=chunk.again,
    )


def panel_of(session: Session, today: Today, position: int) -> Panel:
    """One chunk for the panel: today's reason first, then what it asks."""
    chunk, me, piece = session.chunks[position], session.me.number, session.piece
    asked = next((entry.demands for entry in chunk.asked.players if entry.player == me), ())
    slot = next((slot for slot in today.slots if slot.chunk == position and not slot.is_done), None)
    asks = [demand.text for demand in (*asked[:2], *chunk.asked.group[:2]) if not demand.text.startswith("0.0 ")]
    lesson = [lesson_words(today.lesson)] if today.lesson else []
    lost = [each for each in today.passages if each.bars[0] in chunk.chunk.bars]
    by_heart = [f"by heart: {passage_words(piece, each)}" for each in lost]
    notes = notes_in(notes_of(piece, session.group), chunk.chunk.bars, me)
    return Panel(
        f"{chunk.chunk.name}, {bars_words(piece, chunk.chunk.bars)}",
        chunk.chunk.bars,
        [*by_heart, *([f"today {slot.minutes} min: {slot.reason}"] if slot else []), *asks, *lesson],
        passes=session.history.tempi(piece.digest, me, chunk.chunk.bars),
        notes=[(note.label, str(note.player or "all"), note.text) for note in notes],
    )


def idle_line(session: Session, today: Today, colours: Palette) -> Text:
    """Today in one line."""
    slots = [(session.chunks[slot.chunk].chunk.name, slot.minutes, slot.is_done) for slot in today.slots]
    names = ", ".join(bars_name(session.piece, each.bars) for each in today.passages)
    lost = LostToday(names, PASSAGE_MINUTES * len(today.passages)) if names else None
    return today_line(slots, colours.player(session.me.number), colours, today.questions, lost)


def differences(session: Session) -> int:
    """How many differences between gathered copies are still to be settled in the group's file."""
    if "gathered" not in session.group.tables:
        return 0
    from score.group.gather_files import gather_files

    return len(gather_files(session.path, session.piece, ()).open)
