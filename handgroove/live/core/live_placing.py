"""Where the chain gets its harmony on stage: a planned chart, the chords that the player holds, or both.

The player overrides the chart; what was played counts until the chart moves on to its next chord. Without a chart
it counts until another chord is played. A chart starts again from its top when it is through.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, replace

from handgroove.groove.hits import Marker
from handgroove.harmony.chord import Chord
from handgroove.harmony.voice.low_notes import next_low
from handgroove.harmony.voice.voicing_settings import HarmonySettings
from handgroove.harmony.voice.voicings import next_voicing
from handgroove.host.chain import Placing
from handgroove.host.own_strokes import ChordHere

SILENT = ChordHere(None, (), 36)


@dataclass(frozen=True, slots=True)
class Plan:
    """A chart made ready: its *placing*, where it ends, and its *sections* in order."""

    placing: Placing
    end_tick: int
    sections: tuple[Marker, ...] = ()


class LivePlacing:
    """Answers what chord, voicing and low note hold, from *plan* (or none) and from what is played."""

    def __init__(self, settings: HarmonySettings, plan: Plan | None = None) -> None:
        self._settings = settings
        self.plan = plan
        self._played: ChordHere | None = None
        self._until_tick: int | None = None
        self._heard_tick = 0
        self._last: ChordHere = SILENT
        # From this tick of the song on, this much further in the chart.
        self._jumps: list[tuple[int, int]] = []

    def hear(self, chord: Chord, tick: int) -> None:
        """Take a *chord* that the player holds, meant at the written *tick*; it counts at once."""
        last = self._last
        voicing = next_voicing(last.voicing, chord, self._settings)
        low = next_low(last.low if last.voicing else None, chord, self._settings)
        self._played = ChordHere(chord, voicing, low)
        self._until_tick, self._heard_tick = None, tick
        if self.plan is not None:
            planned = self._planned(tick)
            self._until_tick = None if planned.ticks_to_change is None else tick + planned.ticks_to_change

    def forget(self) -> None:
        """Forget what was played; the chart counts alone."""
        self._played = None

    def at(self, tick: int) -> ChordHere:
        """Return what holds at the written *tick*."""
        is_over = self._until_tick is not None and tick >= self._until_tick
        if self._played is None or is_over:
            self._last = self._planned(tick) if self.plan else SILENT
        elif self.plan is None or self._until_tick is None:
            self._last = replace(self._played, ticks_since_change=max(0, tick - self._heard_tick))
        else:
            planned = self._planned(tick)
            self._last = replace(
                self._played,
                next_chord=planned.next_chord,
                next_voicing=planned.next_voicing,
                next_low=planned.next_low,
                ticks_to_change=planned.ticks_to_change,
                ticks_since_change=max(0, tick - self._heard_tick),
            )
        return self._last

    def rewind(self) -> None:
        """Forget jumps: the song starts from its top."""
        self._jumps.clear()
        self.forget()

    def jump(self, index: int, tick: int) -> None:
        """Go to section number *index* at *tick* of the song."""
        if self.plan is not None:
            self._jumps = [*(jump for jump in self._jumps if jump[0] < tick)][-1:]
            self._jumps.append((tick, self.plan.sections[index].tick - tick))

    @property
    def shown(self) -> ChordHere:
        """Return what held when it was last asked for."""
        return self._last

    def section_index(self, tick: int) -> int:
        """Return the number of the section that is played at *tick*, 0 where the chart has none."""
        inside = self._inside(tick)
        starts = [marker.tick for marker in self.plan.sections] if self.plan else []
        return max(0, bisect_right(starts, inside) - 1)

    def section_name(self, tick: int) -> str:
        """Return the name of the section that is played at *tick*, or an empty string."""
        return self.plan.sections[self.section_index(tick)].text if self.plan and self.plan.sections else ""

    def find_section(self, wanted: str, here: int) -> int | None:
        """Return the number of the section that *wanted* means ("next", "previous", "again", a name), from *here*."""
        count = len(self.plan.sections) if self.plan else 0
        if not count:
            return None
        steps = {"": 1, "next": 1, "previous": -1, "again": 0}
        if wanted in steps:
            return (here + steps[wanted]) % count
        assert self.plan is not None
        names = [marker.text.casefold() for marker in self.plan.sections]
        ahead = [*range(here + 1, count), *range(here + 1)]
        return next((index for index in ahead if names[index] == wanted.casefold()), None)

    def _inside(self, tick: int) -> int:
        """Return the place in the chart at *tick* of the song; a chart that is through starts again."""
        shift = next((shift for start, shift in reversed(self._jumps) if start <= tick), 0)
        end_tick = self.plan.end_tick if self.plan else 0
        return (tick + shift) % end_tick if end_tick and tick >= 0 else max(0, tick)

    def _planned(self, tick: int) -> ChordHere:
        if self.plan is None:
            return SILENT
        end_tick = self.plan.end_tick
        inside = self._inside(tick)
        placed = self.plan.placing.at(inside)
        if placed.next_chord is None and end_tick and placed.ticks_to_change is None:
            first = self.plan.placing.at(0)  # the form starts again
            return replace(
                placed,
                next_chord=first.chord,
                next_voicing=first.voicing,
                next_low=first.low,
                ticks_to_change=end_tick - inside,
            )
        return placed
