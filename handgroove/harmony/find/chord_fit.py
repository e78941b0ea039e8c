"""How well a chord explains what sounds: one score, used for whole files and live.

Each chord of the vocabulary says how likely each pitch class is while it sounds; the score is the logarithm of how
likely the sounding ones are, so that a chord with more notes must earn them. The lowest note is judged once more by
how likely the chord stands in that inversion. The numbers are ours, chosen by ear and tuned on four-part chorales.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import log

from handgroove.harmony.symbols.chord_model import Chord, Key, Name
from handgroove.harmony.symbols.chord_text import make_chord, over_bass
from handgroove.harmony.symbols.names import common_name
from handgroove.harmony.symbols.spelling import chord_names, spell_pc

# tones -> how readily the chord is taken for what sounds (log, 0 = as any)
_VOCABULARY: dict[tuple[int, ...], float] = {
    (0, 4, 7): 0.0,
    (0, 3, 7): 0.0,
    (0, 4, 7, 10): -0.3,
    (0, 3, 7, 10): -0.4,
    (0, 4, 7, 11): -0.6,
    (0, 3, 6, 10): -0.7,
    (0, 3, 6): -0.9,
    (0, 3, 6, 9): -0.9,
    (0, 5, 7): -1.2,
    (0, 5, 7, 10): -1.2,
    (0, 4, 8): -1.5,
    (0, 4, 7, 9): -1.5,
    (0, 3, 7, 9): -1.5,
    (0, 3, 7, 11): -1.8,
    (0, 2, 7): -1.8,
    (0, 4, 8, 10): -1.8,
    (0, 4, 8, 11): -2.5,
}
_ROOT, _THIRD, _FIFTH, _SEVENTH = 1.25, 1.1, 1.0, 0.75  # how much of the chord's sound each note is
_OUTSIDE = 0.12  # how much of the sound is notes outside it
_BASS_ROOT, _BASS_TONE, _BASS_OUTSIDE = 0.62, 0.11, 0.012
_NO_CHORD_FIT = log(1 / 12)
_TENSIONS_ON = {4: (2, 9, 6, 1, 3, 8, 5), 3: (2, 5, 9), 5: (2, 9, 1)}


@dataclass(frozen=True, slots=True)
class Template:
    """One chord of the vocabulary: its *root_pc*, *tones*, how readily it is taken, and the logarithms of its sounds.

    *gains* are (pitch class, what it adds over a note outside) for each tone; *bass_logs* are by pitch class.
    """

    root_pc: int
    tones: tuple[int, ...]
    prior: float
    outside_log: float
    gains: tuple[tuple[int, float], ...]
    bass_logs: tuple[float, ...]

    def fit(self, weights: Sequence[float], total: float, bass_pc: int | None, bass_weight: float) -> float:
        """Return how well the chord explains *weights* by pitch class, which add up to *total*, over a bass note."""
        score = total * self.outside_log
        for pc, gain in self.gains:
            score += weights[pc] * gain
        if bass_pc is not None:
            score += bass_weight * self.bass_logs[bass_pc]
        return score


@lru_cache(maxsize=1)
def templates() -> tuple[Template, ...]:
    """Return every chord of the vocabulary on every root."""
    return tuple(_make(root, tones, prior) for tones, prior in _VOCABULARY.items() for root in range(12))


def _make(root: int, tones: tuple[int, ...], prior: float) -> Template:
    """Return the template of *tones* on *root*."""
    share = {0: _ROOT, 3: _THIRD, 4: _THIRD, 2: _THIRD, 5: _THIRD, 6: _FIFTH, 7: _FIFTH, 8: _FIFTH}
    parts = [share.get(step, _SEVENTH) for step in tones]
    outside_log = log(_OUTSIDE / (12 - len(tones)))
    gains = tuple(
        ((root + step) % 12, log(part / sum(parts) * (1 - _OUTSIDE)) - outside_log)
        for step, part in zip(tones, parts, strict=True)
    )
    bass = [log(_BASS_OUTSIDE)] * 12
    for step in tones[1:]:
        bass[(root + step) % 12] = log(_BASS_TONE)
    bass[root] = log(_BASS_ROOT)
    return Template(root, tones, prior, outside_log, gains, tuple(bass))


def no_chord_fit(total: float) -> float:
    """Return how well no chord at all explains sounds that add up to *total*."""
    return total * _NO_CHORD_FIT


@lru_cache(maxsize=1)
def _templates_by_root() -> tuple[tuple[Template, ...], ...]:
    """Return the templates of each root."""
    return tuple(tuple(one for one in templates() if one.root_pc == root) for root in range(12))


def best_template(weights: Sequence[float], bass_pc: int | None, bass_weight: float) -> Template:
    """Return the chord that explains *weights* best over *bass_pc*; its root is one of the notes that sound."""
    total = sum(weights)
    by_root = _templates_by_root()
    sounding = (one for root, weight in enumerate(weights) if weight for one in by_root[root])
    return max(sounding, key=lambda one: one.prior + one.fit(weights, total, bass_pc, bass_weight))


def name_chord(template: Template, bass_pc: int | None, tensions: tuple[int, ...], key: Key | None) -> Chord:
    """Return the chord that *template* stands for, spelled in *key*, with *tensions* and its bass."""
    root = spell_pc(template.root_pc, key) if key else common_name(template.root_pc)
    chord = make_chord(root, template.tones, tensions)
    if bass_pc is None or bass_pc == template.root_pc:
        return chord
    fallback: Name = spell_pc(bass_pc, key) if key else common_name(bass_pc)
    return over_bass(chord, chord_names(chord).get(bass_pc, fallback))


def find_tensions(template: Template, weights: Sequence[float], enough: float) -> tuple[int, ...]:
    """Return the tensions above *template* that sound for at least *enough*."""
    middle = next((step for step in (4, 3, 5) if step in template.tones), None)
    allowed = _TENSIONS_ON.get(middle or 0, ())
    return tuple(
        sorted(
            step
            for step in allowed
            if step not in template.tones and weights[(template.root_pc + step) % 12] >= enough
        )
    )
