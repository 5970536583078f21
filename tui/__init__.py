"""The interface: the command line and the Textual screens. It calls `score` and holds no musical logic."""
