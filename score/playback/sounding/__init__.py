"""Playing in a process of its own: one clock, one owner of the device, commands over a pipe."""
