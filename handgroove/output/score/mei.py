"""What the engraver is told beside the MusicXML: room for the title, and fingerings lifted off the stems.

verovio reads MusicXML into MEI (Music Encoding Initiative, version 5); these are edits of that MEI text.
"""

from __future__ import annotations

import re

from handgroove.output.score.model import Measure, Sheet, Symbol
from handgroove.output.score.staves import diatonic

STEM = 7.0  # a stem's length in half spaces
_TITLE_ROOM = '<pgHead func="first"><rend halign="center" fontsize="22pt">T<lb/>S<lb/>M</rend></pgHead>'


def adapt_mei(mei: str, sheet: Sheet) -> str:
    """Return *mei* with a title block's room, without the first tempo (the block has it), and fingerings moved."""
    mei = re.sub(r"<tempo\b.*?</tempo>\s*", "", mei, count=1, flags=re.DOTALL)
    place = mei.index(">", mei.index("<scoreDef")) + 1
    mei = mei[:place] + _TITLE_ROOM + mei[place:]
    offsets = finger_offsets(sheet)

    def lift(match: re.Match[str]) -> str:
        offset = offsets.get(match[2])
        return f'{match[1]} vo="{offset:.2f}"' if offset else match[1]

    return re.sub(r'(<fing\b[^>]*startid="#(n\d+)")', lift, mei)


def finger_offsets(sheet: Sheet) -> dict[str, float]:
    """Return by how many half spaces the fingering of a note (by id) is moved to clear the stem beside it."""
    offsets: dict[str, float] = {}
    for measure in sheet.measures:
        for number, symbols in measure.voices.items():
            for symbol in symbols:
                if symbol.stem and not symbol.beams and any(h.finger for h in symbol.heads):
                    offset = _offset(symbol, number < 5, _middle(measure, number))
                    for head in symbol.heads:
                        if head.finger and offset:
                            offsets[f"n{head.placed.index}"] = offset
    return offsets


def _middle(measure: Measure, number: int) -> int:
    return measure.middles[1 if number < 5 else 2]


def _offset(symbol: Symbol, above: bool, middle: int) -> float:
    if (symbol.stem == "up") != above:
        return 0.0
    steps = [diatonic(h) - middle for h in symbol.heads]
    reach = max(0.0, (max(steps) if above else -min(steps)) + STEM)
    printed = max(4.0, (max(steps) if above else -min(steps)) + 1.0)
    lift = max(0.0, reach - printed)
    return lift if above else -lift
