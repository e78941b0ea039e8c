"""What kind of drumming a groove is."""

from __future__ import annotations

import pytest

from handgroove import read_pattern
from handgroove.desk.desk import usual_pattern
from handgroove.groove.know.knowledge import know_groove
from tests.laws.made import Drummer, pattern_take


@pytest.mark.parametrize(
    ("played", "chosen"),
    [
        ("straight-eighths", "straight-eighths"),
        ("disco", "straight-eighths"),
        ("swing-ride", "swing-ride"),
        ("shuffle", "shuffle"),
        ("one-drop", "one-drop"),
        ("jazz-waltz", "jazz-waltz"),
        ("five-four", "straight-eighths"),
    ],
)
@pytest.mark.parametrize("lean_ms", [-20, 0, 25])
def test_the_drumming_says_what_hands_do(played: str, chosen: str, lean_ms: int) -> None:
    """Ride-led swing, a shuffle's backbeat and a one drop are told, with a fill in them, wherever the drummer leans."""
    tempo = read_pattern(played).tempo_bpm
    groove = pattern_take(played, 8, tempo, Drummer(scatter_ms=4, lean_ms=lean_ms), fill_bars=(8,))
    assert usual_pattern(know_groove(groove)).name == chosen
