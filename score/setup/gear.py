"""What has to be carried: instruments, mallets, bows; shared ones once; what nobody owns marked.

    owned = ["marimba", "vibraphone", "crotales"]      # keys or names; left out: nothing is marked

at the top of the group's file.
"""

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass

from score.group import Group
from score.instruments import named
from score.lanes import pitch_name
from score.piece import MarkKind, Piece
from score.setup.geometry import smallest_marimba
from score.setup.sharing import Share


@dataclass(frozen=True, slots=True)
class Gear:
    """One thing to carry.

    Attributes:
        what: its name.
        kind: "instrument", "mallets" or "bow".
        players: who needs it.
        note: range, size, how it is shared.
        owned: somebody in the group owns it; None when the group's file does not say.
    """

    what: str
    kind: str
    players: tuple[int, ...]
    note: str = ""
    owned: bool | None = None


def gear_of(piece: Piece, group: Group, shares: Sequence[Share]) -> tuple[Gear, ...]:
    """Everything the piece needs."""
    owned = _owned(group)
    found: list[Gear] = []
    done: set[tuple[str, int]] = set()
    for player in piece.players:
        for index, instrument in enumerate(player.instruments):
            if (instrument.key, player.number) in done:
                continue
            share = next((s for s in shares if s.instrument == instrument.key and player.number in s.players), None)
            users = share.players if share else (player.number,)
            done |= {(instrument.key, number) for number in users}
            note = _note(piece, instrument.key, users, index, share)
            has = None if owned is None else (instrument.key in owned or instrument.name.casefold() in owned)
            found.append(Gear(instrument.name, "instrument", tuple(users), note, has))
    return (*found, *_mallets(piece))


def gear_markdown(title: str, gear: Sequence[Gear]) -> str:
    """The list as Markdown."""
    lines = [f"# {title}: what to carry", "", "| what | for | note |", "|---|---|---|"]
    for item in gear:
        missing = "nobody owns one; " if item.owned is False else ""
        lines.append(f"| {item.what} | {_players(item)} | {missing}{item.note} |")
    if any(item.owned is False for item in gear):
        lines += ["", "A drum that nobody owns can be built of pipe: `inbreath tubes`."]
    return "\n".join(lines) + "\n"


def gear_csv(gear: Sequence[Gear]) -> str:
    """The list as CSV (RFC 4180): what, kind, players, owned, note."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(["what", "kind", "players", "owned", "note"])
    for item in gear:
        owned = "" if item.owned is None else "yes" if item.owned else "no"
        writer.writerow([item.what, item.kind, " ".join(map(str, item.players)), owned, item.note])
    return out.getvalue()


def _note(piece: Piece, key: str, users: Sequence[int], index: int, share: Share | None) -> str:
    pitches = [
        pitch
        for number in users
        for stroke in piece.player(number).strokes
        if piece.player(number).instruments[stroke.instrument].key == key
        for pitch in stroke.pitches
    ]
    words = []
    if pitches:
        words.append(f"{pitch_name(min(pitches))} to {pitch_name(max(pitches))} sounding")
    if key == "marimba" and pitches:
        size = smallest_marimba(min(pitches))
        words.append(f"{size} octaves or more" if size else "lower than any marimba")
    if share:
        words.append(f"shared, {share.arrangement}")
    return "; ".join(words)


def _mallets(piece: Piece) -> list[Gear]:
    words: dict[str, list[int]] = {}
    for player in piece.players:
        for mark in player.marks:
            if mark.kind is MarkKind.STICKS:
                users = words.setdefault(mark.text.strip(), [])
                if player.number not in users:
                    users.append(player.number)
    made = []
    for text, users in words.items():
        kind = "bow" if "bow" in text.casefold() or "arco" in text.casefold() else "mallets"
        four = [n for n in users if any(len(s.pitches) > 2 for s in piece.player(n).strokes)]
        note = f"four for player {', '.join(map(str, four))}" if four else "a pair each"
        made.append(Gear(text, kind, tuple(users), note))
    return made


def _owned(group: Group) -> set[str] | None:
    value = group.tables.get("owned")
    if not isinstance(value, list):
        return None
    names = {str(entry).casefold() for entry in value}
    return names | {known.key for entry in value if (known := named(str(entry)))}


def _players(item: Gear) -> str:
    return ", ".join(f"player {number}" for number in item.players)
