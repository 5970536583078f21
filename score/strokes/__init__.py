"""Strokes as they are heard: moments, levels and pitches from sound, blind to any score; no device, no file."""
