"""What the chord players give the right hand: their accents, their own rhythm, and the chords' missing tones."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from handgroove.band.read.density import Chords, Density
from handgroove.band.read.roles import BandRole
from handgroove.band.read.tracks import meant_together
from handgroove.band.write.lines import Wanted
from handgroove.band.write.right_hand import beneath
from handgroove.band.write.sketch import Sketch
from handgroove.groove.kit import Family
from handgroove.strike import Asked, Hand, Role, Strike

_LEAN = 1.2  # the weight of a hat's chord where a chord player strikes too
_CLOSEST_SEC = 0.14  # strokes closer than this are one strum
_HALF_NOTE = 1920
_FULLEST = 4  # notes of one chord in the right hand, the tune's among them


@dataclass(frozen=True, slots=True)
class ChordStroke:
    """Chord players strike together: where it is meant, when, how many *players* and *notes*, how loud, how long."""

    place: int
    tick: int
    players: int
    notes: int
    velocity: int
    length_ticks: int


def find_strokes(sketch: Sketch, wanted: Wanted, preferred: Wanted) -> list[ChordStroke]:
    """Return the strokes of the chord players (of the pads where there is no other), in order.

    Only *wanted* tracks count, and where *preferred* ones play, only they.
    """
    casts = [c for c in sketch.form.casts if c.role is BandRole.CHORDS]
    casts = casts or [c for c in sketch.form.casts if c.role is BandRole.PAD]
    owner = {id(note): c.track.name for c in casts for note in c.track.notes}
    notes = [n for c in casts for n in c.track.notes if wanted(c.track.name, n.meant)]
    first = {n.meant // _HALF_NOTE for n in notes if preferred(owner[id(n)], n.meant)}
    notes = [n for n in notes if n.meant // _HALF_NOTE not in first or preferred(owner[id(n)], n.meant)]
    return [
        ChordStroke(
            group[0].meant,
            group[0].tick,
            len({owner[id(note)] for note in group}),
            len({note.pitch for note in group}),
            max(note.velocity for note in group),
            max(note.length_ticks for note in group),
        )
        for group in meant_together(notes)
    ]


def lean_on(sketch: Sketch, asked: Sequence[Asked], strokes: Sequence[ChordStroke]) -> list[Asked]:
    """Return *asked* with the whole chord where the chord players strike too: their accents are the comping's."""
    places = {stroke.place for stroke in strokes if stroke.notes > 1}
    leaned = []
    for item in asked:
        strike = item.strike
        comps = strike.hand is Hand.RIGHT and strike.role is Role.COMPING and strike.weight < _LEAN
        if comps and item.meant in places:
            voicing = sketch.voicing_at(item.meant) or strike.pitches
            strike = replace(strike, pitches=voicing, weight=_LEAN, fingers=())
        leaned.append(replace(item, strike=strike))
    return leaned


def ask_strokes(sketch: Sketch, strokes: Sequence[ChordStroke], struck: Collection[int]) -> list[Asked]:
    """Return the chord players' own rhythm as the right hand's strikes.

    In bars where no hat or ride keeps time all of it; elsewhere what stands out: louder than their mean, or all of
    them together, and not *struck* already (places).
    """
    timeline, reading = sketch.timeline, sketch.form.reading
    keeping = {
        timeline.bar_at(place).number
        for hit, place in zip(reading.groove.hits, reading.places, strict=True)
        if hit.piece.family in (Family.HAT, Family.RIDE)
    }
    players = max((stroke.players for stroke in strokes), default=1)
    mean = sum(stroke.velocity for stroke in strokes) / max(1, len(strokes))
    asked: list[Asked] = []
    last_sec = -1.0
    for stroke in strokes:
        kept_time = timeline.bar_at(stroke.place).number in keeping
        outstanding = stroke.velocity > mean + 3 or (players > 1 and stroke.players == players)
        if kept_time and (stroke.place in struck or not outstanding or sketch.density is Density.SPARE):
            continue
        sec = timeline.tick_to_sec(stroke.tick)
        voicing = sketch.voicing_at(stroke.place)
        if (
            stroke.notes < 2
            or sec - last_sec < _CLOSEST_SEC
            or not voicing
            or sketch.chord_at(stroke.place) is None
        ):
            continue
        last_sec = sec
        strike = Strike(
            voicing,
            max(1, round(20 + 0.5 * stroke.velocity)),
            Hand.RIGHT,
            Role.COMPING,
            max(120, stroke.length_ticks),
            until_next=True,
            weight=_LEAN if sketch.is_strong(stroke.place) else 1.0,
        )
        asked.append(Asked(stroke.tick, strike, place=stroke.place))
    return asked


def complete_chords(sketch: Sketch, asked: Sequence[Asked]) -> list[Asked]:
    """Return *asked* with each chord's missing tones added to its first right-hand chord, or as one where it has none.

    A spare version is left as it is.
    """
    if sketch.density is Density.SPARE:
        return list(asked)
    completed = sorted(asked, key=lambda item: (item.meant, item.tick))
    spans = sketch.harmony.spans
    first = completed[0].meant if completed else 0  # no chord is struck before the band begins
    inside: list[list[int]] = [[] for _ in spans]
    for place, item in enumerate(completed):
        inside[sketch.harmony.index_at(item.meant)].append(place)
    for index, span in enumerate(spans):
        if span.chord is None or span.end_tick <= first:
            continue
        heard = {pitch % 12 for place in inside[index] for pitch in completed[place].strike.pitches}
        missing = [pc for pc in span.chord.tone_pcs if pc not in heard]
        if not missing:
            continue
        host = next((p for p in inside[index] if _can_take(completed[p])), None)
        if sketch.chords is Chords.ANSWER:
            continue
        if host is not None:
            completed[host] = _fuller(sketch, completed[host], missing)
        elif not _stopped(sketch, span.start_tick) and not _is_busy(sketch, completed, inside[index]):
            completed += _chord_of(sketch, max(first, span.start_tick), span.end_tick)
    return sorted(completed, key=lambda item: item.tick)


def _can_take(item: Asked) -> bool:
    strike = item.strike
    return strike.hand is Hand.RIGHT and strike.role is Role.COMPING and len(strike.pitches) > 1


def _is_busy(sketch: Sketch, asked: Sequence[Asked], places: Sequence[int]) -> bool:
    """Return whether the right hand plays a figure or hook in the stretch whose strikes stand at *places*."""
    tune = sketch.tune
    return any(
        asked[place].strike.role is Role.MELODY
        and asked[place].strike.hand is Hand.RIGHT
        and tune.onset(asked[place].meant) is None
        for place in places
    )


def _fuller(sketch: Sketch, item: Asked, missing: Sequence[int]) -> Asked:
    """Return *item* with the *missing* pitch classes that fit inside its hand, under the tune's note there."""
    strike = item.strike
    note = sketch.tune.at(item.meant)
    top = note.pitch - 2 if note else strike.pitches[-1]
    reach = sketch.player.size(Hand.RIGHT).comfortable
    pitches = list(strike.pitches)
    room = _FULLEST - (1 if note else 0) - len(pitches)
    low = max(53, (note.pitch if note else pitches[-1]) - reach)
    for pc in missing[: max(0, room)]:
        places = [p for p in range(low, top + 1) if p % 12 == pc and all(abs(p - q) > 1 for q in pitches)]
        if places:
            pitches.append(max(places))
    return replace(item, strike=replace(strike, pitches=tuple(sorted(pitches)), fingers=()))


def _chord_of(sketch: Sketch, start_tick: int, end_tick: int) -> list[Asked]:
    """Return a chord for a stretch that has none: with the tune's first note in it, or alone where the tune rests."""
    chord = sketch.chord_at(start_tick)
    sung = sketch.tune.between(start_tick, end_tick)
    held = sketch.tune.at(start_tick)
    size = sketch.player.size(Hand.RIGHT)
    if chord is None:
        return []
    place, tick = start_tick, sketch.form.reading.played_at(start_tick)
    wait = sung[0].place - start_tick if sung else end_tick - start_tick
    if sung and (wait < 480 if held is not None else wait < 960):
        place, tick = sung[0].place, sung[0].tick
        pitches, hold = beneath(chord, sung[0].pitch, 3, size.comfortable), sung[0].length_ticks
    elif held is not None:
        pitches, hold = beneath(chord, held.pitch, 2, size.comfortable), 480
    else:
        pitches, hold = sketch.voicing_at(start_tick), wait
    if not pitches:
        return []
    strike = Strike(pitches, 58, Hand.RIGHT, Role.COMPING, max(120, hold), until_next=True)
    return [Asked(tick, strike, place=place)]


def _stopped(sketch: Sketch, place: int) -> bool:
    return any(stop.place < place < stop.end_place for stop in sketch.form.stops)
