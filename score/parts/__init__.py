"""A player's part: the cue staff in the score's own document, engraved in processes of its own, divided into pages."""
