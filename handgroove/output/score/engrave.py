"""Engrave a score: MusicXML through verovio to SVG pages, with a title block and page numbers of our own.

verovio (LGPL-3) lays out and draws. Page units are hundredths of a millimetre on A4.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any
from xml.sax.saxutils import escape

from handgroove.output.score.directions import FULL_SWING, feel_words
from handgroove.output.score.extra import need
from handgroove.output.score.mei import adapt_mei
from handgroove.output.score.sheet_model import Measure, Sheet

WIDTH, HEIGHT, MARGIN = 21000, 29700, 1300

_OPTIONS: dict[str, Any] = {
    "font": "Bravura",
    "breaks": "line",  # systems as the sheet breaks them, pages as they fill
    "xmlIdSeed": 1,  # the same ids, and so the same bytes, every time
    "pageWidth": WIDTH // 10,
    "pageHeight": HEIGHT // 10,
    "pageMarginLeft": MARGIN // 10,
    "pageMarginRight": MARGIN // 10,
    "pageMarginTop": 110,
    "pageMarginBottom": 140,
    "unit": 8,
    "svgViewBox": True,
    "octaveAlternativeSymbols": True,
    "header": "encoded",
    "footer": "none",
    "spacingStaff": 10,
    "spacingSystem": 5,
    "spacingNonLinear": 0.55,
    "justificationBraceGroup": 0.25,
    "fingeringScale": 0.65,
    "dynamDist": 1.0,
    "minLastJustification": 0.6,
    "pedalStyle": "line",
}


_SIGNS = {"\uea64": "♭", "\uea66": "♯"}  # Standard Music Font Layout (W3C), figured bass accidentals


def engrave(musicxml: str, sheet: Sheet) -> list[str]:
    """Return the pages of a score as SVG documents."""
    verovio = need("verovio")
    verovio.enableLog(verovio.LOG_ERROR)
    reader = verovio.toolkit()
    reader.setOptions(_OPTIONS)
    reader.loadData(musicxml)
    toolkit = verovio.toolkit()
    toolkit.setOptions({**_OPTIONS, "inputFrom": "mei"})
    toolkit.loadData(adapt_mei(reader.getMEI({"scoreBased": True}), sheet))
    count = toolkit.getPageCount()
    last = toolkit.renderToSVG(count)
    if count > 1:  # full pages are spread over the paper, the last one is not
        toolkit.setOptions({"justifyVertically": True})
        toolkit.redoLayout()
    pages = [*(toolkit.renderToSVG(number) for number in range(1, count)), last]
    bars = iter(sheet.measures)
    numbered = [number_bars(page, bars) for page in pages]
    return [_finish(page, number, len(pages), sheet) for number, page in enumerate(numbered, 1)]


def number_bars(svg: str, bars: Iterator[Measure]) -> str:
    """Return a page with the bar numbers that the engraver leaves out beside section names, taking its *bars*."""
    head, *measures = re.split(r'(?=<g id="[^"]*" class="measure">)', svg)
    for index, (text, measure) in enumerate(zip(measures, bars, strict=False)):
        staff = re.search(r'class="staff">\s*<path d="M(\d+) (\d+)', text)
        if 'class="reh"' in text and measure.bar.number > 1 and staff:
            # The section's name may stand low over the clef, so the number goes to its left.
            x, y = int(staff[1]) - 400, int(staff[2]) + 60
            number = _text(x, y, 288, str(measure.bar.number), "middle", 'font-style="italic"')
            place = text.index(">") + 1
            measures[index] = f'{text[:place]}<g class="mNum">{number}</g>{text[place:]}'
    return head + "".join(measures)


def _finish(svg: str, number: int, count: int, sheet: Sheet) -> str:
    """Put our title block, page number and description in place of the engraver's."""
    svg = re.sub(
        r"<desc>.*?</desc>", f"<desc>{escape(sheet.title)}, page {number} of {count}</desc>", svg, count=1
    )
    svg = _signs_as_text(svg)
    if number == 1:
        block = '<g class="title">' + title_block(sheet) + "</g>"
        svg = re.sub(r'<g id="[^"]*" class="pgHead">.*?</g>', lambda _: block, svg, count=1, flags=re.DOTALL)
    foot = _text(WIDTH // 2 - MARGIN, HEIGHT - 1500, 330, str(number), "middle") if count > 1 else ""
    if foot:
        place = svg.index(">", svg.index('class="page-margin"')) + 1
        svg = svg[:place] + foot + svg[place:]
    return svg


def _signs_as_text(svg: str) -> str:
    """Return a page with the flats and sharps of chord symbols in the words' font, so that none must be embedded."""
    svg = re.sub(
        r'<tspan font-family="Bravura" font-size="\d+px">([\uEA64\uEA66])</tspan>',
        lambda match: f'<tspan font-size="360px">{_SIGNS[match[1]]}</tspan>',
        svg,
    )
    if 'font-family="Bravura"' in svg:
        return svg
    return re.sub(r'<style type="text/css">\s*@font-face.*?</style>', "", svg, flags=re.DOTALL)


def title_block(sheet: Sheet) -> str:
    """Return the title, what stands under it, and the tempo with its feel, as SVG."""
    parts = [_text((WIDTH - 2 * MARGIN) // 2, 600, 760, sheet.title, "middle", 'font-weight="bold"')]
    if sheet.subtitle:
        parts.append(
            _text((WIDTH - 2 * MARGIN) // 2, 1150, 360, sheet.subtitle, "middle", 'font-style="italic"')
        )
    words = feel_words(sheet)
    x = 700
    if words:
        parts.append(_text(x, 1900, 400, words, "start", 'font-weight="bold"'))
        x += round(len(words) * 205) + 380
    if sheet.feel.swing_ratio >= FULL_SWING:
        parts.append(swing_mark(x, 1900, 2 if sheet.feel.swing_unit_ticks == 240 else 1))
        x += 2450
    metre = sheet.measures[0].bar.metre
    dotted = metre.is_compound and metre.unit == 8
    shown = round(sheet.tempos[0][1] / (1.5 if dotted else 1.0))
    parts.append(_note(x, 1880))
    if dotted:
        parts.append(f'<ellipse cx="{x + 190}" cy="1850" rx="30" ry="30" stroke="none"/>')
        x += 60
    parts.append(_text(x + 230, 1900, 400, f"= {shown}", "start", 'font-weight="bold"'))
    return "".join(parts)


def _text(x: int, y: int, size: int, text: str, anchor: str, style: str = "") -> str:
    anchored = f' text-anchor="{anchor}"' if anchor != "start" else ""
    return f'<text x="{x}" y="{y}" font-size="{size}px"{anchored} {style}>{escape(text)}</text>'


def _note(x: int, y: int) -> str:
    """Return a small quarter note whose head stands at (*x*, *y*)."""
    head = (
        f'<ellipse cx="0" cy="0" rx="112" ry="76" transform="translate({x},{y}) rotate(-24)" stroke="none"/>'
    )
    return head + f'<path d="M{x + 100} {y - 30} V{y - 500}" stroke-width="26"/>'


def _beamed(x: int, y: int, beams: int) -> str:
    bars = "".join(
        f'<path d="M{x + 88} {y - 500 + 130 * n} H{x + 572} V{y - 425 + 130 * n} H{x + 88} Z" stroke="none"/>'
        for n in range(beams)
    )
    return _note(x, y) + _note(x + 460, y) + bars


def swing_mark(x: int, y: int, beams: int) -> str:
    """Return the usual equation, two even notes are a triplet's long and short, with its left end at *x*."""
    left = _beamed(x, y, beams)
    equals = _text(x + 760, y, 400, "=", "start", 'font-weight="bold"')
    a = x + 1230
    long = _note(a, y) + (
        f'<path d="M{a + 100} {y - 500} h160 v80 h-160 Z" stroke="none"/>' if beams == 2 else ""
    )
    b = a + 460
    flag = f"M{b + 100} {y - 500} c20 130 170 170 130 350 c-10 -120 -80 -170 -130 -190 Z"
    short = _note(b, y) + f'<path d="{flag}" stroke="none"/>'
    bracket = f'<path d="M{a - 90} {y - 570} v-90 h230 M{a + 400} {y - 660} h230 v90" fill="none" stroke-width="22"/>'
    three = _text(a + 270, y - 590, 260, "3", "middle", 'font-style="italic"')
    return left + equals + long + short + bracket + three
