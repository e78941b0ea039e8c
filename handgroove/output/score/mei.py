"""What the engraver is told beside the MusicXML: room for the title, and marks moved out of each other's way.

verovio reads MusicXML into MEI (Music Encoding Initiative, version 5); these are edits of that MEI text.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from xml.sax.saxutils import escape

from handgroove.output.score.chordxml import format_symbol
from handgroove.output.score.musicxml import finger_side
from handgroove.output.score.sheet_model import Sheet
from handgroove.output.score.staves import has_second

_TITLE_ROOM = '<pgHead func="first"><rend halign="center" fontsize="25pt">T<lb/>S<lb/>M</rend></pgHead>'
_BESIDE_STEM = 0.9  # half spaces from the middle of a notehead, away from the stem


def adapt_mei(mei: str, sheet: Sheet) -> str:
    """Return *mei* with room for a title block, without the first tempo (the block has it), and marks moved."""
    mei = re.sub(r"<tempo\b.*?</tempo>\s*", "", mei, count=1, flags=re.DOTALL)
    # Later tempos: a note of the word's font, so that no music font is needed as text.
    mei = re.sub(r"(<tempo\b[^>]*>).*?(</tempo>)", _tempo, mei, flags=re.DOTALL)
    mei = _widen_repeats(mei, sheet)
    mei = re.sub(r'(<reh\b[^>]*staff=)"2"', r'\1"1"', mei)  # above the drum line, where there is one
    symbols = _chord_texts(sheet)
    mei = re.sub(r"(<harm\b[^>]*>).*?(</harm>)", lambda m: m[1] + next(symbols) + m[2], mei, flags=re.DOTALL)
    place = mei.index(">", mei.index("<scoreDef")) + 1
    mei = mei[:place] + _TITLE_ROOM + mei[place:]
    aside, columns = finger_shifts(sheet), finger_columns(sheet)

    def shift(match: re.Match[str]) -> str:
        own = match[2]
        moved = f' ho="{aside[own]:.2f}"' if own in aside else ""
        return f'{match[1]}startid="#{columns.get(own, own)}"{moved}'

    return re.sub(r'(<fing\b[^>]*)startid="#(n\d+)"', shift, mei)


def _widen_repeats(mei: str, sheet: Sheet) -> str:
    """Return *mei* with room for repeat signs, which the engraver gives no width: unseen eighths beside each."""
    head, *bars = mei.split("<measure ")
    for index, (bar, measure) in enumerate(zip(bars, sheet.measures, strict=True)):
        if "<mRpt " in bar:
            spaces = '<space dur="8"/>' * (measure.bar.length_ticks // 480)
            wide = bar.replace("</staff>", f'<layer n="9">{spaces}</layer></staff>')
            bars[index] = wide.replace("<mRpt ", '<mRpt num.visible="false" ')
    return "<measure ".join([head, *bars])


def _tempo(match: re.Match[str]) -> str:
    """Return a tempo as a plain line of text, ``♩ = 96``."""
    text = re.sub(r"<[^>]*>", "", match[0])
    number = re.search(r"\d+", text)
    dotted = 'mm.dots="1"' in match[1]
    return f"{match[1]}♩{'.' if dotted else ''} = {number[0] if number else ''}{match[2]}"


def _chord_texts(sheet: Sheet) -> Iterator[str]:
    """Yield the chord symbols in bold, with hard spaces after them for flats' and sharps' unmeasured width."""
    for measure in sheet.measures:
        for mark in sorted(measure.chords, key=lambda mark: mark.tick):
            text = format_symbol(mark.chord)
            space = "\N{NO-BREAK SPACE}" * (1 + sum(text.count(sign) for sign in "♭♯"))
            yield f'<rend fontweight="bold">{escape(text)}{space}</rend>'


def finger_shifts(sheet: Sheet) -> dict[str, float]:
    """Return by how many half spaces the fingering of a note (by id) goes aside to stand beside a stem, not on it."""
    shifts: dict[str, float] = {}
    for measure in sheet.measures:
        for number, symbols in measure.voices.items():
            toward = "up" if finger_side(measure, number) == "above" else "down"
            for symbol in symbols:
                named = symbol.tick == measure.bar.start_tick and any(
                    w.kind == "section" for w in measure.words
                )
                # A name's box may stand to the left.
                if symbol.stem == toward and not symbol.beams and not named:
                    aside = -_BESIDE_STEM if toward == "up" else _BESIDE_STEM
                    shifts |= {f"n{h.placed.index}": aside for h in symbol.heads if h.finger}
    return shifts


def finger_columns(sheet: Sheet) -> dict[str, str]:
    """Return for each note of a chord with a second the note that all its fingerings stand over, in one column."""
    columns: dict[str, str] = {}
    for measure in sheet.measures:
        for symbols in measure.voices.values():
            for symbol in symbols:
                if has_second(symbol):
                    # Heads on the stem's usual side begin at the end that the stem doesn't leave from.
                    anchor = symbol.heads[-1 if symbol.stem == "down" else 0].placed.index
                    columns |= {f"n{h.placed.index}": f"n{anchor}" for h in symbol.heads}
    return columns
