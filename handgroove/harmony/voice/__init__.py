"""Chords under hands: voicings, low notes, the thumb's replies and the limits of the low end."""
