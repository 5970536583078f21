"""The check as text and as JSON, and its files."""

from collections.abc import Iterator
from pathlib import Path

from score.beats import quarters_text
from score.piece import Piece
from score.places import bar_name
from score.setup.finding import Finding
from score.setup.finding_words import beat_of, finding_line
from score.setup.floor_picture import floor_key, floor_picture
from score.setup.floor_plan import Box
from score.setup.gear_list import Gear, gear_csv, gear_markdown, players_text, tubes_hint
from score.setup.hands import HandLoad
from score.setup.kit_layout import english
from score.setup.setup_check import SetupReport
from score.setup.sheet import setup_pdf
from score.setup.sight_lines import Sight, sight_lines
from score.setup.striking_places import Striking
from score.writing import write_atomically


def setup_text(piece: Piece, report: SetupReport) -> str:
    """Cautions, findings with figure against limit and what would help, hands, gear, where to strike, set-up."""
    lines = [*report.cautions, *([""] if report.cautions else [])]
    lines += report.unchecked
    if not report.findings and report.plan.standing:
        lines.append("No problems.")
    for finding in report.findings:
        lines.append(finding_line(piece, finding))
        if finding.helps:
            lines.append(f"    would help: {finding.helps}")
    for title, more in (
        ("Hands at their fastest, and what is comfortable", list(hand_lines(report))),
        ("To carry", list(gear_lines(report))),
        ("Where to strike", [strike_line(piece, each) for each in report.strikings]),
        ("Set-up", list(_set_up_lines(piece, report))),
    ):
        lines += ["", title, *more] if more else []
    return "\n".join(lines)


def hand_lines(report: SetupReport) -> Iterator[str]:
    """Each hand's speed and leaps."""
    for load in report.hands:
        yield (
            f"  Player {load.player}, {load.hand}: {load.strokes:.1f} strokes a second (limit {load.strokes_limit:g}), "
            f"leaps of {load.mm:.0f} mm a second (limit {load.mm_limit:g})"
        )


def gear_lines(report: SetupReport) -> Iterator[str]:
    """What to carry, what nobody owns marked."""
    for item in report.gear:
        missing = "; nobody owns one" if item.owned is False else ""
        yield f"  {item.what} ({players_text(item)})  {item.note}{missing}".rstrip()
    hint = tubes_hint(report.gear)
    if hint:
        yield f"  {hint}"
    if not report.shares and report.gear:
        yield "  The group's file names no shared instrument ([[share]]), so each player is given their own."


def strike_line(piece: Piece, each: Striking) -> str:
    """Where one instrument is struck, and where words ask for something else."""
    asked = ", ".join(f"{place} in bar {bar_name(piece, bar)}" for bar, _, place in each.asked)
    return f"  Player {each.player}, {each.instrument}: {each.usual}" + (f"; asked for: {asked}" if asked else "")


def setup_json(piece: Piece, report: SetupReport) -> dict[str, object]:
    """The check with stable keys; bars are indices from 0, places on the floor in metres."""
    return {
        "findings": [_finding(piece, finding) for finding in report.findings],
        "hands": [_hand(load) for load in report.hands],
        "gear": [_gear(item) for item in report.gear],
        "strike": [_strike(each) for each in report.strikings],
        "stations": [
            {
                "player": s.player,
                "order": list(s.order),
                "travel": round(s.travel, 2),
                "shares_with": list(s.shares_with),
            }
            for s in report.set_up.stations
        ],
        "floor": _floor(report),
        "cautions": list(report.cautions),
        "unchecked": list(report.unchecked),
    }


def write_setup(piece: Piece, report: SetupReport, folder: Path, stem: str) -> tuple[Path, ...]:
    """Findings as text, the gear list as Markdown and CSV, plan and gear as a PDF.

    Raises:
        WritingError: the folder cannot be written.
    """
    return (
        write_atomically(folder / f"{stem}-setup.txt", f"{setup_text(piece, report)}\n".encode()),
        write_atomically(folder / f"{stem}-gear.md", gear_markdown(piece.title, report.gear).encode()),
        write_atomically(folder / f"{stem}-gear.csv", gear_csv(report.gear).encode()),
        write_atomically(folder / f"{stem}-setup.pdf", setup_pdf(piece, report)),
    )


def _set_up_lines(piece: Piece, report: SetupReport) -> Iterator[str]:
    if not report.plan.standing:
        return
    yield from floor_picture(report.plan, report.sights).splitlines()
    yield ""
    yield from floor_key(report.plan)
    yield ""
    for station in report.set_up.stations:
        player = piece.player(station.player)
        with_ = f", with player {', '.join(map(str, station.shares_with))}" if station.shares_with else ""
        order = ", ".join(map(english, station.order))
        yield f"{player.name}{with_}, from left to right: {order}; {station.travel:.0f} m walked in the piece"
    lines = list(sight_lines(report.set_up, report.plan))
    yield from ["", "Who breathes together", *lines] if lines else []


def _finding(piece: Piece, finding: Finding) -> dict[str, object]:
    return {
        "kind": finding.kind.value,
        "weight": finding.weight.value,
        "player": finding.player,
        "bar": finding.bar,
        "label": bar_name(piece, finding.bar),
        "at": quarters_text(finding.at),
        "beat": round(beat_of(piece, finding), 4),
        "bars": list(finding.bars),
        "figure": finding.figure,
        "limit": finding.limit,
        "unit": finding.unit,
        "text": finding.text,
        "helps": finding.helps,
    }


def _hand(load: HandLoad) -> dict[str, object]:
    return {
        "player": load.player,
        "hand": load.hand,
        "strokes_a_second": load.strokes,
        "strokes_limit": load.strokes_limit,
        "mm_a_second": load.mm,
        "mm_limit": load.mm_limit,
    }


def _strike(each: Striking) -> dict[str, object]:
    asked = [{"bar": bar, "at": quarters_text(at), "place": place} for bar, at, place in each.asked]
    return {"player": each.player, "instrument": each.instrument, "usual": each.usual, "asked": asked}


def _gear(item: Gear) -> dict[str, object]:
    return {
        "what": item.what,
        "kind": item.kind,
        "players": list(item.players),
        "note": item.note,
        "owned": item.owned,
    }


def _floor(report: SetupReport) -> dict[str, object]:
    return {
        "boxes": [_box(box) for box in report.plan.boxes],
        "players": [
            {"player": each.player, "x": round(each.at.x, 2), "y": round(each.at.y, 2), "facing": round(each.facing)}
            for each in report.plan.standing
        ],
        "sights": [_sight(sight) for sight in report.sights],
    }


def _box(box: Box) -> dict[str, object]:
    return {
        "instrument": box.key,
        "players": list(box.players),
        "width": round(box.width, 2),
        "depth": round(box.depth, 2),
        "corners": [[round(corner.x, 2), round(corner.y, 2)] for corner in box.corners],
    }


def _sight(sight: Sight) -> dict[str, object]:
    return {
        "players": [sight.one, sight.two],
        "breaths": sight.breaths,
        "metres": sight.metres,
        "turn": sight.turn,
        "hidden": sight.hidden,
        "words": sight.words,
    }
