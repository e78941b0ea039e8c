"""What was done, for eyes and for programs: bars, tempo, feel, chords, hits in, notes out, and every omission."""

from __future__ import annotations

import json
from collections import Counter
from math import inf
from typing import Any

from handgroove.groove.hits import Feel
from handgroove.harmony.chart import Harmony
from handgroove.output.passages import find_passages, format_place
from handgroove.part import Part
from handgroove.strike import Hand
from handgroove.timeline import Timeline


def format_feel(feel: Feel) -> str:
    """Return the feel in words: ``straight``, or ``swung eighths, 2.0 to 1``."""
    if feel.swing_ratio < 1.1:
        return "straight"
    unit = "sixteenths" if feel.swing_unit_ticks <= 240 else "eighths"
    return f"swung {unit}, {feel.swing_ratio:.1f} to 1"


def format_tempo(timeline: Timeline) -> str:
    """Return the tempo in quarter notes a minute: ``112``, or ``96 to 104`` where it changes."""
    tempos = [round(change.tempo_bpm, 1) for change in timeline.tempos]
    low, high = min(tempos), max(tempos)
    return f"{low:g}" if low == high else f"{low:g} to {high:g}"


def format_metre(timeline: Timeline) -> str:
    """Return the metres in order: ``4/4``, or ``4/4, then 7/8``."""
    return ", then ".join(str(change.metre) for change in timeline.metres)


def format_chords(harmony: Harmony, timeline: Timeline) -> str:
    """Return the chords bar by bar, ``| Am7 | Fmaj7 |``, with a percent sign for a bar that repeats the one before."""
    spans = iter(harmony.spans)
    waiting = next(spans, None)
    bars: list[str] = []
    sounding = "N.C."
    for bar in timeline.bars():
        here = []
        while waiting and waiting.start_tick < bar.end_tick:
            # A pushed chord stands where it is written: in the bar that it leads into.
            if (
                bar.end_tick - waiting.start_tick <= 480 < bar.length_ticks
                and waiting.end_tick > bar.end_tick
            ):
                break
            sounding = waiting.chord.symbol if waiting.chord else "N.C."
            here.append(sounding)
            waiting = next(spans, None)
        if here or bar.number:  # a pickup without a chord of its own goes with the first bar
            bars.append(" ".join(here) or "%")
    return "| " + " | ".join(bars) + " |" if bars else ""


def shorten_chords(chords: str, most_bars: int = 48) -> str:
    """Return a line of *chords* with its end told as a number of bars where there are more than *most_bars*."""
    bars = chords.split(" | ")
    if len(bars) <= most_bars:
        return chords
    return f"{' | '.join(bars[:most_bars])} | and {len(bars) - most_bars} bars more"


def count_bars(timeline: Timeline) -> int:
    """Return how many full bars there are."""
    return sum(1 for bar in timeline.bars() if bar.number > 0)


def count_kept(part: Part, span: tuple[float, float] = (-inf, inf)) -> dict[str, tuple[int, int]]:
    """Return, for each family of drums, how many hits of *span* (ticks) sound in the part and how many there were."""
    hits, (start, end) = part.groove.hits, span
    sounding = {index for note in part.notes for index in note.hits}
    every = Counter([hit.piece for hit in hits if start <= hit.tick < end])
    heard = Counter([hits[index].piece for index in sounding if start <= hits[index].tick < end])
    counts: dict[str, tuple[int, int]] = {}
    for piece, number in every.items():
        kept, of = counts.get(piece.family.value, (0, 0))
        counts[piece.family.value] = (kept + heard[piece], of + number)
    return counts


def make_report(part: Part) -> dict[str, Any]:
    """Return all that the report says, as plain values (ticks are 960 to the quarter)."""
    timeline = part.timeline
    groove = part.groove
    return {
        "title": part.title,
        "source": groove.source,
        "pattern": part.pattern_name,
        "player": part.player_name,
        "bars": count_bars(timeline),
        "pickup_ticks": timeline.pickup_ticks,
        "metre": format_metre(timeline),
        "tempo_bpm": [
            {"tick": change.tick, "tempo_bpm": round(change.tempo_bpm, 3)} for change in timeline.tempos
        ],
        "feel": {"words": format_feel(groove.feel), "swing_ratio": round(groove.feel.swing_ratio, 2)},
        "key": str(part.harmony.key),
        "chords": [
            {
                "tick": span.start_tick,
                "position": timeline.format_position(span.start_tick),
                "chord": span.chord.symbol if span.chord else "N.C.",
            }
            for span in part.harmony.spans
        ],
        "hits": {"count": len(groove.hits), "by_piece": dict(Counter([hit.piece for hit in groove.hits]))},
        "unknown_notes": {str(number): count for number, count in groove.unknown.items()},
        "notes": {"count": len(part.notes), **{hand.value: len(part.hand(hand)) for hand in Hand}},
        "kept": {
            family: {"sounding": kept, "of": total} for family, (kept, total) in count_kept(part).items()
        },
        "figures": list(part.figures),
        "messages": list(part.messages),
        "omissions": [
            {
                "tick": item.tick,
                "position": timeline.format_position(item.tick),
                "bar": timeline.bar_at(item.tick).number,
                "change": item.change.value,
                "subject": item.subject,
                "hand": item.hand.value if item.hand else None,
                "reason": item.reason,
                "hits": list(item.hits),
            }
            for item in part.omissions
        ],
    }


def format_report_json(part: Part) -> str:
    """Return the report for programs, with a line for each thing, and for each row of a list."""
    encode = json.JSONEncoder(ensure_ascii=False).encode
    lines = [
        f' "{name}": [\n  ' + ",\n  ".join(map(encode, value)) + "\n ]"
        if isinstance(value, list) and value
        else f' "{name}": {encode(value)}'
        for name, value in make_report(part).items()
    ]
    return "{\n" + ",\n".join(lines) + "\n}\n"


def print_report(part: Part, most_lines: int = 40) -> None:
    """Print the report for eyes: a few lines about the whole, then a table of what was changed and why."""
    from rich.console import Console
    from rich.table import Table

    console = Console(highlight=False)
    timeline, groove = part.timeline, part.groove
    console.print(f"[bold]{part.title}[/bold]")
    facts = Table.grid(padding=(0, 2))
    facts.add_column(style="dim")
    facts.add_column()
    bars = f"{count_bars(timeline)} of {format_metre(timeline)}"
    facts.add_row("bars", bars + (" and a pickup" if timeline.pickup_ticks else ""))
    facts.add_row("tempo", f"{format_tempo(timeline)}, {format_feel(groove.feel)}")
    facts.add_row("pattern", part.pattern_name.replace("-", " "))
    chords = shorten_chords(format_chords(part.harmony, timeline))
    facts.add_row("chords", f"{chords}  in {part.harmony.key}")
    kept = ", ".join(
        f"{family} {sounding} of {total}" for family, (sounding, total) in count_kept(part).items()
    )
    facts.add_row("hits in", f"{len(groove.hits)}; sounding: {kept}")
    left, right = len(part.hand(Hand.LEFT)), len(part.hand(Hand.RIGHT))
    facts.add_row("notes out", f"{len(part.notes)}: right hand {right}, left hand {left}")
    console.print(facts)
    for line in (*part.messages, *part.figures):
        console.print(f"- {line}", markup=False)
    passages = find_passages(part)
    if not passages:
        console.print(
            "Of the kit's hits nothing was left out or changed."
            if groove.unknown
            else "Nothing was left out or changed."
        )
        return
    table = Table(box=None, pad_edge=False, header_style="dim")
    for title in ("where", "what", "times", "why"):
        table.add_column(title, justify="right" if title == "times" else "left", no_wrap=title == "where")
    for passage in passages[:most_lines]:
        what = f"{passage.subject} {passage.change}"
        table.add_row(format_place(part, passage), what, str(passage.count), passage.reason)
    console.print(table)
    if len(passages) > most_lines:
        console.print(f"... and {len(passages) - most_lines} more in report.json")
