"""What runs in an engraving process. Importing it loads engraver and page maker."""

import gc
import multiprocessing
import os
import pickle
import signal
import threading
from collections.abc import Mapping, Sequence
from multiprocessing.process import BaseProcess

import typst  # noqa: F401 - loaded before there is anything to engrave
import verovio  # noqa: F401

from score.cues.binding import FirstPage, PlacedSystem, bind
from score.cues.blank import Blank
from score.cues.choice import choose_cues
from score.cues.engraver import in_systems
from score.cues.jobs import Job, Made
from score.cues.making import made_part
from score.cues.paper import PAPERS, Word
from score.piece import Piece

_ONE_BAR = """<mei xmlns="http://www.music-encoding.org/ns/mei"><music><body><mdiv><score>
<scoreDef><staffGrp><staffDef n="1" lines="5"><clef shape="G" line="2"/><meterSig count="4" unit="4"/></staffDef>
</staffGrp></scoreDef><section><measure n="1"><staff n="1"><layer n="1"><note dur="1" oct="4" pname="c"/></layer>
</staff><dir staff="1" tstamp="1">Cue</dir></measure></section></score></mdiv></body></music></mei>"""


def settle_in() -> None:
    """Leave Ctrl-C to the parent, and go when the parent is gone, however it went."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_go_with, args=(parent,), daemon=True).start()
    if hasattr(os, "nice"):
        # Reading goes on meanwhile, and whatever sounds must not stutter.
        os.nice(5)
    # A worker lives for a few seconds and keeps what it makes: collecting would only take time.
    gc.disable()


def _go_with(parent: BaseProcess) -> None:
    parent.join()
    os._exit(1)


def get_ready() -> None:
    """Do everything once, while there is time: what a first part loads takes half as long as making it."""
    system = in_systems(_ONE_BAR, PAPERS["a4"].music_width, 7.0)
    bind([[PlacedSystem(each, 20.0) for each in system]], PAPERS["a4"], FirstPage("Piece", "Player", ("Cues",)), [])


def make_part(job: Job, player: int, blank: Blank) -> Made:
    """A player's part: its cues chosen, as MusicXML and as pages.

    Args:
        job: what is the same for all parts.
        player: the player's number.
        blank: the part, ready for its cues.
    """
    piece, words = _unpacked(job)
    sheet = choose_cues(piece, player, job.level, job.wishes)
    return made_part(blank, piece, sheet, job.pages, words.get(player, ()))


_last: dict[bytes, tuple[Piece, Mapping[int, Sequence[Word]]]] = {}


def _unpacked(job: Job) -> tuple[Piece, Mapping[int, Sequence[Word]]]:
    """The piece and its words; one piece serves all the parts a worker makes."""
    if job.piece not in _last:
        made = pickle.loads(job.piece)
        assert isinstance(made, Piece)
        _last.clear()
        _last[job.piece] = made, job.words(made) if job.words else {}
    return _last[job.piece]
