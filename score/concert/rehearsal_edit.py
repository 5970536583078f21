"""Changing the rehearsals of a concert's file: one added, moved or taken out, and who is missing, late or leaves."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from score.concert.concert_edit import Edit, with_entry
from score.concert.concert_tables import wrong_entry
from score.group.entry_blocks import Blocks
from score.group.entry_text import values_of, with_fields_at


def with_rehearsal(at: datetime, minutes: int) -> Edit:
    """Add a rehearsal; one that begins at this moment already gets other minutes."""

    def edited(path: Path, blocks: Blocks) -> Blocks:
        if not any(moment.startswith(f"{at:%Y-%m-%d %H:%M}") for moment in _moments(blocks)):
            return with_entry("rehearsal", {"at": at, "minutes": minutes})(path, blocks)
        return changed_rehearsal(f"{at:%Y-%m-%d %H:%M}", {"minutes": minutes})(path, blocks)

    return edited


def changed_rehearsal(start: str, values: Mapping[str, Any]) -> Edit:
    """Change the rehearsal that begins on this day, or at this moment."""
    return lambda path, blocks: with_fields_at(blocks, _rehearsal_place(path, blocks, start), values)


def without_absence(start: str, name: str) -> Edit:
    """Let somebody come to a rehearsal from its beginning to its end."""

    def edited(path: Path, blocks: Blocks) -> Blocks:
        place = _rehearsal_place(path, blocks, start)
        values = values_of(blocks.blocks[place])
        rest = {key: _without(values.get(key, []), name) or None for key in ("missing", "late", "leaves")}
        return with_fields_at(blocks, place, rest)

    return edited


def with_absence(start: str, key: str, text: str) -> Edit:
    """Note in the rehearsal that begins on this day, or at this moment, who is missing, late or leaves."""

    def edited(path: Path, blocks: Blocks) -> Blocks:
        place = _rehearsal_place(path, blocks, start)
        values = values_of(blocks.blocks[place])
        name = text if key == "missing" else text.rpartition(" ")[0]
        entries = [*_without(values.get(key, []), name), text]
        return with_fields_at(blocks, place, {key: entries})

    return edited


def without_rehearsal(start: str) -> Edit:
    """Take out the rehearsal that begins on this day, or at this moment."""
    return lambda path, blocks: blocks.remove(_rehearsal_place(path, blocks, start))


def _rehearsal_place(path: Path, blocks: Blocks, start: str) -> int:
    """Where the rehearsal stands that begins on a day, or at a moment; the only one that does."""
    places, moments = blocks.places("rehearsal"), _moments(blocks)
    fits = [place for place, at in zip(places, moments, strict=True) if at.startswith(start.replace("T", " "))]
    if len(fits) != 1:
        how = "no rehearsal begins" if not fits else "two rehearsals begin"
        there = ", ".join(moment[:16] for moment in moments)
        raise wrong_entry(path, f"{how} on {start}", f"there are {there}" if there else "add it first")
    return fits[0]


def _moments(blocks: Blocks) -> list[str]:
    """When each rehearsal begins, as 2027-03-02 19:00:00."""
    return [
        str(values_of(blocks.blocks[place]).get("at", "")).replace("T", " ") for place in blocks.places("rehearsal")
    ]


def _without(entries: Sequence[str], name: str) -> list[str]:
    """The entries, "Ann" or "Ann 19:30", that name somebody else."""
    return [entry for entry in entries if entry != name and entry.rpartition(" ")[0] != name]
