"""What has to be carried: instruments, mallets, bows, stands, damps; shared ones once; what nobody owns marked.

What somebody owns stands in the group's file (`from_group`).
"""

import csv
import io
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from score.group.group_file import Group
from score.piece import MarkKind, Piece
from score.places import bar_name, few_bars
from score.plain_text import markdown_cell, table_cell
from score.setup.fittings import TRAP_TABLE, Fittings, fitting
from score.setup.from_group import owned_instruments
from score.setup.kit_layout import kind_of, name_of, sets_of
from score.setup.moments_between import needs_four
from score.setup.played_extent import extent_note
from score.setup.sharing import Share

_BOW = re.compile(r"\b(bow(?:ed)?|arco|archetto|archet|bogen)\b", re.I)
_MOST_BARS = 8
"""As many bars are named."""
BUILT = ("boobams", "tubes")
"""Keys of instruments that a group builds for itself from pipe."""


@dataclass(frozen=True, slots=True)
class Gear:
    """One thing to carry.

    Attributes:
        what: its name.
        kind: "instrument", "mallets", "bow", "stand" or "damp".
        players: who needs it.
        note: range, size, how it is held or mounted, how it is shared.
        owned: somebody in the group owns it; None when the group's file does not say.
        key: of an instrument, "" for other things.
    """

    what: str
    kind: str
    players: tuple[int, ...]
    note: str = ""
    owned: bool | None = None
    key: str = ""


def gear_of(piece: Piece, group: Group, shares: Sequence[Share], fittings: Fittings) -> tuple[Gear, ...]:
    """Everything the piece needs."""
    instruments = list(_instruments(piece, group, shares, fittings))
    return (
        *instruments,
        *_mallets(piece),
        *_beaters(piece, fittings),
        *_stands(piece, shares, fittings),
        *_damps(piece),
    )


def gear_markdown(title: str, gear: Sequence[Gear]) -> str:
    """The list as Markdown."""
    lines = [f"# {title}: what to carry", "", "| what | for | note |", "|---|---|---|"]
    for item in gear:
        missing = "**nobody owns one**; " if item.owned is False else ""
        lines.append(f"| {markdown_cell(item.what)} | {players_text(item)} | {missing}{markdown_cell(item.note)} |")
    hint = tubes_hint(gear)
    if hint:
        lines += ["", hint]
    return "\n".join(lines) + "\n"


def gear_csv(gear: Sequence[Gear]) -> str:
    """The list as CSV (RFC 4180): what, kind, players, owned, note."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(["what", "kind", "players", "owned", "note"])
    for item in gear:
        owned = "" if item.owned is None else "yes" if item.owned else "no"
        cells = [item.what, item.kind, " ".join(map(str, item.players)), owned, item.note]
        writer.writerow(map(table_cell, cells))
    return out.getvalue()


def to_build(gear: Sequence[Gear]) -> Gear | None:
    """The first instrument whose notes can be played on pipe cut to pitch: built by the group, or owned by nobody."""
    pitched = [item for item in gear if item.key and "sounding" in item.note and item.owned is not True]
    built = [item for item in pitched if item.key in BUILT]
    return next(iter([*built, *(item for item in pitched if item.owned is False)]), None)


def tubes_hint(gear: Sequence[Gear]) -> str:
    """Where to go on from the list for an instrument that can be made of pipe, or ""."""
    item = to_build(gear)
    if item is None:
        return ""
    if item.key in BUILT:
        return f"{item.what} can be built: the tubes of player {item.players[0]} give lengths, cut list and frame."
    return f"{item.what}, which nobody owns: tubes cut to pitch can play the notes of player {item.players[0]}."


def players_text(item: Gear) -> str:
    """Who needs it: "players 1, 2"."""
    return f"player{'s' if len(item.players) > 1 else ''} {', '.join(map(str, item.players))}"


def _instruments(piece: Piece, group: Group, shares: Sequence[Share], fittings: Fittings) -> Iterator[Gear]:
    owned = owned_instruments(group)
    done: set[tuple[str, int]] = set()
    for player in piece.players:
        for kind, here in sets_of(player, fittings).items():
            if (kind, player.number) in done:
                continue
            share = next((s for s in shares if s.instrument == kind and player.number in s.players), None)
            users = share.players if share else (player.number,)
            done |= {(kind, number) for number in users}
            words = [*extent_note(piece, kind, users), _how(fittings, kind, len(here.members))]
            if share:
                words.append(f"shared, {share.arrangement}")
            yield Gear(
                here.name,
                "instrument",
                tuple(users),
                note="; ".join(filter(None, words)),
                owned=_has(owned, kind, here.name),
                key=kind,
            )


def _how(fittings: Fittings, kind: str, pieces: int) -> str:
    row = fitting(fittings, kind)
    count = f"{pieces} pieces" if pieces > 1 and row.several else ""
    if row.how == "body":
        return f"{row.beater} only, nothing to carry"
    how = "held in the hand" if row.held else row.how if row.how in ("hung", "seated") else ""
    return ", ".join(filter(None, (count, how)))


def _mallets(piece: Piece) -> Iterator[Gear]:
    """Mallets that words name: how many of them each player needs."""
    words: dict[str, list[int]] = {}
    for player in piece.players:
        for mark in player.marks:
            if mark.kind is MarkKind.STICKS and mark.text.strip():
                users = words.setdefault(mark.text.strip(), [])
                if player.number not in users:
                    users.append(player.number)
    for text, users in words.items():
        four = [n for n in users if needs_four(piece.player(n).strokes)]
        two = [n for n in users if n not in four]
        counts = [
            f"{word} for player{'s' * (len(some) > 1)} {' and '.join(map(str, some))}"
            for word, some in (("two pairs", four), ("a pair", two))
            if some
        ]
        bow = bool(_BOW.search(text))
        yield Gear(text, "bow" if bow else "mallets", tuple(users), note="" if bow else "; ".join(counts))


def _beaters(piece: Piece, fittings: Fittings) -> Iterator[Gear]:
    """What strikes an instrument where the score names nothing, and what only one thing strikes."""
    beaters: dict[tuple[str, bool], list[tuple[int, str]]] = {}
    for player in piece.players:
        said = [(m.bar, m.at) for m in player.marks if m.kind is MarkKind.STICKS]
        for kind in dict.fromkeys(kind_of(instrument) for instrument in player.instruments):
            row = fitting(fittings, kind)
            strokes = [s for s in player.strokes if kind_of(player.instruments[s.instrument]) == kind]
            named_before = bool(strokes and said and min(said) <= (strokes[0].bar, strokes[0].at))
            if row.beater and row.beater not in ("hands", "feet", "fingers", "keys") and (row.only or not named_before):
                beaters.setdefault((row.beater, named_before), []).append(
                    (player.number, name_of(player, kind).lower())
                )
    for (beater, named_before), users in beaters.items():
        names = ", ".join(dict.fromkeys(name for _, name in users))
        note = f"for the {names}" + ("" if named_before else "; the score names none")
        yield Gear(beater, "mallets", tuple(dict.fromkeys(number for number, _ in users)), note=note)


def _stands(piece: Piece, shares: Sequence[Share], fittings: Fittings) -> Iterator[Gear]:
    """Stands, clamps and tables; one stand carries a set; a trap table for who has something to lay down."""
    needed: dict[str, list[tuple[int, str]]] = {}
    for player in piece.players:
        for kind, here in sets_of(player, fittings).items():
            row = fitting(fittings, kind)
            first = next(
                (s.players[0] for s in shares if s.instrument == kind and player.number in s.players), player.number
            )
            if row.carry and row.carry != TRAP_TABLE and first == player.number:
                needed.setdefault(row.carry, []).append((player.number, here.name.lower()))
            if row.held or row.carry == TRAP_TABLE:
                needed.setdefault(TRAP_TABLE, []).append((player.number, here.name.lower()))
        sticks = {m.text for m in player.marks if m.kind is MarkKind.STICKS}
        if len(sticks) > 1:
            needed.setdefault(TRAP_TABLE, []).append((player.number, "mallets"))
    for what, users in needed.items():
        note = "for " + ", ".join(dict.fromkeys(name for _, name in users))
        yield Gear(what, "stand", tuple(dict.fromkeys(number for number, _ in users)), note=note)


def _damps(piece: Piece) -> Iterator[Gear]:
    """Damp marks: with the hand where it is free, else a cloth."""
    for player in piece.players:
        bars = {mark.bar for mark in player.marks if mark.kind is MarkKind.DAMP}
        bars |= {stroke.bar for stroke in player.strokes if stroke.damp}
        if bars:
            where = few_bars([bar_name(piece, bar) for bar in sorted(bars)], _MOST_BARS)
            yield Gear("damp (hand or cloth)", "damp", (player.number,), note=where)


def _has(owned: set[str] | None, kind: str, name: str) -> bool | None:
    return None if owned is None else kind in owned or name.casefold() in owned
