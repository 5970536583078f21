"""Does the part fit the instruments, the hands and the time between? And what has to be carried."""
