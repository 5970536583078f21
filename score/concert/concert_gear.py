"""One list of what the whole concert needs: the largest number of each thing needed at a time, and what is missing."""

import re
from collections.abc import Iterator, Sequence, Set
from dataclasses import dataclass
from typing import NamedTuple

from score.concert.concert_pieces import ConcertPiece
from score.concert.concert_values import Concert, ConcertInstrument
from score.setup.fittings import TRAP_TABLE, Fittings, fitting
from score.setup.from_group import fittings_of, owned_instruments
from score.setup.gear_list import BUILT
from score.setup.kit_layout import english, sets_of
from score.setup.played_extent import least_extent
from score.setup.setup_check import SetupReport

BORROW, BUILD = "borrow", "build"
_STRIKERS = re.compile(r"mallet|stick|beater|brush|bow|rute|rod|hammer|hand|finger|coin", re.IGNORECASE)


class GearUse(NamedTuple):
    """What one piece needs of a thing.

    Attributes:
        piece: its name.
        number: how many at a time.
        note: what its own list says of it.
        detail: what a keyboard must have to do for it, who needs mallets; "" for other things.
    """

    piece: str
    number: int
    note: str = ""
    detail: str = ""


@dataclass(frozen=True, slots=True)
class ConcertGear:
    """One thing of the list.

    Attributes:
        what: its name.
        kind: "instrument", "mallets", "bow" or "stand".
        key: of an instrument, else its name.
        number: the largest number needed at a time.
        bring: how many go into the van: more than that where some serve certain pieces only.
        missing: how many nobody has yet; 0 where nobody has said what there is.
        uses: by piece.
        owned, borrowed, built: how many there are; None where nobody has said.
        named: (the concert's name, where from) of those it has names for.
    """

    what: str
    kind: str
    key: str
    number: int
    bring: int
    missing: int
    uses: tuple[GearUse, ...]
    owned: int | None = None
    borrowed: int = 0
    built: int = 0
    named: tuple[tuple[str, str], ...] = ()

    @property
    def how(self) -> str:
        """What to do about those that are missing: `BORROW`, `BUILD` or ""."""
        return "" if not self.missing else BUILD if self.key in BUILT else BORROW


def concert_gear(
    concert: Concert, pieces: Sequence[ConcertPiece], reports: Sequence[SetupReport]
) -> tuple[ConcertGear, ...]:
    """Everything the concert needs: instruments, then what strikes them, then stands."""
    uses: dict[tuple[str, str], list[GearUse]] = {}
    names: dict[tuple[str, str], str] = {}
    for piece, report in zip(pieces, reports, strict=True):
        for kind, key, what, use in _needs(piece, report):
            names.setdefault((kind, key), what)
            uses.setdefault((kind, key), []).append(use)
    owned = _owned_by_groups(pieces)
    kinds = ("instrument", "mallets", "bow", "stand")
    ordered = sorted(uses, key=lambda pair: kinds.index(pair[0]))
    return tuple(_gear(concert, owned, kind, key, names[kind, key], tuple(uses[kind, key])) for kind, key in ordered)


def _needs(piece: ConcertPiece, report: SetupReport) -> Iterator[tuple[str, str, str, GearUse]]:
    """(kind, key, name, use) of everything a piece needs."""
    fittings = fittings_of(piece.group)
    counts, stands = _counted(piece, report, fittings)
    for item in report.gear:
        if item.kind in ("mallets", "bow"):
            use = GearUse(piece.name, len(item.players), item.note, detail=", ".join(map(piece.person, item.players)))
            yield item.kind, item.what.casefold(), _mallets(item.what), use
    for key, number in counts.items():
        if fitting(fittings, key).how != "body":
            items = [item for item in report.gear if item.kind == "instrument" and item.key == key]
            note = "; ".join(filter(None, dict.fromkeys(item.note for item in items)))
            least = dict.fromkeys(extent for item in items if (extent := least_extent(piece.piece, key, item.players)))
            yield "instrument", key, english(key), GearUse(piece.name, number, note, detail=" and ".join(least))
    for what, number in stands.items():
        yield "stand", what, what, GearUse(piece.name, number)


def _mallets(words: str) -> str:
    """What a score calls them, said as what they are: "medium yarn mallets"."""
    return words if _STRIKERS.search(words) else f"{words} mallets"


def _counted(piece: ConcertPiece, report: SetupReport, fittings: Fittings) -> tuple[dict[str, int], dict[str, int]]:
    """How many instruments of each kind and how many stands of each sort: a shared one counts for its first player."""
    counts: dict[str, int] = {}
    stands: dict[str, int] = {}
    for player in piece.piece.players:
        table = False
        for key, here in sets_of(player, fittings).items():
            row = fitting(fittings, key)
            shared = [share for share in report.shares if share.instrument == key and player.number in share.players]
            if not shared or shared[0].players[0] == player.number:
                several = row.several and not player.instruments[here.members[0][0]].pitched
                counts[key] = counts.get(key, 0) + (max(1, len(here.members)) if several else 1)
                if row.carry and row.carry != TRAP_TABLE:
                    stands[row.carry] = stands.get(row.carry, 0) + 1
            table = table or row.held or row.carry == TRAP_TABLE
        if table:
            stands[TRAP_TABLE] = stands.get(TRAP_TABLE, 0) + 1
    return counts, stands


def _owned_by_groups(pieces: Sequence[ConcertPiece]) -> Set[str] | None:
    """Kinds that the groups' files say somebody owns, as many as are needed; None where no file says anything."""
    said = [owned for piece in pieces if (owned := owned_instruments(piece.group)) is not None]
    return set().union(*said) if said else None


def _gear(
    concert: Concert, groups: Set[str] | None, kind: str, key: str, what: str, uses: tuple[GearUse, ...]
) -> ConcertGear:
    entries = [entry for entry in concert.instruments if entry.kind == key] if kind == "instrument" else []
    sources = [entry.source for entry in entries]
    number = max(use.number for use in uses)
    owned, missing, bring = None, 0, number
    if kind == "instrument" and (concert.instruments or groups is not None):
        if not entries and key in (groups or ()):
            owned = number
        else:
            owned = sources.count("owned")
            missing, bring = _short_of(entries, uses)
    return ConcertGear(
        what,
        kind,
        key,
        number=number,
        bring=bring,
        missing=missing,
        uses=uses,
        owned=owned,
        borrowed=sources.count("borrowed"),
        built=sources.count("build"),
        named=tuple((entry.name, entry.source) for entry in entries if entry.name != entry.kind),
    )


def _short_of(entries: Sequence[ConcertInstrument], uses: Sequence[GearUse]) -> tuple[int, int]:
    """How many are missing for the piece that is shortest of them, and how many are brought with these."""
    missing, brought = 0, set[int]()
    order = sorted(range(len(entries)), key=lambda index: (not entries[index].person, not entries[index].pieces))
    for use in uses:
        fits = [index for index in order if not entries[index].pieces or use.piece in entries[index].pieces]
        missing = max(missing, use.number - len(fits))
        brought |= set(fits[: use.number])
    return missing, len(brought) + missing
