"""One page for everybody: the evening in order, the rehearsals with who is called when, what is still missing."""

from collections.abc import Iterator, Sequence

from score.beats import minutes_text
from score.concert.concert_pieces import ConcertPiece
from score.concert.concert_setup import ConcertSetup
from score.concert.concert_values import Concert
from score.concert.programme_plan import ProgrammePlan
from score.concert.programme_texts import call_lines, day_name, evening_heading, piece_of
from score.concert.stage_plan import titled
from score.concert.stage_sheet import page_title, table_of
from score.concert.stage_texts import load_sum
from score.printing.fonts import TEXT
from score.printing.typesetting import fills_one_page, quoted, to_pdf

_SIZES = (10.0, 9.0, 8.0, 7.0, 6.0, 5.0, 4.0, 3.0)
"""Sizes of the text in points, tried until everything stands on one page."""


def group_page(
    concert: Concert, pieces: Sequence[ConcertPiece], setup: ConcertSetup, plan: ProgrammePlan | None
) -> bytes:
    """The page as a PDF, A4; text grows smaller where there is much of it."""
    body = "".join(_body(concert, pieces, setup, plan))
    document = ""
    for size in _SIZES:
        document = _head(concert, size) + body
        if fills_one_page(document):
            break
    return to_pdf(document)


def _head(concert: Concert, size: float) -> str:
    return (
        f"#set document(title: {quoted(concert.title)}, date: none)\n"
        f'#set page(paper: "a4", margin: 15mm)\n#set text(font: "{TEXT}", size: {size:.1f}pt)\n'
        "#set par(spacing: 0.6em)\n#set table(stroke: 0.3pt, inset: 0.5em)\n"
    )


def _body(
    concert: Concert, pieces: Sequence[ConcertPiece], setup: ConcertSetup, plan: ProgrammePlan | None
) -> Iterator[str]:
    yield page_title(concert.title, f"concert {day_name(concert.day)}" if concert.day else "")
    rows = []
    for index, piece in enumerate(pieces):
        people = ", ".join(f"{name} {number}" for number, name in piece.people)
        change = setup.changes[index] if index < len(setup.changes) else None
        after = "" if change is None else minutes_text(change.seconds) if change.moves else "none"
        rows.append((str(index + 1), titled(piece.piece.title, piece.name), people, after))
    yield table_of("auto, 1fr, 1.6fr, auto", ("", "piece", "who plays which part", "change"), rows)
    if plan is not None:
        yield from _rehearsals(plan)
    missing = [f"{item.missing} × {item.what} to {item.how}" for item in setup.gear if item.missing]
    if missing:
        yield f"#par[#strong[Still missing] #{quoted(', '.join(missing))}]\n"
    yield f"#par({quoted(load_sum(setup))})\n"


def _rehearsals(plan: ProgrammePlan) -> Iterator[str]:
    rows = []
    for evening in plan.evenings:
        run = ["a run of the programme"] if evening.cut.run is not None else []
        worked = [piece_of(plan, line) for line in evening.lines if line.kind != "whole" and line.kind != "change"]
        names = ", ".join([*dict.fromkeys(filter(None, worked)), *run])
        heading = evening_heading(plan, evening, day_name(evening.evening.start))
        rows.append((heading, names, "; ".join(call_lines(plan, evening))))
    yield table_of("1fr, 1fr, 1.8fr", ("rehearsal", "what", "who"), rows)
    if plan.left_out:
        yield f"#par[#strong[No time for] #{quoted('; '.join(plan.left_out))}]\n"
