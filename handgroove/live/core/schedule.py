"""What is to happen later: a heap of absolute times, in seconds."""

from __future__ import annotations

from collections.abc import Callable
from heapq import heapify, heappop, heappush
from typing import Generic, TypeVar

Item = TypeVar("Item")

_FEWEST_TO_PRUNE = 256


class Schedule(Generic[Item]):
    """Keeps items in order of time; equal times come out in the order they were put in."""

    __slots__ = ("_heap", "_next")

    def __init__(self) -> None:
        self._heap: list[tuple[float, int, Item]] = []
        self._next = 0

    def put(self, sec: float, item: Item) -> None:
        """Keep *item* until *sec*."""
        self._next += 1
        heappush(self._heap, (sec, self._next, item))

    def next_sec(self) -> float | None:
        """Return the earliest time, or None when there is nothing."""
        return self._heap[0][0] if self._heap else None

    def take(self) -> Item:
        """Return the earliest item, and forget it."""
        return heappop(self._heap)[2]

    def clear(self) -> None:
        """Forget everything."""
        self._heap.clear()

    def prune(self, is_alive: Callable[[Item], bool], alive_count: int) -> None:
        """Forget items that are not alive once they outnumber the living by far, so that memory stays bounded."""
        if len(self._heap) > _FEWEST_TO_PRUNE + 4 * alive_count:
            self.keep(is_alive)

    def keep(self, is_wanted: Callable[[Item], bool]) -> None:
        """Forget every item that is not wanted."""
        self._heap = [entry for entry in self._heap if is_wanted(entry[2])]
        heapify(self._heap)

    def items(self) -> list[Item]:
        """Return every item, in no order."""
        return [entry[2] for entry in self._heap]

    def __len__(self) -> int:
        return len(self._heap)
