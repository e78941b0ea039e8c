"""The left hand's other notes: the thumb's reply above the low note, approach notes, and a bass line taken over.

Pitches are MIDI note numbers; all of it is common practice at the keyboard, no source.
"""

from __future__ import annotations

from handgroove.harmony.symbols.chord_model import Chord
from handgroove.harmony.voice.idioms import third
from handgroove.harmony.voice.low_limits import is_muddy
from handgroove.harmony.voice.voicing_settings import HarmonySettings, Reply

OCTAVE = 12


def reply_pitch(
    low: int, chord: Chord, reply: Reply = Reply.OCTAVE, reach: int = OCTAVE, *, together: bool = True
) -> int:
    """Return the thumb's pitch above *low*: *reply*'s if it is in *reach* (semitones) and clear, else the octave.

    Mud matters only where both sound *together*; one after the other, a low fifth is clear.
    """
    above_root = (low - chord.root.pc) % 12
    wanted: list[int] = []
    if reply is Reply.FIFTH:
        wanted = [low + (chord.fifth - above_root) % 12]
    elif reply is Reply.TENTH:
        step = third(chord)
        wanted = [] if step is None else [low + OCTAVE + (step - above_root) % 12]
    elif reply is Reply.CHORD_TONE:
        wanted = sorted((low + (tone - above_root) % 12 for tone in chord.tones), reverse=True)
    for pitch in wanted:
        if 0 < pitch - low <= reach and not (together and is_muddy(low, pitch)):
            return pitch
    return low + OCTAVE


def approach_pitch(low: int, next_low: int, next_chord: Chord) -> int | None:
    """Return the note that steps from *low*'s side into *next_low*: of *next_chord*'s scale if it can be.

    None where the two are so near that there is no room for a step between them.
    """
    gap = next_low - low
    if abs(gap) <= 2:
        return None
    side = -1 if gap > 0 else 1
    inside = {(next_chord.root.pc + step) % 12 for step in next_chord.scale}
    steps = [pitch for pitch in (next_low + 2 * side, next_low + side) if pitch != low]
    return next((pitch for pitch in steps if pitch % 12 in inside), next_low + side)


def fold_low(pitch: int, near: int | None, settings: HarmonySettings | None = None) -> int:
    """Return *pitch* in the octave of the low range that is nearest to *near* (or to the hand's centre)."""
    settings = settings or HarmonySettings()
    lowest, highest = settings.low_range
    places = range(lowest + (pitch - lowest) % 12, highest + 1, 12) or [pitch]
    goal = settings.low_centre if near is None else near
    return min(places, key=lambda place: (abs(place - goal), place))
