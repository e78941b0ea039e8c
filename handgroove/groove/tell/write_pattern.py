"""The backbone as a pattern file: what the groove keeps coming back to, written as text that plays back the same."""

from __future__ import annotations

import re
from dataclasses import replace

from handgroove.groove.hits import Feel, Groove
from handgroove.groove.kit import Family
from handgroove.groove.know.knowledge import Knowledge
from handgroove.groove.read.text_grid import choose_steps, format_feel, format_grid
from handgroove.timeline import Timeline

# Who takes what where nothing is said: the hands of the plainest pattern of the library.
HANDS = (
    (Family.KICK, "kick", "low note"),
    (Family.SNARE, "snare", "thumb reply"),
    (Family.HAT, "hat", "comping"),
    (Family.RIDE, "ride", "comping"),
    (Family.TOM, "toms", "tom tones"),
    (Family.CRASH, "crash", "two-handed chord"),
)


def backbone_groove(known: Knowledge) -> Groove:
    """Return one round of the backbone as a groove of its own, from tick 0, feel included."""
    loop = known.backbone.loop or tuple(range(min(1, len(known.bars))))
    parts = [known.bars[index] for index in loop]
    first = parts[0].bar
    shift = first.start_tick + round(known.feel.offset_beats * first.metre.beat_ticks)
    end = parts[-1].bar.end_tick - first.start_tick
    hits = tuple(replace(hit, tick=max(0, hit.tick - shift)) for part in parts for hit in part.hits)
    timeline = Timeline.of(first.metre, known.tempo_bpm, len(parts))
    timeline = replace(timeline, end_tick=end)
    return replace(known.groove, hits=hits, timeline=timeline, feel=known.feel.feel, markers=())


def format_pattern(known: Knowledge, title: str = "") -> str:
    """Format the backbone as a pattern file."""
    groove = backbone_groove(known)
    metre = groove.timeline.metres[0].metre
    steps = choose_steps(groove, metre)
    feel = groove.feel if _fits(groove, steps) else Feel()
    groove = replace(groove, feel=feel)
    rows = format_grid(groove, steps_per_beat=steps, stroke=known.levels.stroke)
    families = {hit.piece.family for hit in groove.hits}
    name = re.sub(r"[^\w ()'-]+", " ", title or groove.title or "backbone").strip() or "backbone"
    loop = known.backbone_bars
    bars = f"bar {loop[0]}" if len(loop) == 1 else f"bars {loop[0]} to {loop[-1]}" if loop else "bar 1"
    lines = [
        f"title: {name}",
        f"about: the backbone of a performance, {bars} of it",
        f"tempo: {min(300, max(20, round(known.tempo_bpm)))}",
        f"metre: {metre}",
        f"feel: {format_feel(feel)}",
        f"steps per beat: {steps}",
        "",
        "groove:",
        *(f"  {row}" for row in rows.splitlines()),
        "",
        "hands:",
    ]
    for family, take, use in HANDS:
        if family in families:
            lines += [f"  - take: {take}", f"    use: {use}"]
    return "\n".join(lines) + "\n"


def _fits(groove: Groove, steps: int) -> bool:
    """Return whether the feel can be written with so many steps to the beat."""
    from handgroove.groove.read.steps import Grid

    return not Grid(groove.timeline.metres[0].metre, steps, groove.feel).faults
