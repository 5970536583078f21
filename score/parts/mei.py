"""From a cue-annotated part to the document that is engraved: MEI, edited for the page.

The engraver imports MusicXML; what the page needs and the importer does not do is done here: empty cue
staves and other resting staves hide, the player's own staff stays, rests join into multi-bar rests, meters
print where they should, and marks for everybody move to a staff that is seen.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import NamedTuple

from lxml import etree

from score.activity.agreed_marks import AgreedMark
from score.parts.agreed_overlay import set_anchors
from score.parts.asked_signs import clear_tuplets, drop_repeated_tempi, mark_dashes, space_tempo_words
from score.parts.cue_notes import five_lines, write_cues
from score.parts.cue_room import mark_cue_staves, space_cue_lines
from score.parts.cue_staff import CueBar
from score.parts.drawing_tree import parsed_engraving
from score.parts.fermatas import notes_with_both
from score.parts.instrument_entries import InstrumentEntry, entries_by_bar
from score.parts.key_changes import print_keys
from score.parts.mended_import import UnimportedSigns, mend_import
from score.parts.meter_changes import print_meters
from score.parts.multi_rests import join_rests
from score.parts.open_curves import open_curves
from score.parts.printed_bar import CUE_TYPE, FOR_ALL, MEI, PrintedBar, say_numbers
from score.parts.score_jobs import Curve
from score.parts.seen_staves import group_own_staves, keep_own_staff, show_only_what_sounds
from score.parts.source_signs import SourceSign
from score.parts.staff_names import name_staves, part_names
from score.parts.unpitched_places import place_unpitched
from score.piece import Bar, Piece

_CLEF = MEI + "clef"


class Document(NamedTuple):
    """A part ready to engrave.

    Attributes:
        root: the MEI document.
        bars: every printed measure, in order.
        cue_staves: numbers of the cue staves.
        parts: for each of the player's parts, the numbers of its staves.
        rows: what each cue staff holds, a cue bar for each bar of the piece.
        all_bars: the piece's bars.
        entries: for each bar of the piece the first stroke, where one of several instruments has to be taken up.
        lengths: of the piece's bars, quarters; as many as there are measures where those are not the bars.
        in_bars: whether the measures are the piece's bars one for one; if not, nothing was joined.
        opened: indices of the bars in which a tie, a slur, a hairpin or a line begins that ends nowhere.
        marks: what the group has agreed, drawn over it.
        curve: the tempo to draw over it where a shape changes it.
    """

    root: etree._Element
    bars: tuple[PrintedBar, ...]
    cue_staves: range
    parts: tuple[range, ...]
    rows: tuple[tuple[CueBar, ...], ...]
    all_bars: tuple[Bar, ...]
    entries: tuple[InstrumentEntry | None, ...]
    lengths: tuple[Fraction, ...]
    in_bars: bool
    opened: tuple[int, ...] = ()
    marks: tuple[AgreedMark, ...] = ()
    curve: Curve | None = None


def part_document(
    mei: str,
    piece: Piece,
    player: int,
    rows: Sequence[Sequence[CueBar]],
    staves: Sequence[int],
    *,
    rests_joined: bool = True,
    signs: Sequence[SourceSign] = (),
    marks: Sequence[AgreedMark] = (),
) -> Document:
    """The document to engrave.

    Args:
        mei: what the engraver imported from the part's MusicXML with empty cue staves.
        piece: the piece.
        player: the player's number.
        rows: what each cue staff holds, bar by bar.
        staves: how many staves each of the player's own parts has.
        rests_joined: bars of rest become one multi-bar rest where nothing stands in them.
        signs: of the part, among them heads and keys that the engraver's import leaves out.
        marks: what the group has agreed, for this part; a rest is not joined over one.
    """
    root = parsed_engraving(mei)
    bars = [PrintedBar(measure, index, index, cued=False) for index, measure in enumerate(root.iter(MEI + "measure"))]
    document = _bare_document(root, bars, piece, player, rows, staves)._replace(marks=tuple(marks))
    if ' loc="' in mei:
        place_unpitched(root)
    _fill_bars(document, piece, signs)
    opened = open_curves(bars, piece.bars, document.parts[0][0]) if document.in_bars else []
    name_staves(root, part_names(piece, player), document.parts, _sources(rows))
    _set_staves(root, bars, document.parts, rows)
    if document.in_bars:
        _print_changes(document, piece, signs)
        bars = join_rests(bars, piece, document.parts) if rests_joined else bars
    for bar in bars:
        keep_own_staff(bar.measure, document.parts)
    return document._replace(bars=tuple(bars), opened=tuple(opened))


def _bare_document(
    root: etree._Element,
    bars: Sequence[PrintedBar],
    piece: Piece,
    player: int,
    rows: Sequence[Sequence[CueBar]],
    staves: Sequence[int],
) -> Document:
    """The document as it was imported."""
    in_bars = len(bars) == len(piece.bars)
    return Document(
        root,
        tuple(bars),
        range(1, len(rows) + 1),
        parts=tuple(_numbered(staves, len(rows) + 1)),
        rows=tuple(map(tuple, rows)),
        all_bars=piece.bars,
        entries=tuple(entries_by_bar(piece.player(player), len(piece.bars))),
        lengths=tuple(bar.length for bar in piece.bars) if in_bars else (Fraction(4),) * len(bars),
        in_bars=in_bars,
    )


def _fill_bars(document: Document, piece: Piece, signs: Sequence[SourceSign]) -> None:
    """Write the cues and put right what was imported."""
    if document.in_bars:
        _fill_cue_staves(document.bars, piece.bars, document.rows)
    for bar in document.bars:
        _mark_words(bar, document.rows, document.cue_staves)
    mend_import(document.root, _note_signs(signs))
    drop_repeated_tempi(document.root)
    mark_dashes(document.root, document.bars, piece)
    clear_tuplets(document.root)
    space_tempo_words(document.root)


def _print_changes(document: Document, piece: Piece, signs: Sequence[SourceSign]) -> None:
    """Meters and keys where they change, and anchors for what the group has agreed."""
    staves = _own_staves(signs, document.parts) or {"": range(document.parts[0][0], document.parts[-1][-1] + 1)}
    meters, keys = ([sign for sign in signs if sign.kind == kind] for kind in ("meter", "key"))
    print_meters(document.root, document.bars, piece.bars, meters, staves)
    print_keys(document.bars, keys, staves)
    set_anchors(document.bars, document.marks, document.parts[0][0], piece)


def _fill_cue_staves(bars: Sequence[PrintedBar], all_bars: Sequence[Bar], rows: Sequence[Sequence[CueBar]]) -> None:
    """Write the cues where the measures are the piece's bars one for one."""
    say_numbers([bar.measure for bar in bars], all_bars)
    write_cues([bar.measure for bar in bars], all_bars, rows)
    for bar in bars:
        bar.cued = any(row[bar.first].signs for row in rows)
        bar.cue_staves = frozenset(number for number, row in enumerate(rows, 1) if row[bar.first].is_seen)


def _note_signs(signs: Sequence[SourceSign]) -> UnimportedSigns:
    heads, accidentals = (
        {sign.note: sign.text for sign in signs if sign.kind == kind} for kind in ("notehead", "accidental")
    )
    return UnimportedSigns(notes_with_both(signs), heads, accidentals)


def _set_staves(
    root: etree._Element, bars: Sequence[PrintedBar], parts: Sequence[range], rows: Sequence[Sequence[CueBar]]
) -> None:
    """Which staves are seen, how far apart they stand, and what kind they are."""
    cue_staves = range(1, parts[0][0])
    show_only_what_sounds(root)
    five_lines(root, cue_staves, rows)
    mark_cue_staves((bar.measure for bar in bars), cue_staves)
    space_cue_lines(root, cue_staves)
    group_own_staves(root, cue_staves)


def _own_staves(signs: Sequence[SourceSign], parts: Sequence[range]) -> dict[str, range]:
    """The player's own staves by the id of their part."""
    own = dict.fromkeys(sign.part for sign in signs if sign.kind in ("clef", "note", "rest"))
    return dict(zip(own, parts, strict=False))


def _numbered(staves: Sequence[int], first: int) -> Iterator[range]:
    for count in staves:
        yield range(first, first + count)
        first += count


def _sources(rows: Sequence[Sequence[CueBar]]) -> list[str]:
    """Who is shown on each cue staff, where there is one for each other player; else nothing."""
    return [next((cue.source for cue in row if cue.source), "") if len(rows) > 1 else "" for row in rows]


def _mark_words(bar: PrintedBar, rows: Sequence[Sequence[CueBar]], cues: range) -> None:
    """Tell the cue staff's own words from words for everybody beside them."""
    words = list(bar.measure.iterchildren(MEI + "dir"))
    texts = {text for row in rows for _, text, _ in row[bar.first].words} if words else ()
    for event in words:
        if int(event.get("staff", "0").split()[0]) in cues:
            text = " ".join("".join(map(str, event.itertext())).split())
            event.set("type", CUE_TYPE if text in texts else FOR_ALL)


def staff_kinds(document: Document) -> dict[int, tuple[int, str]]:
    """How many lines the player's own staves have, 0 for the usual, and their first clefs, by number from 0.

    Of a clef its letter and its line ("F4"); "" for that of percussion.
    """
    first, kinds = document.parts[0][0], dict[int, tuple[int, str]]()
    for definition in document.root.iter(MEI + "staffDef"):
        staff, lines, clef = (
            int(definition.get("n") or 0) - first,
            definition.get("lines") or "",
            definition.find(_CLEF),
        )
        sign = "" if clef is None else f"{clef.get('shape') or ''}{clef.get('line') or ''}"
        if staff >= 0:
            # Definitions with a new meter alone say neither; they come later.
            kinds.setdefault(staff, (int(lines) if lines.isdigit() else 0, sign))
    return kinds
