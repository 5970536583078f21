"""Where the library's index stands, and what reads for it."""

import os
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from platformdirs import user_data_path

if TYPE_CHECKING:
    from score.library.spreading import Engine

PLACE = "INBREATH_LIBRARY"
"""An environment variable that names another file for the index; the tests have one of their own."""


def library_path() -> Path:
    """Where the index stands on this system: beside the player's own history."""
    place = os.environ.get(PLACE)
    return Path(place) if place else user_data_path("inbreath", appauthor=False) / "library.sqlite"


def engine_starter(backend: str, address: str, certificates: Path | None, workers: int) -> "Callable[[], Engine]":
    """What begins the processes that read, when there is something to read.

    Args:
        backend: "joblib" or "dask".
        address: of a dask scheduler, "" to start one here.
        certificates: folder of certificates for it.
        workers: processes of this machine; 0 for one a core.

    Raises:
        RequestError: an address that is not safe, at once.
    """
    if backend == "dask":
        from score.library.dask_engine import DaskEngine, check_address

        check_address(address, certificates)
        return lambda: DaskEngine(address, certificates, workers)
    from score.library.joblib_engine import JoblibEngine

    return lambda: JoblibEngine(workers)
