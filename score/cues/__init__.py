"""Choosing which other player's rhythm stands above a player's staff, and saying why."""
