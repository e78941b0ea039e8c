"""Write a sheet as MusicXML.

Source: W3C Music Notation Community Group, *MusicXML 4.0* (June 2021). Divisions are ticks (960 to the quarter).
Notes carry the id ``n`` and their index in the part, later notes of a tie ``-2``, ``-3``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from xml.sax.saxutils import escape

from handgroove.harmony.names import fifths
from handgroove.output.score.chordxml import format_harmony
from handgroove.output.score.drumxml import format_drum_part
from handgroove.output.score.model import Clef, Head, Measure, Sheet, Symbol, Words
from handgroove.output.score.notexml import beams, time_modification, tuplet_notation
from handgroove.output.score.swing import swings
from handgroove.timeline import TICKS_PER_QUARTER

_HEAD = """<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" "http://www.musicxml.org/dtds/partwise.dtd">
"""
_DRUM_PART = ('<score-part id="P0"><part-name print-object="no">Drums</part-name></score-part>',)
_STAFF_OF_VOICE = {1: 1, 2: 1, 5: 2, 6: 2}
_CLEFS = {Clef.TREBLE: ("G", 2), Clef.BASS: ("F", 4)}


class Writer:
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
            floats = self._floats(measure, staff) if number in (1, 5) else []
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

    def _floats(self, measure: Measure, staff: int) -> list[tuple[int, int, str]]:
        """Return what stands over or under a staff as (tick, order, element with OFFSET where it goes)."""
        bar = measure.bar
        floats: list[tuple[int, int, str]] = []
        if staff == 1:
            for tick, tempo_bpm in self.sheet.tempos:
                if bar.start_tick <= tick < bar.end_tick:
                    floats.append((tick, 1, self._tempo(measure, tempo_bpm, tick == self.sheet.tempos[0][0])))
            floats += [(mark.tick, 3, format_harmony(mark.chord, 1, OFFSET)) for mark in measure.chords]
        floats += [(w.tick, *_direction(w)) for w in measure.words if w.staff == staff]
        return sorted(floats, key=lambda item: item[:2])

    def _tempo(self, measure: Measure, tempo_bpm: float, first: bool) -> str:
        """Return the tempo with the feel's words."""
        metre, feel = measure.bar.metre, self.sheet.feel
        dotted = metre.is_compound and metre.unit == 8
        unit = "<beat-unit>quarter</beat-unit>" + ("<beat-unit-dot/>" if dotted else "")
        shown = round(tempo_bpm / 1.5 if dotted else tempo_bpm)
        words = ""
        if first and feel_words(self.sheet):
            words = (
                f'<direction-type><words font-weight="bold">{feel_words(self.sheet)}</words></direction-type>'
            )
        metronome = f"<metronome>{unit}<per-minute>{shown}</per-minute></metronome>"
        swing = ""
        if first and swings(feel):
            ratio = Fraction(feel.swing_ratio).limit_denominator(8)
            kind = "eighth" if feel.swing_unit_ticks == 480 else "16th"
            swing = f"<swing><first>{ratio.numerator}</first><second>{ratio.denominator}</second>"
            swing += f"<swing-type>{kind}</swing-type></swing>"
        sound = (
            f'<sound tempo="{tempo_bpm:.2f}">{swing}</sound>'
            if swing
            else f'<sound tempo="{tempo_bpm:.2f}"/>'
        )
        body = f"{words}<direction-type>{metronome}</direction-type>"
        return f'<direction placement="above">{body}{OFFSET_TAG}<staff>1</staff>{sound}</direction>'

    def _voice(
        self, symbols: Sequence[Symbol], number: int, floats: list[tuple[int, int, str]]
    ) -> Iterator[str]:
        """Yield one voice of a measure, with what floats above it put in before the note it belongs to."""
        at = 0
        for symbol in symbols:
            while at < len(floats) and floats[at][0] < symbol.end_tick:
                tick, _, element = floats[at]
                yield _with_offset(element, max(0, tick - symbol.tick))
                at += 1
            if not symbol.heads:
                yield self._rest(symbol, number)
            else:
                yield from self._chord(symbol, number)
        for _, _, element in floats[at:]:
            yield _with_offset(element, 0)

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
        for head in symbol.graces:
            yield self._note(head, number, '<grace slash="yes"/>', "", "<type>eighth</type>", "", "", "")
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


FULL_SWING = 1.6  # under this the triplet equation would promise too much
OFFSET = -987654321
OFFSET_TAG = f"<offset>{OFFSET}</offset>"


def finger_side(measure: Measure, number: int) -> str:
    """Return where a voice's fingerings go: outside the hand's staff, or outside its voice where two share one."""
    shared = number + (1 if number % 2 else -1) in measure.voices
    if shared:
        return "above" if number % 2 else "below"
    return "above" if number < 5 else "below"


def _with_offset(element: str, ticks: int) -> str:
    return element.replace(OFFSET_TAG, f"<offset>{ticks}</offset>" if ticks else "")


def _direction(words: Words) -> tuple[int, str]:
    """Return the order among others at the same tick, and the element."""
    text = escape(words.text)
    kinds: dict[str, tuple[int, str, str]] = {
        "section": (0, "above", f'<rehearsal enclosure="rectangle">{text}</rehearsal>'),
        "words": (2, "above", f"<words>{text}</words>"),
        "italic": (7, "below", f'<words font-style="italic">{text}</words>'),
        "dynamic": (4, "below", f"<dynamics><{text}/></dynamics>" if words.kind == "dynamic" else ""),
        "pedal": (5, "below", f'<pedal type="{text}" line="yes" sign="no"/>'),
        "octave": (6, "below" if text != "down" else "above", f'<octave-shift type="{text}" size="8"/>'),
    }
    order, side, inside = kinds[words.kind]
    if words.text == "stop":
        order = -1
    sound = ""
    if words.kind == "pedal":
        sound = f'<sound damper-pedal="{"no" if text == "stop" else "yes"}"/>'
    body = f"<direction-type>{inside}</direction-type>{OFFSET_TAG}<staff>{words.staff}</staff>{sound}"
    return order, f'<direction placement="{side}">{body}</direction>'


def _articulations(symbol: Symbol) -> str:
    if not symbol.marks:
        return ""
    return f"<articulations>{''.join(f'<{mark}/>' for mark in symbol.marks)}</articulations>"


def feel_words(sheet: Sheet) -> str:
    """Return how the page tells the feel."""
    if not swings(sheet.feel):
        return "" if sheet.measures[0].bar.metre.is_compound else "Straight"
    name = "eighths" if sheet.feel.swing_unit_ticks == 480 else "sixteenths"
    how = "Swing" if sheet.feel.swing_ratio >= FULL_SWING else "Light swing"
    return f"{how} ({name})" if name == "sixteenths" else how


def format_musicxml(sheet: Sheet) -> str:
    """Return *sheet* as the text of a MusicXML 4.0 file."""
    writer = Writer(sheet)
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
