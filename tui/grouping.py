"""The group's file from the screens: change it, read it again, undo."""

from collections.abc import Callable

from score.group import group_path, read_group
from score.group_edit import put_back
from tui.chunking import chunks_of
from tui.session import Session


def changed(session: Session, change: Callable[[], bytes]) -> Callable[[], None]:
    """Make a change to the group's file and read it again; gives back what undoes it.

    A change that the engine then refuses is undone at once.

    Raises:
        InbreathError: the change cannot be made or cannot hold.
    """
    path = group_path(session.path)
    before = change()
    try:
        reread(session)
    except BaseException:
        put_back(path, before)
        session.group = read_group(path)
        raise

    def undo() -> None:
        put_back(path, before)
        reread(session)

    return undo


def reread(session: Session) -> None:
    """The group's file and the chunks that follow from it."""
    group = read_group(group_path(session.path))
    session.chunks = chunks_of(session.piece, group)
    session.group = group
