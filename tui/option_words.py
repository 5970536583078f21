"""Which option of the command line would help, said behind an error of the engine, which knows no options."""

from score.errors import InbreathError

OPTIONS = {
    "Concert before the last rehearsal": "--concert, --rehearsal",
    "No rehearsals": "--rehearsal 2027-03-02T19:00/90",
    "No stock": '--stock "3 m"',
    "No tuning log": "--out DIR writes it, --log FILE names it",
    "Not enough pipe": "--stock",
    "Stock too short": "--stock",
    "Tuning log kept": "--out DIR",
    "Two tunings": "--a4",
}
"""An error's title, and the options that change what it says."""


def with_options(error: InbreathError) -> str:
    """The error on one line, with the options that would help."""
    options = OPTIONS.get(error.title)
    return f"{error.line} ({options})" if options else error.line
