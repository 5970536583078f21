"""Marks with an extent: hairpins, swells in words, slurs, pedals. What the score never ends is ended by us."""

from collections.abc import Hashable, Sequence
from typing import NamedTuple

from score.beats import Place
from score.piece import Dynamic, Span, SpanKind
from score.reading.direction_words import swell
from score.reading.directions import Direction
from score.reading.part_scan import PartScan
from score.reading.reading_log import WarningLog

_WEDGES = {"crescendo": SpanKind.CRESCENDO, "diminuendo": SpanKind.DIMINUENDO}
_MOST_BARS_OF_WORDS = 4


class _Open(NamedTuple):
    kind: SpanKind
    start: Place
    staff: int


def part_spans(
    scan: PartScan, directions: Sequence[Direction], dynamics: Sequence[Dynamic], log: WarningLog
) -> list[Span]:
    """Every span of a part, by start."""
    collector = _Collector(scan, dynamics, log)
    _slurs(collector)
    for item in directions:
        place = Place(item.bar, item.at)
        match item.tag:
            case "wedge":
                _wedge(collector, item, place)
            case "pedal":
                _pedal(collector, item, place)
            case "dashes":
                _dashes(collector, item, place)
            case "words" if swell(item.text):
                kind = SpanKind.CRESCENDO if swell(item.text) > 0 else SpanKind.DIMINUENDO
                collector.start(("words", item.staff), _Open(kind, place, item.staff))
    return collector.finish()


class _Collector:
    """Pairs starts and stops by key, and ends what stays open."""

    def __init__(self, scan: PartScan, dynamics: Sequence[Dynamic], log: WarningLog) -> None:
        self.scan, self.dynamics, self.log = scan, dynamics, log
        self.open: dict[Hashable, _Open] = {}
        self.spans: list[Span] = []
        self.supplied: list[tuple[int, str]] = []

    def start(self, key: Hashable, span: _Open) -> None:
        if key in self.open:
            self._supply(key)
        self.open[key] = span

    def stop(self, key: Hashable, end: Place) -> bool:
        span = self.open.pop(key, None)
        if span is None:
            return False
        self._add(span, max(end, span.start), True)
        return True

    def finish(self) -> list[Span]:
        for key in list(self.open):
            self._supply(key)
        for bar, what in sorted(self.supplied):
            self.log.add(what, self.scan.head.called, self.scan.labels[bar])
        return sorted(self.spans, key=lambda span: (span.start, span.end, span.kind))

    def _add(self, span: _Open, end: Place, closed: bool) -> None:
        self.spans.append(Span(span.kind, span.start, end, part=self.scan.head.index, staff=span.staff, closed=closed))

    def _supply(self, key: Hashable) -> None:
        """End a span at the next dynamic for a swell in words, and for others at the end of its bar."""
        span = self.open.pop(key)
        bar = span.start.bar
        by_words = isinstance(key, tuple) and key[0] == "words"
        swells = span.kind in _WEDGES.values()
        last = min(bar + (_MOST_BARS_OF_WORDS if by_words else 0), len(self.scan.lengths) - 1)
        after = [Place(item.bar, item.at) for item in self.dynamics if Place(item.bar, item.at) > span.start]
        end = next((place for place in after if swells and place.bar <= last), Place(bar, self.scan.lengths[bar]))
        self._add(span, max(end, span.start), False)
        if not by_words:
            self.supplied.append((bar, f"a {_CALLED[span.kind]} never ends; its end was supplied"))


_CALLED = {
    SpanKind.CRESCENDO: "hairpin",
    SpanKind.DIMINUENDO: "hairpin",
    SpanKind.SLUR: "slur",
    SpanKind.PEDAL: "pedal",
}


def _wedge(collector: _Collector, item: Direction, place: Place) -> None:
    key = ("wedge", item.element.get("number", "1"), item.staff)
    kind = _WEDGES.get(item.element.get("type", ""))
    if kind is not None:
        collector.start(key, _Open(kind, place, item.staff))
    elif item.element.get("type") == "stop" and not collector.stop(key, place):
        # Some programs number the end differently or put it on another staff.
        other = next((key for key in collector.open if isinstance(key, tuple) and key[0] == "wedge"), None)
        if other is not None:
            collector.stop(other, place)


def _dashes(collector: _Collector, item: Direction, place: Place) -> None:
    if item.element.get("type") == "stop":
        collector.stop(("words", item.staff), place)


def _pedal(collector: _Collector, item: Direction, place: Place) -> None:
    key = ("pedal", item.element.get("number", "1"), item.staff)
    kind = item.element.get("type", "")
    if kind in ("stop", "change", "discontinue"):
        collector.stop(key, place)
    if kind in ("start", "sostenuto", "change", "resume"):
        collector.start(key, _Open(SpanKind.PEDAL, place, item.staff))


def _slurs(collector: _Collector) -> None:
    for note in collector.scan.notes:
        place = Place(note.bar, note.at)
        marks = note.marks("slur")
        for slur in sorted(marks, key=lambda mark: mark.get("type") != "stop"):
            key = ("slur", slur.get("number", "1"))
            if slur.get("type") == "stop":
                collector.stop(key, place)
            elif slur.get("type") == "start":
                collector.start(key, _Open(SpanKind.SLUR, place, note.staff))
