"""Write the drum line as a MusicXML part of its own, on a small staff with a percussion clef."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from xml.sax.saxutils import escape

from handgroove.output.score.notexml import beams, time_modification, tuplet_notation
from handgroove.output.score.sheet_model import DrumLine, Head, Measure, Symbol
from handgroove.timeline import TICKS_PER_QUARTER

STAFF_SIZE_PERCENT = 60


def format_drum_part(line: DrumLine, measures: Sequence[Measure]) -> Iterator[str]:
    """Yield the part ``P0`` measure by measure."""
    yield '<part id="P0">'
    for measure, voices in zip(measures, line.voices, strict=True):
        bar = measure.bar
        pickup = ' implicit="yes"' if bar.number == 0 else ""
        yield f'<measure number="{bar.number}"{pickup}>'
        if measure.new_system:
            yield '<print new-system="yes"/>'
        first = measure is measures[0]
        yield from _attributes(measure, first=first)
        if first:
            words = f'<words font-size="8">{escape(line.legend)}</words>'
            yield f'<direction placement="above"><direction-type>{words}</direction-type></direction>'
        for number, symbols in sorted(voices.items()):
            if number > 1:
                yield f"<backup><duration>{bar.length_ticks}</duration></backup>"
            for symbol in symbols:
                yield from _symbol(symbol, number)
        if measure is measures[-1]:
            yield '<barline location="right"><bar-style>light-heavy</bar-style></barline>'
        yield "</measure>"
    yield "</part>"


def _attributes(measure: Measure, *, first: bool) -> Iterator[str]:
    if not (first or measure.shows_metre):
        return
    metre = measure.bar.metre
    yield "<attributes>"
    if first:
        yield f"<divisions>{TICKS_PER_QUARTER}</divisions><key><fifths>0</fifths></key>"
    if measure.shows_metre:
        yield f"<time><beats>{metre.beats}</beats><beat-type>{metre.unit}</beat-type></time>"
    if first:
        yield "<clef><sign>percussion</sign></clef>"
        yield f"<staff-details><staff-size>{STAFF_SIZE_PERCENT}</staff-size></staff-details>"
    yield "</attributes>"


def _symbol(symbol: Symbol, number: int) -> Iterator[str]:
    length, voice = f"<duration>{symbol.length_ticks}</duration>", f"<voice>{number}</voice>"
    kind = f"<type>{symbol.type}</type>{'<dot/>' * symbol.dots}"
    above = tuplet_notation(symbol)
    if not symbol.heads:
        rest, kind = ('<rest measure="yes"/>', "") if symbol.whole_bar else ("<rest/>", kind)
        notations = f"<notations>{above}</notations>" if above else ""
        hidden = ' print-object="no"' if symbol.hidden else ""
        yield f"<note{hidden}>{rest}{length}{voice}{kind}{time_modification(symbol)}{notations}</note>"
        return
    for index, head in enumerate(symbol.heads):
        yield _note(head, symbol, index, length, voice, kind, above)


def _note(head: Head, symbol: Symbol, index: int, length: str, voice: str, kind: str, above: str) -> str:
    place = f"<display-step>{head.name.letter}</display-step><display-octave>{head.octave}</display-octave>"
    ties = ('<tie type="stop"/>' if head.tied_from else "") + ('<tie type="start"/>' if head.tied_on else "")
    identity = f' id="d{head.placed.index}"' if not head.tied_from else ""
    stem = f"<stem>{symbol.stem}</stem>" if symbol.stem else ""
    brackets = ' parentheses="yes"' if head.bracketed else ""
    notehead = f"<notehead{brackets}>{head.notehead}</notehead>"
    notations = ties.replace("<tie ", "<tied ") + ("" if index else above)
    return (
        f"<note{identity}>{'<chord/>' if index else ''}<unpitched>{place}</unpitched>{length}{ties}{voice}{kind}"
        f"{time_modification(symbol)}{stem}{notehead}{'' if index else beams(symbol)}"
        f"{f'<notations>{notations}</notations>' if notations else ''}</note>"
    )
