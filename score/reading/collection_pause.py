"""No search for circles of values while many values are made of which none is circular: it would only take time."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def collection_paused() -> Iterator[None]:
    """Nothing is collected meanwhile; reading a score, or what was kept of one, makes a hundred thousand values."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
