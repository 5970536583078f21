"""Mutated scores give a Piece or a one-line refusal, never another exception.

The seed holds every kind of notation that is read; mutations break its bytes, its tree and its numbers.
`INBREATH_FUZZ_FILES` and `INBREATH_FUZZ_SEED` make longer and other runs.
"""

import os
import random
import traceback
import zipfile
from collections import Counter
from collections.abc import Callable
from copy import deepcopy
from io import BytesIO
from pathlib import Path

import pytest
from lxml import etree

from score.errors import InbreathError
from score.piece import Piece
from score.reading import read_score
from score.reading.score_summary import piece_json, piece_summary

SEED_FILE = Path(__file__).parent / "data" / "everything.musicxml"
FILES = int(os.environ.get("INBREATH_FUZZ_FILES", "2000"))
SEED = int(os.environ.get("INBREATH_FUZZ_SEED", "1"))

NASTY = (
    *("", " ", "0", "-1", "1", "2", "3", "7", "12", "0.5", "-0.5", "3.7", "NaN", "inf", "1e9", "1e400000", "9" * 20),
    *("x", "\u00df", "\u0662", "start", "stop", "single", "yes", "no", "H", "c", "percussion", "none", "1/3", "2+3"),
    *("+", "4+", "eighth", "P1", "P2-I1", "let-ring", "continue", "discontinue", "forward", "backward", "al Coda"),
    *("to crotales", "rit.", "\u00a0", "1,2", "2-1"),
)
TAGS = (
    *("note", "chord", "grace", "cue", "rest", "pitch", "unpitched", "duration", "type", "backup", "forward"),
    *("attributes", "divisions", "time", "beats", "beat-type", "staves", "staff", "voice", "measure", "part"),
    *("direction", "words", "barline", "repeat", "ending", "sound", "tie", "tied", "tremolo", "wavy-line"),
    *("instrument", "transpose", "clef", "score-part", "part-list", "metronome", "beat-unit", "per-minute"),
    *("offset", "lyric", "slur", "wedge"),
)


def _elements(root: etree._Element, rng: random.Random) -> etree._Element:
    return rng.choice([item for item in root.iter("*") if item is not root])


def _delete(root: etree._Element, rng: random.Random) -> None:
    item = _elements(root, rng)
    item.getparent().remove(item)


def _double(root: etree._Element, rng: random.Random) -> None:
    item = _elements(root, rng)
    item.addnext(deepcopy(item))


def _move(root: etree._Element, rng: random.Random) -> None:
    item, into = deepcopy(_elements(root, rng)), _elements(root, rng)
    into.insert(rng.randint(0, len(into)), item)


def _rename(root: etree._Element, rng: random.Random) -> None:
    _elements(root, rng).tag = rng.choice(TAGS)


def _text(root: etree._Element, rng: random.Random) -> None:
    leaves = [item for item in root.iter("*") if len(item) == 0]
    rng.choice(leaves).text = rng.choice(NASTY)


def _attribute(root: etree._Element, rng: random.Random) -> None:
    item = rng.choice([item for item in root.iter("*") if item.attrib] or [root])
    item.set("id", item.get("id", "x"))
    name = rng.choice(sorted(item.attrib))
    if rng.random() < 0.3:
        del item.attrib[name]
    else:
        item.set(name, rng.choice(NASTY))


TREE: tuple[Callable[[etree._Element, random.Random], None], ...] = (
    _delete,
    _double,
    _move,
    _rename,
    _text,
    _text,
    _attribute,
)


def _tree_mutant(seed: bytes, rng: random.Random) -> bytes:
    root = etree.fromstring(seed)
    for _ in range(rng.choice((1, 1, 2, 3, 6, 12))):
        if len(root):
            rng.choice(TREE)(root, rng)
    return etree.tostring(root, encoding="UTF-8", xml_declaration=True)


def _byte_mutant(seed: bytes, rng: random.Random) -> bytes:
    data = bytearray(seed)
    for _ in range(rng.choice((1, 1, 2, 5))):
        at = rng.randrange(len(data))
        match rng.randrange(5):
            case 0:
                data[at] = rng.randrange(256)
            case 1:
                del data[at : at + rng.randint(1, 40)]
            case 2:
                data[at:at] = data[at : at + rng.randint(1, 200)]
            case 3:
                del data[at:]
            case _:
                data[at:at] = rng.choice(
                    (b"<", b">", b"&", b"&#0;", b"&lt;", b"\0", b"\xff", b"]]>", b"<!--", b"0", b"9" * 30)
                )
        if not data:
            break
    return bytes(data)


def _archive_mutant(seed: bytes, rng: random.Random) -> bytes:
    buffer = BytesIO()
    with zipfile.ZipFile(buffer, "w", rng.choice((zipfile.ZIP_DEFLATED, zipfile.ZIP_STORED))) as archive:
        archive.writestr("META-INF/container.xml", '<container><rootfile full-path="s.xml"/></container>')
        archive.writestr("s.xml", seed)
    data = bytearray(buffer.getvalue())
    for _ in range(rng.randint(1, 3)):
        # The directory at the end and the local headers hold what a reader trusts.
        at = rng.choice(
            (rng.randrange(len(data)), rng.randrange(max(0, len(data) - 200), len(data)), rng.randrange(120))
        )
        data[at] = rng.randrange(256)
    return bytes(data)


def _mutant(seed: bytes, rng: random.Random) -> bytes:
    chance = rng.random()
    if chance < 0.1:
        return _archive_mutant(seed, rng)
    return _byte_mutant(seed, rng) if chance < 0.2 else _tree_mutant(seed, rng)


def _check(piece: Piece) -> None:
    """What holds of every piece, whatever it came from."""
    assert [bar.index for bar in piece.bars] == list(range(len(piece.bars)))
    assert all(bar.length > 0 for bar in piece.bars)
    assert set(piece.playing_order) <= set(range(len(piece.bars)))
    assert piece.tempi[0].place == (0, 0)
    for player in piece.players:
        places = [(stroke.bar, stroke.at) for stroke in player.strokes]
        assert places == sorted(places)
        for stroke in player.strokes:
            assert 0 <= stroke.at <= piece.bars[stroke.bar].length
            assert stroke.length >= 0
            assert bool(stroke.pitches) != bool(stroke.places)
            assert all(0 <= pitch <= 127 for pitch in stroke.pitches)
            assert 0 <= stroke.instrument < len(player.instruments)
        for mark in (*player.marks, *player.dynamics, *player.rests):
            assert 0 <= mark.at <= piece.bars[mark.bar].length  # type: ignore[attr-defined]
    assert piece_json(piece)["title"] == piece.title
    assert piece.title in piece_summary(piece)


def _outcome(path: Path) -> str:
    try:
        _check(read_score(path).piece)
    except InbreathError as error:
        return "refused" if "\n" not in error.line else repr(error.line)
    except Exception as error:
        return "".join(traceback.format_exception(error)[-3:])
    return "read"


@pytest.mark.parametrize("files", [FILES // 8, pytest.param(FILES, marks=pytest.mark.campaign)])
def test_mutated_files_are_read_or_refused_in_one_line(tmp_path: Path, files: int) -> None:
    seed = SEED_FILE.read_bytes()
    rng = random.Random(SEED)
    outcomes: Counter[str] = Counter()
    path = tmp_path / "mutant.musicxml"
    for number in range(files):
        data = _mutant(seed, rng)
        path.write_bytes(data)
        outcome = _outcome(path)
        if outcome not in ("read", "refused"):
            (Path(os.environ.get("INBREATH_FUZZ_KEEP", tmp_path)) / f"fails-{number}.musicxml").write_bytes(data)
            pytest.fail(f"file {number} of seed {SEED}: {outcome}")
        outcomes[outcome] += 1
    # Neither outcome is rare, or the mutations would test nothing.
    assert outcomes["read"] > files // 4
    assert outcomes["refused"] > files // 100
