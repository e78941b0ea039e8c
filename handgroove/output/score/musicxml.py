"""Write a sheet as MusicXML.

Source: W3C Music Notation Community Group, *MusicXML 4.0* (June 2021). Divisions are ticks (960 to the quarter).
Notes carry the id ``n`` and their index in the part, later notes of a tie ``-2``, ``-3``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from xml.sax.saxutils import escape

from handgroove.harmony.symbols.names import fifths
from handgroove.output.score.directions import Float, find_floats
from handgroove.output.score.drumxml import format_drum_part
from handgroove.output.score.notexml import beams, grace_signs, time_modification, tuplet_notation
from handgroove.output.score.sheet_model import Clef, Head, Measure, Sheet, Symbol
from handgroove.timeline import TICKS_PER_QUARTER

_HEAD = """<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" "http://www.musicxml.org/dtds/partwise.dtd">
"""
_DRUM_PART = ('<score-part id="P0"><part-name print-object="no">Drums</part-name></score-part>',)
_STAFF_OF_VOICE = {1: 1, 2: 1, 5: 2, 6: 2}
_CLEFS = {Clef.TREBLE: ("G", 2), Clef.BASS: ("F", 4)}


class XmlWriter:
    """Writes the measures of one piano part; *ids* counts the pieces of tied notes."""

    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        self.pieces: dict[int, int] = {}
        self.side = "above"

    def measure(self, measure: Measure) -> str:
        """Return one ``<measure>``."""
        bar = measure.bar
        pickup = ' implicit="yes"' if bar.number == 0 else ""
        lines = [f'<measure number="{bar.number}"{pickup}>']
        if measure.new_system:
            lines.append('<print new-system="yes"/>')
        lines += self._attributes(measure)
        first = True
        for number, symbols in sorted(measure.voices.items()):
            if not first:
                lines.append(f"<backup><duration>{bar.length_ticks}</duration></backup>")
            staff = _STAFF_OF_VOICE[number]
            floats = find_floats(self.sheet, measure, staff) if number in (1, 5) else []
            self.side = finger_side(measure, number)
            lines += self._voice(symbols, number, floats)
            first = False
        if measure is self.sheet.measures[-1]:
            lines.append('<barline location="right"><bar-style>light-heavy</bar-style></barline>')
        lines.append("</measure>")
        return "\n".join(lines)

    def _attributes(self, measure: Measure) -> Iterator[str]:
        first = measure is self.sheet.measures[0]
        measures = self.sheet.measures
        index = measure.bar.number - measures[0].bar.number
        repeated_before = index > 0 and measures[index - 1].repeats_last
        style = ""
        if measure.repeats_last and not repeated_before:
            style = '<measure-repeat type="start" slashes="1">1</measure-repeat>'
        elif repeated_before and not measure.repeats_last:
            style = '<measure-repeat type="stop"/>'
        if not (first or measure.shows_metre or measure.clefs or style):
            return
        yield "<attributes>"
        if first:
            mode = "minor" if self.sheet.key.minor else "major"
            yield f"<divisions>{TICKS_PER_QUARTER}</divisions>"
            yield f"<key><fifths>{fifths(self.sheet.key)}</fifths><mode>{mode}</mode></key>"
        if measure.shows_metre:
            metre = measure.bar.metre
            yield f"<time><beats>{metre.beats}</beats><beat-type>{metre.unit}</beat-type></time>"
        if first:
            yield "<staves>2</staves>"
        for staff, clef in sorted(measure.clefs.items()):
            sign, line = _CLEFS[clef]
            yield f'<clef number="{staff}"><sign>{sign}</sign><line>{line}</line></clef>'
        if style:
            yield f"<measure-style>{style}</measure-style>"
        yield "</attributes>"

    def _voice(self, symbols: Sequence[Symbol], number: int, floats: Sequence[Float]) -> Iterator[str]:
        """Yield one voice of a measure, with what floats above it put in before the note it belongs to."""
        at = 0
        for symbol in symbols:
            while at < len(floats) and floats[at].tick < symbol.end_tick:
                yield floats[at].format(symbol.tick)
                at += 1
            if not symbol.heads:
                yield self._rest(symbol, number)
            else:
                yield from self._chord(symbol, number)
        for left in floats[at:]:
            yield left.format(left.tick)

    def _rest(self, symbol: Symbol, number: int) -> str:
        rest = '<rest measure="yes"/>' if symbol.whole_bar else "<rest/>"
        kind = "" if symbol.whole_bar else f"<type>{symbol.type}</type>{'<dot/>' * symbol.dots}"
        body = f"{rest}<duration>{symbol.length_ticks}</duration><voice>{number}</voice>{kind}"
        body += time_modification(symbol) + f"<staff>{_STAFF_OF_VOICE[number]}</staff>"
        notations = tuplet_notation(symbol)
        hidden = ' print-object="no"' if symbol.hidden else ""
        return f"<note{hidden}>{body}{f'<notations>{notations}</notations>' if notations else ''}</note>"

    def _chord(self, symbol: Symbol, number: int) -> Iterator[str]:
        stem = f"<stem>{symbol.stem}</stem>" if symbol.stem else ""
        for place, head in enumerate(symbol.graces):
            sign, kind, beamed = grace_signs(place, len(symbol.graces))
            yield self._note(head, number, sign, "", kind, "", beamed, "")
        for index, head in enumerate(symbol.heads):
            lead = "<chord/>" if index else ""
            kind = f"<type>{symbol.type}</type>{'<dot/>' * symbol.dots}"
            beamed = "" if index else beams(symbol)
            above = "" if index else tuplet_notation(symbol) + _articulations(symbol)
            yield self._note(
                head,
                number,
                lead,
                f"<duration>{symbol.length_ticks}</duration>",
                kind,
                time_modification(symbol) + stem,
                beamed,
                above,
            )

    def _note(
        self,
        head: Head,
        number: int,
        lead: str,
        duration: str,
        kind: str,
        after: str,
        beamed: str,
        above: str,
    ) -> str:
        index = head.placed.index
        piece = self.pieces[index] = self.pieces.get(index, 0) + 1
        identity = f"n{index}" if piece == 1 else f"n{index}-{piece}"
        ties = ('<tie type="stop"/>' if head.tied_from else "") + (
            '<tie type="start"/>' if head.tied_on else ""
        )
        tied = ties.replace("<tie ", "<tied ")
        alter = f"<alter>{head.name.alter}</alter>" if head.name.alter else ""
        pitch = f"<pitch><step>{head.name.letter}</step>{alter}<octave>{head.octave}</octave></pitch>"
        sign = ""
        if head.accidental:
            courtesy = ' cautionary="yes"' if head.courtesy else ""
            sign = f"<accidental{courtesy}>{head.accidental}</accidental>"
        finger = ""
        if head.finger:
            finger = f'<technical><fingering placement="{self.side}">{head.finger}</fingering></technical>'
        notations = tied + above + finger
        loud = f"{head.placed.note.velocity / 90 * 100:.1f}"
        return (
            f'<note id="{identity}" dynamics="{loud}">{lead}{pitch}{duration}{ties}<voice>{number}</voice>'
            f"{kind}{sign}{after}<staff>{_STAFF_OF_VOICE[number]}</staff>{beamed}"
            f"{f'<notations>{notations}</notations>' if notations else ''}</note>"
        )


def finger_side(measure: Measure, number: int) -> str:
    """Return where a voice's fingerings go: outside the hand's staff, or outside its voice where two share one."""
    shared = number + (1 if number % 2 else -1) in measure.voices
    if shared:
        return "above" if number % 2 else "below"
    return "above" if number < 5 else "below"


def _articulations(symbol: Symbol) -> str:
    if not symbol.marks:
        return ""
    return f"<articulations>{''.join(f'<{mark}/>' for mark in symbol.marks)}</articulations>"


def format_musicxml(sheet: Sheet) -> str:
    """Return *sheet* as the text of a MusicXML 4.0 file."""
    writer = XmlWriter(sheet)
    title = escape(sheet.title)
    return "\n".join(
        [
            _HEAD + '<score-partwise version="4.0">',
            f"<work><work-title>{title}</work-title></work>",
            "<identification><encoding><software>Handgroove</software>"
            '<supports element="accidental" type="yes"/><supports element="beam" type="yes"/>'
            '<supports element="print" attribute="new-system" type="yes" value="yes"/></encoding></identification>',
            "<part-list>",
            *(_DRUM_PART if sheet.drums else ()),
            '<score-part id="P1"><part-name print-object="no">Piano</part-name>'
            '<score-instrument id="P1-I1"><instrument-name>Piano</instrument-name></score-instrument>'
            '<midi-instrument id="P1-I1"><midi-channel>1</midi-channel><midi-program>1</midi-program>'
            "</midi-instrument></score-part>",
            "</part-list>",
            *(format_drum_part(sheet.drums, sheet.measures) if sheet.drums else ()),
            '<part id="P1">',
            *(writer.measure(measure) for measure in sheet.measures),
            "</part>",
            "</score-partwise>",
            "",
        ]
    )
