"""A plan as a table for the terminal, as Markdown, CSV and JSON."""

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from datetime import timedelta

from score.plain_text import markdown_cell, several, table_cell
from score.plan.own_work import OwnWork
from score.plan.plan import Plan, item_name
from score.plan.plan_inputs import Rehearsal
from score.plan.rehearsal_order import Item

HEURISTIC = (
    "The order is a heuristic: spaced visits, the hard work while ears are fresh, joins after chunks, runs after joins."
)


def plan_text(plan: Plan) -> str:
    """The plan as plain text."""
    lines = [f"{plan.inputs.title}: {several(len(plan.items), 'rehearsal')}, concert {plan.inputs.concert}"]
    for rehearsal, items in zip(plan.inputs.rehearsals, plan.items, strict=True):
        lines += ["", rehearsal_heading(rehearsal)]
        lines += [
            f"  {begins_at(rehearsal, item)}  {item.minutes:3} min  {item_name(plan.inputs, item):24}  {item.reason}"
            for item in items
        ]
        free = _free_minutes(rehearsal, items)
        lines += [f"  {free} minutes free"] if free >= 5 else []
    for work in plan.own:
        lines += own_text(_name(plan, work.player), work, _own_lines(plan, work))
    if plan.left_out:
        lines += ["", "No time for", *(f"  {line}" for line in plan.left_out)]
    return "\n".join([*lines, "", HEURISTIC])


def plan_markdown(plan: Plan) -> str:
    """The plan as Markdown."""
    lines = [f"# {plan.inputs.title}: rehearsals", "", f"Concert: {plan.inputs.concert}. {HEURISTIC}"]
    for rehearsal, items in zip(plan.inputs.rehearsals, plan.items, strict=True):
        lines += ["", f"## {rehearsal_heading(rehearsal)}", "", "| from | minutes | what | why |", "|---|---|---|---|"]
        for item in items:
            cells = begins_at(rehearsal, item), str(item.minutes), item_name(plan.inputs, item), item.reason
            lines.append(f"| {' | '.join(map(markdown_cell, cells))} |")
    for work in plan.own:
        lines += own_markdown(_name(plan, work.player), work, _own_lines(plan, work))
    if plan.left_out:
        lines += ["", "## No time for", "", *(f"- {line}" for line in plan.left_out)]
    return "\n".join(lines) + "\n"


def plan_csv(plan: Plan) -> str:
    """Rehearsal lines and own work as one CSV table (RFC 4180): who, date, from, minutes, kind, what, why."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(["who", "date", "from", "minutes", "kind", "what", "why"])
    for rehearsal, items in zip(plan.inputs.rehearsals, plan.items, strict=True):
        for item in items:
            date = rehearsal.start.date().isoformat()
            writer.writerow(
                [
                    "all",
                    date,
                    begins_at(rehearsal, item),
                    item.minutes,
                    item.kind.value,
                    table_cell(item_name(plan.inputs, item)),
                    table_cell(item.reason),
                ]
            )
    for work in plan.own:
        for day in work.days:
            for slot in day.slots:
                who, what = table_cell(_name(plan, work.player)), table_cell(plan.inputs.chunks[slot.chunk].name)
                writer.writerow([who, day.day.isoformat(), "", slot.minutes, "own work", what, ""])
    return out.getvalue()


def plan_json(plan: Plan) -> dict[str, object]:
    """The plan with stable keys; chunks are positions from 0, `by_heart` minutes a day beside the slots."""
    return {
        "title": plan.inputs.title,
        "concert": plan.inputs.concert.isoformat(),
        "rehearsals": [
            {
                "start": rehearsal.start.isoformat(),
                "minutes": rehearsal.minutes,
                "missing": list(rehearsal.missing),
                "items": [_item_json(plan, item) for item in items],
            }
            for rehearsal, items in zip(plan.inputs.rehearsals, plan.items, strict=True)
        ],
        "own_work": [
            {
                "player": work.player,
                "by_heart": work.by_heart,
                "days": [
                    {"day": day.day.isoformat(), "slots": [{"chunk": s.chunk, "minutes": s.minutes} for s in day.slots]}
                    for day in work.days
                ],
            }
            for work in plan.own
        ],
        "left_out": list(plan.left_out),
    }


def _item_json(plan: Plan, item: Item) -> dict[str, object]:
    return {
        "kind": item.kind.value,
        "what": item_name(plan.inputs, item),
        "first": item.first,
        "last": item.last,
        "begins": item.begins,
        "minutes": item.minutes,
        "reason": item.reason,
    }


def rehearsal_heading(rehearsal: Rehearsal) -> str:
    """Day, time and minutes of a rehearsal, and who is missing."""
    missing = f", without {', '.join(f'player {n}' for n in rehearsal.missing)}" if rehearsal.missing else ""
    return f"{rehearsal.start:%Y-%m-%d %H:%M}, {rehearsal.minutes} minutes{missing}"


def begins_at(rehearsal: Rehearsal, item: Item) -> str:
    """The time at which an item of a rehearsal begins: "19:25"."""
    return f"{rehearsal.start + timedelta(minutes=item.begins):%H:%M}"


def _free_minutes(rehearsal: Rehearsal, items: Sequence[Item]) -> int:
    return rehearsal.minutes - sum(item.minutes for item in items)


def _name(plan: Plan, player: int) -> str:
    return dict(plan.inputs.players).get(player, f"player {player}")


def own_text(who: str, work: OwnWork, days: Iterable[tuple[str, str]]) -> list[str]:
    """Somebody's own work, a line for each (day, what)."""
    return ["", f"{who}, own work{heart_words(work)}", *(f"  {day}  {what}" for day, what in days)]


def own_markdown(who: str, work: OwnWork, days: Iterable[tuple[str, str]]) -> list[str]:
    """The same as a Markdown table."""
    heading = f"## {who}: own work{heart_words(work)}"
    rows = (f"| {day} | {markdown_cell(what)} |" for day, what in days)
    return ["", heading, "", "| day | what |", "|---|---|", *rows]


def heart_words(work: OwnWork) -> str:
    """What is set aside a day for what is learnt by heart, "" for nothing."""
    return f", plus {work.by_heart} min a day by heart" if work.by_heart else ""


def _own_lines(plan: Plan, work: OwnWork) -> Iterator[tuple[str, str]]:
    for day in work.days:
        yield day.day.isoformat(), ", ".join(f"{plan.inputs.chunks[s.chunk].name} {s.minutes} min" for s in day.slots)
