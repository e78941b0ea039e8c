"""The left hand: the bass line where the kick does not already play it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from handgroove.band.read.density import Density
from handgroove.band.read.tracks import has_near
from handgroove.band.write.bass_placing import THUMB_HIGHEST
from handgroove.band.write.lines import LineNote
from handgroove.band.write.sketch import LeftStyle, Sketch
from handgroove.strike import Asked, Hand, Role, Strike
from handgroove.translators.loudness import left_velocity

# How much a bass note matters beside others of the bass (1.0 = as any).
OCTAVE = 12
_STRONG, _CHANGE, _PICKUP, _OTHER = 1.6, 1.4, 0.9, 0.6
_CROWD_SEC = 0.15  # a bass note so close to a drum's stroke is left to the bass player
_TIME_VELOCITY = 52  # what keeps time under a figure is felt more than heard


def ask_bass(sketch: Sketch, kicks: Collection[int], struck: Sequence[Asked]) -> list[Asked]:
    """Return the bass's notes that no kick carries, as dense as the sketch says.

    *kicks* are the kicks' places, *struck* is all that the drums strike in the left hand. On strong beats and at
    changes of chord the bass always comes; between them come its pickups and runs, and all the rest where the style or
    the density asks for it.
    """
    asked = []
    notes = sketch.bass.notes
    places, ticks = {item.meant for item in struck}, sorted(item.tick for item in struck)
    change = -1
    for index, note in enumerate(notes):
        span = sketch.harmony.index_at(note.place)
        if note.place in kicks:
            change = span
            continue
        after = notes[index + 1] if index + 1 < len(notes) else None
        weight = _weigh(sketch, note, after, is_change=span != change)
        change = span
        slack = round(_CROWD_SEC * sketch.per_sec(note.tick))
        is_close = note.place not in places and has_near(ticks, note.tick, slack)
        if weight < _least(sketch, note.place) or (is_close and weight < _STRONG):
            continue
        pitches: tuple[int, ...] = (note.pitch,)
        if _stands_for_drums(sketch, note.place) and note.pitch + OCTAVE <= THUMB_HIGHEST:
            pitches = (note.pitch, note.pitch + OCTAVE)
        strike = Strike(
            pitches,
            left_velocity(note.source.velocity),
            Hand.LEFT,
            Role.BASS,
            note.length_ticks,
            until_next=True,
            weight=weight,
        )
        asked.append(Asked(note.tick, strike, place=note.place))
    return asked


def _stands_for_drums(sketch: Sketch, place: int) -> bool:
    """Return whether the bass alone marks a strong beat: then it is doubled at the octave."""
    alone = sketch.left_style(place) is LeftStyle.BASS and sketch.density is not Density.SPARE
    return alone and sketch.is_strong(place)


def lean_on_beats(sketch: Sketch, asked: Sequence[Asked]) -> list[Asked]:
    """Return *asked* with the kicks on strong beats worth more: of a roll of them these stay."""
    return [
        replace(item, strike=replace(item.strike, weight=item.strike.weight * _STRONG))
        if item.strike.role is Role.KICK and sketch.is_strong(item.meant)
        else item
        for item in asked
    ]


def land_on_bass(sketch: Sketch, asked: Sequence[Asked]) -> list[Asked]:
    """Return what figures have *asked* with the bass's own note where they land with it."""
    found = []
    for item in asked:
        note = sketch.bass.onset(item.meant) if item.strike.role is Role.BASS else None
        up = note.pitch - item.strike.pitches[0] if note else 0
        pitches = tuple(pitch + up for pitch in item.strike.pitches)
        found.append(replace(item, strike=replace(item.strike, pitches=pitches)) if up else item)
    return found


def ask_time(sketch: Sketch, struck: Collection[int]) -> list[Asked]:
    """Return soft low notes on the beats of fills where the left hand (*struck*: its places) is silent.

    The right hand plays the figure; the left keeps time under it.
    """
    knowledge, reading = sketch.form.knowledge, sketch.form.reading
    places = sorted(struck)
    asked = []
    for fill in knowledge.fills if knowledge else ():
        tick = fill.start_tick
        step = sketch.timeline.metre_at(tick).beat_ticks
        bar = sketch.timeline.bar_at(tick)
        tick = bar.start_tick + -(-(tick - bar.start_tick) // step) * step
        for beat in range(tick, fill.landing_tick, step):
            if has_near(places, beat, step // 3):
                continue
            strike = Strike(
                (sketch.low_at(beat),),
                _TIME_VELOCITY,
                Hand.LEFT,
                Role.BASS,
                step,
                until_next=True,
                weight=_PICKUP,
            )
            asked.append(Asked(reading.played_at(beat), strike, place=beat))
    return asked


def _weigh(sketch: Sketch, note: LineNote, after: LineNote | None, *, is_change: bool) -> float:
    """Return how much *note* matters: strong beats, then changes of chord, then what leads to *after*."""
    if sketch.is_strong(note.place):
        return _STRONG
    if is_change:
        return _CHANGE
    beat = sketch.timeline.metre_at(note.place).beat_ticks
    leads = after is not None and after.place - note.place <= beat and after.pitch != note.pitch
    return _PICKUP if leads else _OTHER


def _least(sketch: Sketch, place: int) -> float:
    """Return the least weight that is brought to the piano."""
    if sketch.density is Density.FULL or sketch.left_style(place) is not LeftStyle.DRUMS:
        return 0.0 if sketch.density is not Density.SPARE else _PICKUP
    return _PICKUP if sketch.density is Density.USUAL else _CHANGE
