"""Programs that a bench starts find Python compiled, as pip leaves what it installs."""

from pathlib import Path

import pytest


@pytest.fixture(scope="session")
def _compiled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("compiled")


@pytest.fixture(autouse=True)
def nothing_is_compiled_anew(monkeypatch: pytest.MonkeyPatch, _compiled: Path) -> None:
    """A folder of sources may never have been compiled; the libraries that it is compared with always are."""
    monkeypatch.delenv("PYTHONDONTWRITEBYTECODE", raising=False)
    monkeypatch.setenv("PYTHONPYCACHEPREFIX", str(_compiled))
