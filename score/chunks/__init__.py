"""Small pieces to work on: where a score divides, what each asks of whom, and who leads it."""
