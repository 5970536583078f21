"""Versions of installed libraries, quickly."""

from importlib.util import find_spec
from pathlib import Path


def library_records(name: str) -> tuple[str, ...]:
    """Names of a library's records beside it ("lxml-6.0.2.dist-info"), which hold its version; none where it is not."""
    spec = find_spec(name)
    folders = spec.submodule_search_locations if spec else None
    return tuple(sorted(file.name for folder in folders or () for file in Path(folder).parent.glob(f"{name}-*-info")))


def library_version(name: str) -> str:
    """The version of an installed library.

    Raises:
        PackageNotFoundError: it is not installed.
    """
    records = library_records(name)
    if len(records) == 1 and records[0].endswith(".dist-info"):
        return records[0].removeprefix(f"{name}-").removesuffix(".dist-info")
    # What the standard library loads to say it takes as long as reading a short movement.
    from importlib.metadata import version

    return version(name)
