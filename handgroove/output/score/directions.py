"""What floats over and under a staff, as MusicXML: tempo and feel, sections, dynamics, pedal, octave lines, chords.

A float is written in front of the note that sounds at its tick, with an offset where it comes after that note begins.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from xml.sax.saxutils import escape

from handgroove.groove.meant.swing import swings
from handgroove.output.score.chordxml import format_harmony
from handgroove.output.score.sheet_model import Measure, Sheet, Words

FULL_SWING = 1.6  # under this the triplet equation would promise too much


@dataclass(frozen=True, slots=True)
class Float:
    """An element at *tick*, by *order* among others there: what stands *before* and *after* its offset."""

    tick: int
    order: int
    before: str
    after: str

    def format(self, tick: int) -> str:
        """Return the element as it is written in front of a note at *tick*."""
        late = self.tick - tick
        return self.before + (f"<offset>{late}</offset>" if late > 0 else "") + self.after


def find_floats(sheet: Sheet, measure: Measure, staff: int) -> list[Float]:
    """Return what floats over and under one *staff* of a measure, in order."""
    bar = measure.bar
    floats = [_words(words) for words in measure.words if words.staff == staff]
    if staff == 1:
        inside = [
            (index, *at) for index, at in enumerate(sheet.tempos) if bar.start_tick <= at[0] < bar.end_tick
        ]
        floats += [
            _tempo(sheet, measure, tick, tempo_bpm, first=not index) for index, tick, tempo_bpm in inside
        ]
        floats += [Float(mark.tick, 3, *format_harmony(mark.chord, staff)) for mark in measure.chords]
    return sorted(floats, key=lambda item: (item.tick, item.order))


def feel_words(sheet: Sheet) -> str:
    """Return how the page tells the feel."""
    if not swings(sheet.feel):
        return "" if sheet.measures[0].bar.metre.is_compound else "Straight"
    name = "eighths" if sheet.feel.swing_unit_ticks == 480 else "sixteenths"
    how = "Swing" if sheet.feel.swing_ratio >= FULL_SWING else "Light swing"
    return f"{how} ({name})" if name == "sixteenths" else how


def _tempo(sheet: Sheet, measure: Measure, tick: int, tempo_bpm: float, *, first: bool) -> Float:
    """Return a tempo, the first one with the feel's words."""
    metre = measure.bar.metre
    dotted = metre.is_compound and metre.unit == 8
    unit = "<beat-unit>quarter</beat-unit>" + ("<beat-unit-dot/>" if dotted else "")
    shown = round(tempo_bpm / 1.5 if dotted else tempo_bpm)
    words = feel_words(sheet) if first else ""
    said = f'<direction-type><words font-weight="bold">{words}</words></direction-type>' if words else ""
    metronome = f"<metronome>{unit}<per-minute>{shown}</per-minute></metronome>"
    sound = f'<sound tempo="{tempo_bpm:.2f}">{_swing(sheet) if first else ""}</sound>'
    before = f'<direction placement="above">{said}<direction-type>{metronome}</direction-type>'
    return Float(tick, 1, before, f"<staff>1</staff>{sound}</direction>")


def _swing(sheet: Sheet) -> str:
    feel = sheet.feel
    if not swings(feel):
        return ""
    ratio = Fraction(feel.swing_ratio).limit_denominator(8)
    kind = "eighth" if feel.swing_unit_ticks == 480 else "16th"
    pair = f"<first>{ratio.numerator}</first><second>{ratio.denominator}</second>"
    return f"<swing>{pair}<swing-type>{kind}</swing-type></swing>"


def _words(words: Words) -> Float:
    text = escape(words.text)
    stops = words.kind in ("pedal", "octave") and words.text == "stop"
    kinds = {
        "section": (0, "above", f'<rehearsal enclosure="rectangle">{text}</rehearsal>'),
        "dynamic": (4, "below", f"<dynamics><{text}/></dynamics>"),
        "pedal": (5, "below", f'<pedal type="{text}" line="yes" sign="no"/>'),
        "octave": (6, "above" if text == "down" else "below", f'<octave-shift type="{text}" size="8"/>'),
        "italic": (7, "below", f'<words font-style="italic">{text}</words>'),
    }
    order, side, inside = kinds[words.kind]
    pressed = "no" if stops else "yes"
    sound = f'<sound damper-pedal="{pressed}"/>' if words.kind == "pedal" else ""
    before = f'<direction placement="{side}"><direction-type>{inside}</direction-type>'
    return Float(
        words.tick, -1 if stops else order, before, f"<staff>{words.staff}</staff>{sound}</direction>"
    )
