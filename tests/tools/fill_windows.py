"""Fills found in windows of takes, beside whole takes: does it matter how much of a song is there to be known?

Short fills are set into takes at the ends of four-bar phrases: now and then (every eighth bar), the same one every
fourth bar, or one after the other. From each such take a window of 8, 16 and 32 bars is cut out at random; what is
asked of it is asked of the whole as well, so that what was set in is the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

from handgroove.groove.know.backbone import find_backbone
from tests.tools.labelled import (
    HOSTS,
    Splice,
    Take,
    cut_groove,
    cut_window,
    is_host,
    is_short_fill,
    set_fills,
)

WINDOWS = (8, 16, 32)  # bars
WAYS = {  # how often the same or other fills come: every so many bars, so many different ones
    "now and then": (8, 1),
    "the same every 4th bar": (4, 1),
    "others every 4th bar": (4, 3),
}


def splice_windows(takes: Sequence[Take], way: str, seed: int = 3) -> dict[int, list[Splice]]:
    """Return takes with fills set in as *way* says, by the bars of the window that was cut (0 = whole)."""
    random = Random(seed)
    every, different = WAYS[way]
    hosts = [take for take in takes if is_host(take)]
    letters = {take.path: find_backbone(cut_groove(take.groove).cells).letters for take in hosts}
    short = [take for take in takes if is_short_fill(take)]
    found: dict[int, list[Splice]] = {length: [] for length in (0, *WINDOWS)}
    for take in short:
        near = [host for host in hosts if host.family == take.family] or hosts
        fills = [take, *random.sample(short, different - 1)]
        for host in random.sample(near, min(HOSTS, len(near))):
            kept = letters[host.path]
            first = 3 + random.randrange(every // 4) * 4
            places = [i for i in range(first, len(kept) - 3, every) if kept[i - 1] and kept[i - 2]]
            if not places:
                continue
            whole = set_fills(host, fills, places, kept)
            found[0].append(whole)
            for length in WINDOWS:
                low = random.randrange(max(1, len(kept) - length))
                found[length].append(cut_window(whole, low, low + length))
    return found
