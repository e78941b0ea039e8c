"""The picture of a groove: a lane for each piece, hits by loudness and place, fills shaded, ideas lettered (SVG).

Colours are those of M. Okabe and K. Ito (2008), *Color Universal Design*; loudness is told by size as well.
"""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from handgroove.groove.hits import Stroke
from handgroove.groove.kit import Family, Piece
from handgroove.groove.know.barlines import BarHits
from handgroove.groove.know.knowledge import Knowledge

COLOURS = {
    Family.KICK: "#0072B2",
    Family.SNARE: "#E69F00",
    Family.HAT: "#009E73",
    Family.RIDE: "#009E73",
    Family.CRASH: "#CC79A7",
    Family.TOM: "#D55E00",
    Family.HAND: "#56B4E9",
}
RADIUS = {Stroke.GHOST: 2.0, Stroke.NORMAL: 3.4, Stroke.ACCENT: 4.8}
BARS_A_ROW = 4
LABELS, BAR_WIDTH, LANE, HEAD = 110, 230, 16, 22
FILL_SHADE = "#fbe3d2"


def format_groove_picture(known: Knowledge) -> str:
    """Format what is known of a groove as an SVG picture."""
    pieces = _pieces(known)
    rows = [known.bars[start : start + BARS_A_ROW] for start in range(0, len(known.bars), BARS_A_ROW)]
    row_height = HEAD + LANE * len(pieces) + 16
    width = LABELS + BAR_WIDTH * min(BARS_A_ROW, max(1, len(known.bars))) + 12
    height = 34 + row_height * len(rows) + 8
    title = escape(f"{known.groove.title or 'groove'}: {known.metre} at {known.tempo_bpm:.4g}")
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}" height="{height}"'
        ' font-family="sans-serif" font-size="11">',
        f"<title>{title}</title>",
        f'<rect width="{width}" height="{height}" fill="#ffffff"/>',
        f'<text x="8" y="20" font-size="14">{title}</text>',
    ]
    for number, row in enumerate(rows):
        parts += _row(known, row, number * BARS_A_ROW, pieces, 34 + number * row_height)
    return "\n".join((*parts, "</svg>", ""))


def _pieces(known: Knowledge) -> list[Piece]:
    struck = {hit.piece for hit in known.groove.hits}
    return sorted(struck, key=lambda piece: (-piece.height, piece.value))


def _row(
    known: Knowledge, row: tuple[BarHits, ...], first: int, pieces: list[Piece], top: int
) -> Iterable[str]:
    bottom = top + HEAD + LANE * len(pieces)
    for lane, piece in enumerate(pieces):
        y = top + HEAD + LANE * lane + LANE / 2
        yield f'<text x="8" y="{y + 4:.1f}">{escape(piece.value)}</text>'
        yield f'<line x1="{LABELS}" y1="{y:.1f}" x2="{LABELS + BAR_WIDTH * len(row)}" y2="{y:.1f}" stroke="#e4e4e4"/>'
    for place, part in enumerate(row):
        left = LABELS + place * BAR_WIDTH
        yield from _bar(known, part, first + place, left, top, bottom)
        for hit in part.hits:
            share = max(0.0, (hit.tick - part.bar.start_tick) / part.bar.length_ticks)
            x = left + 6 + share * (BAR_WIDTH - 6)
            y = top + HEAD + LANE * pieces.index(hit.piece) + LANE / 2
            radius = RADIUS[known.levels.stroke(hit)]
            colour = COLOURS[hit.piece.family]
            yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius}" fill="{colour}"/>'


def _bar(known: Knowledge, part: BarHits, index: int, left: int, top: int, bottom: int) -> Iterable[str]:
    bar = part.bar
    for fill in known.fills:
        if bar.number in fill.bar_numbers:
            start = (
                max(0.0, (fill.start_tick - bar.start_tick) / bar.length_ticks) if fill.start_tick else 0.0
            )
            x = left + start * BAR_WIDTH
            yield (
                f'<rect x="{x:.1f}" y="{top + HEAD}" width="{left + BAR_WIDTH - x:.1f}" height="{bottom - top - HEAD}"'
                f' fill="{FILL_SHADE}" fill-opacity="0.6"/>'
            )
    letter = known.backbone.letters[index]
    dash = "'" if letter and known.backbone.is_variation(index) else ""
    name = "fill" if bar.number in known.fill_bars else letter + dash
    yield f'<text x="{left + 6}" y="{top + 14}">{bar.number}  <tspan font-weight="bold">{name}</tspan></text>'
    beats = max(1, round(bar.length_ticks / bar.metre.beat_ticks))
    for beat in range(beats):
        x = left + 6 + beat / beats * (BAR_WIDTH - 6) if beat else left
        stroke = "#333333" if beat == 0 else "#cccccc"
        yield f'<line x1="{x:.1f}" y1="{top + HEAD}" x2="{x:.1f}" y2="{bottom}" stroke="{stroke}"/>'
