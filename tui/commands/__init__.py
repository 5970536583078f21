"""One file a command; `tui.command` lists them and imports one only when it is called."""
