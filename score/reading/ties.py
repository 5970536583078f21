"""Ties: which written notes are one sound.

A tie joins a note to the next one of the same pitch that says it takes it and begins exactly where the
first ends. A tie that leads to nothing, or comes from nothing, joins nothing and is a warning: a note that
is struck again is never swallowed. Let-ring ties join nothing (MusicXML 4.0, tied: "let-ring").
"""

from collections.abc import Container, Mapping, Sequence
from fractions import Fraction

from score.reading.part_scan import PartScan, WrittenNote
from score.reading.reading_log import WarningLog

Sound = tuple[int | None, str]
"""What ties compare: the sounding pitch, or None and the written place."""


def tie_chains(scan: PartScan, sounds: Mapping[int, Sound], log: WarningLog) -> dict[int, tuple[WrittenNote, ...]]:
    """The notes of each sound, in order, by the id of the note that is struck.

    Args:
        scan: the part; grace notes come out alone.
        sounds: what each note sounds, by id.
        log: notes ties that lead nowhere.
    """
    return _Joiner(scan, sounds, log).chains()


def lets_ring(note: WrittenNote) -> bool:
    """Whether a note has an open tie."""
    return "let-ring" in note.signs.ties or any(mark.get("type") == "let-ring" for mark in note.marks("tied"))


def tie_ends(note: WrittenNote) -> tuple[bool, bool]:
    """(takes a tie, gives a tie), from the sounding ties, or the drawn ones where there are none."""
    types = note.signs.ties or [mark.get("type") for mark in note.marks("tied")]
    return "stop" in types or "continue" in types, "start" in types or "continue" in types


class _Joiner:
    def __init__(self, scan: PartScan, sounds: Mapping[int, Sound], log: WarningLog) -> None:
        self.scan, self.sounds, self.log = scan, sounds, log
        self.notes = [note for note in scan.notes if not note.grace]
        self.ends = {note.id: tie_ends(note) for note in self.notes}
        self.takers: dict[tuple[Sound, int, Fraction], list[WrittenNote]] = {}
        for note in self.notes:
            if self.ends[note.id][0]:
                self.takers.setdefault((sounds[note.id], note.bar, note.at), []).append(note)
        tied = {note.bar for note in self.notes if self.ends[note.id][1]}
        self.own_ends = _own_ends(self.notes, scan, tied) if tied else []

    def chains(self) -> dict[int, tuple[WrittenNote, ...]]:
        follows: dict[int, WrittenNote] = {}
        taken: set[int] = set()
        for note in self.notes:
            if self.ends[note.id][1]:
                after = self._after(note, taken)
                if after is not None:
                    follows[note.id] = after
                    taken.add(after.id)
                elif not lets_ring(note):
                    self._say("a tie leads to no note that takes it; it was left out", note)
        for note in self.notes:
            if self.ends[note.id][0] and note.id not in taken:
                self._say("a tie comes from no note; its note was read as struck", note)
        return {note.id: _follow(note, follows) for note in self.scan.notes if note.id not in taken}

    def _after(self, note: WrittenNote, taken: set[int]) -> WrittenNote | None:
        for bar, at in self._places_after(note):
            takers = [other for other in self.takers.get((self.sounds[note.id], bar, at), ()) if other.id not in taken]
            takers = [other for other in takers if other.id != note.id]
            if takers:
                return min(takers, key=lambda other: (other.voice != note.voice, other.staff != note.staff, other.id))
        return None

    def _places_after(self, note: WrittenNote) -> list[tuple[int, Fraction]]:
        """Where the next note may begin: where this ends, or the next bar when this ends the part's own bar."""
        end = note.at + note.length
        places = [(note.bar, end)]
        if end >= min(self.scan.lengths[note.bar], self.own_ends[note.bar]):
            places.append((note.bar + 1, Fraction(0)))
        return places

    def _say(self, what: str, note: WrittenNote) -> None:
        self.log.add(what, self.scan.head.called, self.scan.labels[note.bar])


def _own_ends(notes: Sequence[WrittenNote], scan: PartScan, bars: Container[int]) -> list[Fraction]:
    """How far the part itself reaches in each of these bars; 0 for the others."""
    ends = [Fraction(0)] * len(scan.lengths)
    for note in (*notes, *scan.rests):
        if note.bar in bars:
            ends[note.bar] = max(ends[note.bar], note.at + note.length)
    return ends


def _follow(note: WrittenNote, follows: Mapping[int, WrittenNote]) -> tuple[WrittenNote, ...]:
    chain = [note]
    while chain[-1].id in follows:
        chain.append(follows[chain[-1].id])
    return tuple(chain)
