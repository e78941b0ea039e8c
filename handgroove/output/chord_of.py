"""Which chord a note belongs to, for its name: the one it was meant in, or the next that it leads into."""

from __future__ import annotations

from handgroove.harmony.chart import Harmony
from handgroove.harmony.chord import Chord
from handgroove.part import Note

LEADS_TICKS = 480  # a note of the next chord this little before it is that chord's, early


def chord_of(note: Note, harmony: Harmony) -> Chord | None:
    """Return the chord that *note* is named by, or None where none sounds."""
    spans = harmony.spans
    if not spans:
        return None
    index = harmony.index_at(note.meant)
    chord, after = spans[index].chord, index + 1
    pc = note.pitch % 12
    if (chord is None or pc not in chord.pcs) and after < len(spans):
        following = spans[after].chord
        if following and pc in following.pcs and spans[after].start_tick - note.meant <= LEADS_TICKS:
            return following
    return chord
