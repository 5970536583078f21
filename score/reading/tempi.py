"""Tempi: metronome marks, sounds, metric modulations, words, and gradual changes with their extent.

Marks may stand in any part; the union holds for everyone. At one place a printed number counts before a
modulation, a modulation before a `<sound tempo>`, and that before words alone (MusicXML 4.0: metronome,
sound; tempo of a sound is in quarters a minute).
"""

import re
from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import NamedTuple

from score.beats import Place, value_length
from score.piece import Bar, Tempo, TempoChange
from score.reading.tempo_words import BACK, COMPARATIVE, FASTER, FIRST, SLOWER, named_tempo
from score.reading.xml_cursor import Element, Placed, number, walk_part

USUAL = 100.0
SLOWEST, FASTEST = 4.0, 1000.0
_NUMBER = re.compile(r"\d{1,4}(?:[.,]\d{1,3})?")
_RANK = {"mark": 0, "modulation": 1, "sound": 2, "words": 3}


class _TempoSign(NamedTuple):
    """Something about tempo at one place; a number of 0 is to be worked out from the tempo before."""

    place: Place
    origin: str
    low: float = 0.0
    high: float = 0.0
    ratio: float = 0.0
    text: str = ""
    back: str = ""

    @property
    def rank(self) -> int:
        return _RANK[self.origin]


class _Gradual(NamedTuple):
    kind: str
    start: Place
    text: str
    part: int


def read_tempi(root: Element, bars: Sequence[Bar]) -> tuple[tuple[Tempo, ...], tuple[TempoChange, ...]]:
    """Every tempo, the first at the very beginning, and every gradual change.

    Args:
        root: a repaired `<score-partwise>`.
        bars: its bars.
    """
    signs: list[_TempoSign] = []
    gradual: dict[tuple[str, Place], _Gradual] = {}
    stops: dict[tuple[int, str, Place], Place] = {}
    for index, part in enumerate(root.iterchildren("part")):
        _read_part(part, index, bars, signs, gradual, stops)
    tempi = _tempi(signs)
    return tempi, tuple(_changes(list(gradual.values()), stops, tempi, signs, bars))


def _read_part(
    part: Element,
    index: int,
    bars: Sequence[Bar],
    signs: list[_TempoSign],
    gradual: dict[tuple[str, Place], _Gradual],
    stops: dict[tuple[int, str, Place], Place],
) -> None:
    open_dashes: dict[str, Place] = {}
    for bar, placed in enumerate(walk_part(part)):
        for item in placed:
            if item.element.tag not in ("direction", "sound"):
                continue
            place = Place(bar, min(item.shown_at, bars[bar].length))
            signs += _signs(item, place)
            for kind, text in _gradual_words(item.element):
                gradual.setdefault((kind, place), _Gradual(kind, place, text, part=index))
            for dashes in item.element.iterfind("direction-type/dashes"):
                key = dashes.get("number", "1")
                if dashes.get("type") == "start":
                    open_dashes[key] = place
                elif dashes.get("type") == "stop" and key in open_dashes:
                    stops[index, key, open_dashes.pop(key)] = place


def _signs(item: Placed, place: Place) -> Iterator[_TempoSign]:
    element = item.element
    words = _all_words(element)
    sounds = [element] if element.tag == "sound" else element.findall("sound")
    sounded = next((value for sound in sounds if (value := _tempo(sound.get("tempo")))), 0.0)
    for metronome in element.iterfind("direction-type/metronome"):
        sign = _metronome(metronome, place, words)
        if sign is not None:
            yield sign
            return
    if FIRST.search(words) or BACK.search(words):
        back = "first" if FIRST.search(words) else "before"
        yield _TempoSign(place, "sound" if sounded else "words", sounded, high=sounded, text=words, back=back)
    elif sounded:
        gradual = SLOWER.search(words) or FASTER.search(words)
        yield _TempoSign(place, "sound", sounded, high=sounded, text="" if gradual else words)
    elif element.tag == "direction":
        named = named_tempo(words)
        if named:
            yield _TempoSign(place, "words", named, high=named, text=words)


def _all_words(element: Element) -> str:
    texts = (" ".join((words.text or "").split()) for words in element.iterfind("direction-type/words"))
    return " ".join(text for text in texts if text)


def _gradual_words(element: Element) -> Iterator[tuple[str, str]]:
    words = _all_words(element)
    if BACK.search(words) or FIRST.search(words):
        return
    if element.find("direction-type/metronome") is not None:
        # "Slower" beside a figure names the new tempo; nothing slows down.
        words = COMPARATIVE.sub("", words)
    if SLOWER.search(words):
        yield "rit", words
    elif FASTER.search(words):
        yield "accel", words


def _tempo(text: str | None) -> float:
    value = number(text)
    return float(value) if value is not None and SLOWEST <= value <= FASTEST else 0.0


def _metronome(metronome: Element, place: Place, words: str) -> _TempoSign | None:
    units = _beat_units(metronome)
    stated = metronome.findtext("per-minute")
    if stated is not None and units:
        figures = [float(text.replace(",", ".")) for text in _NUMBER.findall(stated)]
        values = [value * float(units[0]) for value in figures if SLOWEST <= value * float(units[0]) <= FASTEST]
        if not values:
            return None
        low, high = min(values[:2]), max(values[:2])
        return _TempoSign(place, "mark", low, high=high, text=" ".join(filter(None, (words, " ".join(stated.split())))))
    if len(units) == 2:
        return _TempoSign(place, "modulation", ratio=float(units[1] / units[0]), text=words)
    ratio = _note_ratio(metronome)
    return _TempoSign(place, "modulation", ratio=float(ratio), text=words) if ratio else None


def _beat_units(metronome: Element) -> list[Fraction]:
    """Lengths of the beat units in order, dots and tied units counted."""
    units: list[Fraction] = []
    for child in metronome.iterchildren("*"):
        if child.tag == "beat-unit":
            length = value_length((child.text or "").strip())
            if length is None:
                return []
            units.append(length)
        elif child.tag == "beat-unit-dot" and units:
            units[-1] += _dot(units[-1])
    return units


def _dot(length: Fraction) -> Fraction:
    """What one more dot adds: a plain value is a power of two quarters, and each dot halves the last step."""
    step = Fraction(1)
    while step > length:
        step /= 2
    while step * 2 <= length:
        step *= 2
    return step / 2 if length == step else (2 * step - length) / 2


def _note_ratio(metronome: Element) -> Fraction | None:
    """New length over old of "old notes = new notes" written as metronome-notes; None when there is none."""
    sides: list[Fraction] = [Fraction(0)]
    for child in metronome.iterchildren("*"):
        if child.tag == "metronome-relation":
            sides.append(Fraction(0))
        elif child.tag == "metronome-note":
            length = value_length((child.findtext("metronome-type") or "").strip(), len(child.findall("metronome-dot")))
            actual, normal = (number(child.findtext(f"metronome-tuplet/{name}-notes")) for name in ("actual", "normal"))
            scale = normal / actual if actual and normal else Fraction(1)
            sides[-1] += (length or 0) * scale
    return sides[1] / sides[0] if len(sides) == 2 and all(sides) else None


def _tempi(signs: Sequence[_TempoSign]) -> tuple[Tempo, ...]:
    best: dict[Place, _TempoSign] = {}
    for sign in signs:
        if sign.place not in best or sign.rank < best[sign.place].rank:
            best[sign.place] = sign
    tempi: list[Tempo] = []
    for place in sorted(best):
        tempo = _resolved(best[place], tempi)
        if tempo is not None and not _is_same(tempo, tempi):
            tempi.append(tempo)
    if not tempi or tempi[0].place > Place(0, Fraction(0)):
        tempi.insert(0, Tempo(0, Fraction(0), USUAL, low=USUAL, high=USUAL, text="", origin="default"))
    return tuple(tempi)


def _resolved(sign: _TempoSign, before: Sequence[Tempo]) -> Tempo | None:
    now = before[-1] if before else None
    low, high = sign.low, sign.high
    if sign.ratio:
        low = high = (now.quarters_per_minute if now else USUAL) * sign.ratio
    elif sign.back and not low:
        source = before[0] if sign.back == "first" and before else now
        low, high = (source.low, source.high) if source else (USUAL, USUAL)
    if not SLOWEST <= low <= FASTEST:
        return None
    return Tempo(
        sign.place.bar, sign.place.at, (low + high) / 2, low=low, high=high, text=sign.text, origin=sign.origin
    )


def _is_same(tempo: Tempo, before: Sequence[Tempo]) -> bool:
    """A sound that repeats the tempo in force (exporters write one at every system) says nothing new."""
    return bool(before) and not tempo.text and before[-1].quarters_per_minute == tempo.quarters_per_minute


def _changes(
    gradual: Sequence[_Gradual],
    stops: dict[tuple[int, str, Place], Place],
    tempi: Sequence[Tempo],
    signs: Sequence[_TempoSign],
    bars: Sequence[Bar],
) -> Iterator[TempoChange]:
    dashed = {(part, start): end for (part, _, start), end in sorted(stops.items(), key=lambda item: item[0][2])}
    backs = sorted({sign.place for sign in signs if sign.back})
    marks = sorted({tempo.place for tempo in tempi})
    starts = sorted(change.start for change in gradual)
    for change in sorted(gradual, key=lambda change: change.start):
        end, extent = _extent(change, dashed, backs, marks, bars)
        follower = next((start for start in starts if start > change.start), None)
        if follower is not None and follower < end:
            end = follower
        if end > change.start:
            yield TempoChange(change.kind, change.start, end, text=change.text, extent=extent)


def _extent(
    change: _Gradual,
    dashed: dict[tuple[int, Place], Place],
    backs: Sequence[Place],
    marks: Sequence[Place],
    bars: Sequence[Bar],
) -> tuple[Place, str]:
    """Where a change ends: its dashes, a tempo or "a tempo" within eight bars, else its bar (or the next)."""
    printed = dashed.get((change.part, change.start))
    if printed is not None and printed > change.start:
        return printed, "dashes"
    far = change.start.bar + 8
    back = next((place for place in backs if change.start < place and place.bar <= far), None)
    mark = next((place for place in marks if change.start < place and place.bar <= far), None)
    if back is not None and (mark is None or back <= mark):
        return back, "words"
    if mark is not None:
        return mark, "tempo"
    bar = bars[change.start.bar]
    is_late = bar.length - change.start.at < 2 * bar.meter.beat and bar.index + 1 < len(bars)
    last = bars[bar.index + 1] if is_late else bar
    return Place(last.index, last.length), "default"
