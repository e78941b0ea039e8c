"""Chord symbols, keys and names. Its door is ``handgroove.harmony.chord``."""
