"""The picture: ten finger lanes over time, with the drum hits that they stand for above.

The right little finger is the top lane and the left one the bottom, as the keyboard lies from high to low. Colours are
those of M. Okabe and K. Ito (2008), *Color Universal Design*, which colour-blind readers can tell apart; in print they
differ in lightness too, and every note bears its name.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from html import escape

from handgroove.figures.pitches import pitch_name
from handgroove.groove.kit import Family
from handgroove.harmony.chart import Harmony
from handgroove.output.chord_of import chord_of
from handgroove.part import Note, Part
from handgroove.strike import RIGHT, Role
from handgroove.timeline import Bar

COLOURS = {
    Role.MELODY: "#D55E00",
    Role.KICK: "#0072B2",
    Role.SNARE: "#E69F00",
    Role.BASS: "#56B4E9",
    Role.COMPING: "#009E73",
    Role.COLOUR: "#CC79A7",
}
_FAMILIES = (Family.CRASH, Family.RIDE, Family.HAT, Family.HAND, Family.TOM, Family.SNARE, Family.KICK)

_WIDTH, _MARGIN, _LABELS = 1180, 16, 78
_LANE, _DRUM_LANE = 15, 9
_HEAD, _GAP = 66, 34
_BARS_A_ROW = 4
# Filled in with `%`, which writes a decimal in two thirds of an f-string's time.
_NOTE = (
    '<rect x="%.1f" y="%.1f" width="%.1f" height="%.1f" rx="2" fill="%s"/>'
    '<text class="k" x="%.1f" y="%s">%s</text>'
)
_HIT = '<rect x="%.1f" y="%.1f" width="2.4" height="%.1f" fill="#333"/>'


def _lane(note: Note) -> int:
    """Return the lane of *note*, 0 at the top: right 5 to 1, then left 1 to 5; unfingered notes go by the middle."""
    finger = note.finger or 3
    return 5 - finger if note.hand is RIGHT else 4 + finger


def _rows(part: Part) -> list[list[Bar]]:
    bars = list(part.timeline.bars())
    rows: list[list[Bar]] = []
    if bars and bars[0].number == 0:
        rows.append(bars[: _BARS_A_ROW + 1])
        bars = bars[_BARS_A_ROW + 1 :]
    rows += [bars[start : start + _BARS_A_ROW] for start in range(0, len(bars), _BARS_A_ROW)]
    return rows


class _Labels:
    """The names of notes as their chords spell them, each found once."""

    def __init__(self, harmony: Harmony) -> None:
        self.harmony = harmony
        # By pitch and chord, told by identity: quicker than by value
        self._found: dict[tuple[int, int], str] = {}

    def of(self, note: Note) -> str:
        """Return the name of *note*."""
        chord = chord_of(note, self.harmony)
        place = note.pitch, id(chord)
        label = self._found.get(place)
        if label is None:
            name = pitch_name(note.pitch, self.harmony.key, chord)
            label = self._found[place] = name.replace("#", "♯").replace("b", "♭")
        return label


class _Row:
    """One line of bars: turns ticks into x and collects its shapes."""

    def __init__(self, bars: list[Bar], top: float, families: list[Family]) -> None:
        self.first, self.last = bars[0].start_tick, bars[-1].end_tick
        whole = max(self.last - self.first, _BARS_A_ROW * bars[-1].metre.bar_ticks)
        self.scale = (_WIDTH - 2 * _MARGIN - _LABELS) / whole
        self.bars, self.families = bars, families
        self.drums_top = top + 16
        self.lanes_top = self.drums_top + _DRUM_LANE * len(families) + 6
        self.bottom = self.lanes_top + 10 * _LANE
        self.left, self.right = self.x(self.first), self.x(self.last)

    def x(self, tick: int) -> float:
        """Return where *tick* lies across the page; what is played a hair outside the row's bars stands at its edge."""
        inside = self.first if tick < self.first else tick if tick < self.last else self.last
        return _MARGIN + _LABELS + (inside - self.first) * self.scale

    def frame(self, part: Part) -> Iterable[str]:
        """Yield lanes, labels, bar lines, beats, chords and sections."""
        left, right = self.left, self.right
        for lane in range(10):
            y = self.lanes_top + lane * _LANE
            shade = "#f3f1ec" if lane % 2 else "#ffffff"
            yield f'<rect x="{left:.1f}" y="{y}" width="{right - left:.1f}" height="{_LANE}" fill="{shade}"/>'
            name = f"right {5 - lane}" if lane < 5 else f"left {lane - 4}"
            yield f'<text class="l" x="{left - 6:.1f}" y="{y + 11}">{name}</text>'
        middle = self.lanes_top + 5 * _LANE
        yield f'<line x1="{left:.1f}" x2="{right:.1f}" y1="{middle}" y2="{middle}" stroke="#444"/>'
        for number, family in enumerate(self.families):
            y = self.drums_top + (number + 1) * _DRUM_LANE - 1
            yield f'<text class="d" x="{left - 6:.1f}" y="{y}">{family}</text>'
        for bar in self.bars:
            yield from self._bar(bar)
        for section in part.sections:
            if self.first <= section.tick < self.last:
                x, y = self.x(section.tick), self.drums_top - 18
                yield f'<text class="s" x="{x:.1f}" y="{y}">{escape(section.text)}</text>'
        for span in part.harmony.spans:
            if self.first <= span.start_tick < self.last:
                name = escape(span.chord.symbol if span.chord else "N.C.")
                yield f'<text class="c" x="{self.x(span.start_tick) + 20:.1f}" y="{self.drums_top - 5}">{name}</text>'

    def _bar(self, bar: Bar) -> Iterable[str]:
        x = self.x(bar.start_tick)
        yield self._upright(x, "#444")
        yield f'<text class="n" x="{x + 2:.1f}" y="{self.drums_top - 5}">{bar.number or ""}</text>'
        beat = bar.metre.beat_ticks
        for tick in range(bar.start_tick + beat, bar.end_tick, beat):
            x = self.x(tick)
            yield self._upright(self.x(tick), "#ccc")
        yield self._upright(self.x(bar.end_tick), "#444")

    def _upright(self, x: float, colour: str) -> str:
        """Return a line down through hits and lanes."""
        return f'<line x1="{x:.1f}" x2="{x:.1f}" y1="{self.drums_top}" y2="{self.bottom}" stroke="{colour}"/>'

    def note(self, note: Note, label: str) -> str:
        """Return one note: a bar in its finger's lane, the higher the louder, with its *label*."""
        x, width = self.x(note.tick), note.length_ticks * self.scale - 0.8
        height, top = 5 + 9 * note.velocity / 127, self.lanes_top + _lane(note) * _LANE
        width = min(width if width > 3.0 else 3.0, self.right - x)
        y = top + (_LANE - height) / 2
        return _NOTE % (x, y, width, height, COLOURS[note.role], x + 1.5, top + 11, label)

    def hit(self, tick: int, velocity: int, family: Family) -> str:
        """Return one hit: a tick in its family's line, as tall as it was loud."""
        height = 1.5 + 6 * velocity / 127
        y = self.drums_top + (self.families.index(family) + 1) * _DRUM_LANE - height - 0.5
        return _HIT % (self.x(tick), y, height)


_STYLE = """
text{font-family:Georgia,'DejaVu Serif',serif;fill:#222}
.t{font-size:19px;font-weight:bold}.u{font-size:11px;fill:#555}
.l{font-size:9.5px;text-anchor:end;fill:#555}.d{font-size:8px;text-anchor:end;fill:#555}
.n{font-size:9px;fill:#555}.c{font-size:12px;font-weight:bold}.s{font-size:12px;font-style:italic}
.k{font-size:7.5px;fill:#fff;stroke:#222;stroke-width:1.6px;paint-order:stroke}
"""


def format_picture(part: Part) -> str:
    """Return *part* as the text of an SVG picture."""
    families = [family for family in _FAMILIES if family in part.groove.families]
    rows: list[_Row] = []
    top = float(_HEAD)
    for bars in _rows(part):
        row = _Row(bars, top, families)
        rows.append(row)
        top = row.bottom + _GAP
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_WIDTH}" height="{top:.0f}" '
        f'viewBox="0 0 {_WIDTH} {top:.0f}">',
        f"<title>{escape(part.title)}: what each finger plays</title><style>{_STYLE}</style>",
        f'<rect width="{_WIDTH}" height="{top:.0f}" fill="#fff"/>',
        f'<text class="t" x="{_MARGIN}" y="26">{escape(part.title)}</text>',
        *_legend(part),
    ]
    for row in rows:
        out += row.frame(part)
    out += _marks(part, rows)
    out.append("</svg>\n")
    return "\n".join(out)


def _legend(part: Part) -> Iterable[str]:
    x = float(_MARGIN)
    for role in Role:
        if any(note.role is role for note in part.notes):
            yield f'<rect x="{x}" y="34" width="10" height="10" rx="2" fill="{COLOURS[role]}"/>'
            yield f'<text class="u" x="{x + 14}" y="43">{role}</text>'
            x += 30 + 7 * len(role)
    words = "each lane is a finger (1 thumb to 5); taller is louder; above: the drum hits"
    yield f'<text class="u" x="{x + 10}" y="43">{words}</text>'


def _marks(part: Part, rows: list[_Row]) -> Iterable[str]:
    """Yield hits and notes, each in the row of bars that it is meant in."""
    ends = [row.last for row in rows]
    places = part.places or [hit.tick for hit in part.groove.hits]
    for hit, place in zip(part.groove.hits, places, strict=True):
        number = bisect_right(ends, place)
        if number < len(rows):
            yield rows[number].hit(hit.tick, hit.velocity, hit.piece.family)
    labels = _Labels(part.harmony)
    for note in part.notes:
        number = bisect_right(ends, note.meant)
        if number < len(rows):
            yield rows[number].note(note, labels.of(note))
