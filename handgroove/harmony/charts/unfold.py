"""The form of a chart: repeats and endings, unfolded into the order in which the bars are played."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from handgroove.harmony.charts.chart_items import Word

MOST_BARS = 5_000
Report = Callable[[Word, str, str], None]


@dataclass(slots=True)
class WrittenBar:
    """One bar as written: its *words*, what stands around it, and the *place* where it begins.

    *opens* says that ``|:`` stands before it; *times* is how often the part up to it is played where ``:|`` closes it
    (0 = no sign); *passes* are the passes of a repeat that an ending begun here is for.
    """

    place: Word
    words: list[Word] = field(default_factory=list)
    metre: str = ""
    metre_place: Word | None = None
    section: str = ""
    opens: bool = False
    times: int = 0
    times_given: bool = False
    passes: tuple[int, ...] = ()


def unfold(bars: Sequence[WrittenBar], report: Report) -> list[int]:
    """Return the indices of *bars* in playing order; what is wrong goes to *report* as (place, text, remedy)."""
    played: list[int] = []
    start, index = 0, 0
    inside = False
    while index < len(bars):
        bar = bars[index]
        if bar.opens:
            if inside:
                report(
                    bar.place, "expected ':|' before another '|:'", "close the repeat, or take this '|:' away"
                )
            start, inside = index, True
        if bar.passes:
            index = _play_endings(bars, start, index, played, report)
            start, inside = index, False
            continue
        played.append(index)
        if bar.times:
            for _ in range(bar.times - 1 if len(played) <= MOST_BARS else 0):
                played.extend(range(start, index + 1))
            start, inside = index + 1, False
        if len(played) > MOST_BARS:
            report(bar.place, f"expected at most {MOST_BARS} bars with all repeats, got more", "")
            return played
        index += 1
    if inside:
        report(bars[start].place, "expected ':|' to close this '|:', got the end of the chart", "")
    return played


def _play_endings(
    bars: Sequence[WrittenBar], start: int, first: int, played: list[int], report: Report
) -> int:
    """Play a repeat whose body runs from *start* to the first ending at *first*; return where to go on."""
    endings: list[tuple[tuple[int, ...], range]] = []
    index = first
    while index < len(bars) and bars[index].passes:
        end = _ending_end(bars, index)
        if end is None:
            break
        endings.append((bars[index].passes, range(index, end + 1)))
        index = end + 1
    if not endings:
        remedy = "an ending but the last closes with ':|': | 1. C :| 2. F |"
        report(
            bars[first].place,
            f"expected ':|' at the end of ending {bars[first].passes[0]}., got none",
            remedy,
        )
        played.append(first)
        return first + 1
    last = bars[index].passes if index < len(bars) else ()
    wanted = sorted(number for passes, _ in endings for number in passes) + sorted(last)
    if wanted != list(range(1, len(wanted) + 1)) or len(last) > 1:
        got = ", ".join(f"{number}." for number in wanted[:12])
        report(bars[first].place, f"expected endings for passes 1., 2. and so on, each once, got {got}", "")
    body = range(start, first)
    for number in range(1, len(wanted) + 1 - len(last)):
        if number > 1:
            played.extend(body)
        played.extend(next((bars_of for passes, bars_of in endings if number in passes), ()))
    if last:
        played.extend(body)
        # The last ending is not closed: it and all after it are played on as they stand.
        bars[index].passes = ()
    return index


def _ending_end(bars: Sequence[WrittenBar], start: int) -> int | None:
    """Return the index of the bar whose ``:|`` closes the ending that begins at *start*, or None."""
    for index in range(start, len(bars)):
        if index > start and (bars[index].passes or bars[index].opens):
            return None
        if bars[index].times:
            return index
    return None
