"""A concert's calendar as a table for the terminal, as Markdown, CSV and JSON."""

import csv
import io
from collections.abc import Iterator
from datetime import date
from itertools import groupby
from math import isfinite

from score.concert.block_shares import blocks_in_a_row
from score.concert.evening_lines import Call, Line
from score.concert.programme_plan import EveningPlan, ProgrammePlan
from score.plain_text import markdown_cell, several, table_cell
from score.plan.own_work import OwnWork
from score.plan.plan_texts import HEURISTIC, own_markdown, own_text


def programme_text(plan: ProgrammePlan) -> str:
    """The calendar as plain text."""
    programme = plan.programme
    rehearsals = several(len(plan.evenings), "rehearsal")
    lines = [f"{programme.title}: {rehearsals}, concert {programme.concert}", bound_line(plan), waiting_line(plan)]
    wide = max(len(piece.name) for piece in programme.pieces)
    for evening in plan.evenings:
        lines += ["", evening_heading(plan, evening), *(f"  {line}" for line in call_lines(plan, evening))]
        lines += [
            f"  {_clock(evening, line.begins)}  {line.minutes:3} min  {piece_of(plan, line):{wide}}  "
            f"{line.what:24}  {line.reason}".rstrip()
            for line in evening.lines
        ]
    for work in plan.own:
        lines += own_text(programme.people[work.player], work, own_lines(plan, work))
    if plan.left_out:
        lines += ["", "No time for", *(f"  {line}" for line in plan.left_out)]
    return "\n".join([*lines, "", HEURISTIC])


def bound_line(plan: ProgrammePlan) -> str:
    """How good the calendar is, and how good the best can be."""
    solved = plan.solved
    by_piece = f"Planned piece by piece: {solved.by_piece:.1f}."
    if not isfinite(solved.bound):
        return f"Worth {solved.worth:.1f}; in more seconds it can be said how good that is. {by_piece}"
    most = f"{solved.bound:.1f} ({100 * solved.gap:.1f} % more)"
    return f"Worth {solved.worth:.1f}; no calendar can be worth more than {most}. {by_piece}"


def waiting_line(plan: ProgrammePlan) -> str:
    """How often a piece is set up, and how much anybody waits."""
    waits = f"{several(plan.idle_blocks, 'block')} of waiting in between"
    return (
        f"Set up {several(plan.set_ups, 'time')}; {waits if plan.idle_blocks else 'nobody waits between two blocks'}."
    )


def programme_markdown(plan: ProgrammePlan) -> str:
    """The calendar as Markdown."""
    programme = plan.programme
    lines = [f"# {programme.title}: rehearsals", "", f"Concert: {programme.concert}. {HEURISTIC}"]
    for evening in plan.evenings:
        lines += ["", f"## {evening_heading(plan, evening)}", "", *(f"- {line}" for line in call_lines(plan, evening))]
        lines += ["", "| from | minutes | piece | what | why |", "|---|---|---|---|---|"]
        for line in evening.lines:
            cells = _clock(evening, line.begins), str(line.minutes), piece_of(plan, line), line.what, line.reason
            lines.append(f"| {' | '.join(map(markdown_cell, cells))} |")
    for work in plan.own:
        lines += own_markdown(programme.people[work.player], work, own_lines(plan, work))
    if plan.left_out:
        lines += ["", "## No time for", "", *(f"- {line}" for line in plan.left_out)]
    return "\n".join(lines) + "\n"


def programme_csv(plan: ProgrammePlan) -> str:
    """Rehearsal lines and own work as one CSV table (RFC 4180): who, date, from, minutes, piece, kind, what, why."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(["who", "date", "from", "minutes", "piece", "kind", "what", "why"])
    for evening in plan.evenings:
        for line in evening.lines:
            who = "; ".join(line_people(plan, evening, line))
            cells = [who, _day(evening), _clock(evening, line.begins), line.minutes, piece_of(plan, line), line.kind]
            writer.writerow([table_cell(str(cell)) for cell in (*cells, line.what, line.reason)])
    for work in plan.own:
        for day in work.days:
            for slot in day.slots:
                piece, position = plan.chunk_of(slot.chunk)
                entry = plan.programme.pieces[piece]
                cells = [plan.programme.people[work.player], day.day, "", slot.minutes, entry.name, "own work"]
                writer.writerow([table_cell(str(cell)) for cell in (*cells, entry.chunks[position].name, "")])
    return out.getvalue()


def programme_json(plan: ProgrammePlan) -> dict[str, object]:
    """The calendar with stable keys; pieces and chunks count from 0, times are minutes after a rehearsal's start.

    `by_heart` is minutes a day beside the chunks.
    """
    programme, solved = plan.programme, plan.solved
    return {
        "title": programme.title,
        "concert": programme.concert.isoformat(),
        "pieces": [piece.name for piece in programme.pieces],
        "people": list(programme.people),
        "worth": round(solved.worth, 4),
        "bound": round(solved.bound, 4) if isfinite(solved.bound) else None,
        "gap": round(solved.gap, 6) if isfinite(solved.bound) else None,
        "piece_by_piece": round(solved.by_piece, 4),
        "idle_blocks": plan.idle_blocks,
        "set_ups": plan.set_ups,
        "rehearsals": [_evening_json(plan, evening) for evening in plan.evenings],
        "own_work": [_own_json(plan, work) for work in plan.own],
        "left_out": list(plan.left_out),
    }


def evening_heading(plan: ProgrammePlan, evening: EveningPlan, day: str = "") -> str:
    """A rehearsal's day (its date where no other words are given), time and length, and who is missing."""
    missing = ", ".join(plan.programme.people[person] for person in sorted(evening.evening.missing))
    words = f", without {missing}" if missing else ""
    return f"{day or _day(evening)} {evening.evening.start:%H:%M}, {evening.evening.minutes} minutes{words}"


def day_name(day: date | None) -> str:
    """A day as pages say it, "Mon 2027-02-01"; "" for none."""
    return f"{day:%a %Y-%m-%d}" if day is not None else ""


def own_call(plan: ProgrammePlan, evening: EveningPlan, person: str) -> str:
    """When somebody is called, "" for who plays nothing."""
    if person not in plan.programme.people:
        return ""
    number = plan.programme.people.index(person)
    call = next((call for call in evening.calls if call.person == number), None)
    if call is None:
        return "not called"
    wait = ", with a wait" if call.idle else ""
    return f"{_clock(evening, call.begins)} to {_clock(evening, call.ends)}{wait}"


def call_lines(plan: ProgrammePlan, evening: EveningPlan) -> Iterator[str]:
    """Who is called from when to when: those who are called alike on one line."""
    if not evening.calls:
        yield "nobody is called"
    alike: dict[tuple[int, int, int], list[str]] = {}
    for call in evening.calls:
        alike.setdefault((call.begins, call.ends, call.idle), []).append(plan.programme.people[call.person])
    for (begins, ends, idle), names in sorted(alike.items()):
        waits = f", a wait of {several(idle, 'block')} between" if idle else ""
        yield f"{_clock(evening, begins)} to {_clock(evening, ends)}: {', '.join(names)}{waits}"


def own_lines(plan: ProgrammePlan, work: OwnWork) -> Iterator[tuple[str, str]]:
    """A person's days: (date, what), the chunks of a piece that follow each other under its name."""
    for day in work.days:
        places = ((*plan.chunk_of(slot.chunk), slot.minutes) for slot in day.slots)
        words = []
        for piece, slots in groupby(places, key=lambda place: place[0]):
            entry = plan.programme.pieces[piece]
            chunks = ", ".join(f"{entry.chunks[chunk].name} {minutes} min" for _, chunk, minutes in slots)
            words.append(f"{entry.name}: {chunks}")
        yield day.day.isoformat(), "; ".join(words)


def piece_of(plan: ProgrammePlan, line: Line) -> str:
    """The name of a line's piece, "" for a break."""
    return "" if line.piece is None else plan.programme.pieces[line.piece].name


def line_people(plan: ProgrammePlan, evening: EveningPlan, line: Line) -> list[str]:
    """Who is there for a line: the people of its piece; everybody who is called for a break and in the run."""
    called = [call.person for call in evening.calls]
    in_run = evening.cut.run is not None and line.begins >= evening.cut.run
    mine = None if line.piece is None or in_run else plan.programme.pieces[line.piece].people
    return [plan.programme.people[person] for person in called if mine is None or person in mine]


def _evening_json(plan: ProgrammePlan, evening: EveningPlan) -> dict[str, object]:
    return {
        "start": evening.evening.start.isoformat(),
        "minutes": evening.evening.minutes,
        "missing": [plan.programme.people[person] for person in sorted(evening.evening.missing)],
        "blocks": [
            {"piece": piece, "begins": evening.cut.begins[first], "ends": evening.cut.ends[last]}
            for piece, first, last in blocks_in_a_row(evening.blocks)
        ],
        "run": evening.cut.run,
        "items": [_line_json(plan, evening, line) for line in evening.lines],
        "calls": [_call_json(plan, call) for call in evening.calls],
    }


def _line_json(plan: ProgrammePlan, evening: EveningPlan, line: Line) -> dict[str, object]:
    return {
        "begins": line.begins,
        "minutes": line.minutes,
        "piece": line.piece,
        "kind": line.kind,
        "what": line.what,
        "reason": line.reason,
        "people": line_people(plan, evening, line),
    }


def _call_json(plan: ProgrammePlan, call: Call) -> dict[str, object]:
    return {
        "person": plan.programme.people[call.person],
        "begins": call.begins,
        "ends": call.ends,
        "idle_blocks": call.idle,
    }


def _own_json(plan: ProgrammePlan, work: OwnWork) -> dict[str, object]:
    days = []
    for day in work.days:
        places = [(*plan.chunk_of(slot.chunk), slot.minutes) for slot in day.slots]
        slots = [{"piece": piece, "chunk": chunk, "minutes": minutes} for piece, chunk, minutes in places]
        days.append({"day": day.day.isoformat(), "slots": slots})
    return {"person": plan.programme.people[work.player], "by_heart": work.by_heart, "days": days}


def _day(evening: EveningPlan) -> str:
    return evening.evening.start.date().isoformat()


def _clock(evening: EveningPlan, minutes: int) -> str:
    return f"{evening.evening.at(minutes):%H:%M}"
