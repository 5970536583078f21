"""A recording of the piece: every bar of it found, and the recording as a partner to play with."""
