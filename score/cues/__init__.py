"""Choosing another player's rhythm for a part, writing it above the staff, and engraving the pages."""
