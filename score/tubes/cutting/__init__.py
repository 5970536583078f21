"""Which sticks to buy and how to saw them: an exact cut list with its proof."""
