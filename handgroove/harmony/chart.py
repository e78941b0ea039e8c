"""Charts: the chords of a song, bar by bar, as players write them by hand.

    title: Standing In
    key: A minor                    # C, Bb major, F#m ...; what follows a # that stands alone is a remark
    metre: 4/4
    tempo: 112                      # quarter notes a minute
    feel: straight                  # straight, swing, shuffle; "swing 1.8", "swing sixteenths"
    pickup: . E7                    # an incomplete first bar: each item is one beat

    [Verse]
    | Am7 | Fmaj7 | C . G . | % |
    |: Dm7 | >G7 | 1. Cmaj7 | A7b9 :| 2. C! | drums |

**Bars** stand between ``|`` (``||`` is one bar line too; the end of a line ends a bar). What is in a bar shares it:
one chord takes the bar, two take half each, and otherwise each item takes a beat, or an even part of one. In 3/4,
5/4 and 7/4 two chords share the bar 2+1, 3+2 and 4+3; in 7/8 three share it 2+2+3.

**Items**: a chord symbol; ``.`` or ``/`` holds what sounds for one more item (also from the bar before); ``N.C.`` is no
chord; ``%`` alone repeats the bar before it; ``drums`` marks a bar of drums alone, with the chord that holds under them
if one is written (``drums Am``). A metre such as ``3/4`` at a bar's start changes the metre from there on.

**Marks on a chord**: ``>C7`` (or ``&C7``) is pushed, played an eighth early; ``>>C7`` a sixteenth early; ``C7!`` is a
stop: everyone strikes it and is silent until the next item that isn't a hold.

**Form**: ``[Verse]`` names a section. ``|: ... :|`` is played twice, ``:| x3`` three times. ``1.`` and ``2.`` at a
bar's start are endings (``1.2.`` or ``1-3.``: several passes); each but the last closes with ``:|``.

A chart is kept with its repeats unfolded, in playing order, and is written back that way.
"""

from __future__ import annotations

from handgroove.harmony.charts.chart_model import Chart, ChartBar, ChartChord, ChordSpan, Cue, Harmony
from handgroove.harmony.charts.chart_text import parse_chart, read_chart
from handgroove.harmony.charts.chart_transpose import transpose_chart
from handgroove.harmony.charts.lay import lay_chart

__all__ = [
    "Chart",
    "ChartBar",
    "ChartChord",
    "ChordSpan",
    "Cue",
    "Harmony",
    "lay_chart",
    "parse_chart",
    "read_chart",
    "transpose_chart",
]
