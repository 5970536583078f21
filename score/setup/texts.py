"""The check as text and as JSON, and its files."""

import json
from pathlib import Path

from score.beats import quarters_text
from score.piece import Piece
from score.places import bar_name
from score.setup.check import SetupReport
from score.setup.finding import Finding
from score.setup.gear import gear_csv, gear_markdown
from score.setup.stations import set_up_picture
from score.writing import write_atomically


def setup_text(piece: Piece, report: SetupReport) -> str:
    """Cautions, findings with figure against limit and what would help, gear, set-up."""
    lines = [*report.cautions, *([""] if report.cautions else [])]
    if not report.findings:
        lines.append("Nothing stands in the way.")
    for found in report.findings:
        lines.append(finding_line(piece, found))
        if found.helps:
            lines.append(f"    would help: {found.helps}")
    lines += ["", "To carry"]
    for item in report.gear:
        missing = "  nobody owns one: inbreath tubes builds drums of pipe" if item.owned is False else ""
        players = ", ".join(map(str, item.players))
        lines.append(f"  {item.what} (player {players})  {item.note}{missing}")
    if not report.shares:
        lines.append("  The group's file names no shared instrument ([[share]]), so each player is given their own.")
    return "\n".join([*lines, "", "Set-up", set_up_picture(piece, report.set_up)])


def finding_line(piece: Piece, found: Finding) -> str:
    """One finding on one line."""
    who = piece.player(found.player).name if found.player else "Group"
    more = f" and {len(found.bars) - 1} more bars" if len(found.bars) > 1 else ""
    beat = float(found.at) / float(piece.bars[found.bar].meter.beat or 1) + 1
    where = f"bar {bar_name(piece, found.bar)} beat {beat:g}{more}"
    return f"{found.weight.value}: {who}, {where}: {found.kind.value}: {found.text}"


def setup_json(piece: Piece, report: SetupReport) -> dict[str, object]:
    """The check with stable keys; bars are indices from 0."""
    return {
        "findings": [
            {
                "kind": f.kind.value,
                "weight": f.weight.value,
                "player": f.player,
                "bar": f.bar,
                "at": quarters_text(f.at),
                "bars": list(f.bars),
                "figure": f.figure,
                "limit": f.limit,
                "unit": f.unit,
                "text": f.text,
                "helps": f.helps,
            }
            for f in report.findings
        ],
        "gear": [
            {"what": g.what, "kind": g.kind, "players": list(g.players), "note": g.note, "owned": g.owned}
            for g in report.gear
        ],
        "stations": [
            {
                "player": s.player,
                "order": list(s.order),
                "travel": round(s.travel, 2),
                "shares_with": list(s.shares_with),
            }
            for s in report.set_up.stations
        ],
        "cautions": list(report.cautions),
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


def setup_pdf(piece: Piece, report: SetupReport) -> bytes:
    """One page and more: the plan to scale (1:40), what to carry, the findings."""
    import typst

    from score.cues.fonts import TEXT, font_folder

    parts = [
        f"#set document(title: {_quoted(piece.title)}, date: none)",
        f'#set page(paper: "a4", margin: 18mm)\n#set text(font: "{TEXT}", size: 9.5pt)',
        f"#text(size: 16pt, {_quoted(piece.title + ': set-up')})",
    ]
    parts += [f"#par({_quoted(text)})" for text in report.cautions]
    for station in report.set_up.stations:
        names = {i.key: i.name for i in piece.player(station.player).instruments}
        boxes = ", ".join(
            f"rect(width: {width / 40:.1f}mm, height: 12mm, inset: 1mm, stroke: 0.5pt)"
            f"[#text(size: 7pt, {_quoted(f'{names[key]} {width / 1000:.2f} m')})]"
            for key, width in zip(station.order, station.widths, strict=True)
        )
        with_ = f", with player {', '.join(map(str, station.shares_with))}" if station.shares_with else ""
        head = f"{piece.player(station.player).name}{with_}"
        parts.append(f"#block(breakable: false)[#strong({_quoted(head)}) \\ #stack(dir: ltr, spacing: 2.5mm, {boxes})]")
    parts.append("#emph[Scale 1:40.]")
    rows = ", ".join(
        f"[#{_quoted(g.what)}], [{', '.join(map(str, g.players))}], [#{_quoted(g.note)}]" for g in report.gear
    )
    parts.append(f"#table(columns: (1.2fr, auto, 2fr), stroke: 0.3pt, [what], [player], [note], {rows})")
    parts += [f"#par({_quoted(finding_line(piece, f))})" for f in report.findings]
    # Its type stubs do not know that a document may be given as a set of files in memory.
    made: bytes = typst.compile(  # type: ignore[call-overload]
        {"main.typ": "\n".join(parts).encode()}, format="pdf", font_paths=[font_folder()], ignore_system_fonts=True
    )
    return made


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)
