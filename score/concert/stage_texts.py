"""The concert's set-up as text and as JSON."""

from collections.abc import Iterator

from score.beats import minutes_text
from score.concert.concert_gear import ConcertGear
from score.concert.concert_setup import ConcertSetup
from score.concert.concert_values import Concert
from score.concert.load_list import VanLoad
from score.concert.moving import SOURCE
from score.concert.stage_moves import MOVED, OFF, Move, StageChange
from score.concert.stage_plan import NOTHING, StageInstrument, StagePlan
from score.plain_text import several
from score.setup.floor_plan import Point

_WORTH_SAYING = 10.0
"""Seconds from which another order is proposed."""


def setup_lines(concert: Concert, setup: ConcertSetup) -> str:
    """Warnings, the order, changes, stage plans, gear, load."""
    lines = [
        f"{concert.title}: {several(len(setup.stages), 'piece')}, stage {setup.hall.width:g} by {setup.hall.depth:g} m"
    ]
    lines += [
        *setup.warnings,
        "",
        "Changes",
        *_changes(setup),
        "",
        "Order",
        *(f"  {line}" for line in order_lines(setup)),
    ]
    where = "on the stage, metres from its left as the audience sees it and from its front"
    for stage in setup.stages:
        lines += ["", f"{stage.name} {where}", *_stage(stage)]
    lines += ["", "What is needed", *(f"  {gear_line(item)}" for item in setup.gear)]
    lines += ["", "The van, heavy things first", *(f"  {load_line(load)}" for load in setup.load.loads)]
    lines += [f"  {load_sum(setup)}", "", f"Figures of moving: {SOURCE}, unless the concert's file gives them."]
    return "\n".join(lines)


def order_lines(setup: ConcertSetup) -> Iterator[str]:
    """The order that is there with its time, and the one that takes least."""
    names = [stage.name for stage in setup.stages]
    yield f"{', '.join(names)}: {minutes_text(setup.seconds)} of changes"
    best = setup.order
    if setup.seconds - best.seconds >= _WORTH_SAYING:
        proof = "" if best.exact else "; too many pieces to be sure that it is the least"
        order = ", ".join(names[position] for position in best.order)
        yield f"{order}: {minutes_text(best.seconds)}, {minutes_text(setup.seconds - best.seconds)} less{proof}"
    else:
        yield "No other order saves much." if best.exact else "No better order was found."


def order_words(setup: ConcertSetup) -> str:
    """The same in one line, what matters first."""
    best, now = setup.order, f"{minutes_text(setup.seconds)} of changes"
    if setup.seconds - best.seconds < _WORTH_SAYING:
        return f"{now}; no other order saves much" if best.exact else f"{now}; no better order was found"
    order = ", ".join(setup.stages[position].name for position in best.order)
    return f"{now}; {minutes_text(setup.seconds - best.seconds)} less in the order {order}"


def change_line(change: StageChange) -> str:
    """A change in one line."""
    stays = f"; stays: {', '.join(change.stays)}" if change.stays else ""
    return f"{change.after} to {change.before}: {minutes_text(change.seconds)}{stays}"


def move_line(move: Move) -> str:
    """One instrument that moves."""
    return (
        f"{minutes_text(move.begins)}  {move.what} {move_way(move)}, {move.seconds:.0f} s, {', '.join(move.carriers)}"
    )


def move_way(move: Move) -> str:
    """From where to where, in metres from the left of the stage and from its front."""
    if move.how == OFF:
        return f"from {_at(move.start)} off to the {_side(move.end)}"
    begins = _at(move.start) if move.how == MOVED else f"the {_side(move.start)}"
    return f"from {begins} to {_at(move.end)}"


def _side(at: Point) -> str:
    """The side of the stage that something goes to or comes from."""
    return "left" if at.x <= 0 else "right"


def gear_line(item: ConcertGear) -> str:
    """One instrument of the list, with who has it and what is missing."""
    words = ", ".join(gear_sources(item))
    return f"{item.number} × {item.what}: {gear_uses(item)}" + (f"; {words}" if words else "")


def gear_uses(item: ConcertGear) -> str:
    """The pieces that need it, how many each, of what size or for whom."""
    return ", ".join(f"{use.piece} {use.number}{f' ({use.detail})' if use.detail else ''}" for use in item.uses)


def gear_sources(item: ConcertGear) -> list[str]:
    """How many of it come from where, with the concert's names of them, and how many are missing."""
    counts = {"owned": item.owned, "borrowed": item.borrowed, "build": item.built}
    sources = []
    for source, count in counts.items():
        word = "to be built" if source == "build" else source
        names = ", ".join(name for name, its in item.named if its == source)
        sources += [f"{count} {word}{f' ({names})' if names else ''}"] if count else []
    return [*sources, *([f"{item.missing} to {item.how}"] if item.missing else [])]


def load_line(load: VanLoad) -> str:
    """One line of the van."""
    cases = several(load.whole_cases, "case") if load.whole_cases else "in with others"
    return f"{load.number} × {load.what}: {cases}, {load.weight:g} kg, {load.carriers} to carry"


def load_sum(setup: ConcertSetup) -> str:
    """The van altogether."""
    load = setup.load
    return (
        f"Altogether {load.cases} cases, {load.weight:.0f} kg without them; to build up {load.build / 60:.0f} minutes."
    )


def setup_as_json(concert: Concert, setup: ConcertSetup) -> dict[str, object]:
    """The set-up with stable keys; places in metres from the left of the stage and from its front, times in seconds."""
    return {
        "title": concert.title,
        "hall": {"width": setup.hall.width, "depth": setup.hall.depth, "temperature": setup.hall.temperature},
        "gear": [_gear_json(item) for item in setup.gear],
        "stages": [_stage_json(stage) for stage in setup.stages],
        "changes": [_change_json(change) for change in setup.changes],
        "order": {
            "pieces": [stage.name for stage in setup.stages],
            "seconds": round(setup.seconds, 1),
            "best": [setup.stages[position].name for position in setup.order.order],
            "best_seconds": round(setup.order.seconds, 1),
            "exact": setup.order.exact,
        },
        "load": [_load_json(load) for load in setup.load.loads],
        "cases": setup.load.cases,
        "weight": round(setup.load.weight, 1),
        "build_seconds": round(setup.load.build),
        "warnings": list(setup.warnings),
    }


def _changes(setup: ConcertSetup) -> Iterator[str]:
    for change in setup.changes:
        yield f"  {change_line(change)}"
        yield from (f"    {move_line(move)}" for move in change.moves)
    if not setup.changes:
        yield "  none: one piece"


def _stage(stage: StagePlan) -> Iterator[str]:
    if not stage.instruments:
        yield f"  {NOTHING}"
    for instrument in stage.instruments:
        yield f"  {instrument_line(instrument)}"
    for spot in stage.spots:
        yield f"  {spot.person} stands at {_at(spot.at)}"


def instrument_line(instrument: StageInstrument) -> str:
    """One instrument on the stage."""
    name = f"{instrument.name} ({instrument.which})" if instrument.which else instrument.name
    return f"{name} at {_at(instrument.middle)}, {', '.join(instrument.people)}"


def _at(point: Point) -> str:
    return f"({point.x:.1f}, {point.y:.1f})"


def _xy(point: Point) -> list[float]:
    return [round(point.x, 2), round(point.y, 2)]


def _gear_json(item: ConcertGear) -> dict[str, object]:
    return {
        "what": item.what,
        "kind": item.kind,
        "number": item.number,
        "bring": item.bring,
        "owned": item.owned,
        "borrowed": item.borrowed,
        "built": item.built,
        "missing": item.missing,
        "how": item.how,
        "named": [name for name, _ in item.named],
        "pieces": [{"piece": use.piece, "number": use.number, "note": use.note} for use in item.uses],
    }


def _stage_json(stage: StagePlan) -> dict[str, object]:
    return {
        "piece": stage.name,
        "wide": round(stage.wide, 2),
        "deep": round(stage.deep, 2),
        "instruments": [
            {
                "instrument": instrument.kind,
                "name": instrument.name,
                "which": instrument.which,
                "people": list(instrument.people),
                "at": _xy(instrument.middle),
                "corners": [_xy(corner) for corner in instrument.corners],
            }
            for instrument in stage.instruments
        ],
        "people": [{"person": spot.person, "at": _xy(spot.at), "facing": round(spot.facing)} for spot in stage.spots],
    }


def _change_json(change: StageChange) -> dict[str, object]:
    return {
        "after": change.after,
        "before": change.before,
        "seconds": round(change.seconds, 1),
        "stays": list(change.stays),
        "moves": [_move_json(move) for move in change.moves],
    }


def _move_json(move: Move) -> dict[str, object]:
    return {
        "what": move.what,
        "instrument": move.kind,
        "how": move.how,
        "from": _xy(move.start),
        "to": _xy(move.end),
        "metres": round(move.metres, 2),
        "begins": round(move.begins, 1),
        "seconds": round(move.seconds, 1),
        "who": list(move.carriers),
        "needed": move.needed,
    }


def _load_json(load: VanLoad) -> dict[str, object]:
    return {
        "what": load.what,
        "number": load.number,
        "cases": load.cases,
        "weight": load.weight,
        "carriers": load.carriers,
        "build_seconds": load.build,
        "own_figures": load.own,
    }
