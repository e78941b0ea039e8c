"""What is known of a groove, told in words, and as plain values for programs."""

from __future__ import annotations

from typing import Any

from handgroove.groove.know.cells import Cell
from handgroove.groove.know.knowledge import ClipKind, Knowledge
from handgroove.groove.know.microtiming import JUST_NOTICED_MS
from handgroove.groove.know.rhythm_measures import find_lhl
from handgroove.groove.know.structure import Stretch

Facts = dict[str, Any]


def make_facts(known: Knowledge) -> Facts:
    """Return what is known as plain values, for JSON; bars are numbers, ticks 960 to the quarter."""
    feel = known.feel
    return {
        "title": known.groove.title,
        "source": known.groove.source,
        "tempo_bpm": round(known.tempo_bpm, 2),
        "tempo_found": known.beat is not None,
        "tempo_confidence": known.beat.confidence if known.beat else 1.0,
        "tempo_rival_bpm": known.beat.rival_bpm if known.beat else None,
        "metre": str(known.metre),
        "bars": len(known.bars),
        "hits": len(known.groove.hits),
        "grid": _grid_name(known),
        "swing_ratio": feel.swing_ratio,
        "swing_unit": "sixteenths" if feel.swing_unit_ticks == 240 else "eighths",
        "swing_confidence": feel.confidence,
        "kind": known.kind.value,
        "fill_chance": known.fill_chance,
        "fill_bars": list(known.fill_bars),
        "fills": [
            {
                "bars": list(fill.bar_numbers),
                "start_tick": fill.start_tick,
                "landing_tick": fill.landing_tick,
                "lands": [piece.value for piece in fill.lands],
                "crash": fill.crash,
                "chance": fill.chance,
                "reasons": list(fill.reasons),
            }
            for fill in known.fills
        ],
        "backbone_bars": list(known.backbone_bars),
        "letters": list(known.backbone.letters),
        "variations": _variations(known),
        "syncopation": _syncopation(known),
        "count_in": _count_in(known),
        "pickup_ticks": known.pickup_ticks,
        "time_feels": [_stretch(s) for s in known.time_feels],
        "drum_only": [_stretch(s) for s in known.drum_only],
        "pieces": [
            {
                "piece": s.piece.value,
                "hits": s.hits,
                "accents": s.accents,
                "ghosts": s.ghosts,
                "flat": s.is_flat,
            }
            for s in known.strokes
        ],
        "microtiming": [
            {"piece": t.piece.value, "mean_ms": t.mean_ms, "beside_ms": t.beside_ms, "spread_ms": t.spread_ms}
            for t in known.timing
        ],
        "unknown_notes": {str(number): count for number, count in known.groove.unknown.items()},
        "doubts": list(known.doubts),
    }


def _variations(known: Knowledge) -> list[Facts]:
    """Return each bar that varies its idea, with what it adds and leaves out."""
    found = []
    for index, part in enumerate(known.bars):
        adds, drops = known.backbone.differences(index)
        if adds or drops:
            found.append(
                {
                    "bar": part.bar.number,
                    "of": known.backbone.letters[index],
                    "adds": [_name_cell(known, index, cell) for cell in adds],
                    "leaves_out": [_name_cell(known, index, cell) for cell in drops],
                }
            )
    return found


def _syncopation(known: Knowledge) -> Facts:
    """Return how syncopated the backbone's first bar is (Longuet-Higgins and Lee), by voice; nothing in odd metres."""
    if not known.backbone.loop:
        return {}
    bar = known.cells[known.backbone.loop[0]]
    if bar.slots & (bar.slots - 1):
        return {}
    onsets: dict[str, set[int]] = {}
    for slot, voice in bar.cells:
        onsets.setdefault(voice.value, set()).add(slot)
    return {name: find_lhl(struck, bar.slots) for name, struck in sorted(onsets.items())}


def _name_cell(known: Knowledge, index: int, cell: Cell) -> str:
    """Return a cell as players count it: ``kick on 4&``."""
    slot, voice = cell
    bar = known.bars[index].bar
    tick = bar.start_tick + round(slot * bar.length_ticks / known.cells[index].slots)
    return f"{voice.value} on {known.groove.timeline.format_position(tick).split('beat ')[-1]}"


def _count_in(known: Knowledge) -> Facts | None:
    if known.count_in is None:
        return None
    counted = known.count_in
    return {"strokes": counted.strokes, "piece": counted.piece.value, "start_tick": counted.start_tick}


def _stretch(stretch: Stretch) -> Facts:
    return {"first_bar": stretch.first, "last_bar": stretch.last, "what": stretch.name}


def describe(known: Knowledge) -> list[str]:
    """Return what is known in sentences, the most telling first."""
    lines = [_headline(known), _feel(known)]
    if known.count_in:
        counted = known.count_in
        lines.append(f"Counted in with {counted.strokes} strokes on the {counted.piece.value}.")
    if known.pickup_ticks:
        beats = known.pickup_ticks / 960
        count = "1 beat" if beats == 1 else f"{beats:.2g} beats"
        lines.append(f"The drums come in {count} before the first full bar.")
    lines.append(_backbone(known))
    lines += _fills(known)
    lines += [_bars(s.first, s.last) + f": {s.name}." for s in known.time_feels]
    lines += [_bars(s.first, s.last) + f": drums alone ({s.name})." for s in known.drum_only]
    lines.append(_strokes(known))
    lines.append(_timing(known))
    if known.groove.unknown:
        notes = ", ".join(f"{number} ({_hits(count)})" for number, count in known.groove.unknown.items())
        lines.append(f"Not in the kit: note {notes}. Describe yours with --kit.")
    lines += [f"Doubt: {doubt}" for doubt in known.doubts]
    return [line for line in lines if line]


def _bars(first: int, last: int) -> str:
    return f"Bar {first}" if first == last else f"Bars {first} to {last}"


def _headline(known: Knowledge) -> str:
    count = sum(bool(part.hits) for part in known.bars)
    what = f"a {known.kind.value}" if count <= 8 else "a groove"
    sure = known.fill_chance if known.kind is ClipKind.FILL else 1 - known.fill_chance
    bars = "1 bar" if count == 1 else f"{count} bars"
    name = known.groove.title or "This"
    told = f" ({sure:.0%} sure)" if count <= 8 else ""
    return f"{name}: {what}{told} of {bars} in {known.metre} at {known.tempo_bpm:.4g}, {_hits(len(known.groove.hits))}."


def _hits(count: int) -> str:
    return "1 hit" if count == 1 else f"{count} hits"


def _grid_name(known: Knowledge) -> str:
    """Return the grid's note value: its steps are shares of a beat, and the beat of 7/8 is an eighth."""
    name = known.feel.grid.name
    swung, value = ("swung ", name.removeprefix("swung ")) if name.startswith("swung ") else ("", name)
    values = ("halves", "quarters", "eighths", "sixteenths", "thirty-seconds")
    beat = known.metre.beat_ticks
    if value not in values or beat not in (480, 1920):
        return name
    return swung + values[values.index(value) + (1 if beat == 480 else -1)]


def _feel(known: Knowledge) -> str:
    feel = known.feel
    unit = "sixteenths" if feel.swing_unit_ticks == 240 else "eighths"
    if feel.is_swung:
        sure = "sure" if feel.confidence >= 0.6 else "likely" if feel.confidence >= 0.3 else "a guess"
        return f"Swung {unit}, {feel.swing_ratio:.2f} to 1 ({sure}: {feel.upbeats} upbeats measured)."
    return f"Straight; the grid is {_grid_name(known).removeprefix('swung ')}."


def _backbone(known: Knowledge) -> str:
    ideas = known.backbone.ideas
    if not ideas:
        return ""
    loop = known.backbone_bars
    main = _bars(loop[0], loop[-1]).lower()
    counts = ", ".join(
        f"{idea.letter} {_times(len(idea.bars))}"
        + (
            f" ({varied} varied)"
            if (varied := sum(known.backbone.is_variation(i) for i in idea.bars))
            else ""
        )
        for idea in ideas
    )
    odd = sum(
        not letter and bool(bar.cells)
        for letter, bar in zip(known.backbone.letters, known.cells, strict=True)
    )
    rest = (
        f"; {odd} bars are like none of these" if odd > 1 else "; 1 bar is like none of these" if odd else ""
    )
    return f"Backbone: {main}. Ideas: {counts}{rest}."


def _times(count: int) -> str:
    return "once" if count == 1 else "twice" if count == 2 else f"{count} times"


def _fills(known: Knowledge) -> list[str]:
    lines = []
    for fill in known.fills:
        where = known.groove.timeline.format_position(fill.start_tick)
        landing = f", lands on {' and '.join(piece.value for piece in fill.lands)}" if fill.lands else ""
        last = fill.bar_numbers[-1]
        to = f" to bar {last}" if last != fill.bar_numbers[0] else ""
        lines.append(f"Fill from {where}{to}{landing} ({fill.chance:.0%}: {', '.join(fill.reasons)}).")
    return lines


def _strokes(known: Knowledge) -> str:
    parts = []
    for item in known.strokes:
        detail = [f"{item.accents} accents"] if item.accents and not item.is_flat else []
        detail += [f"{item.ghosts} ghosts"] if item.ghosts else []
        detail += ["all alike"] if item.is_flat and item.hits > 3 else []
        parts.append(f"{item.piece.value} {item.hits}" + (f" ({', '.join(detail)})" if detail else ""))
    return "Strokes: " + ", ".join(parts) + "."


def _timing(known: Knowledge) -> str:
    told = []
    for item in known.timing:
        if abs(item.beside_ms) >= JUST_NOTICED_MS:
            way = "behind" if item.beside_ms > 0 else "ahead of"
            told.append(f"{item.piece.value} {abs(item.beside_ms):.0f} ms {way}")
    return f"Beside the whole kit: {', '.join(told)} the rest." if told else ""
