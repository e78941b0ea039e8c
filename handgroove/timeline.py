"""Musical time: metres, tempos and bars over ticks.

Time is in ticks, 960 to the quarter note, as plain integers; seconds exist only at the edges. Bar 1 is the
first full bar; a pickup is bar 0. Tempo is in quarter notes a minute, kept as whole microseconds a quarter
because that is what a MIDI file holds.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

TICKS_PER_QUARTER = 960
TICKS_PER_WHOLE = 4 * TICKS_PER_QUARTER

_GROUPS = {5: (3, 2), 7: (2, 2, 3), 8: (3, 3, 2), 10: (3, 2, 3, 2), 11: (3, 3, 3, 2), 13: (3, 3, 3, 2, 2)}
_SIXTEENTHS = ((0.0, ""), (0.25, "e"), (0.5, "&"), (0.75, "a"), (1 / 3, "trip"), (2 / 3, "let"))


@dataclass(frozen=True)
class Metre:
    """A time signature: *beats* (numerator) of a *unit* (denominator: 4 = quarter, 8 = eighth)."""

    beats: int
    unit: int

    @cached_property
    def unit_ticks(self) -> int:
        """Return the ticks of one unit (what the denominator names)."""
        return TICKS_PER_WHOLE // self.unit

    @cached_property
    def bar_ticks(self) -> int:
        """Return the ticks of a whole bar."""
        return self.beats * self.unit_ticks

    @cached_property
    def is_compound(self) -> bool:
        """Return whether the beat is felt in threes (6/8, 9/8, 12/8)."""
        return self.unit >= 8 and self.beats >= 6 and self.beats % 3 == 0

    @cached_property
    def groups(self) -> tuple[int, ...]:
        """Return how the units of a bar group, in units: 4/4 is 1+1+1+1, 6/8 is 3+3, 7/8 is 2+2+3."""
        if self.is_compound:
            return (3,) * (self.beats // 3)
        if self.unit >= 8 and self.beats in _GROUPS:
            return _GROUPS[self.beats]
        if self.unit >= 8 and self.beats % 2 == 0:
            return (2,) * (self.beats // 2)
        return (1,) * self.beats

    @cached_property
    def beat_ticks(self) -> int:
        """Return the ticks of a felt beat: the dotted unit in compound metres, else the unit."""
        return self.unit_ticks * (3 if self.is_compound else 1)

    def __str__(self) -> str:
        return f"{self.beats}/{self.unit}"


@dataclass(frozen=True, slots=True)
class MetreChange:
    """From *tick* on, *metre* holds; a change always begins a bar."""

    tick: int
    metre: Metre


@dataclass(frozen=True, slots=True)
class TempoChange:
    """From *tick* on, a quarter note lasts *quarter_us* microseconds."""

    tick: int
    quarter_us: int

    @property
    def tempo_bpm(self) -> float:
        """Return the tempo in quarter notes a minute."""
        return 60e6 / self.quarter_us


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar: its *number* (a pickup is 0), where it starts, how long it is and its metre."""

    number: int
    start_tick: int
    length_ticks: int
    metre: Metre

    @property
    def end_tick(self) -> int:
        """Return the tick at which the next bar starts."""
        return self.start_tick + self.length_ticks


def bpm_to_quarter_us(tempo_bpm: float) -> int:
    """Return the microseconds of a quarter note at *tempo_bpm* quarter notes a minute."""
    return round(60e6 / tempo_bpm)


@dataclass(frozen=True)
class Timeline:
    """The metres and tempos of a stretch of music that ends at *end_tick*.

    *metres* and *tempos* are in order and start at tick 0. *pickup_ticks* is the length of an incomplete
    first bar (0 = none). *lead_ticks* is what comes before the music, silence or a count-in, and is not counted. Past
    its end the timeline goes on in its last metre and tempo, since a live player does not stop at a number.
    """

    metres: tuple[MetreChange, ...] = (MetreChange(0, Metre(4, 4)),)
    tempos: tuple[TempoChange, ...] = (TempoChange(0, 500_000),)
    end_tick: int = 0
    pickup_ticks: int = 0
    lead_ticks: int = 0

    @staticmethod
    def of(metre: Metre, tempo_bpm: float, bars: int) -> Timeline:
        """Make a timeline of *bars* bars of one *metre* at one *tempo_bpm* (quarter notes a minute)."""
        tempo = TempoChange(0, bpm_to_quarter_us(tempo_bpm))
        return Timeline((MetreChange(0, metre),), (tempo,), bars * metre.bar_ticks)

    @property
    def first_tick(self) -> int:
        """Return the tick of the first full bar."""
        return self.lead_ticks + self.pickup_ticks

    @cached_property
    def _sections(self) -> tuple[list[int], list[tuple[int, int, Metre]]]:
        """Return where each metre starts, and for each (start tick, number of its first bar, metre)."""
        number, sections = 1, []
        starts = [change.tick for change in self.metres]
        starts[0] = self.first_tick
        for index, (start, change) in enumerate(zip(starts, self.metres, strict=True)):
            sections.append((start, number, change.metre))
            if index + 1 < len(starts):
                number += -(-(starts[index + 1] - start) // change.metre.bar_ticks)
        return starts, sections

    @cached_property
    def _clock(self) -> tuple[list[int], list[float]]:
        """Return the ticks at which the tempo changes and the seconds passed at each."""
        seconds = [0.0]
        for before, after in zip(self.tempos, self.tempos[1:], strict=False):
            span = (after.tick - before.tick) * before.quarter_us / (1e6 * TICKS_PER_QUARTER)
            seconds.append(seconds[-1] + span)
        return [change.tick for change in self.tempos], seconds

    @cached_property
    def _bars(self) -> dict[int, Bar]:
        """Return the bars that were asked for so far, by number."""
        return {}

    def bar_at(self, tick: int) -> Bar:
        """Return the bar that *tick* falls in."""
        if self.lead_ticks <= tick < self.first_tick:
            return Bar(0, self.lead_ticks, self.pickup_ticks, self.metres[0].metre)
        starts, sections = self._sections
        index = max(0, bisect_right(starts, tick) - 1)
        start, first, metre = sections[index]
        if tick < self.lead_ticks:  # before the music bars count backwards
            start, first = self.lead_ticks, int(not self.pickup_ticks)
        length = metre.bar_ticks
        number = first + (tick - start) // length
        bar = self._bars.get(number)
        if bar is None:
            bar_start = start + (number - first) * length
            if index + 1 < len(starts):
                length = min(length, starts[index + 1] - bar_start)
            bar = self._bars[number] = Bar(number, bar_start, length, metre)
        return bar

    def bars(self) -> Iterator[Bar]:
        """Yield every bar of the music up to the end, the last one whole."""
        tick = self.lead_ticks
        while tick < self.end_tick:
            bar = self.bar_at(tick)
            yield bar
            tick = bar.end_tick

    def bar_start(self, number: int) -> int:
        """Return the tick at which bar *number* starts."""
        if number <= 0:
            return self.lead_ticks
        _, sections = self._sections
        start, first, metre = next(s for s in reversed(sections) if s[1] <= number or s is sections[0])
        return start + (number - first) * metre.bar_ticks

    def metre_at(self, tick: int) -> Metre:
        """Return the metre that holds at *tick*."""
        return self.bar_at(tick).metre

    def tempo_at(self, tick: int) -> float:
        """Return the tempo at *tick* in quarter notes a minute."""
        ticks, _ = self._clock
        return self.tempos[max(0, bisect_right(ticks, tick) - 1)].tempo_bpm

    def tick_to_sec(self, tick: int) -> float:
        """Return the seconds from the start to *tick*."""
        ticks, seconds = self._clock
        index = max(0, bisect_right(ticks, tick) - 1)
        us = (tick - ticks[index]) * self.tempos[index].quarter_us
        return seconds[index] + us / (1e6 * TICKS_PER_QUARTER)

    def sec_to_tick(self, sec: float) -> int:
        """Return the tick nearest to *sec* seconds from the start."""
        ticks, seconds = self._clock
        index = max(0, bisect_right(seconds, sec) - 1)
        return ticks[index] + round(
            (sec - seconds[index]) * 1e6 * TICKS_PER_QUARTER / self.tempos[index].quarter_us
        )

    def format_position(self, tick: int) -> str:
        """Return where *tick* is as players count: ``bar 12, beat 3&`` (e & a, trip let after it), ``pickup, beat 4``.

        Beats are the metre's units, so 6/8 and 7/8 count eighths; a pickup counts back from the bar line as
        the last beats of a whole bar.
        """
        bar = self.bar_at(tick)
        offset = tick - bar.start_tick
        if bar.number == 0:
            offset += bar.metre.bar_ticks - bar.length_ticks
        beat, rest = divmod(offset, bar.metre.unit_ticks)
        part = rest / bar.metre.unit_ticks
        if part > 0.875:  # a hair early is still that beat
            beat, part = beat + 1, 0.0
        if beat >= bar.metre.beats:
            return f"bar {bar.number + 1}, beat 1"
        suffix = min(_SIXTEENTHS, key=lambda item: abs(item[0] - part))[1]
        return f"{f'bar {bar.number}' if bar.number else 'pickup'}, beat {beat + 1}{suffix}"
