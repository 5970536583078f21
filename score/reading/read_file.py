"""A score file to a `Reading`: the one call everything else begins with."""

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

from score.group.group_file import Group
from score.piece import Piece
from score.plain_text import file_stem
from score.progress import ReportProgress
from score.reading.bar_lengths import lengths_of, part_extents, uneven_bars
from score.reading.collection_pause import collection_paused
from score.reading.listed_names import with_plain_names
from score.reading.part_heads import bar_labels, part_heads
from score.reading.playing_order import playing_order
from score.reading.read_bars import read_bars
from score.reading.read_part import ReadPart, read_part
from score.reading.read_players import make_player
from score.reading.reading_log import WarningLog
from score.reading.reading_result import Outline, Reading
from score.reading.repair import repair
from score.reading.rosters import chairs
from score.reading.safe_opening import OpenedScore, open_document
from score.reading.size_limits import check_lengths
from score.reading.tempi import read_tempi
from score.reading.titles import score_title
from score.reading.xml_cursor import Element, walks_kept

HandOutline = Callable[[Outline], None]


def read_score(
    path: Path,
    group: Group | None = None,
    progress: ReportProgress | None = None,
    outlined: HandOutline | None = None,
) -> Reading:
    """Read a MusicXML score (1.0-4.0; .musicxml, .xml or .mxl; partwise or timewise).

    Args:
        path: the score; it is only read.
        group: what the group's file says, or None.
        progress: told "reading" and how much is done, from 0 to 1.
        outlined: given the outline as soon as it is known, while the notes are still to be read; the score may
            still be refused after that.

    Raises:
        ScoreFileError: the file cannot be read as a score, or is refused.
        GroupFileError: the group's file contradicts the score.
    """
    report = progress or (lambda _, __: None)
    report("reading", 0.0)
    log = WarningLog()
    opened = open_document(path, log)
    report("reading", 0.1)
    with collection_paused():
        piece = _piece(opened, group, log, report, outlined or (lambda _: None))
    report("reading", 1.0)
    return Reading(piece, opened.source)


def _piece(
    opened: OpenedScore,
    group: Group | None,
    log: WarningLog,
    report: ReportProgress,
    outlined: HandOutline,
) -> Piece:
    root = opened.root
    signs = repair(root, log)
    seats = chairs(part_heads(root), group)
    with walks_kept(root, signs):
        lengths = _lengths(opened, root, log)
        bars = read_bars(root, lengths)
        tempi, changes = read_tempi(root, bars)
        outlined(
            Outline(
                opened.source,
                bars,
                tempi,
                tempo_changes=changes,
                players=tuple((seat.number, seat.parts) for seat in seats),
            )
        )
        parts = _parts(root, lengths, log, report)
        order, said = playing_order(root, bars)
    log.extend(said)
    title = score_title(root)
    return Piece(
        title or file_stem(opened.source.path),
        tuple(make_player(chair, [parts[index] for index in chair.parts]) for chair in seats),
        bars,
        playing_order=tuple(order),
        tempi=tempi,
        tempo_changes=changes,
        warnings=log.in_order([bar.label or f"({bar.index + 1})" for bar in bars]),
        digest=opened.source.digest,
        is_untitled=not title,
    )


def _lengths(opened: OpenedScore, root: Element, log: WarningLog) -> list[Fraction]:
    extents = [part_extents(part) for part in root.iterchildren("part")]
    lengths = lengths_of(extents)
    check_lengths(opened.source.path.name, lengths)
    uneven_bars(extents, part_heads(root), [bar_labels(part) for part in root.iterchildren("part")], log)
    return lengths


def _parts(root: Element, lengths: list[Fraction], log: WarningLog, report: ReportProgress) -> list[ReadPart]:
    heads = with_plain_names(part_heads(root))
    parts: list[ReadPart] = []
    notes_log = WarningLog()
    for part, head in zip(root.iterchildren("part"), heads, strict=True):
        parts.append(read_part(part, head, lengths, log, notes_log))
        report("reading", 0.1 + 0.8 * len(parts) / len(heads))
    log.extend(notes_log.warnings)
    return parts
