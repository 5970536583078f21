"""The score for all players as the document that is engraved: every part, silent staves hidden system by system."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from lxml import etree

from score.errors import InbreathError
from score.parts.accidentals import accidental_of
from score.parts.asked_signs import space_tempo_words
from score.parts.drawing_tree import parsed, parsed_engraving
from score.parts.engraver import to_mei
from score.parts.engraver_copy import named_notes
from score.parts.fermatas import notes_marked_twice
from score.parts.mended_import import UnimportedSigns, mend_import
from score.parts.printed_bar import MEI, say_numbers
from score.parts.seen_staves import has_note, keep_in_sight, show_only_what_sounds
from score.parts.source_signs import head_of
from score.parts.unpitched_places import place_unpitched
from score.piece import Piece, Player
from score.reading.reading_result import Reading

_FOR_ALL = ("tempo", "reh", "repeatMark")


class FullScore(NamedTuple):
    """A score ready to engrave.

    Attributes:
        root: the MEI document.
        measures: its measures, one for each bar of the piece.
        sounding: for each measure, the numbers of the staves that have a note in it.
    """

    root: etree._Element
    measures: tuple[etree._Element, ...]
    sounding: tuple[frozenset[int], ...]


def full_score(reading: Reading) -> FullScore:
    """The document of the whole score; the score's own is not changed.

    Raises:
        InbreathError: the engraver can make nothing of it, or divides it into other bars.
    """
    copy = named_notes(reading.source.xml)
    tree = parsed(copy)
    signs = _note_signs(tree)
    mei = to_mei(copy, tree)
    if not mei:
        raise _refused()
    root = parsed_engraving(mei)
    measures = tuple(root.iter(MEI + "measure"))
    if len(measures) != len(reading.piece.bars):
        raise _refused()
    say_numbers(measures, reading.piece.bars)
    if ' loc="' in mei:
        place_unpitched(root)
    mend_import(root, signs)
    show_only_what_sounds(root)
    space_tempo_words(root)
    _name_staves(root, reading.piece)
    _join_staves(root)
    for staff in measures[0].findall(MEI + "staff"):
        # Who plays is said once: in the first system everybody is seen.
        keep_in_sight(staff)
    return FullScore(root, measures, tuple(frozenset(_sounding(measure)) for measure in measures))


def _note_signs(source: etree._Element) -> UnimportedSigns:
    notes = [(note.get("id") or "", note) for note in source.iter("note")]
    return UnimportedSigns(
        notes_marked_twice(source),
        {name: head for name, note in notes if (head := head_of(note))},
        {name: sign for name, note in notes if (sign := accidental_of(note))},
    )


def place_marks(score: FullScore, systems: Sequence[range], piece: Piece) -> bool:
    """Put tempi, rehearsal marks and changes of tempo on the highest staff that their system shows.

    Args:
        score: what is engraved.
        systems: indices of the bars of each system, in order.
        piece: the piece.

    Returns:
        whether some stood elsewhere.
    """
    words = {(change.start.bar, change.text) for change in piece.tempo_changes}
    moved = False
    for bars in systems:
        top = str(min(frozenset().union(*(score.sounding[index] for index in bars)), default=1))
        for index in bars:
            for event in score.measures[index]:
                if _is_for_all(event, index, words) and event.get("staff", top) != top:
                    event.set("staff", top)
                    moved = True
    return moved


def _is_for_all(event: etree._Element, bar: int, words: set[tuple[int, str]]) -> bool:
    name = etree.QName(event).localname if isinstance(event.tag, str) else ""
    if name in _FOR_ALL:
        return True
    return name == "dir" and (bar, " ".join("".join(map(str, event.itertext())).split())) in words


def _sounding(measure: etree._Element) -> Iterator[int]:
    for staff in measure.findall(MEI + "staff"):
        if has_note(staff):
            yield int(staff.get("n", "1"))


def _name_staves(root: etree._Element, piece: Piece) -> None:
    """The players' own names at the first system, their short names at the others."""
    for definition, player, part in _parts(root, piece):
        short = player.short if len(player.parts) == 1 else _with_instrument(definition, player.short)
        for tag, name in (("label", player.part_names[part] or player.name), ("labelAbbr", short)):
            old = definition.find(MEI + tag)
            if old is None:
                old = etree.Element(MEI + tag)
                definition.insert(0, old)
            for child in list(old):
                old.remove(child)
            old.text = name


def _parts(root: etree._Element, piece: Piece) -> Iterator[tuple[etree._Element, Player, int]]:
    """Each part's definition of staves, whose it is, and which of the player's parts it is."""
    owners = {part: (player, place) for player in piece.players for place, part in enumerate(player.parts)}
    top = next(root.iter(MEI + "staffGrp"))
    for number, definition in enumerate(_definitions(top)):
        if number in owners:
            yield definition, *owners[number]


def _definitions(group: etree._Element) -> Iterator[etree._Element]:
    """Parts in order: a staff, or a braced group of staves, inside whatever brackets the score has."""
    for item in group:
        if item.tag == MEI + "staffDef" or (item.tag == MEI + "staffGrp" and item.find(MEI + "instrDef") is not None):
            yield item
        elif item.tag == MEI + "staffGrp":
            braced = (sign := item.find(MEI + "grpSym")) is not None and sign.get("symbol") == "brace"
            yield from [item] if braced else _definitions(item)


def _with_instrument(definition: etree._Element, short: str) -> str:
    """The short name of one part of several, as the score has it where it begins with the player's."""
    written = definition.find(MEI + "labelAbbr")
    text = "".join(map(str, written.itertext())).strip() if written is not None else ""
    return text if text.startswith(short) else f"{short} {text}".strip()


def _join_staves(root: etree._Element) -> None:
    """Bar lines run through all players."""
    for group in root.iter(MEI + "staffGrp"):
        group.set("bar.thru", "true")


def _refused() -> InbreathError:
    return InbreathError("Cannot engrave", "the engraver refuses the score", "print the parts instead")
