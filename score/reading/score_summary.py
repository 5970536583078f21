"""What a score holds, for a musician to check and for programs to read.

JSON, keys that stay: `title`; `players`, each with `number`, `name`, `short`, `parts` (printed names),
`instruments` (names, in order of first use) and `strokes`, each with `bar` (index from 0), `at` and `length`
(quarters as fractions, "3/2"), `pitches` (sounding MIDI numbers; empty when unpitched), `kind` ("stroke",
"roll", "grace"), `instrument` (its name) and `dynamic`; `bars`, each with `index`, `label`, `start`, `length`
(fractions of quarters), `meter` and `rehearsal_mark`; `playing_order`, indices of bars; `tempi`, each with
`bar`, `at`, `quarters_per_minute` and `text`; `warnings`, one line each.
"""

from collections.abc import Iterable, Sequence
from itertools import groupby

from score.beats import Place, minutes_text, note_value, quarters_text
from score.piece import Bar, MarkKind, Piece, Player, Stroke, StrokeKind, Tempo
from score.places import bar_name, bars_name
from score.plain_text import several

_WIDE = 100


def piece_json(piece: Piece) -> dict[str, object]:
    """Everything a score holds, as values JSON can write; the keys are listed above."""
    return {
        "title": piece.title,
        "players": [_player_json(player) for player in piece.players],
        "bars": [_bar_json(bar) for bar in piece.bars],
        "playing_order": list(piece.playing_order),
        "tempi": [_tempo_json(tempo) for tempo in piece.tempi],
        "warnings": [warning.line for warning in piece.warnings],
    }


def piece_summary(piece: Piece) -> str:
    """The score in words: players, instruments, bars, length, meters, tempi, marks and warnings."""
    blocks = [
        _head(piece),
        _block("Players", [line for player in piece.players for line in _player_lines(piece, player)]),
        _block("Meters", [_places(piece, _meters(piece))]),
        _block("Tempi", [*(_tempo_line(piece, tempo) for tempo in piece.tempi), *_change_lines(piece)]),
        _block("Rehearsal marks", [_places(piece, _rehearsal_marks(piece))]),
        _block("Playing order", [_order_line(piece)]),
        _block("Marks", _mark_lines(piece)),
        _block(f"Warnings ({len(piece.warnings)})" if piece.warnings else "Warnings", _warning_lines(piece)),
    ]
    return "\n\n".join(block for block in blocks if block)


def _player_json(player: Player) -> dict[str, object]:
    names = [instrument.name for instrument in player.instruments]
    return {
        "number": player.number,
        "name": player.name,
        "short": player.short,
        "parts": list(player.part_names),
        "instruments": names,
        "strokes": [_stroke_json(stroke, names) for stroke in player.strokes],
    }


def _stroke_json(stroke: Stroke, names: Sequence[str]) -> dict[str, object]:
    return {
        "bar": stroke.bar,
        "at": quarters_text(stroke.at),
        "length": quarters_text(stroke.length),
        "pitches": list(stroke.pitches),
        "kind": stroke.kind.value,
        "instrument": names[stroke.instrument],
        "dynamic": stroke.dynamic,
    }


def _bar_json(bar: Bar) -> dict[str, object]:
    return {
        "index": bar.index,
        "label": bar.label,
        "start": quarters_text(bar.start),
        "length": quarters_text(bar.length),
        "meter": bar.meter.text,
        "rehearsal_mark": bar.rehearsal_mark,
    }


def _tempo_json(tempo: Tempo) -> dict[str, object]:
    return {
        "bar": tempo.bar,
        "at": quarters_text(tempo.at),
        "quarters_per_minute": tempo.quarters_per_minute,
        "text": tempo.text,
    }


def _head(piece: Piece) -> str:
    played = len(piece.playing_order)
    bars = several(len(piece.bars), "bar") + (f", {played} as played" if played != len(piece.bars) else "")
    players = several(len(piece.players), "player")
    return f"{piece.title}\n  {players}; {bars}; about {minutes_text(played_seconds(piece))} (minutes:seconds)"


def played_seconds(piece: Piece) -> float:
    """How long the piece lasts in seconds at its own tempi, in playing order, holds included."""
    from score.time.pulse import route_tempo_map
    from score.time.route import whole

    route = whole(piece)
    return route_tempo_map(piece, route).seconds(route.length)


def _block(title: str, lines: Iterable[str]) -> str:
    kept = [f"  {line}" for line in lines if line]
    return "\n".join([title, *kept]) if kept else ""


def _player_lines(piece: Piece, player: Player) -> list[str]:
    instruments = ", ".join(instrument.name for instrument in player.instruments) or "nothing to play"
    called = f"{player.number}  {player.name}" + (f" ({player.short})" if player.short != player.name else "")
    lines = [f"{called}: {instruments}", f"   {_counts(piece, player)}"]
    if len(player.parts) > 1:
        lines.insert(1, f"   reads {', '.join(name or '(unnamed)' for name in player.part_names)}")
    return lines


def _counts(piece: Piece, player: Player) -> str:
    kinds = [stroke.kind for stroke in player.strokes]
    counts = [several(count, kind.value) for kind in StrokeKind if (count := kinds.count(kind))]
    if not player.strokes:
        return "no strokes"
    return f"{', '.join(counts)}; first in bar {bar_name(piece, player.strokes[0].bar)}"


def _meters(piece: Piece) -> list[tuple[str, int]]:
    return [
        (text or "unmeasured", next(bars).index) for text, bars in groupby(piece.bars, key=lambda bar: bar.meter.text)
    ]


def _rehearsal_marks(piece: Piece) -> list[tuple[str, int]]:
    return [(bar.rehearsal_mark, bar.index) for bar in piece.bars if bar.rehearsal_mark]


def _places(piece: Piece, places: Sequence[tuple[str, int]]) -> str:
    return ", ".join(f"{text} (bar {bar_name(piece, index)})" for text, index in places)


def _tempo_line(piece: Piece, tempo: Tempo) -> str:
    speed = f"quarter = {_figure(tempo.quarters_per_minute)}"
    if tempo.low != tempo.high:
        speed += f" (printed {_figure(tempo.low)} to {_figure(tempo.high)})"
    said = f", {tempo.text!r}" if tempo.text else ""
    why = {"sound": ", from playback data", "default": ", assumed: none is printed", "words": ", from the words"}
    return f"{_place_name(piece, tempo.place)}: {speed}{said}{why.get(tempo.origin, '')}"


def _change_lines(piece: Piece) -> list[str]:
    return [
        f"{_extent(piece, change.start, change.end)}: {change.text or change.kind}" for change in piece.tempo_changes
    ]


def _extent(piece: Piece, start: Place, end: Place) -> str:
    if end == Place(start.bar, piece.bars[start.bar].length):
        return f"{_place_name(piece, start)} to the end of the bar" if start.at else _place_name(piece, start)
    return f"{_place_name(piece, start)} to {_place_name(piece, end)}"


def _figure(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def _place_name(piece: Piece, place: Place) -> str:
    bar = f"bar {bar_name(piece, place.bar)}"
    if not place.at:
        return bar
    if place.at == piece.bars[place.bar].length:
        return f"the end of {bar}"
    return f"{bar}, after {_length_name(place)}"


def _length_name(place: Place) -> str:
    value = note_value(place.at)
    return f"one {value}" if value else f"{quarters_text(place.at)} quarters"


def _order_line(piece: Piece) -> str:
    runs: list[list[int]] = []
    for index in piece.playing_order:
        if runs and runs[-1][-1] + 1 == index:
            runs[-1].append(index)
        else:
            runs.append([index])
    if len(runs) <= 1:
        return "straight through"
    return "bars " + ", ".join(bars_name(piece, range(run[0], run[-1] + 1)) for run in runs)


_CALLED = {
    MarkKind.FERMATA: "fermatas",
    MarkKind.CAESURA: "caesuras",
    MarkKind.BREATH: "breath marks",
    MarkKind.DAMP: "damp marks",
    MarkKind.STICKS: "changes of sticks or mallets",
    MarkKind.INSTRUMENT: "changes of instrument",
}


def _mark_lines(piece: Piece) -> list[str]:
    lines = []
    for kind, called in _CALLED.items():
        marked = [(mark.bar, player.number) for player in piece.players for mark in player.marks if mark.kind is kind]
        bars = list(dict.fromkeys(bar for bar, _ in sorted(marked)))
        if bars:
            lines.append(f"{called}: {_bar_list(piece, bars)}")
    return lines


def _bar_list(piece: Piece, bars: Sequence[int]) -> str:
    names = [bar_name(piece, bar) for bar in bars]
    return _some(f"bar{'s' if len(names) > 1 else ''} ", names)


def _some(before: str, names: Sequence[str]) -> str:
    """As many names as fit on a line, and how many more there are."""
    kept: list[str] = []
    for name in names:
        if kept and len(before) + sum(len(item) + 2 for item in kept) + len(name) > _WIDE:
            return f"{before}{', '.join(kept)} and {len(names) - len(kept)} more"
        kept.append(name)
    return before + ", ".join(kept)


def _warning_lines(piece: Piece) -> list[str]:
    """Warnings grouped by part and sentence, with the bars they stand in."""
    if not piece.warnings:
        return ["none"]
    grouped: dict[tuple[str, str], list[str]] = {}
    for warning in piece.warnings:
        grouped.setdefault((warning.part, warning.what), []).append(warning.bar)
    lines = []
    for (part, what), bars in grouped.items():
        named = [bar for bar in bars if bar]
        where = ", ".join(filter(None, (part, _some("bar " if len(named) == 1 else "bars ", named) if named else "")))
        lines.append(f"{where}: {what}" if where else what)
    return lines
