"""From exact beats to seconds, and from there to sound."""
