from __future__ import annotations

from handgroove.harmony.voice.low_limits import is_muddy
from tests.harmony.mud import find_mud


def test_close_intervals_are_muddy_only_far_down() -> None:
    """A third is clear on middle C and muddy an octave and a half below; octaves are clear anywhere."""
    assert not is_muddy(60, 64)
    assert is_muddy(43, 47)
    assert not is_muddy(24, 36)
    assert find_mud([36, 40, 43, 60]) == [(36, 40), (40, 43)]
    assert find_mud([36, 36, 48]) == []
