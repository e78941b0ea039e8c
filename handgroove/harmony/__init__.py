"""Chords, charts, keys, voicings and pedal."""
