"""The drawn pieces of the cue tests serve here too."""

import importlib.util
from pathlib import Path

_spec = importlib.util.spec_from_file_location("drawn_pieces", Path(__file__).parents[1] / "cues" / "conftest.py")
assert _spec is not None
assert _spec.loader is not None
_module = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(_module)
make_piece = _module.make_piece
