"""Pictures made of letters: pure functions from the engine's facts to rows of text."""
