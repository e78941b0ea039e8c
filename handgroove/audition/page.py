"""The page of comparison: one self-contained HTML file beside the recordings, with a key for each reading."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape
from pathlib import Path

from handgroove.audition.compare import Comparison
from handgroove.audition.readings import Rendition
from handgroove.output.sound import HEARING
from handgroove.part import Part
from handgroove.strike import Hand

_TEMPLATE = Path(__file__).with_name("page.html")
_WIDTH, _HEIGHT, _DRUMS_HEIGHT = 1000, 74, 14
_DRUMS_VOLUME = 0.28  # of the drums alone, beside a piano


@dataclass(frozen=True, slots=True)
class PageReading:
    """A reading that was recorded: its *number* on the keyboard, its numbers, its *file*, and how to *keep* it."""

    number: int
    reading: Rendition
    comparison: Comparison
    file: str
    keep: str


def format_page(
    title: str, takes: Sequence[PageReading], span: tuple[int, int], drums: str, messages: Sequence[str]
) -> str:
    """Return the page for *takes*; *drums* is the file of the drums alone, *span* the ticks that were recorded."""
    part = takes[0].reading.part
    timeline = part.timeline
    begin = timeline.tick_to_sec(span[0])
    bars = [bar for bar in timeline.bars() if span[0] <= bar.start_tick < span[1]]
    data = {
        "sec": round(timeline.tick_to_sec(span[1]) - begin, 4),
        "bars": [
            {"number": bar.number, "sec": round(timeline.tick_to_sec(bar.start_tick) - begin, 4)}
            for bar in bars
        ],
        "drumsVolume": _DRUMS_VOLUME,
    }
    about = (
        f"Bars {bars[0].number} to {bars[-1].number}, {timeline.tempo_at(span[0]):.0f} to the minute, "
        f"for {part.player_name}. {len(takes)} readings."
    )
    lines = "".join(f"<li>{escape(message)}</li>" for message in messages)
    fields = {
        "TITLE": escape(title),
        "ABOUT": escape(about),
        "ROWS": "\n".join([_drums_row(part, drums), *(_row(take, span) for take in takes)]),
        "MESSAGES": f'<ul class="messages">{lines}</ul>' if lines else "",
        "HEARING": escape(HEARING),
        "DATA": json.dumps(data).replace("<", "\\u003c"),
    }
    page = _TEMPLATE.read_text(encoding="utf-8")
    for name, text in fields.items():
        page = page.replace(f"@@{name}@@", text)
    return page


def _drums_row(part: Part, file: str) -> str:
    name = f"the drums alone: {part.groove.title or part.groove.source or 'the groove'}"
    return (
        f'<tr data-name="{escape(name)}"><td><button aria-pressed="false">0</button></td>'
        f'<td class="name" colspan="4">{escape(name)}{_audio(file)}</td></tr>'
    )


def _row(take: PageReading, span: tuple[int, int]) -> str:
    comparison = take.comparison
    families = ", ".join(f"{family} {kept}/{of}" for family, (kept, of) in comparison.kept.items())
    strains = (
        "nothing strains" if not comparison.strains else f"{_count(comparison.strains, 'place')} that strain"
    )
    if comparison.unplayable:
        strains = f"{_count(comparison.unplayable, 'place')} that can't be played"
    name = take.reading.name
    hard = f"{comparison.difficulty:.1f}"
    hardest = f"most in bar {comparison.hardest_bar}; at most {comparison.most_per_sec:.0f} strokes a second"
    return (
        f'<tr data-name="{escape(name)}" data-keep="{escape(take.keep)}">'
        f'<td><button aria-pressed="false">{take.number}</button></td>'
        f'<td class="name">{escape(name)}{_audio(take.file)}'
        f'<div class="roll">{_roll(take.reading.part, span)}</div></td>'
        f'<td class="number" data-label="kept">{comparison.kept_share:.0%}<small>{escape(families)}</small></td>'
        f'<td class="number" data-label="how hard">{hard}<small>{hardest}<br>{strains}</small></td>'
        f'<td class="number" data-label="from the accents">{comparison.accent_distance:.2f}</td></tr>'
    )


def _audio(file: str) -> str:
    return f'<audio src="{escape(file)}" preload="auto"></audio>'


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


def _roll(part: Part, span: tuple[int, int]) -> str:
    """Return the notes of *span* as a small picture: time to the right, pitch upwards, loud notes darker."""
    notes = [note for note in part.notes if span[0] <= note.tick < span[1]]
    low = min((note.pitch for note in notes), default=40)
    high = max((note.pitch for note in notes), default=80)
    seconds = part.timeline.tick_to_sec
    begin = seconds(span[0])
    scale = _WIDTH / max(1e-6, seconds(span[1]) - begin)
    step = (_HEIGHT - _DRUMS_HEIGHT - 6) / (high - low + 1)

    def x(tick: int) -> float:
        return (seconds(min(tick, span[1])) - begin) * scale

    def shapes() -> Iterator[str]:
        for bar in part.timeline.bars():
            if span[0] < bar.start_tick < span[1]:
                yield f'<path class="b" d="M{x(bar.start_tick):.1f} 0V{_HEIGHT}"/>'
        for hit in part.groove.hits:
            if span[0] <= hit.tick < span[1]:
                force = _DRUMS_HEIGHT * hit.velocity / 127
                yield f'<path class="d" d="M{x(hit.tick):.1f} {_DRUMS_HEIGHT}v-{force:.1f}"/>'
        for note in notes:
            hand = "l" if note.hand is Hand.LEFT else "r"
            y = _DRUMS_HEIGHT + 3 + (high - note.pitch) * step
            width = max(1.5, x(note.end_tick) - x(note.tick) - 0.5)
            size = f'x="{x(note.tick):.1f}" y="{y:.1f}" width="{width:.1f}" height="{max(1.2, step):.1f}"'
            yield f'<rect class="{hand}" {size} opacity="{0.35 + 0.65 * note.velocity / 127:.2f}"/>'

    return (
        f'<svg viewBox="0 0 {_WIDTH} {_HEIGHT}" preserveAspectRatio="none" role="img" aria-label="the notes">'
        f"{''.join(shapes())}</svg>"
    )
