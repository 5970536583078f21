"""Pages for the stage hands: the evening in order, each piece on the stage with the change before it, gear, the van."""

from collections.abc import Iterator, Sequence
from pathlib import Path

from score.beats import minutes_text
from score.concert.concert_setup import ConcertSetup
from score.concert.concert_values import Concert
from score.concert.moving import SOURCE
from score.concert.programme_texts import day_name
from score.concert.stage_drawing import stage_drawing, stage_letters
from score.concert.stage_moves import StageChange
from score.concert.stage_plan import NOTHING, StagePlan
from score.concert.stage_texts import gear_sources, gear_uses, load_sum, move_way, order_lines
from score.plain_text import several
from score.printing.fonts import TEXT
from score.printing.typesetting import quoted, to_pdf
from score.writing import write_atomically

_WIDE, _DEEP = 174.0, 118.0
"""The room for a stage on its page, mm."""
CAUTION = "Two or more carry what is heavy; mind backs, fingers and edges, and follow the hall's own rules."


def stage_sheet(concert: Concert, setup: ConcertSetup) -> bytes:
    """The pages as a PDF, A4; deterministic."""
    pages = [_evening(concert, setup)]
    for index, stage in enumerate(setup.stages):
        pages.append(_piece(setup, index, stage))
    pages += [_gear(setup), _van(setup)]
    return to_pdf(page_head(f"{concert.title}: the stage") + "\n#pagebreak()\n".join(pages))


def write_stage_sheet(concert: Concert, setup: ConcertSetup, folder: Path) -> Path:
    """Write the pages into a folder.

    Raises:
        WritingError: the folder cannot be written.
    """
    return write_atomically(folder / f"{concert.stem}-stage.pdf", stage_sheet(concert, setup))


def page_head(title: str) -> str:
    """What a document of the concert begins with: paper, fonts, numbers at the foot."""
    return (
        f"#set document(title: {quoted(title)}, date: none)\n"
        f'#set page(paper: "a4", margin: 18mm, numbering: "1")\n#set text(font: "{TEXT}", size: 10pt)\n'
        "#set par(spacing: 0.7em)\n#set table(stroke: 0.3pt, inset: 1.4mm)\n"
    )


def page_title(text: str, beside: str = "") -> str:
    """A line in large letters, and something at its right."""
    return f"#text(size: 16pt, {quoted(text)}) #h(1fr) #text(size: 10pt, {quoted(beside)})\n\n"


def table_of(columns: str, heads: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """A table whose cells are plain texts; "" where it has no rows."""
    if not rows:
        return ""
    head = ", ".join(f"strong({quoted(text)})" for text in heads)
    cells = ", ".join(quoted(text) for row in rows for text in row)
    return f"#table(columns: ({columns}), table.header({head}), {cells})\n\n"


def _evening(concert: Concert, setup: ConcertSetup) -> str:
    rows = []
    for index, stage in enumerate(setup.stages):
        change = setup.changes[index] if index < len(setup.changes) else None
        people = ", ".join(dict.fromkeys(spot.person for spot in stage.spots))
        after = "end" if change is None else _things(change)
        rows.append((str(index + 1), stage.words, people, after))
    lines = [*setup.warnings, *order_lines(setup), CAUTION, f"Seconds and weights: {SOURCE}, unless the concert says."]
    return (
        page_title(f"{concert.title}: the evening", day_name(concert.day))
        + table_of("auto, 1fr, 1.4fr, auto", ("", "piece", "people", "then change"), rows)
        + "\n\n".join(f"#par({quoted(line)})" for line in lines)
    )


def _things(change: StageChange) -> str:
    return f"{minutes_text(change.seconds)}, {several(len(change.moves), 'thing')}" if change.moves else "nothing moves"


def _piece(setup: ConcertSetup, index: int, stage: StagePlan) -> str:
    change = setup.changes[index - 1] if index else None
    before = setup.stages[index - 1].title if index else ""
    drawing = stage_drawing(setup.hall, stage, _WIDE, _DEEP, moves=change.moves if change else ())
    letters = table_of("auto, 1fr", ("", "where"), stage_letters(stage)) or f"#par({quoted(NOTHING)})\n"
    return page_title(f"{index + 1}. {stage.title}", stage.name) + drawing + letters + "".join(_change(change, before))


def _change(change: StageChange | None, before: str) -> Iterator[str]:
    if change is None:
        yield "#strong[Stands when the hall opens.]\n"
        return
    yield f"#heading(level: 3, {quoted(f'Change after {before}: {minutes_text(change.seconds)}')})\n"
    rows = [
        (minutes_text(move.begins), move.what, move_way(move), f"{move.seconds:.0f} s", ", ".join(move.carriers))
        for move in change.moves
    ]
    yield table_of(
        "auto, 1fr, 1.3fr, auto, 1.2fr", ("at", "what", "metres from the left and the front", "takes", "who"), rows
    )
    if change.stays:
        yield f"#par({quoted('Stays: ' + ', '.join(change.stays))})\n"
    yield from (f"#par(strong({quoted(warning)}))\n" for warning in change.warnings)


def _gear(setup: ConcertSetup) -> str:
    rows = [(str(item.number), item.what, gear_uses(item), ", ".join(gear_sources(item))) for item in setup.gear]
    return page_title("What is needed", "largest number at a time") + table_of(
        "auto, 1fr, 1.4fr, 1fr", ("", "what", "pieces", "whose"), rows
    )


def _van(setup: ConcertSetup) -> str:
    rows = [
        (
            str(load.number),
            load.what,
            str(load.whole_cases or "with others"),
            f"{load.weight:g} kg",
            str(load.carriers),
        )
        for load in setup.load.loads
    ]
    return (
        page_title("The van", "heavy things first, so that they stand lowest")
        + table_of("auto, 1fr, auto, auto, auto", ("", "what", "cases", "weight", "carriers"), rows)
        + f"#par({quoted(load_sum(setup))})\n#par({quoted(CAUTION)})\n"
    )
