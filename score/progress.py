"""Long work says how far it is, in one way everywhere."""

from collections.abc import Callable

ReportProgress = Callable[[str, float], None]
"""Told the step ("reading") and the share of it that is done, 0 to 1; it may raise to stop the work."""
