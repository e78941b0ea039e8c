"""Grooves in: MIDI files (``smf``), kits, text grids, and selections of hits."""
