"""What is on: the pattern and its chain of translators, the loop that is played, and the changes that wait."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from handgroove.groove.suggest.learn_cell import LearnedCells
from handgroove.host.chain import Cells, Chain
from handgroove.host.links import PluginFault, find_celled
from handgroove.live.core.changes import AT_ONCE, Action, At, StageChange, boundary_tick, step_name
from handgroove.live.core.conductor import Conductor
from handgroove.live.core.live_placing import LivePlacing
from handgroove.live.core.loops import Cursor, Playable
from handgroove.live.core.stage import BOTH_HANDS, Setup
from handgroove.live.core.tempo import TEMPO_RANGE_BPM
from handgroove.strike import Hand

HANDS_BY_NAME = {"both": BOTH_HANDS, "left": frozenset({Hand.LEFT}), "right": frozenset({Hand.RIGHT})}
MOST_TRANSPOSE = 11
_VOLUME_STEP = 0.1
_VOLUME_RANGE = (0.1, 1.5)


class Programme:
    """Holds what is played now and what comes next. A change waits for its beat or bar, one of a kind at a time."""

    def __init__(
        self, setup: Setup, patterns: Sequence[Playable], placing: LivePlacing, conductor: Conductor
    ) -> None:
        self._setup = setup
        self._patterns = {pattern.name: pattern for pattern in patterns}
        self._placing = placing
        self._conductor = conductor
        self._bypassed: set[str] = set()
        self._waiting: dict[Action, tuple[int, StageChange]] = {}
        self._at_once: StageChange | None = None
        self._taken_tick = 0  # the line at which the change in hand is taken
        self._end_tick: int | None = None  # where a loop that is played once ends
        self._foreseen: tuple[Chain, str, int] | None = None
        self.cursor = Cursor()
        self.pattern = patterns[0]
        self.hands = setup.hands
        self.transpose = setup.transpose
        self.volume = setup.volume
        self.chain = self._make_chain()

    # ---- the chain ---------------------------------------------------------------------------------------

    def _make_chain(self, start_tick: int = 0) -> Chain:
        """Make the chain afresh, a loop beginning at *start_tick*: what it remembers of earlier hits is no more."""
        pattern = self.pattern
        celled = find_celled(pattern.links)
        cells: Cells | None = None
        if pattern.cells is not None:
            cells = replace(pattern.cells, start_tick=pattern.cells.start_tick + start_tick)
        elif celled is not None and celled.cell is not None:
            cells = LearnedCells(celled.cell, celled.pieces)
        chain = Chain(
            pattern.links,
            self._placing,
            pattern.levels,
            self._conductor.timeline,
            self._setup.seed,
            pattern.own,
            cells,
        )
        for name in self._bypassed:
            chain.bypass(name)
        return chain

    @property
    def has_own(self) -> bool:
        """Return whether hands may have strokes of their own: a chart's stops and pushes, or the pattern's low line."""
        own = self.pattern.own
        return own is not None and (own.line is not None or self._placing.plan is not None)

    def bypass_faults(self) -> list[PluginFault]:
        """Return the faults of translators that have failed since; they stay bypassed for the session."""
        faults, self.chain.faults = self.chain.faults, []
        self._bypassed.update(fault.name for fault in faults)
        return faults

    # ---- playing -----------------------------------------------------------------------------------------

    def start(self, tick: int) -> None:
        """Start from *tick*: the position has jumped there."""
        self._waiting.clear()
        self._conductor.set_metre(self.pattern.metre, 0)
        self._placing.rewind()
        self.chain = self._make_chain()
        loop = self.pattern.loop
        self._end_tick = loop.length_ticks if loop and loop.once else None
        if loop is not None:
            self.cursor.start(loop, max(0, tick))

    def stop(self) -> list[StageChange]:
        """Stop the loop; return the changes that waited for a line of it and still make sense."""
        self.cursor.clear()
        self._end_tick = None
        waiting = [change for _, change in self._waiting.values() if change.action is not Action.FILL]
        self._waiting.clear()
        return waiting

    def is_over(self) -> bool:
        """Return whether a loop that is played once has been played to its end."""
        return self.cursor.next_tick() is None

    def next_sec(self) -> float | None:
        """Return when the next hit or change is due, or None."""
        transport = self._conductor.transport
        sec = None
        if self._waiting:
            sec = transport.sec_at(min(tick for tick, _ in self._waiting.values()))
        if self._conductor.playing:
            tick = self.cursor.next_tick()
            if tick is None:
                tick = self._end_tick
            if tick is not None:
                hit_sec = transport.sec_at(tick)
                sec = hit_sec if sec is None else min(sec, hit_sec)
        return sec

    # ---- changes -----------------------------------------------------------------------------------------

    @property
    def waiting(self) -> tuple[StageChange, ...]:
        """Return the changes that wait for their beat or bar."""
        return tuple(change for _, change in self._waiting.values())

    def describe(self, change: StageChange) -> str:
        """Return the value of a waiting *change* in the player's words."""
        if change.action is Action.SECTION and self._placing.plan is not None:
            return self._placing.plan.sections[int(change.value)].text
        return change.value

    def plan(self, change: StageChange, sec: float, place: int) -> str:
        """Plan *change*, asked for at *sec*, which means the written tick *place*.

        Return what is wrong with it, in one line, or an empty string.
        """
        resolved = self._resolve(change, sec)
        if isinstance(resolved, str):
            return resolved
        at = resolved.at or self._setup.changes_at
        if resolved.action in AT_ONCE or at is At.NOW:
            self._at_once = resolved
            return ""
        tick = max(place, self._conductor.tick_at(sec))
        line = boundary_tick(self._conductor.timeline, tick, at)
        self._waiting[resolved.action] = (line, resolved)
        if resolved.action is Action.FILL:
            self._foresee(resolved.value, line)
        return ""

    def _foresee(self, name: str, tick: int) -> None:
        """Have figure translators answer the fill called *name* from *tick* on: when it is asked for, not at its line,
        since that takes longer than a stroke may wait."""
        if (self.chain, name, tick) == self._foreseen:
            return
        self._foreseen = (self.chain, name, tick)
        self.chain.timeline = self._conductor.timeline
        bar_tick = self.chain.timeline.bar_at(tick).start_tick
        self.chain.prepare(self.pattern.fills[name].laid(bar_tick, tick))

    def take_change(self, sec: float, place: int | None = None) -> StageChange | None:
        """Return a change that is due at *sec*, or governs a hit that means the written tick *place*; forget it."""
        if self._at_once is not None:
            change, self._at_once = self._at_once, None
            self._taken_tick = self._conductor.tick_at(sec)
            return change
        transport = self._conductor.transport
        for action, (tick, change) in self._waiting.items():
            if transport.sec_at(tick) <= sec or (place is not None and tick <= place):
                del self._waiting[action]
                self._taken_tick = tick
                return change
        return None

    def _resolve(self, change: StageChange, sec: float) -> StageChange | str:
        """Return *change* with its value made exact, or what is wrong with it."""
        action, value = change.action, change.value
        if action is Action.PATTERN:
            name = step_name(list(self._patterns), self._next(Action.PATTERN, self.pattern.name), value)
            return replace(change, value=name) if name else f"there is no pattern {value!r} here"
        if action is Action.SECTION:
            here = self._next(Action.SECTION, str(self._placing.section_index(self._conductor.tick_at(sec))))
            index = self._placing.find_section(value, int(here))
            return (
                f"the chart has no section {value!r}" if index is None else replace(change, value=str(index))
            )
        if action is Action.FILL:
            name = step_name(list(self.pattern.fills), "", value) if self.pattern.fills else None
            if name and value in ("", "next"):
                name = next(iter(self.pattern.fills))
            if not name or self.cursor.is_done:
                return (
                    f"{self.pattern.name} has no fill {value!r}"
                    if not name
                    else "a fill needs a running groove"
                )
            return replace(change, value=name)
        if action is Action.HANDS:
            known = ["both", "left", "right"]
            name = step_name(known, self._next(Action.HANDS, hands_name(self.hands)), value)
            return replace(change, value=name) if name else f"expected both, left or right, got {value!r}"
        return self._resolve_number(change)

    def _resolve_number(self, change: StageChange) -> StageChange | str:
        action, value = change.action, change.value
        steps = {"up": 1, "down": -1}
        try:
            if action is Action.TRANSPOSE:
                number = self.transpose + steps[value] if value in steps else int(value)
                self.transpose = max(-MOST_TRANSPOSE, min(MOST_TRANSPOSE, number))
                return replace(change, value=str(self.transpose))
            if action is Action.VOLUME:
                volume = self.volume + _VOLUME_STEP * steps[value] if value in steps else float(value) / 100
                self.volume = max(_VOLUME_RANGE[0], min(_VOLUME_RANGE[1], volume))
                return replace(change, value=str(self.volume))
            if action is Action.TEMPO:
                now = self._conductor.tempo_bpm
                tempo = now + steps[value] if value in steps else float(value)
                return replace(change, value=str(max(TEMPO_RANGE_BPM[0], min(TEMPO_RANGE_BPM[1], tempo))))
        except ValueError:
            return f"{action.value}: expected a number, up or down, got {value!r}"
        return change

    def _next(self, action: Action, current: str) -> str:
        """Return what will hold when what waits is taken, so that pressing "next" twice goes two on."""
        waiting = self._waiting.get(action)
        return waiting[1].value if waiting else current

    def carry_out(self, change: StageChange) -> None:
        """Take a change of pattern, section, fill or hands now; loops change at the line that it waited for."""
        action = change.action
        if action is Action.HANDS:
            self.hands = HANDS_BY_NAME[change.value]
            return
        tick = self._taken_tick
        if action is Action.SECTION:
            self._placing.jump(int(change.value), tick)
            return
        playing = self._conductor.playing
        if action is Action.FILL:
            loop = self.pattern.loop
            if playing and loop is not None:
                timeline = self._conductor.timeline
                bar_tick, fill = timeline.bar_at(tick).start_tick, self.pattern.fills[change.value]
                self.cursor.fill(fill, bar_tick, tick, loop)
                self._foresee(change.value, tick)
            return
        self.pattern = self._patterns[change.value]
        self._conductor.set_metre(self.pattern.metre, tick)
        self.chain = self._make_chain(tick)
        self._end_tick = None
        if playing and self.pattern.loop is not None:
            self.cursor.change(self.pattern.loop, tick)
        else:
            self.cursor.clear()


def hands_name(hands: frozenset[Hand]) -> str:
    """Return how a choice of hands is called."""
    return next(name for name, chosen in HANDS_BY_NAME.items() if chosen == hands)
