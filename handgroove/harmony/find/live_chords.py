"""The chord of a player's hands, live: from the keys held or just pressed, latched until the next chord.

Causal, clock-free and without heavy libraries: the caller hands in the time in seconds. A chord is looked for when a
key goes down, never when one comes up, so that lifting a hand changes nothing. The score is the same as for files
(`handgroove.harmony.find.chord_fit`).
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field

from handgroove.harmony.find.chord_fit import best_template, find_tensions, name_chord
from handgroove.harmony.symbols.chord_model import Chord, Key
from handgroove.harmony.symbols.chord_text import make_chord
from handgroove.harmony.symbols.names import common_name
from handgroove.harmony.symbols.spelling import spell_pc

ROLL_SEC = 0.35  # keys pressed within this time count as one rolled chord, even if they have come up again
_BASS_WEIGHT = 0.7
_HELD, _ROLLED = 1.0, 0.8


@dataclass(slots=True)
class LiveChords:
    """Follows the keys that are pressed and says which chord they make.

    *key* spells the chords. *split* is the highest pitch that counts, where one hand plays chords (None = all).
    """

    key: Key | None = None
    split: int | None = None
    _held: dict[int, float] = field(default_factory=dict)
    _pressed: deque[tuple[float, int]] = field(default_factory=lambda: deque(maxlen=24))
    _chord: Chord | None = None
    _fresh: bool = False

    def press(self, pitch: int, now_sec: float) -> None:
        """Take in that the key *pitch* went down at *now_sec*."""
        if self.split is None or pitch <= self.split:
            self._held[pitch] = now_sec
            self._pressed.append((now_sec, pitch))
            self._fresh = True

    def release(self, pitch: int, now_sec: float) -> None:
        """Take in that the key *pitch* came up at *now_sec*."""
        self._settle(now_sec)  # what was held until now may be a chord that nobody has asked for yet
        self._held.pop(pitch, None)

    def chord(self, now_sec: float) -> Chord | None:
        """Return the chord at *now_sec*: the last that was recognised, or None before the first."""
        self._settle(now_sec)
        return self._chord

    def clear(self) -> None:
        """Forget keys and chord."""
        self._held.clear()
        self._pressed.clear()
        self._chord, self._fresh = None, False

    def _settle(self, now_sec: float) -> None:
        """Recognise the chord, if a key went down since the last time."""
        if not self._fresh:
            return
        self._fresh = False
        sounding = dict.fromkeys(self._held, _HELD)
        if len({pitch % 12 for pitch in sounding}) < 3:
            for pressed_sec, pitch in self._pressed:
                if now_sec - pressed_sec <= ROLL_SEC:
                    sounding.setdefault(pitch, _ROLLED)
        found = _recognise(sounding, self.key)
        if found is not None:
            self._chord = found


def _recognise(sounding: dict[int, float], key: Key | None) -> Chord | None:
    """Return the chord that *sounding* pitches make with their weights, or None where they are too few to say."""
    weights = [0.0] * 12
    for pitch, weight in sounding.items():
        weights[pitch % 12] = max(weights[pitch % 12], weight)
    pcs = [pc for pc in range(12) if weights[pc]]
    if len(pcs) < 2:
        return None
    bass_pc = min(sounding) % 12
    if len(pcs) == 2:
        return _of_two(bass_pc, next(pc for pc in pcs if pc != bass_pc), key)
    template = best_template(weights, bass_pc, _BASS_WEIGHT)
    if sum(weights[(template.root_pc + step) % 12] > 0 for step in template.tones) < 3:
        return None  # a cluster: not enough of any chord
    return name_chord(template, bass_pc, find_tensions(template, weights, _ROLLED / 2), key)


def _of_two(bass_pc: int, other_pc: int, key: Key | None) -> Chord | None:
    """Return what two pitch classes make: thirds a triad, a fifth an open fifth, a fourth that fifth turned over."""
    step = (other_pc - bass_pc) % 12
    tones = {3: (0, 3, 7), 4: (0, 4, 7), 7: (0, 7), 5: (0, 7)}.get(step)
    if tones is None:
        return None
    root_pc = other_pc if step == 5 else bass_pc
    return make_chord(spell_pc(root_pc, key) if key else common_name(root_pc), tones)
