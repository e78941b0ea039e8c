"""Performances with labels, to measure and tune on: a folder of MIDI files with a ``labels.csv``.

Its columns are file, drummer, style, bpm, kind (beat or fill), time_signature and duration_sec, as in the table of the
Groove MIDI Dataset (J. Gillick and others, 2019). A file belongs to the half that was tuned on, or to the other, by a
digest of its name, so that the split never depends on order.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from hashlib import md5
from pathlib import Path
from random import Random

from handgroove.errors import WrongUseError
from handgroove.groove.hits import Groove, Hit
from handgroove.groove.know.backbone import find_backbone
from handgroove.groove.know.barlines import BarHits, part_bars
from handgroove.groove.know.cells import BarCells, cut_cells
from handgroove.groove.know.feel import find_feel
from handgroove.groove.know.levels import find_levels
from handgroove.groove.read.smf import read_groove

FEWEST_HOST_BARS = 12
MOST_FILL_BARS = 2
HAIR_TICKS = 80
HOSTS = 3


@dataclass(frozen=True)
class Take:
    """One labelled performance."""

    path: Path
    groove: Groove
    drummer: str
    style: str
    tempo_bpm: float
    is_fill: bool
    duration_sec: float

    @property
    def is_tuning(self) -> bool:
        """Return whether it belongs to the half that models were tuned on."""
        return int(md5(self.path.name.encode(), usedforsecurity=False).hexdigest(), 16) % 2 == 0

    @property
    def family(self) -> str:
        """Return the style's first word."""
        return self.style.split("/")[0]


@dataclass(frozen=True)
class Cut:
    """A groove's bars as patterns: what the models see."""

    bars: tuple[BarHits, ...]
    cells: tuple[BarCells, ...]
    beats: tuple[float, ...]


def read_takes(folder: Path) -> list[Take]:
    """Read every performance that ``labels.csv`` in *folder* names."""
    table = folder / "labels.csv"
    if not table.exists():
        raise WrongUseError(f"{folder}: expected a folder with labels.csv and the files it names, found none")
    takes = []
    with table.open(newline="") as file:
        for row in csv.DictReader(file):
            path = folder / row["file"]
            takes.append(
                Take(
                    path,
                    read_groove(path),
                    row["drummer"],
                    row["style"],
                    float(row["bpm"]),
                    row["kind"] == "fill",
                    float(row["duration_sec"]),
                )
            )
    return takes


def cut_groove(groove: Groove, bars: Sequence[BarHits] | None = None) -> Cut:
    """Cut *groove* into bars as patterns (or only *bars* of it)."""
    bars = tuple(part_bars(groove, [hit.tick for hit in groove.hits]) if bars is None else bars)
    feel = find_feel(bars, groove.timeline.tempo_at(0))
    cells = cut_cells(bars, feel, find_levels(groove))
    return Cut(bars, cells, tuple(part.bar.length_ticks / part.bar.metre.beat_ticks for part in bars))


@dataclass(frozen=True)
class Splice:
    """A groove with a fill clip set into it: which bars (indices) are the fill's, and which were groove before."""

    groove: Groove
    filled: frozenset[int]
    plain: frozenset[int]


def splice_fills(takes: Sequence[Take], seed: int = 1) -> list[Splice]:
    """Set each short fill of *takes* into up to three grooves of its family of styles, in a fourth bar."""
    random = Random(seed)
    hosts = [take for take in takes if is_host(take)]
    letters = {take.path: find_backbone(cut_groove(take.groove).cells).letters for take in hosts}
    found = []
    for take in takes:
        if not is_short_fill(take):
            continue
        near = [host for host in hosts if host.family == take.family] or hosts
        for host in random.sample(near, min(HOSTS, len(near))):
            kept = letters[host.path]
            places = [i for i in range(3, len(kept) - 4) if i % 4 == 3 and kept[i - 1] and kept[i - 2]]
            if places:
                found.append(_splice(host, take, random.choice(places), kept))
    return found


def is_short_fill(take: Take) -> bool:
    """Return whether *take* is a fill of two bars at most, that begins in the first half of a bar."""
    hits = take.groove.hits
    return take.is_fill and hits[-1].tick < 3840 * (MOST_FILL_BARS + 0.3) and hits[0].tick < 1920


def is_host(take: Take) -> bool:
    """Return whether *take* is a groove of twelve bars and more in 4/4, into which a fill can be set."""
    bars = part_bars(take.groove, [hit.tick for hit in take.groove.hits])
    four = str(take.groove.timeline.metres[0].metre) == "4/4"
    return not take.is_fill and four and len(bars) >= FEWEST_HOST_BARS


def _splice(host: Take, fill: Take, at: int, letters: Sequence[str]) -> Splice:
    """Return some twenty bars of *host* around bar *at*, where *fill* is set in."""
    whole = set_fills(host, [fill], [at], letters)
    return cut_window(whole, max(0, at - 11), at + len(whole.filled) + 8)


def set_fills(host: Take, fills: Sequence[Take], places: Sequence[int], letters: Sequence[str]) -> Splice:
    """Return all of *host* with *fills* set in, in turn, at *places* (bars, from 0)."""
    bars = part_bars(host.groove, [hit.tick for hit in host.groove.hits])
    hits, filled = list(host.groove.hits), set()
    for number, at in enumerate(places):
        fill = fills[number % len(fills)].groove
        length = max(1, -(-(fill.hits[-1].tick + 200) // 3840))
        start = bars[at].bar.start_tick
        end = start + length * 3840
        hits = [hit for hit in hits if not start - HAIR_TICKS <= hit.tick < end - HAIR_TICKS]
        hits += [replace(hit, tick=hit.tick + start) for hit in fill.hits if hit.tick < length * 3840]
        filled |= set(range(at, at + length))
    plain = frozenset(i for i, letter in enumerate(letters) if letter and i not in filled)
    return Splice(replace(host.groove, hits=sort_hits(hits)), frozenset(filled), plain)


def cut_window(splice: Splice, low: int, high: int) -> Splice:
    """Return the bars *low* up to *high* (indices) of *splice* as a take of its own."""
    bars = part_bars(splice.groove, [hit.tick for hit in splice.groove.hits])[low:high]
    shift = bars[0].bar.start_tick
    hits = sort_hits(replace(hit, tick=max(0, hit.tick - shift)) for part in bars for hit in part.hits)
    filled, plain = (
        frozenset(i - low for i in indices if low <= i < low + len(bars))
        for indices in (splice.filled, splice.plain)
    )
    return Splice(replace(splice.groove, hits=hits), filled, plain)


def sort_hits(hits: Iterable[Hit]) -> tuple[Hit, ...]:
    """Return *hits* in their order."""
    return tuple(sorted(hits, key=lambda hit: hit.order))
