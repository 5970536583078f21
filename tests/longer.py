"""Further cases of a test, which run with the campaigns: the default run keeps one of each."""

from typing import Any

import pytest


def longer(*values: Any) -> Any:
    """A case for the campaigns."""
    return pytest.param(*values, marks=pytest.mark.campaign)
