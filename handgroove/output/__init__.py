"""What comes out: MIDI, score, sound, picture, report."""
