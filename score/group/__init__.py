"""The group's own TOML file beside the score: read, changed, undone."""
