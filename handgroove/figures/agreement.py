"""How far two orders agree.

M. Kendall (1938), "A new measure of rank correlation", Biometrika 30:81-93; ties as in tau-b (Kendall 1945).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt


def kendall_tau(first: Sequence[float], second: Sequence[float]) -> float:
    """Return tau-b of two rankings of the same things: 1 the same order, -1 the opposite, 0 none (or all tied)."""
    agree = tied_first = tied_second = pairs = 0
    for i in range(len(first)):
        for j in range(i):
            a, b = first[i] - first[j], second[i] - second[j]
            pairs += 1
            tied_first += a == 0
            tied_second += b == 0
            agree += (a * b > 0) - (a * b < 0)
    scale = sqrt((pairs - tied_first) * (pairs - tied_second))
    return agree / scale if scale else 0.0
