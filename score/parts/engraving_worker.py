"""What runs in an engraving process. Importing it loads engraver and page maker."""

import gc
import os
import pickle
from collections.abc import Iterator, Mapping

import typst  # noqa: F401 - loaded before there is anything to engrave
import verovio  # noqa: F401

from score.cues.cue_choice import choose_cues
from score.parts.binding import PlacedSystem, bind
from score.parts.engraver import in_systems
from score.parts.make_part import make_part
from score.parts.paper import PAPERS
from score.parts.part_jobs import FinishedPart, Job
from score.parts.title_block import FirstPage
from score.parts.uncued_part import UncuedPart
from score.piece import Piece
from score.setup.player_notes import PlayerNotes

_ONE_BAR = """<mei xmlns="http://www.music-encoding.org/ns/mei"><music><body><mdiv><score>
<scoreDef><staffGrp><staffDef n="1" lines="5"><clef shape="G" line="2"/><meterSig count="4" unit="4"/></staffDef>
</staffGrp></scoreDef><section><measure n="1"><staff n="1"><layer n="1"><note dur="1" oct="4" pname="c"/></layer>
</staff><dir staff="1" tstamp="1">Cue</dir></measure></section></score></mdiv></body></music></mei>"""


def lower_priority() -> None:
    """Give way to whoever reads or sounds, and collect no rubbish."""
    if hasattr(os, "nice"):
        # Reading goes on meanwhile, and whatever sounds must not stutter.
        os.nice(5)
    # A worker lives for a few seconds and keeps what it makes: collecting would only take time.
    gc.disable()


def warm_up() -> None:
    """Do everything once, while there is time: what a first part loads takes half as long as making it."""
    system = in_systems(_ONE_BAR, PAPERS["a4"].music_width, 7.0)
    bind([[PlacedSystem(each, 20.0) for each in system]], PAPERS["a4"], FirstPage("Piece", "Player", ("Cues",)), {})


def make_parts(job: Job, uncued: Mapping[int, UncuedPart | Exception]) -> Iterator[FinishedPart]:
    """Parts, one after another: their cues chosen, as MusicXML and as pages.

    Args:
        job: what is the same for all parts.
        uncued: the parts, ready for their cues, by player's number; what went wrong where there is none.
    """
    piece = pickle.loads(job.piece)
    assert isinstance(piece, Piece)
    notes = job.notes(piece) if job.notes else {}
    last = job.last or {}
    for player, part in uncued.items():
        if isinstance(part, Exception):
            raise part
        sheet = choose_cues(piece, player, job.level, job.wishes)
        yield make_part(part, piece, sheet, job.pages, notes.get(player, PlayerNotes()), job.marks, last.get(player))
