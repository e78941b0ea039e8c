from __future__ import annotations

from handgroove.harmony.find.sounding import Tone
from handgroove.harmony.voice.tune_room import melody_ceilings
from handgroove.harmony.voice.voicings import plan_voicings
from tests.harmony.made_charts import laid


def test_chords_stay_under_the_tune_and_leave_room() -> None:
    """Each chord's ceiling is a little below the lowest melody note over it; where the tune rests there is none."""
    harmony = laid("| C | F | G | C |")
    tune = [Tone(0, 1900, 72), Tone(1920, 5000, 69), Tone(11520, 12000, 61)]
    ceilings = melody_ceilings(tune, harmony)
    assert ceilings == (66, 66, None, 60)
    planned = plan_voicings(harmony, melody=ceilings)
    assert all(c is None or v[-1] <= c for v, c in zip(planned, ceilings, strict=True))


def test_no_melody_no_ceilings() -> None:
    """Without a tune chords are free."""
    assert melody_ceilings([], laid("| C | F |")) == (None, None)
