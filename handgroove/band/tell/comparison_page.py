"""The comparison page: the band's parts against what survived on the piano, section by section, in one HTML file.

Each track has a lane; every note is drawn where it was played, coloured by what became of it, and the piano's two hands
stand beneath. Colours are those of M. Okabe and K. Ito (2008), *Color Universal Design*; what is left out is thin as
well as pale, so that the page reads in print too. The file needs nothing else: no script, no font, no network.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape
from itertools import groupby

from handgroove.band.read.roles import BandRole, Cast
from handgroove.band.read.sections import Section
from handgroove.band.read.tracks import BandNote
from handgroove.band.tell.decisions import Account, Fate, decide, find_fates, starting
from handgroove.band.tell.page_style import STYLE
from handgroove.band.tell.shares import measure
from handgroove.band.write.condensing import Condensed
from handgroove.output.picture import COLOURS
from handgroove.output.report import format_feel, format_metre, format_tempo
from handgroove.strike import Hand, Role
from handgroove.timeline import Bar

Fates = Mapping[str, Sequence[tuple[BandNote, Fate]]]

_WIDTH, _LABEL, _BARS = 1160, 120, 8
_LANE, _PIANO_LANE, _HEAD = 34, 48, 26
_RIGHT_RANGE, _LEFT_RANGE = (48, 92), (24, 64)  # what the piano's two lanes show, in MIDI pitches
_CLASS = {Fate.KEPT: "kept", Fate.MOVED: "moved", Fate.MERGED: "merged", Fate.LEFT_OUT: "out"}
_DRUM_ROWS = {"kick": 0, "tom": 1, "snare": 2, "hand percussion": 3, "hat": 4, "ride": 4, "crash": 5}


def format_page(condensed: Condensed) -> str:
    """Return the whole page as HTML."""
    fates = find_fates(condensed)
    accounts = decide(condensed, fates)
    part, form = condensed.part, condensed.sketch.form
    by_section = {key: list(rows) for key, rows in groupby(accounts, key=lambda account: account.section)}
    body = [_head(condensed)]
    for section in form.sections:
        body.append(_section(condensed, section, by_section.get(section, []), fates))
    title = escape(part.title)
    return (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8">'
        f'<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{title}: band and piano</title><style>{STYLE}</style></head>"
        f"<body>{''.join(body)}</body></html>\n"
    )


def _head(condensed: Condensed) -> str:
    """Return title, facts, what each track does, the measures and the legend."""
    part, sketch = condensed.part, condensed.sketch
    facts = (
        f"{part.harmony.key} · {format_metre(part.timeline)} · {format_tempo(part.timeline)} to the minute · "
        f"{format_feel(part.groove.feel)} · {condensed.choices.density} density · for {part.player_name}"
    )
    tracks = "".join(
        f"<li><b>{escape(cast.track.name)}</b> {escape(cast.role)}"
        f'<span title="{escape(", ".join(cast.reasons))}">{cast.confidence:.0%}</span></li>'
        for cast in sketch.form.casts
    )
    gauges = "".join(
        f'<li><span class="value">{value:.0%}</span>{escape(name)}'
        f'<i style="--share:{max(0.0, min(1.0, value)):.3f}"></i></li>'
        for name, value in measure(condensed).rows()
        if value is not None
    )
    legend = "".join(f'<li class="{_CLASS[fate]}"><i></i>{fate}</li>' for fate in Fate)
    legend += "<li class=sep>piano:</li>"
    legend += "".join(f'<li><i style="background:{COLOURS[role]}"></i>{role}</li>' for role in Role)
    return (
        f"<header><p class=over>A band on one piano</p><h1>{escape(part.title)}</h1><p>{escape(facts)}</p>"
        f"<ul class=gauges>{gauges}</ul><ul class=tracks>{tracks}</ul><ul class=legend>{legend}</ul></header>"
    )


def _section(condensed: Condensed, section: Section, accounts: Sequence[Account], fates: Fates) -> str:
    """Return one section: its bars drawn, and what became of each track in words."""
    sketch = condensed.sketch
    bars = []
    tick = section.start_tick
    while tick < section.end_tick:
        bars.append(sketch.timeline.bar_at(tick))
        tick = bars[-1].end_tick
    rows = [bars[start : start + _BARS] for start in range(0, len(bars), _BARS)]
    drawn = "".join(_draw(condensed, row, fates) for row in rows)
    again = f", the {_ordinal(section.round)} time" if section.round > 1 else ""
    left = sketch.left_styles.get(section.letter)
    return (
        f"<section><h2>{escape(section.name)} <small>bars {section.first_bar} to {section.last_bar} · "
        f"{section.letter}{again}{f' · the left hand {escape(left)}' if left else ''}</small></h2>"
        f"{drawn}<table>{''.join(_account(account) for account in accounts)}</table></section>"
    )


def _ordinal(number: int) -> str:
    names = {2: "second", 3: "third", 4: "fourth", 5: "fifth", 6: "sixth"}
    return names.get(number, f"{number}th")


def _account(account: Account) -> str:
    """Return a table row: the track, its shares as a bar, and why some is left out."""
    total = max(1, account.total)
    shares = "".join(
        f'<i class="{_CLASS[fate]}" style="flex:{account.fates[fate]}" title="{account.fates[fate]} {fate}"></i>'
        for fate in Fate
        if account.fates[fate]
    )
    words = ", ".join(f"{account.fates[fate]} {fate}" for fate in Fate if account.fates[fate])
    why = ", ".join(f"{reason} ({count})" for reason, count in account.reasons.most_common(2))
    return (
        f"<tr><th>{escape(account.track)}<small>{escape(account.role)}, weight {account.weight:g}</small></th>"
        f"<td class=bar><div>{shares}</div></td><td>{words} <small>of {total}</small>"
        f"{f'<small class=why>{escape(why)}</small>' if why else ''}</td></tr>"
    )


class _Sheet:
    """One row of bars: turns ticks into x and gathers marks by class."""

    def __init__(self, bars: Sequence[Bar]) -> None:
        self.bars = bars
        self.start, self.end = bars[0].start_tick, bars[-1].end_tick
        whole = max(self.end - self.start, _BARS * bars[0].metre.bar_ticks)
        self.scale = (_WIDTH - _LABEL - 8) / whole
        self.paths: dict[str, list[str]] = {}

    def x(self, tick: int) -> float:
        """Return where *tick* lies across the sheet."""
        return round(_LABEL + max(0, tick - self.start) * self.scale, 1)

    def mark(self, kind: str, tick: int, length_ticks: int, y: float) -> None:
        """Draw a note of class *kind* from *tick* on at height *y*."""
        end = min(tick + length_ticks, self.end)
        width = max(2.0, round((end - max(tick, self.start)) * self.scale - 0.8, 1))
        self.paths.setdefault(kind, []).append(f"M{self.x(tick)} {y:.1f}h{width:g}")

    def svg(self, height: float, extra: str) -> str:
        """Return the finished drawing."""
        drawn = "".join(f'<path class="{kind}" d="{"".join(d)}"/>' for kind, d in self.paths.items())
        return f'<svg viewBox="0 0 {_WIDTH} {height:g}" role="img">{extra}{drawn}</svg>'


def _draw(condensed: Condensed, bars: Sequence[Bar], fates: Fates) -> str:
    """Return the lanes of one row of bars as SVG."""
    part, sketch = condensed.part, condensed.sketch
    sheet, lean = _Sheet(bars), sketch.form.reading.lean_ticks
    extra, y = [], float(_HEAD)
    playing = [c for c in sketch.form.casts if c.track.between(sheet.start, sheet.end)]
    for cast in playing:
        inside = starting(fates[cast.track.name], sheet.start, sheet.end)
        _lane(sheet, condensed, cast, inside, y)
        extra.append(_label(cast.track.name, cast.role, y, _LANE))
        y += _LANE
    y += 10
    top = y
    notes = [note for note in part.notes if sheet.start <= note.meant < sheet.end]
    for hand, (low, high), name in (
        (Hand.RIGHT, _RIGHT_RANGE, "right hand"),
        (Hand.LEFT, _LEFT_RANGE, "left hand"),
    ):
        for note in (note for note in notes if note.hand is hand):
            share = min(1.0, max(0.0, (note.pitch - low) / (high - low)))
            height = y + _PIANO_LANE - 6 - share * (_PIANO_LANE - 12)
            sheet.mark(f"piano {note.role}", note.tick - lean, note.length_ticks, height)
        extra.append(_label("piano", name, y, _PIANO_LANE))
        y += _PIANO_LANE
    extra.insert(0, f'<rect class="keys" x="0" y="{top:g}" width="{_WIDTH}" height="{y - top:g}"/>')
    for bar in bars:
        x = sheet.x(bar.start_tick)
        extra.append(f'<path class="line" d="M{x} 18V{y:g}"/>')
        extra.append(f'<text class="number" x="{x + 3}" y="12">{bar.number}</text>')
    extra += _chords(condensed, sheet)
    return sheet.svg(y + 4, "".join(extra))


def _label(name: str, about: str, y: float, height: int) -> str:
    shown = name if len(name) <= 17 else f"{name[:9]}…{name[-6:]}"
    return (
        f'<text class="name" x="4" y="{y + height / 2 - 1:g}">{escape(shown)}</text>'
        f'<text class="about" x="4" y="{y + height / 2 + 11:g}">{escape(about)}</text>'
        f'<path class="rule" d="M0 {y + height:g}H{_WIDTH}"/>'
    )


def _lane(
    sheet: _Sheet, condensed: Condensed, cast: Cast, inside: Sequence[tuple[BandNote, Fate]], y: float
) -> None:
    """Draw one track's notes in its lane: pitched ones by pitch, drums by the kit's rows."""
    if cast.role is BandRole.DRUMS:
        pieces = {hit.note: hit.piece for hit in condensed.part.groove.hits}
        for note, fate in inside:
            piece = pieces.get(note.pitch)
            row = _DRUM_ROWS[piece.family.value] if piece else 3
            sheet.mark(_CLASS[fate], note.tick, 90, y + _LANE - 5 - row * (_LANE - 10) / 5)
        return
    low = min(note.pitch for note in cast.track.notes)
    high = max(note.pitch for note in cast.track.notes)
    for note, fate in inside:
        share = (note.pitch - low) / max(1, high - low)
        sheet.mark(_CLASS[fate], note.tick, note.length_ticks, y + _LANE - 5 - share * (_LANE - 10))


def _chords(condensed: Condensed, sheet: _Sheet) -> list[str]:
    """Return the chord symbols over the bars."""
    found = []
    free = 0.0
    for span in condensed.part.harmony.spans:
        if span.chord and sheet.start <= span.start_tick < sheet.end:
            on_line = any(span.start_tick == bar.start_tick for bar in sheet.bars)
            x = max(free, sheet.x(span.start_tick) + (22 if on_line else -6))  # beside the bar's number
            free = x + 8 * len(span.chord.symbol)
            found.append(f'<text class="chord" x="{x:g}" y="12">{escape(span.chord.symbol)}</text>')
    return found
