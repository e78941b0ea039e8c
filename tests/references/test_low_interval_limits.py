"""Low interval limits, and the planner against them.

Sources: D. Lowell and K. Pullig (2003), *Arranging for Large Jazz Ensemble* (the minor third not below C3 to Eb3, as
quoted by a film-scoring course); the whole list as published in a retailer's music-technology glossary, "Low Interval
Limit" (there middle C is C3; a second copy calls octaves "generally acceptable anywhere"). The list's tritone, B0, is
lower than its fifth's C#2 and taken for a slip: ours lies between the fourth's and the third's neighbours.
"""

from __future__ import annotations

import pytest

from handgroove.harmony.chord import parse_chord
from handgroove.harmony.symbols.chord_faults import QUALITIES
from handgroove.harmony.voice.low_limits import LOWEST_UNDER_INTERVAL, is_muddy
from handgroove.harmony.voice.low_notes import plan_low
from handgroove.harmony.voice.replies import reply_pitch
from handgroove.harmony.voice.voicing_settings import HarmonySettings, Idiom, Reply
from handgroove.harmony.voice.voicings import plan_voicings
from tests.harmony.made_charts import CHANGES, laid
from tests.harmony.mud import find_mud

# interval in semitones: the list's lowest lower note, C4 = middle C
PUBLISHED = {1: 52, 2: 51, 3: 48, 4: 47, 5: 45, 7: 37, 8: 41, 9: 41, 10: 41, 11: 41}


STRICTER = {2: 52, 4: 48}  # major intervals share their minor neighbour's limit


def test_the_table_is_the_published_one() -> None:
    """Intervals have the list's limit or a stricter one, a semitone up; the tritone's is above the fifth's."""
    assert {k: v for k, v in LOWEST_UNDER_INTERVAL.items() if k != 6} == PUBLISHED | STRICTER
    assert all(PUBLISHED[interval] + 1 == limit for interval, limit in STRICTER.items())
    assert LOWEST_UNDER_INTERVAL[7] < LOWEST_UNDER_INTERVAL[6] <= LOWEST_UNDER_INTERVAL[4]


@pytest.mark.parametrize(("interval", "lowest"), (PUBLISHED | STRICTER).items())
def test_the_limit_itself_is_clear(interval: int, lowest: int) -> None:
    """On its limit an interval is clear, a semitone below it is muddy."""
    assert not is_muddy(lowest, lowest + interval)
    assert is_muddy(lowest - 1, lowest - 1 + interval)


@pytest.mark.parametrize("idiom", list(Idiom))
def test_planned_hands_are_above_the_limits(idiom: Idiom) -> None:
    """Both hands together, low note, octave and chord, have no interval below its limit in a long chart."""
    settings = HarmonySettings(idiom=idiom, colour=True)
    harmony = laid(CHANGES)
    pairs = zip(plan_low(harmony, settings), plan_voicings(harmony, settings), strict=True)
    assert [mud for low, voicing in pairs for mud in find_mud([low, low + 12, *voicing])] == []


@pytest.mark.parametrize("reply", list(Reply))
def test_the_left_hands_replies_are_above_the_limits(reply: Reply) -> None:
    """Whatever the thumb is asked for, all its replies over every low note and quality are clear."""
    for quality in QUALITIES:
        for low in range(26, 44):
            chord = parse_chord(
                ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")[low % 12] + quality
            )
            assert not is_muddy(low, reply_pitch(low, chord, reply, 16))
