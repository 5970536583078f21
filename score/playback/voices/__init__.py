"""The instruments' voices by modal synthesis, kept as templates for the mixer."""
