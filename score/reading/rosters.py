"""Which parts one player reads, what players are called, and what the group's file says instead."""

import re
from collections.abc import Sequence

from score.errors import GroupFileError
from score.group.group_file import Group, PlayerEntry
from score.reading.chair_names import ROMAN, Chair, with_clear_names, without_hand
from score.reading.part_heads import PartHead

_WHO = (
    r"(?P<who>(?P<kind>player|pla|spieler(?:in)?|joueur|joueuse|esecutore|musician|pl|sp|perc(?:ussion(?:ist)?)?|percussione|"
    r"percussions|schlagzeug(?:er(?:in)?)?|schlagwerk|schlzg|schlz|batteria|batterie|batt|mallets?)"
    r"\.?\s*(?:no\.?|nr\.?|\u2116|#)?\s*(?P<number>\d{1,2}|[ivx]{1,4})\b)"
)
_WHO_FIRST = re.compile(rf"^\s*{_WHO}(?P<rest>.*)$", re.IGNORECASE)
_WHO_LAST = re.compile(rf"^(?P<rest>.+?)[\s,:(\[\u2013\u2014-]+{_WHO}\s*[)\]]?\s*$", re.IGNORECASE)
_KINDS = (("player", "spieler", "joueu", "esecutore", "musician", "pl", "sp"), ("mallet",))
_SHORT_KINDS = {"perc": "Perc.", "schl": "Schl.", "batt": "Batt.", "mall": "Mal."}
"""What players of percussion are called for short; others are their number ("Player 2" is 2)."""


def chairs(heads: Sequence[PartHead], group: Group | None) -> list[Chair]:
    """The players of a score, sorted by number.

    Raises:
        GroupFileError: the group's file names parts or players that are not there, or one part twice.
    """
    group = group or Group()
    _check_numbers(group)
    claimed = {entry.number: _claimed(entry, heads, group) for entry in group.players if entry.parts}
    _check_claims(claimed, heads, group)
    free = [head for head in heads if not any(head.index in parts for parts in claimed.values())]
    joined = [*claimed.items(), *_numbered(_joined(free), set(claimed))]
    seated = _known([_chair(number, parts, heads) for number, parts in sorted(joined)], group)
    clear = with_clear_names([_as_entered(chair, group) for chair in seated])
    return [_as_entered(chair, group) for chair in clear]


def who(name: str) -> tuple[str, str] | None:
    """(key of the player, printed words) of a name that says which player it is for, else None."""
    match = _WHO_FIRST.match(name) or _WHO_LAST.match(name)
    if match is None:
        return None
    number = match["number"].casefold()
    kind = match["kind"].casefold()
    family = next((index for index, kinds in enumerate(_KINDS) if kind.startswith(kinds)), len(_KINDS))
    if kind.startswith("perc"):
        family = len(_KINDS)
    return f"{family}:{ROMAN.get(number, number)}", " ".join(match["who"].split())


def _joined(heads: Sequence[PartHead]) -> list[tuple[int, ...]]:
    players: dict[str, list[int]] = {}
    for head in heads:
        said, both = _who_of(head), without_hand(head.name)
        key = said[0] if said else f"hands of {_folded(both)}" if both != head.name else f"part {head.index}"
        players.setdefault(key, []).append(head.index)
    return [tuple(parts) for parts in players.values()]


def _who_of(head: PartHead) -> tuple[str, str] | None:
    """What the part's own name says, or the bracket around it."""
    return who(head.name) or next((said for name in reversed(head.groups) if (said := who(name))), None)


def _numbered(players: list[tuple[int, ...]], taken: set[int]) -> list[tuple[int, tuple[int, ...]]]:
    numbers = (number for number in range(1, len(players) + len(taken) + 1) if number not in taken)
    return list(zip(numbers, players, strict=False))


def _chair(number: int, parts: tuple[int, ...], heads: Sequence[PartHead]) -> Chair:
    first = heads[parts[0]]
    said = _who_of(first)
    if said is None:
        return Chair(
            number,
            (without_hand(first.name) if len(parts) > 1 else first.name) or f"Player {number}",
            first.short or ("" if first.name else str(number)),
            parts=parts,
        )
    return Chair(number, said[1], _short(first.short, said, alone=len(parts) == 1), parts=parts)


def _short(printed: str, said: tuple[str, str], alone: bool) -> str:
    """What a player is called for short, who has a number: as printed, if it says more, or made of kind and number."""
    (key, words), numbered = said, who(printed)
    number = key.partition(":")[2]
    kind = _SHORT_KINDS.get(words[:4].casefold(), "")
    if numbered is not None:
        # A made abbreviation of "Player 7" is no name of its own.
        return number if numbered[0] == key and printed.casefold().startswith("pla") else numbered[1]
    if printed and alone and not (kind and printed == number):
        return printed
    return f"{kind} {number}".strip()


def _claimed(entry: PlayerEntry, heads: Sequence[PartHead], group: Group) -> tuple[int, ...]:
    return tuple(sorted({_part(name, entry, heads, group) for name in entry.parts}))


def _part(name: str, entry: PlayerEntry, heads: Sequence[PartHead], group: Group) -> int:
    indices = [head.index for head in heads if head.id == name]
    indices = indices or [head.index for head in heads if _folded(head.name) == _folded(name)]
    if len(indices) == 1:
        return indices[0]
    if indices:
        ids = ", ".join(heads[index].id for index in indices)
        raise _wrong(group, f"player {entry.number}: several parts are called {name!r}", f"name them {ids}")
    listed = ", ".join(f"{head.name!r} ({head.id})" for head in heads)
    raise _wrong(group, f"player {entry.number}: the score has no part called {name!r}", f"it has {listed}")


def _folded(name: str) -> str:
    return " ".join(re.sub(r"[\u2010-\u2015\u2212]", "-", name).casefold().split())


def _check_numbers(group: Group) -> None:
    numbers = [entry.number for entry in group.players]
    for number in numbers:
        if numbers.count(number) > 1:
            raise _wrong(group, f"player {number} is described twice", "keep one [[player]] for each")


def _check_claims(claimed: dict[int, tuple[int, ...]], heads: Sequence[PartHead], group: Group) -> None:
    owner: dict[int, int] = {}
    for number, parts in claimed.items():
        for part in parts:
            if part in owner:
                what = f"{heads[part].called!r} is given to player {owner[part]} and to player {number}"
                raise _wrong(group, what, "give it to one of them")
            owner[part] = number


def _known(seated: list[Chair], group: Group) -> list[Chair]:
    numbers = {chair.number for chair in seated}
    for entry in group.players:
        if entry.number not in numbers:
            listed = ", ".join(f"{chair.number} ({chair.name})" for chair in seated)
            raise _wrong(group, f"the score has no player {entry.number}", f"it has {listed}, or give it parts")
    return seated


def _as_entered(chair: Chair, group: Group) -> Chair:
    entry = next((entry for entry in group.players if entry.number == chair.number), None)
    if entry is None:
        return chair
    return Chair(chair.number, entry.name or chair.name, entry.short or chair.short, parts=chair.parts)


def _wrong(group: Group, what: str, remedy: str) -> GroupFileError:
    name = group.path.name if group.path else "the group's file"
    return GroupFileError("Group's file", f"{name}: {what}", remedy)
