"""Sound: timelines of strikes, clicks, MIDI and sound files, and the process that plays them."""
