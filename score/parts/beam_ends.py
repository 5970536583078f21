"""Beams that the score begins and never ends, or goes on with where none began: mended for the engraver.

It would take whatever follows into such a beam, longer notes too, whose stems then leave the page.
"""

from collections.abc import Iterator

from lxml import etree

from score.parts.drawing_tree import drop

_BEGIN, _END = b">begin</beam>", b">end</beam>"
_GOING_ON = ("continue", "end")
_Beams = dict[str, etree._Element]
"""The beams of a note, by their levels."""
_Chain = list[_Beams]


def has_odd_beams(musicxml: bytes) -> bool:
    """Whether not as many beams begin as end."""
    return musicxml.count(_BEGIN) != musicxml.count(_END)


def mend_beams(part: etree._Element) -> None:
    """End every beam on its last note; one of a single note goes."""
    measures = [{}, *(_voices(measure) for measure in part.iterchildren("measure")), {}]
    for before, voices, after in zip(measures, measures[1:], measures[2:], strict=False):
        for name, notes in voices.items():
            goes_on = _is_open(before.get(name, [])) and _first(notes) in _GOING_ON
            is_left_open = _is_open(notes) and _first(after.get(name, [])) in _GOING_ON
            _mend(notes, goes_on=goes_on, is_left_open=is_left_open)


def _voices(measure: etree._Element) -> dict[str, _Chain]:
    """The notes of each voice that have a stem, by their beams: one of each chord, grace notes apart."""
    voices: dict[str, _Chain] = {}
    for note in measure.iterchildren("note"):
        parts = {child.tag for child in note}
        if "chord" not in parts and ("rest" not in parts or "beam" in parts):
            grace = "grace" if "grace" in parts else ""
            beams = {beam.get("number") or "1": beam for beam in note.iterchildren("beam")}
            voices.setdefault(f"{note.findtext('voice') or '1'} {grace}", []).append(beams)
    return voices


def _first(notes: _Chain) -> str:
    return _kind(notes[0], "1") if notes else ""


def _is_open(notes: _Chain) -> bool:
    return bool(notes) and _kind(notes[-1], "1") in ("begin", "continue")


def _kind(note: _Beams, level: str) -> str:
    beam = note.get(level)
    return "" if beam is None else (beam.text or "").strip()


def _mend(notes: _Chain, *, goes_on: bool, is_left_open: bool) -> None:
    for run in _runs(notes):
        from_before = goes_on and run[0] is notes[0]
        to_after = is_left_open and run[-1] is notes[-1]
        if len(run) == 1 and not from_before and not to_after:
            for beam in run[0].values():
                drop(beam)
            run[0].clear()
            continue
        for level in sorted({name for note in run for name in note}):
            _mend_level(run, level, from_before=from_before, to_after=to_after)


def _runs(notes: _Chain) -> Iterator[_Chain]:
    """Notes under one beam: from where one begins as far as notes have beams and no other begins."""
    run: _Chain = []
    for note in notes:
        kind = _kind(note, "1")
        if run and (not kind or kind == "begin"):
            yield run
            run = []
        if kind:
            run.append(note)
        if kind == "end":
            yield run
            run = []
    if run:
        yield run


def _mend_level(run: _Chain, level: str, *, from_before: bool, to_after: bool) -> None:
    """Begin and end the beams of one level where notes without one stand beside; hooks stay."""
    for place, note in enumerate(run):
        beam = note.get(level)
        if beam is None or "hook" in (beam.text or ""):
            continue
        before = from_before if place == 0 else _holds(run[place - 1], level) and _kind(run[place - 1], level) != "end"
        after = (
            to_after
            if place == len(run) - 1
            else _holds(run[place + 1], level) and _kind(run[place + 1], level) != "begin"
        )
        before = before and _kind(note, level) != "begin"
        after = after and _kind(note, level) != "end"
        beam.text = _name(before, after, place)


def _holds(note: _Beams, level: str) -> bool:
    kind = _kind(note, level)
    return bool(kind) and "hook" not in kind


def _name(before: bool, after: bool, place: int) -> str:
    if before and after:
        return "continue"
    if before or after:
        return "end" if before else "begin"
    return "backward hook" if place else "forward hook"
