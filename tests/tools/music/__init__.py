"""How musical the parts are, counted over a folder of takes: ``python -m tests.tools.bench music FOLDER``.

To add a measure, write it in a file of its own beside `heard.py` and add one row to `MEASURES` (counted take by take
and added up) or to `MATCHES` (asked of all takes together). A measure asks the finished part, never what was planned;
and none is of use that a trivial answer would also meet.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from tests.tools.music import comping_measures as comping
from tests.tools.music import figures, steps
from tests.tools.music.heard import Count, Heard, Match
from tests.tools.music.hooks import (
    candidates_alike,
    distinct_ideas,
    find_own_drums,
    loud_as_drums,
    two_bars_without_repeat,
)
from tests.tools.music.low_end import (
    count_deep_roots,
    count_mud,
    count_mud_by_keys,
    count_octaves,
    count_repeats,
    count_weak_trills,
)
from tests.tools.music.low_line import broken_pushes, broken_stops, line_faults, no_root_other, no_root_swung

Measure = Callable[[Heard], Count]

MEASURES: dict[str, tuple[Measure, str]] = {  # name: (what counts it, what is aimed at)
    **steps.MEASURES,
    "figures that trill": (figures.count_trills, "none"),
    "figures' accents on chord tones": (figures.count_accents, "95%"),
    "figures that go as the drums do": (figures.count_contours, "most"),
    "figures' landings reached by step": (figures.count_joins, "90%"),
    "figures of which untrue things are said": (figures.count_untruths, "none"),
    "two-bar hooks that do not repeat themselves": (two_bars_without_repeat, "0"),
    "hooks and plainer answers that sound alike": (candidates_alike, "0"),
    "muddy pairs, by keys": (count_mud_by_keys, "0"),
    "muddy pairs, pedal included": (count_mud, "0"),
    "left-hand keys repeated too fast": (count_repeats, "0"),
    "trills on fourth and fifth finger": (count_weak_trills, "0"),
    "roots in another octave": (count_octaves, "0"),
    "roots below E1": (count_deep_roots, "0"),
    "swung bars without a low root": (no_root_swung, "at most 1 in 8"),
    "waltz, 12/8 and Latin bars without one": (no_root_other, "at most 1 in 8"),
    "low notes of swung takes in leaps or mud": (line_faults, "at most 1 %"),
    "stops broken": (broken_stops, "none"),
    "pushes broken": (broken_pushes, "none"),
    "pairs a second apart": (comping.seconds, "under 3%"),
    "one key alone, fifth time in a row and more": (comping.hammered, "0"),
    "whole chords again within a fifth of a second": (comping.machine_gun, "0"),
    "bars under a chord without two notes": (comping.bare_bars, "under 3%"),
    "eights of bars with fewer than 3 that differ": (comping.alike, "0"),
    "chords whose place most bars keep": (comping.kept, "over 60%"),
    "chords on an accent, a kick or a snare": (comping.chords_on_strokes, "95%"),
    "accents answered": (comping.accents_answered, "60%"),
    "strokes where the drummer plays nothing": (comping.out_of_nothing, "under 5%"),
    "accents that sound in style every hat": (comping.every_hat_sounds, "95%"),
}
MATCHES: dict[str, tuple[Callable[[Sequence[Heard]], Match], str]] = {
    "different hooks over one chord": (distinct_ideas, "15 of 22"),
    "loudness of hooks and drums, correlated": (loud_as_drums, "over 0.5"),
    "hooks that find their own drums": (find_own_drums, "15 of 22"),
    "cells given back to their own drums": (comping.given_back, "18 of 22"),
}
