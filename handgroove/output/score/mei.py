"""What the engraver is told beside the MusicXML: room for the title, and fingerings lifted off the stems.

verovio reads MusicXML into MEI (Music Encoding Initiative, version 5); these are edits of that MEI text.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from handgroove.output.score.model import Measure, Sheet, Symbol
from handgroove.output.score.musicxml import finger_side
from handgroove.output.score.staves import diatonic, has_second

STEM = 7.0  # a stem's length in half spaces
_TITLE_ROOM = '<pgHead func="first"><rend halign="center" fontsize="25pt">T<lb/>S<lb/>M</rend></pgHead>'


def adapt_mei(mei: str, sheet: Sheet) -> str:
    """Return *mei* with room for a title block, without the first tempo (the block has it), and marks moved."""
    mei = re.sub(r"<tempo\b.*?</tempo>\s*", "", mei, count=1, flags=re.DOTALL)
    mei = re.sub(r"(<harm\b[^>]*>)(.*?)(</harm>)", _embolden, mei, flags=re.DOTALL)
    mei = mei.replace("<mRpt ", '<mRpt num.visible="false" ')
    place = mei.index(">", mei.index("<scoreDef")) + 1
    mei = mei[:place] + _TITLE_ROOM + mei[place:]
    offsets, columns = finger_offsets(sheet), finger_columns(sheet)

    def lift(match: re.Match[str]) -> str:
        offset = offsets.get(match[2], 0.0)
        return f'{match[1]}startid="#{columns.get(match[2], match[2])}"' + (
            f' vo="{offset:.2f}"' if offset else ""
        )

    mei = re.sub(r'(<fing\b[^>]*)startid="#(n\d+)"', lift, mei)
    return _lift_chords(mei, chord_lifts(sheet, offsets))


def _embolden(match: re.Match[str]) -> str:
    """Return a chord symbol in bold, with hard spaces after it for the flats' and sharps' unmeasured width."""
    space = "\N{NO-BREAK SPACE}" * (1 + sum(match[2].count(sign) for sign in "♭♯"))
    return f'{match[1]}<rend fontweight="bold">{match[2]}{space}</rend>{match[3]}'


def _lift_chords(mei: str, lifts: Sequence[float]) -> str:
    """Return *mei* with the chord symbols of each measure lifted by *lifts*, in measures' order."""
    head, *measures = mei.split("<measure ")
    for index, (measure, lift) in enumerate(zip(measures, lifts, strict=True)):
        if lift:
            measures[index] = re.sub(r"<(harm|reh) ", rf'<\1 vo="{lift:.2f}" ', measure)
    return "<measure ".join([head, *measures])


def chord_lifts(sheet: Sheet, offsets: dict[str, float]) -> list[float]:
    """Return by how many half spaces each measure's chord symbols rise to clear lifted fingerings, by system."""
    lifts: list[float] = []
    system: list[float] = []
    for measure in sheet.measures:
        if measure.new_system:
            lifts += [max(system)] * len(system)
            system = []
        marks = [mark.tick for mark in measure.chords]
        most = 0.0
        for number in (1, 2):
            for symbol in measure.voices.get(number, ()):
                if any(tick - 480 < symbol.tick <= tick + 960 for tick in marks):
                    most = max([most, *(offsets.get(f"n{h.placed.index}", 0.0) for h in symbol.heads)])
        system.append(most)
    return lifts + [max(system)] * len(system)


def finger_columns(sheet: Sheet) -> dict[str, str]:
    """Return for each note of a chord with a second the note that all its fingerings stand over, in one column."""
    columns: dict[str, str] = {}
    for measure in sheet.measures:
        for symbols in measure.voices.values():
            for symbol in symbols:
                if has_second(symbol):
                    # Heads on the stem's usual side begin at the end that the stem doesn't leave from.
                    up = symbol.stem != "down"
                    anchor = symbol.heads[0 if up else -1].placed.index
                    columns |= {f"n{h.placed.index}": f"n{anchor}" for h in symbol.heads}
    return columns


def finger_offsets(sheet: Sheet) -> dict[str, float]:
    """Return by how many half spaces the fingering of a note (by id) is moved to clear the stem beside it."""
    offsets: dict[str, float] = {}
    for measure in sheet.measures:
        for number, symbols in measure.voices.items():
            for symbol in symbols:
                if symbol.stem and not symbol.beams and any(h.finger for h in symbol.heads):
                    above = finger_side(measure, number) == "above"
                    offset = _offset(symbol, above, _middle(measure, number))
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
