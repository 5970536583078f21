"""Percussion instruments: their names in four languages, standard sounds, transpositions."""
