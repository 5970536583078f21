"""The engine: no terminal, no sound card, no clock and no file touched at import."""
