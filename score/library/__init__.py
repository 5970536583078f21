"""A shelf of scores: each read once, kept in an index, searched in trade words, and programmes chosen from it."""
