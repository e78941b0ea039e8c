"""How well pitch classes fit each key.

Source: C. Krumhansl and E. Kessler (1982), "Tracing the dynamic changes in perceived tonal organization in a spatial
representation of musical keys", Psychological Review 89(4):334-368; the profiles as printed in C. Krumhansl (1990),
Cognitive Foundations of Musical Pitch, p. 30.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import sqrt

from handgroove.harmony.symbols.chord_model import Key
from handgroove.harmony.symbols.names import common_name, fifths, name_above

MAJOR_PROFILE = (6.35, 2.23, 3.48, 2.33, 4.38, 4.09, 2.52, 5.19, 2.39, 3.66, 2.29, 2.88)
MINOR_PROFILE = (6.33, 2.68, 3.52, 5.38, 2.60, 3.53, 2.54, 4.75, 3.98, 2.69, 3.34, 3.17)


@lru_cache(maxsize=1)
def all_keys() -> tuple[Key, ...]:
    """Return the 24 keys, majors first, each spelled with the fewest sharps or flats."""
    majors = [Key(common_name(pc)) for pc in range(12)]
    minors = []
    for pc in range(12):
        spellings = [Key(common_name(pc), True), Key(name_above(common_name((pc + 3) % 12), 6, 9), True)]
        minors.append(min(spellings, key=lambda key: abs(fifths(key))))
    return (*majors, *minors)


@lru_cache(maxsize=1)
def _standard_profiles() -> tuple[tuple[float, ...], ...]:
    """Return the 24 profiles by pitch class, with mean 0 and length 1, in the order of all_keys()."""
    found = []
    for profile in (MAJOR_PROFILE, MINOR_PROFILE):
        mean = sum(profile) / 12
        length = sqrt(sum((value - mean) ** 2 for value in profile))
        unit = [(value - mean) / length for value in profile]
        found += [tuple(unit[(pc - tonic) % 12] for pc in range(12)) for tonic in range(12)]
    return tuple(found)


def key_fits(weights: Sequence[float]) -> list[float]:
    """Return the correlation of *weights* (how long each pitch class sounds) with each of the 24 profiles."""
    mean = sum(weights) / 12
    length = sqrt(sum((weight - mean) ** 2 for weight in weights))
    if length < 1e-9:
        return [0.0] * 24
    return [
        sum(value * weight for value, weight in zip(profile, weights, strict=True)) / length
        for profile in _standard_profiles()
    ]
