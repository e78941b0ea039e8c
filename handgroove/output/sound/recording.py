"""A recording of the part: stereo, 44,100 frames a second, 16 bits, with the drums and a count-in if wanted.

It lasts from the count-in, or the span's first tick, to the music's end and two seconds more for the strings to ring.
"""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path

import numpy as np

from handgroove.output.sound.drums import DRUM_GAIN, SOFT_GAIN, make_click, mix_drums
from handgroove.output.sound.instrument import Instrument, read_instrument
from handgroove.output.sound.mix import add_sound, format_wav, limit, mix_piano
from handgroove.output.sound.performance import beats, find_soundings, frame_of, last_tick_of
from handgroove.output.sound.soundfont import Frames
from handgroove.output.sound.source import RATE
from handgroove.part import Part

TAIL_SEC = 2.0
_FADE_SEC = 0.5
_CENTRE = (0.7, 0.7)


class Drums(StrEnum):
    """Whether the drums that the part came from are heard: not, softly beside the piano, or alone."""

    OFF = "off"
    SOFT = "soft"
    ONLY = "only"


def format_sound(
    part: Part,
    *,
    soundfont: Path | None = None,
    drums: Drums | str = Drums.OFF,
    click: bool = False,
    count_in_bars: int = 0,
    span: tuple[int, int] | None = None,
) -> bytes:
    """Return the part's recording as a WAV file; see ``record`` for what can be heard."""
    instrument = None if drums == Drums.ONLY else read_instrument(soundfont)
    mix = record(part, instrument, drums=drums, click=click, count_in_bars=count_in_bars, span=span)
    return format_wav(mix)


def record(
    part: Part,
    instrument: Instrument | None,
    *,
    drums: Drums | str = Drums.OFF,
    click: bool = False,
    count_in_bars: int = 0,
    span: tuple[int, int] | None = None,
) -> Frames:
    """Return the part's recording as left and right frames, -1 to 1.

    *instrument* is the piano, or None for none; drums alone need none. *click* sounds on every beat;
    *count_in_bars* bars are clicked before the music. *span* (first tick, end tick) records only what starts there.
    """
    timeline = part.timeline
    first, last = span or (timeline.lead_ticks if count_in_bars else 0, last_tick_of(part))
    bar = timeline.bar_at(max(first, timeline.first_tick))
    per_tick = (timeline.tick_to_sec(bar.end_tick) - timeline.tick_to_sec(bar.start_tick)) / bar.length_ticks
    # A pickup is part of the count: it fills the end of the last bar counted.
    count_ticks = max(0, count_in_bars * bar.metre.bar_ticks - max(0, timeline.first_tick - first))
    lead = round(count_ticks * per_tick * RATE)
    begin = frame_of(timeline, first)
    frames = lead + frame_of(timeline, last) - begin + round(TAIL_SEC * RATE)
    mix = np.zeros((2, frames), dtype=np.float32)
    music = mix[:, lead:]
    if instrument is not None and drums != Drums.ONLY:
        mix_piano(instrument, find_soundings(part, first, last), music)
    if drums != Drums.OFF:
        hits = [hit for hit in part.groove.hits if first <= hit.tick < last]
        mix_drums(hits, timeline, music, DRUM_GAIN if drums == Drums.ONLY else SOFT_GAIN, begin)
    clicks = (
        [(lead + frame_of(timeline, t) - begin, s) for t, s in beats(timeline, first, last)] if click else []
    )
    step = bar.metre.beat_ticks
    clicks += [
        (round(tick * per_tick * RATE), tick % bar.metre.bar_ticks == 0)
        for tick in range(0, count_ticks, step)
    ]
    for frame, strong in clicks:
        add_sound(mix, frame, make_click(strong), _CENTRE)
    fade = round(_FADE_SEC * RATE)
    mix[:, -fade:] *= np.linspace(1, 0, fade, dtype=np.float32)
    limit(mix)
    return mix
