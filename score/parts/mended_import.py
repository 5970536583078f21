"""What the engraver's import of MusicXML leaves out or adds, put right in a part and in the score for all alike."""

from collections.abc import Collection, Mapping
from typing import NamedTuple

from lxml import etree

from score.parts.accidentals import print_accidentals
from score.parts.arpeggios import join_arpeggios
from score.parts.asked_signs import drop_endless_beams, drop_hidden, measure_graces, shape_heads, show_font_signs
from score.parts.fermatas import print_both_fermatas


class UnimportedSigns(NamedTuple):
    """What the engraver's import leaves out of notes, by their ids.

    Attributes:
        twice: notes with two fermatas.
        heads: names of heads.
        accidentals: signs before notes.
    """

    twice: Collection[str]
    heads: Mapping[str, str]
    accidentals: Mapping[str, str]


def mend_import(root: etree._Element, signs: UnimportedSigns) -> None:
    """Put right what the import has left out of a document, or added to it."""
    drop_hidden(root)
    measure_graces(root)
    drop_endless_beams(root)
    if signs.heads:
        shape_heads(root, signs.heads)
    if signs.accidentals:
        print_accidentals(root, signs.accidentals)
    print_both_fermatas(root, signs.twice)
    join_arpeggios(root)
    show_font_signs(root)
