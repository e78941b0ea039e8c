"""Measures of the harmony's speed, on made music: how long planning, recognising and answering live take.

The clock is handed in (``time.perf_counter`` in the bench): a callable that returns seconds.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from handgroove.harmony.chart import lay_chart, parse_chart
from handgroove.harmony.find.live_chords import LiveChords
from handgroove.harmony.find.recognise import recognise_chords
from handgroove.harmony.symbols.chord_text import parse_chord
from handgroove.harmony.voice import voicings
from handgroove.harmony.voice.idioms import recipes
from handgroove.harmony.voice.low_notes import plan_low
from handgroove.harmony.voice.voicing_settings import HarmonySettings, Idiom
from handgroove.timeline import Metre, Timeline
from tests.harmony.tones import Tone

Clock = Callable[[], float]
_CHANGES = "Dm7 G7 | Cmaj7 A7b9 | Fmaj7 Bm7b5 | E7alt Am9 | D7 G13 | Ebmaj7 Ab7 | Dbmaj7 Gb7 | C6/9 F7"


@dataclass(frozen=True, slots=True)
class LiveDelay:
    """How long live answers took, in seconds: the median, the 99th percentile and the longest."""

    median_sec: float
    p99_sec: float
    longest_sec: float


def measure_voicing(clock: Clock, bars: int = 64) -> float:
    """Return the seconds that voicing a chart of *bars* bars takes, two chords a bar and nothing remembered."""
    chart = parse_chart(f"|: {_CHANGES} :| x{max(2, bars // 8)}")
    harmony = lay_chart(chart, Timeline.of(Metre(4, 4), 120, bars))
    settings = HarmonySettings(idiom=Idiom.ROOTLESS, colour=True)
    for remembered in (voicings.move_cost, voicings.movement, voicings._placed, recipes):
        remembered.cache_clear()
    start_sec = clock()
    voicings.plan_voicings(harmony, settings)
    plan_low(harmony, settings)
    return clock() - start_sec


def made_band(minutes: float = 4.0, tempo_bpm: float = 120.0) -> tuple[list[Tone], Timeline]:
    """Return a made band's pitched notes, of *minutes* minutes: bass eighths, chords in eighths, and a tune."""
    bars = round(minutes * tempo_bpm / 4)
    timeline = Timeline.of(Metre(4, 4), tempo_bpm, bars)
    symbols = [symbol for bar in _CHANGES.split("|") for symbol in bar.split()]
    chords = [parse_chord(symbol) for symbol in symbols]
    notes = []
    for half in range(2 * bars):
        chord = chords[half % len(chords)]
        for eighth in range(4):
            tick = 1920 * half + 480 * eighth
            notes.append(Tone(tick, tick + 400, 36 + chord.root.pc))
            notes += [Tone(tick, tick + 240, 60 + pc) for pc in chord.tone_pcs]
            tune = (chord.root.pc + chord.scale[(half + eighth) % len(chord.scale)]) % 12
            notes.append(Tone(tick, tick + 460, 72 + tune))
    return notes, timeline


def measure_recognition(clock: Clock, minutes: float = 4.0) -> float:
    """Return the seconds that finding keys and chords in a made band's file of *minutes* minutes takes."""
    notes, timeline = made_band(minutes)
    start_sec = clock()
    recognise_chords(notes, timeline)
    return clock() - start_sec


def measure_live(clock: Clock, chords: int = 500) -> LiveDelay:
    """Return how long live recognition takes to answer after each of *chords* chords of three to five notes."""
    live = LiveChords()
    live.press(60, 0.0)
    delays = []
    for index in range(chords):
        symbol = _CHANGES.replace("|", " ").split()[index % 16]
        chord = parse_chord(symbol)
        pitches = [48 + chord.root.pc, *(60 + (pc + index) % 12 for pc in chord.tone_pcs)]
        now_sec = float(index)
        for pitch in pitches:
            live.press(pitch, now_sec)
        start_sec = clock()
        live.chord(now_sec + 0.01)
        delays.append(clock() - start_sec)
        for pitch in pitches:
            live.release(pitch, now_sec + 0.5)
    delays.sort()
    return LiveDelay(delays[len(delays) // 2], delays[int(len(delays) * 0.99)], delays[-1])
