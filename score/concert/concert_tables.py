"""Every table of the concert's file with its fields, and one of them with checks that name file, table and field.

    title = "Spring"
    date = 2027-03-14
    visits = 4                 # rehearsals in which each piece comes up, at least
    set_up = 8                 # minutes to set up for another piece in a rehearsal

    [hall]
    width = 9.0                # metres of stage
    depth = 6.0
    temperature = 20
    hands = ["Kim"]            # who carries beside the players

    [[piece]]
    score = "quartet.musicxml"
    people = ["Ann", "Ben", "Cleo", "Dan"]     # who plays parts 1, 2, 3, 4
    place = "last"             # stays first or last, whatever order is looked for

    [[person]]
    name = "Ann"
    minutes = 40               # own work a day

    [[rehearsal]]
    at = 2027-03-02T19:00:00
    minutes = 120
    missing = ["Dan"]
    late = ["Ann 19:30"]
    leaves = ["Ben 20:30"]

    [[instrument]]
    name = "the old marimba"
    kind = "marimba"
    from = "borrowed"          # or owned, or build
    pieces = ["quartet"]       # left out: wherever it is wanted

    [[moving]]
    kind = "marimba"
    carriers = 3

Pieces come in the order of the concert; a piece is called by its score's name without the ending.
"""

from collections.abc import Mapping
from pathlib import Path

from score.errors import ConcertFileError
from score.group.checked_table import Table, as_written, holds, nearest
from score.group.group_tables import EXAMPLES, Holds

SOURCES = ("owned", "borrowed", "build")
"""Where an instrument comes from."""
PLACES = ("first", "last")
MOVING_FIGURES = ("weight", "carriers", "roll", "lift", "build", "cases")

VALUES: Mapping[str, Holds] = {
    "title": Holds.TEXT,
    "date": Holds.DAY,
    "visits": Holds.COUNT,
    "set_up": Holds.FIGURE,
}
SINGLE: Mapping[str, Mapping[str, Holds]] = {
    "hall": {"width": Holds.FIGURE, "depth": Holds.FIGURE, "temperature": Holds.FIGURE, "hands": Holds.TEXTS},
}
LISTED: Mapping[str, Mapping[str, Holds]] = {
    "piece": {"score": Holds.TEXT, "people": Holds.TEXTS, "place": Holds.TEXT},
    "person": {"name": Holds.TEXT, "minutes": Holds.FIGURE},
    "rehearsal": {
        "at": Holds.MOMENT,
        "minutes": Holds.FIGURE,
        "missing": Holds.TEXTS,
        "late": Holds.TEXTS,
        "leaves": Holds.TEXTS,
    },
    "instrument": {
        "name": Holds.TEXT,
        "kind": Holds.TEXT,
        "from": Holds.TEXT,
        "pieces": Holds.TEXTS,
        "person": Holds.TEXT,
    },
    "moving": {"kind": Holds.TEXT, **dict.fromkeys(MOVING_FIGURES, Holds.FIGURE)},
}


class ConcertTable(Table):
    """One table of the concert's file."""

    def wrong(self, what: str, remedy: str) -> ConcertFileError:
        """The error to raise: what is wrong in this table, and what to write instead."""
        return wrong_entry(self.path, f"{self.heading} {what}", remedy)

    def one_of(self, field: str, words: tuple[str, ...], usual: str) -> str:
        """One of these words, the usual one where the field is not there."""
        word = self.text(field) or usual
        if word and word not in words:
            raise self.wrong(f"{field} = {as_written(word)} is not known", f"write one of {', '.join(words)}")
        return word


def wrong_entry(path: Path, what: str, remedy: str) -> ConcertFileError:
    """What is wrong in a concert's file, and what to write instead."""
    return ConcertFileError("Concert's file", f"{path.name}: {what}", remedy)


def check_concert_tables(path: Path, tables: Mapping[str, object]) -> None:
    """Refuse a table, value or field that no concert has, with the nearest name that one has.

    Raises:
        ConcertFileError: the first of them, in one line.
    """
    for name, value in tables.items():
        if name in VALUES:
            if not holds(value, VALUES[name]):
                what = f"{name} = {as_written(value)} is not {VALUES[name]}"
                raise wrong_entry(path, what, f"write {name} = {EXAMPLES[VALUES[name]]}")
        elif name in SINGLE:
            ConcertTable(path, name, value, single=True).check(SINGLE[name])
        elif name in LISTED:
            if not isinstance(value, list):
                raise wrong_entry(path, f"{name} is not a list", f"write it as [[{name}]]")
            for entry in value:
                ConcertTable(path, name, entry).check(LISTED[name])
        else:
            names = [*VALUES, *SINGLE, *LISTED]
            raise wrong_entry(path, f"{name} is not known", nearest(name, names, _heading))


def _heading(name: str) -> str:
    return f"[[{name}]]" if name in LISTED else f"[{name}]" if name in SINGLE else f"{name} = ..."
