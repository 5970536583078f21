"""A concert's file as text and as JSON: what it says, in its order."""

from collections.abc import Iterator

from score.concert.concert_file import people_named
from score.concert.concert_values import Concert, ConcertInstrument, PieceEntry, RehearsalEntry


def concert_text(concert: Concert) -> str:
    """The concert as plain text."""
    hall = concert.hall
    measures = f", stage {hall.width:g} by {hall.depth:g} m" if hall.width and hall.depth else ""
    lines = [f"{concert.title}, {concert.day or 'no date yet'}{measures}, {hall.temperature:g} degrees"]
    lines += ["", "Pieces", *(f"  {number}  {_piece(entry)}" for number, entry in enumerate(concert.pieces, 1))]
    people = people_named(concert)
    if people:
        lines += ["", "People", *(f"  {line}" for line in _people(concert))]
    if concert.rehearsals:
        lines += ["", "Rehearsals", *(f"  {_rehearsal(entry)}" for entry in concert.rehearsals)]
    if concert.instruments:
        lines += ["", "Instruments", *(f"  {_instrument(entry)}" for entry in concert.instruments)]
    if concert.moving:
        lines += ["", "Own figures of moving", *(f"  {line}" for line in _moving(concert))]
    if concert.hall.hands:
        lines += ["", f"Hands in the hall: {', '.join(concert.hall.hands)}"]
    return "\n".join(lines)


def concert_json(concert: Concert) -> dict[str, object]:
    """The concert with stable keys."""
    return {
        "file": str(concert.path),
        "title": concert.title,
        "date": concert.day.isoformat() if concert.day else None,
        "hall": concert.hall._asdict() | {"hands": list(concert.hall.hands)},
        "visits": concert.visits,
        "set_up": concert.set_up,
        "pieces": [
            {"name": entry.name, "score": str(entry.score), "people": list(entry.people), "place": entry.place}
            for entry in concert.pieces
        ],
        "people": [entry._asdict() for entry in concert.people],
        "rehearsals": [_rehearsal_json(entry) for entry in concert.rehearsals],
        "instruments": [
            {"name": e.name, "kind": e.kind, "from": e.source, "pieces": list(e.pieces), "person": e.person}
            for e in concert.instruments
        ],
        "moving": [{"kind": kind, **figures} for kind, figures in concert.moving.items()],
    }


def _rehearsal_json(entry: RehearsalEntry) -> dict[str, object]:
    return {
        "start": entry.start.isoformat(),
        "minutes": entry.minutes,
        "missing": list(entry.missing),
        "late": [{"person": name, "minutes": minutes} for name, minutes in entry.late],
        "leaves": [{"person": name, "minutes": minutes} for name, minutes in entry.leaves],
    }


def _piece(entry: PieceEntry) -> str:
    people = f": {', '.join(name or '-' for name in entry.people)}" if entry.people else ""
    place = f" (stays {entry.place})" if entry.place else ""
    return f"{entry.name}{people}{place}"


def _people(concert: Concert) -> Iterator[str]:
    own = {person.name: person.minutes for person in concert.people}
    for name in people_named(concert):
        parts = [
            f"{piece.name} {number}"
            for piece in concert.pieces
            for number, player in enumerate(piece.people, 1)
            if player == name
        ]
        minutes = f"; {own[name]} minutes a day" if name in own else ""
        yield f"{name}: {', '.join(parts) or 'no part'}{minutes}"


def _rehearsal(entry: RehearsalEntry) -> str:
    words = [f"{entry.start:%Y-%m-%d %H:%M}, {entry.minutes} minutes"]
    words += [f"without {', '.join(entry.missing)}"] if entry.missing else []
    words += [f"{name} comes {minutes} minutes late" for name, minutes in entry.late]
    words += [f"{name} leaves after {minutes} minutes" for name, minutes in entry.leaves]
    return "; ".join(words)


def _instrument(entry: ConcertInstrument) -> str:
    pieces = f", for {', '.join(entry.pieces)}" if entry.pieces else ""
    person = f", played by {entry.person}" if entry.person else ""
    source = "to be built" if entry.source == "build" else entry.source
    name = entry.kind if entry.name == entry.kind else f"{entry.name} ({entry.kind})"
    return f"{name}, {source}{pieces}{person}"


def _moving(concert: Concert) -> Iterator[str]:
    for kind, figures in concert.moving.items():
        yield f"{kind}: {', '.join(f'{name} {figure:g}' for name, figure in figures.items())}"
