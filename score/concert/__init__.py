"""A concert of several pieces: its file, one calendar, one set of instruments, a folder for everybody."""
