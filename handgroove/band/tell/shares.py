"""How much of the band is in the piano part: the measures that piano reductions are judged by.

What to measure follows published work: fidelity of melody and bass under a bound of difficulty (E. Nakamura, K. Yoshii,
2018, "Statistical piano reduction controlling performance difficulty", APSIPA Transactions on Signal and Information
Processing 7:e13); melody, chords and the rhythm of drums and bass as what matters most (H. Takamori, H. Sato, T.
Nakatsuka, S. Morishima, 2017, "Automatic arranging musical score for piano using important musical elements", SMC). A
note counts as kept when its pitch class is struck within 50 ms (the onset tolerance of C. Raffel and others, 2014,
"mir_eval: a transparent implementation of common MIR metrics", ISMIR). The thresholds are ours.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import sqrt

from handgroove.band.read.roles import BandRole
from handgroove.band.read.sections import Section
from handgroove.band.read.tracks import has_near, meant_together
from handgroove.band.write.condensing import Condensed
from handgroove.band.write.sketch import Sketch
from handgroove.groove.kit import Family
from handgroove.hands.settle import settle
from handgroove.part import Note, Part
from handgroove.strike import Hand

TOLERANCE_SEC = 0.05
_SLOT_TICKS = 240


@dataclass(frozen=True, slots=True)
class Measures:
    """Shares (0 to 1) of what was to be kept; None where the band has none of it.

    *kick* and *snare* are of all hits, *drums_allowed* of the kicks and snares that the hands could play if nothing
    else were asked. *chords* is the mean over bars, *accents* the correlation of the accent profiles.
    """

    melody: float | None
    melody_on_top: float | None
    bass: float | None
    kick: float | None
    snare: float | None
    drums_allowed: float | None
    chords: float | None
    accents: float | None

    def rows(self) -> list[tuple[str, float | None]]:
        """Return names in words and values, in order."""
        return [
            ("melody kept", self.melody),
            ("melody on top", self.melody_on_top),
            ("bass on strong beats", self.bass),
            ("kicks", self.kick),
            ("snares", self.snare),
            ("kicks and snares of what hands allow", self.drums_allowed),
            ("chord tones a bar", self.chords),
            ("accent profile (correlation)", self.accents),
        ]


class StruckKeys:
    """When each pitch class is struck in a part, to look up."""

    def __init__(self, notes: Iterable[Note]) -> None:
        self._ticks: list[list[int]] = [[] for _ in range(12)]
        for note in sorted(notes, key=lambda note: note.tick):
            self._ticks[note.pitch % 12].append(note.tick)

    def near(self, pc: int, tick: int, slack_ticks: int) -> bool:
        """Return whether *pc* is struck within *slack_ticks* of *tick*."""
        return has_near(self._ticks[pc], tick, slack_ticks)


def measure(condensed: Condensed) -> Measures:
    """Return how much of the band is in the part."""
    part, sketch = condensed.part, condensed.sketch
    tune, bass, drums = _melody(part, sketch), _bass(part, sketch), _drums(condensed)
    return Measures(*tune, bass, *drums, _chords(part, sketch), accent_correlation(part, sketch))


def slack_ticks(part: Part, tick: int) -> int:
    """Return the onset tolerance in ticks at *tick*'s tempo."""
    return round(TOLERANCE_SEC * part.timeline.tempo_at(tick) * 16)


def _share(kept: int, total: int) -> float | None:
    return kept / total if total else None


def _melody(part: Part, sketch: Sketch) -> tuple[float | None, float | None]:
    """Return which share of the band's tune the right hand strikes, and in which nothing of it stands above."""
    right = part.hand(Hand.RIGHT)
    sung = StruckKeys(right)
    by_tick = sorted(right, key=lambda note: note.tick)
    ticks = [note.tick for note in by_tick]
    total = kept = on_top = 0
    for note in sketch.melody.notes:
        slack, tick = slack_ticks(part, note.tick), sketch.heard(note.tick)
        total += 1
        if not sung.near(note.pitch % 12, tick, slack):
            continue
        kept += 1
        together = by_tick[bisect_left(ticks, tick - slack) : bisect_left(ticks, tick + slack + 1)]
        top = max(together, key=lambda other: other.pitch)
        on_top += top.pitch % 12 == note.pitch % 12
    return _share(kept, total), _share(on_top, kept)


def _bass(part: Part, sketch: Sketch) -> float | None:
    """Return in which share of the strong beats that the bass strikes its pitch class is struck in the left hand."""
    low = StruckKeys(part.hand(Hand.LEFT))
    total = kept = 0
    for note in sketch.bass.notes:
        if sketch.is_strong(note.place):
            total += 1
            kept += low.near(note.pitch % 12, sketch.heard(note.tick), slack_ticks(part, note.tick))
    return _share(kept, total)


def _drums(condensed: Condensed) -> tuple[float | None, float | None, float | None]:
    """Return the share of kicks and of snares that sound, and of both of those that hands allow.

    What hands allow is what the same player can play of kicks and snares when nothing else is asked.
    """
    part = condensed.part
    sounding = {index for note in part.notes for index in note.hits}
    kicks, snares = (
        {index for index, hit in enumerate(part.groove.hits) if hit.piece.family is family}
        for family in (Family.KICK, Family.SNARE)
    )
    alone = settle(condensed.drums_asked, condensed.sketch.player, part.timeline)
    allowed = {index for note in alone.notes for index in note.hits} & (kicks | snares)
    return (
        _share(len(kicks & sounding), len(kicks)),
        _share(len(snares & sounding), len(snares)),
        _share(len(allowed & sounding), len(allowed)),
    )


def _chords(part: Part, sketch: Sketch) -> float | None:
    """Return, as a mean over chords, which share of each chord's tones is struck or sounds while it holds."""
    shares = []
    notes = sorted(part.notes, key=lambda note: note.tick)
    first = 0
    for span in part.harmony.spans:
        if span.chord is None:
            continue
        slack = slack_ticks(part, span.start_tick)
        start, end = (
            sketch.heard(sketch.form.reading.played_at(at)) for at in (span.start_tick, span.end_tick)
        )
        while first < len(notes) and notes[first].tick < start - 7680:
            first += 1
        pcs = set()
        for note in notes[first:]:
            if note.tick >= end - slack:
                break
            if note.end_tick > start + slack:
                pcs.add(note.pitch % 12)
        tones = set(span.chord.tone_pcs)
        shares.append(len(tones & pcs) / len(tones))
    return sum(shares) / len(shares) if shares else None


def accent_correlation(part: Part, sketch: Sketch) -> float | None:
    """Return how the accent profiles of band and part go together (Pearson's r), the mean over sections by their bars.

    A profile is how loud each sixteenth of the bar is struck: velocities added up over a section's bars, for the band
    one for each player's stroke (doubles left out) and each limb of the drummer, for the piano one for each note. A
    section that the band strikes about equally loud on every sixteenth has no accents to compare.
    """
    total = weight = 0.0
    for section in sketch.form.sections:
        band_rows, part_rows = _profile_rows(part, sketch, section)
        value = correlation(band_rows, part_rows)
        if value is not None and _has_accents(band_rows):
            bars = section.last_bar - section.first_bar + 1
            total, weight = total + value * bars, weight + bars
    return total / weight if weight else None


def _has_accents(rows: Sequence[float]) -> bool:
    """Return whether the loudness in *rows* differs by a fifth of its mean and more (standard deviation)."""
    mean = sum(rows) / len(rows)
    return mean > 0 and sqrt(sum((x - mean) ** 2 for x in rows) / len(rows)) >= 0.2 * mean


def _profile_rows(part: Part, sketch: Sketch, section: Section) -> tuple[list[float], list[float]]:
    bar = sketch.timeline.bar_at(section.start_tick)
    slots = max(1, bar.length_ticks // _SLOT_TICKS)
    band_rows, part_rows = [0.0] * slots, [0.0] * slots

    def slot(place: int) -> int:
        return (place - section.start_tick + _SLOT_TICKS // 2) // _SLOT_TICKS % slots

    for cast in sketch.form.casts:
        if cast.role in (BandRole.UNUSED, BandRole.DOUBLE):
            continue
        for group in meant_together(cast.track.between(section.start_tick, section.end_tick)):
            loud = [note.velocity for note in group]  # each limb counts; a strum is one stroke
            band_rows[slot(group[0].meant)] += sum(loud) if cast.role is BandRole.DRUMS else max(loud)
    for struck in part.notes:
        if section.start_tick <= struck.meant < section.end_tick:
            part_rows[slot(struck.meant)] += struck.velocity
    return band_rows, part_rows


def correlation(first: Sequence[float], second: Sequence[float]) -> float | None:
    """Return Pearson's correlation of two rows, or None where one does not vary."""
    n = len(first)
    mean_a, mean_b = sum(first) / n, sum(second) / n
    a = [x - mean_a for x in first]
    b = [x - mean_b for x in second]
    spread = sqrt(sum(x * x for x in a) * sum(x * x for x in b))
    return sum(x * y for x, y in zip(a, b, strict=True)) / spread if spread > 1e-9 else None
