"""One person's own pages: the evening, where they stand in each piece, when they are called, and their own days."""

from collections.abc import Iterator, Sequence
from datetime import date

from score.beats import minutes_text
from score.concert.concert_pieces import ConcertPiece
from score.concert.concert_setup import ConcertSetup
from score.concert.concert_values import Concert
from score.concert.programme_plan import EveningPlan, ProgrammePlan
from score.concert.programme_texts import day_name, own_call, own_lines, piece_of
from score.concert.stage_drawing import stage_drawing, stage_letters
from score.concert.stage_plan import titled
from score.concert.stage_sheet import page_head, page_title, table_of
from score.concert.stage_texts import move_way
from score.plan.plan_texts import heart_words
from score.printing.typesetting import quoted, to_pdf

_WIDE, _DEEP = 174.0, 82.0
"""The room for a stage, so that two pieces go on a page, mm."""


def person_sheet(
    concert: Concert, pieces: Sequence[ConcertPiece], setup: ConcertSetup, plan: ProgrammePlan | None, person: str
) -> bytes:
    """The pages as a PDF, A4; deterministic.

    Args:
        concert: its file.
        pieces: opened.
        setup: its stages.
        plan: its calendar, None where it has none yet.
        person: whose.
    """
    body = [page_title(f"{concert.title}: {person}", day_name(concert.day)), _evening(pieces, person)]
    if plan is not None and person in plan.programme.people:
        body += _calls(plan, person)
        body += _own_days(plan, person)
    body += _carried(setup, pieces, person)
    mine = [index for index, piece in enumerate(pieces) if part_number(piece, person) is not None]
    sketches = [_sketch(setup, index, pieces[index], person) for index in mine]
    pages = ["".join(sketches[first : first + 2]) for first in range(0, len(sketches), 2)]
    return to_pdf(page_head(f"{concert.title}: {person}") + "\n#pagebreak()\n".join(["".join(body), *pages]))


def part_number(piece: ConcertPiece, person: str) -> int | None:
    """The number of the part somebody plays, None where they have none."""
    return next((number for number, name in piece.people if name == person), None)


def _evening(pieces: Sequence[ConcertPiece], person: str) -> str:
    rows = []
    for index, piece in enumerate(pieces, 1):
        number = part_number(piece, person)
        player = piece.piece.player(number) if number is not None else None
        mine = f"{player.name}: {', '.join(each.name for each in player.instruments)}" if player else "you are free"
        rows.append((str(index), titled(piece.piece.title, piece.name), mine))
    return table_of("auto, 1fr, 1.6fr", ("", "piece", "your part"), rows)


def _calls(plan: ProgrammePlan, person: str) -> Iterator[str]:
    number = plan.programme.people.index(person)
    rows = []
    for evening in plan.evenings:
        is_called = number in [call.person for call in evening.calls]
        pieces = _pieces(plan, evening, number) if is_called else ""
        rows.append((day_name(evening.evening.start), own_call(plan, evening, person), pieces))
    yield "#heading(level: 3, [When you are called])\n"
    yield table_of("auto, auto, 1fr", ("day", "from, to", "for"), rows)


def _pieces(plan: ProgrammePlan, evening: EveningPlan, person: int) -> str:
    run = ["the run"] if evening.cut.run is not None else []
    mine = [
        piece_of(plan, line)
        for line in evening.lines
        if line.piece is not None
        and person in plan.programme.pieces[line.piece].people
        and (evening.cut.run is None or line.begins < evening.cut.run)
    ]
    return ", ".join([*dict.fromkeys(mine), *run])


def _own_days(plan: ProgrammePlan, person: str) -> Iterator[str]:
    number = plan.programme.people.index(person)
    mine = [work for work in plan.own if work.player == number]
    rows = [(day_name(date.fromisoformat(day)), what) for work in mine for day, what in own_lines(plan, work)]
    if rows:
        yield f"#heading(level: 3, {quoted(f'Your own days{heart_words(mine[0])}')})\n"
        yield table_of("auto, 1fr", ("day", "what"), rows)


def _carried(setup: ConcertSetup, pieces: Sequence[ConcertPiece], person: str) -> Iterator[str]:
    """What they carry in the changes, with whom."""
    rows = []
    for piece, change in zip(pieces, setup.changes, strict=False):
        for move in change.moves:
            if person in move.carriers:
                others = ", ".join(name for name in move.carriers if name != person)
                rows.append((piece.piece.title, minutes_text(move.begins), move.what, move_way(move), others))
    if rows:
        yield "#heading(level: 3, [What you carry, in metres from the left of the stage and from its front])\n"
        yield table_of("1fr, auto, 1fr, 1.2fr, auto", ("after", "at", "what", "where", "with"), rows)


def _sketch(setup: ConcertSetup, index: int, piece: ConcertPiece, person: str) -> str:
    stage = setup.stages[index]
    mine = [
        (letter, words)
        for (letter, words), instrument in zip(stage_letters(stage), stage.instruments, strict=True)
        if person in instrument.people
    ]
    return (
        f"#block(breakable: false)[#heading(level: 3, {quoted(f'{index + 1}. {piece.piece.title}')})\n"
        + stage_drawing(setup.hall, stage, _WIDE, _DEEP, (person,))
        + table_of("auto, 1fr", ("", "yours, shaded"), mine)
        + "]\n"
    )
