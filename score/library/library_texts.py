"""The library in words and as JSON.

JSON, keys that stay: `folder`; `scores`, in order of their paths, each with `path` (below the folder), `also` (other
names of the same bytes), `title`, `players` (how many), `seconds`, `bars`, `instruments` (English names, printed ones
where the table has none), `needs` (name to how many), `marimba` (`low`, `high`, `octaves` of the smallest that has
them; null without one), `strikers` (sticks, mallets, beaters, bows), `own` and `together` (what it asks alone and
together, 0 to 1), `parts` (`number`, `name`, `instruments`, `own`), `warnings`, and `refused` (why it was not read,
null where it was; the other values are then empty). With a programme also `programme`: `pieces` (`path`, `title`,
`seconds`, `cast`: name to number of the part), `seconds`, `instruments`, `plays` (name to seconds), `fewest`, `bound`
(seconds, or instruments with `fewest`), `best` (it reaches the bound), `candidates`.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path

from score.activity.lanes import spelled_pitch
from score.beats import minutes_text
from score.library.library_reading import LibraryEntry
from score.library.score_facts import MARIMBA, ScoreFacts
from score.library.shelf_choice import ChosenPieces
from score.plain_text import several
from score.setup.kit_layout import english

_COUNTABLE = ("cymbal", "drum", "phone", "marimba", "block", "bell", "gong", "triangle", "spiel", "tam-tam")
"""Endings of names that take an s."""


def library_json(folder: Path, entries: Sequence[LibraryEntry]) -> dict[str, object]:
    """Every score as values JSON can write; the keys are listed above."""
    return {"folder": str(folder), "scores": [_entry_json(entry) for entry in entries]}


def choice_json(chosen: ChosenPieces, fewest: bool) -> dict[str, object]:
    """A programme as values JSON can write."""
    return {
        "pieces": [
            {"path": each.path, "title": each.title, "seconds": each.seconds, "cast": dict(each.cast)}
            for each in chosen.pieces
        ],
        "seconds": chosen.seconds,
        "instruments": _counted(chosen.instruments),
        "plays": dict(chosen.plays),
        "fewest": fewest,
        "bound": chosen.bound,
        "best": chosen.is_best,
        "candidates": chosen.candidates,
    }


def library_text(entries: Sequence[LibraryEntry]) -> str:
    """Every score in a few lines, those that were refused last."""
    read = [entry for entry in entries if entry.facts is not None]
    refused = [entry for entry in entries if entry.facts is None]
    blocks = ["\n".join(_lines(entry, entry.facts)) for entry in read if entry.facts is not None]
    if refused:
        blocks.append("\n".join(["Not read", *map(_refusal, refused)]))
    count = several(len(read), "score") + (f", {len(refused)} not read" if refused else "")
    return "\n\n".join([*blocks, count])


def choice_text(chosen: ChosenPieces, fewest: bool) -> str:
    """A programme in words, with its bound."""
    if not chosen.pieces:
        if not chosen.candidates:
            return "No programme: these people can play none of the scores with these instruments in this time."
        return (
            f"No programme: of {chosen.candidates} scores they could play none make one of this length for everybody."
        )
    lines = [f"{minutes_text(chosen.seconds)} of music, {several(len(chosen.pieces), 'piece')}"]
    for piece in chosen.pieces:
        parts = ", ".join(f"{name} plays {part}" for name, part in sorted(piece.cast.items(), key=lambda each: each[1]))
        lines.append(f"  {minutes_text(piece.seconds):>6}  {piece.title}  ({piece.path}): {parts}")
    share = ", ".join(f"{name} {minutes_text(seconds)}" for name, seconds in chosen.plays.items())
    lines.append(f"Everybody plays: {share}")
    lines.append(f"To bring, {sum(chosen.instruments.values())} in all: {_needs_text(chosen.instruments)}")
    lines.append(_bound_text(chosen, fewest))
    return "\n".join(lines)


def _bound_text(chosen: ChosenPieces, fewest: bool) -> str:
    if fewest:
        proven = f"No programme of this length needs fewer than {chosen.bound} instruments"
        return f"{proven}." if chosen.is_best else f"{proven}; whether one needs fewer than this is not proven."
    if chosen.is_best:
        return "No programme these people can play is longer within this time, each piece counted in whole seconds."
    return f"None is longer than {minutes_text(chosen.bound)}; whether one is longer than this is not proven."


def _entry_json(entry: LibraryEntry) -> dict[str, object]:
    facts = entry.facts or ScoreFacts(
        "", 0.0, 0, parts=(), needs={}, low=None, high=None, octaves="", strikers=(), together=0.0
    )
    return {
        "path": entry.path,
        "also": list(entry.also),
        "title": facts.title,
        "players": len(facts.parts),
        "seconds": facts.seconds,
        "bars": facts.bars,
        "instruments": [english(kind) for kind in facts.needs],
        "needs": _counted(facts.needs),
        "marimba": _marimba(facts),
        "strikers": list(facts.strikers),
        "own": facts.own,
        "together": facts.together,
        "parts": [
            {"number": p.number, "name": p.name, "instruments": [english(kind) for kind in p.kinds], "own": p.own}
            for p in facts.parts
        ],
        "warnings": list(facts.warnings),
        "refused": entry.refused or None,
    }


def _counted(needs: Mapping[str, int]) -> dict[str, int]:
    counts: Counter[str] = Counter()
    for kind, count in needs.items():
        counts[english(kind)] += count
    return dict(counts)


def _marimba(facts: ScoreFacts) -> dict[str, object] | None:
    if facts.low is None or facts.high is None:
        return None
    return {
        "low": spelled_pitch(facts.low),
        "high": spelled_pitch(facts.high),
        "octaves": float(facts.octaves) if facts.octaves else None,
    }


def _lines(entry: LibraryEntry, facts: ScoreFacts) -> list[str]:
    players = several(len(facts.parts), "player")
    lines = [
        f"{entry.path}",
        f"  {facts.title}: {players}, {minutes_text(facts.seconds)}, {facts.bars} bars; "
        f"alone {facts.own:.2f}, together {facts.together:.2f}",
        f"  {_needs_text(facts.needs, facts) or 'nothing to carry'}",
    ]
    if facts.strikers:
        lines.append(f"  {', '.join(facts.strikers)}")
    if facts.warnings:
        more = f" (and {len(facts.warnings) - 1} more)" if len(facts.warnings) > 1 else ""
        lines.append(f"  repaired: {facts.warnings[0]}{more}")
    lines += [f"  the same: {path}" for path in entry.also]
    return lines


def _needs_text(needs: Mapping[str, int], facts: ScoreFacts | None = None) -> str:
    said = []
    for kind, count in needs.items():
        name = english(kind)
        text = f"{count} {_plural(name)}" if count > 1 else name
        if kind == MARIMBA and facts is not None and facts.low is not None and facts.high is not None:
            size = f"{facts.octaves} octaves, " if facts.octaves else "lower than any, "
            text += f" ({size}{spelled_pitch(facts.low)} to {spelled_pitch(facts.high)})"
        said.append(text)
    return ", ".join(said)


def _plural(name: str) -> str:
    return f"{name}s" if name.endswith(_COUNTABLE) else name


def _refusal(entry: LibraryEntry) -> str:
    """Why a score was not read; the line names the file, not the folder."""
    folder, _, _ = entry.path.rpartition("/")
    return f"  {folder}: {entry.refused}" if folder else f"  {entry.refused}"
