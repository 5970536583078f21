"""What one `<note>` says, gathered in one pass over its children.

Reading asks a note some thirty questions. Each search through the tree costs as much as this whole pass; so the pass is
made once, when the bars are walked, and what it gathers is asked.
"""

from sys import intern
from typing import NamedTuple

from lxml import etree

Element = etree._Element


class NoteSigns(NamedTuple):
    """Texts as they stand in the document; None where an element is missing, "" where it is empty.

    Attributes:
        duration, type, staff, voice: of the elements of those names.
        dots: how many.
        ratio: (actual-notes, normal-notes) of a tuplet, or None.
        chord, grace, cue, rest: whether there is such an element.
        pitch: (step, alter, octave), or None.
        unpitched: (display-step, display-octave), or None.
        kinds: how many of pitch, unpitched and rest there are; one in a sound note.
        notehead: "normal" where none is given.
        instrument: the id it refers to, or "".
        beam: what its first-level beam does ("begin"), or None.
        ties: type of each sounding tie.
        notations: its `<notations>`; most notes have none.
        lyrics: its `<lyric>`s.
        print_cue_full: its `<type>` is of size "full", so that a cue note is drawn as an ordinary one.
    """

    duration: str | None = None
    type: str | None = None
    staff: str | None = None
    voice: str | None = None
    dots: int = 0
    ratio: tuple[str | None, str | None] | None = None
    chord: bool = False
    grace: bool = False
    cue: bool = False
    rest: bool = False
    pitch: tuple[str | None, str | None, str | None] | None = None
    unpitched: tuple[str | None, str | None] | None = None
    kinds: int = 0
    notehead: str = "normal"
    instrument: str = ""
    beam: str | None = None
    ties: tuple[str | None, ...] = ()
    notations: tuple[Element, ...] = ()
    lyrics: tuple[Element, ...] = ()
    print_cue_full: bool = False

    @property
    def foreign_cue(self) -> bool:
        """Whether it is another player's, printed small: MusicXML 4.0, cue and type."""
        return self.cue and not self.print_cue_full


def note_signs(note: Element) -> NoteSigns:
    """What a `<note>` says; of an element that may stand once the first counts."""
    first: dict[str, Element] = {}
    several: dict[str, list[Element]] = {}
    kinds = 0
    for child in note.iterchildren("*"):
        tag = str(child.tag)
        if tag in _SEVERAL:
            several.setdefault(tag, []).append(child)
        else:
            kinds += tag in _KINDS
            first.setdefault(tag, child)
    cue, printed = "cue" in first, first.get("type")
    return NoteSigns(
        _text(first.get("duration")),
        _text(printed),
        _text(first.get("staff")),
        voice=_text(first.get("voice")),
        dots=len(several.get("dot", ())),
        ratio=_ratio(first.get("time-modification")),
        chord="chord" in first,
        grace="grace" in first,
        cue=cue,
        rest="rest" in first,
        pitch=_pitch(first.get("pitch")),
        unpitched=_unpitched(first.get("unpitched")),
        kinds=kinds,
        notehead=(_text(first.get("notehead")) or "normal").strip(),
        instrument=first["instrument"].get("id", "") if "instrument" in first else "",
        beam=next((beam.text for beam in several.get("beam", ()) if beam.get("number", "1") == "1"), None),
        ties=tuple(tie.get("type") for tie in several.get("tie", ())),
        notations=tuple(several.get("notations", ())),
        lyrics=tuple(several.get("lyric", ())),
        print_cue_full=cue and printed is not None and printed.get("size") == "full",
    )


_SEVERAL = frozenset({"dot", "notations", "tie", "lyric", "beam"})
_KINDS = frozenset({"pitch", "unpitched", "rest"})


def _text(element: Element | None) -> str | None:
    return None if element is None else intern(element.text or "")


def _pitch(pitch: Element | None) -> tuple[str | None, str | None, str | None] | None:
    if pitch is None:
        return None
    first = _by_tag(pitch)
    return _text(first.get("step")), _text(first.get("alter")), _text(first.get("octave"))


def _unpitched(unpitched: Element | None) -> tuple[str | None, str | None] | None:
    if unpitched is None:
        return None
    first = _by_tag(unpitched)
    return _text(first.get("display-step")), _text(first.get("display-octave"))


def _ratio(ratio: Element | None) -> tuple[str | None, str | None] | None:
    if ratio is None:
        return None
    first = _by_tag(ratio)
    return _text(first.get("actual-notes")), _text(first.get("normal-notes"))


def _by_tag(element: Element) -> dict[str, Element]:
    first: dict[str, Element] = {}
    for child in element.iterchildren("*"):
        first.setdefault(str(child.tag), child)
    return first
