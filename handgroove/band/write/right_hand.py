"""The right hand: the tune on top, chords under it where it leaves room, and the hats' rhythm in its rests."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import replace

from handgroove.band.read.density import Chords, Density
from handgroove.band.write.lines import LineNote
from handgroove.band.write.sketch import Sketch
from handgroove.harmony.chord import Chord
from handgroove.part import Change, Omission
from handgroove.strike import Asked, Hand, Role, Strike

FLOOR = 53  # F3: chords under a tune stay above the left hand's thumb
_UNDER = 0.78  # chords under the tune are this much of their own loudness
_LONG_SEC = 0.4  # a tune's note that goes on this long leaves the inner fingers free
_SHORT_SEC = 0.19  # no chord is struck so soon before the tune's next note, or after the last chord under it
_LEAP_SEC = 0.45  # so near to the tune a chord is struck within the hand's reach of it
_LONG_SILENCE_SEC = 1.2  # chords that go with the tune's notes come alone where it is silent so long
_RUN_SEC = 0.17  # a tune faster than this gets one note under it at most
_ACCENT, _FAINT = 0.82, 0.4  # from these weights on a stroke is an accent, or worth inner fingers at all
_THIRDS, _SEVENTHS, _FIFTHS = (3, 4, 5, 2), (10, 11, 9), (7, 6, 8)


def tune_velocity(velocity: int) -> int:
    """Return the tune's velocity for a band note's (both 1 to 127): over the chords, in the singer's own order."""
    return min(120, round(36 + 0.6 * velocity))


def ask_tune(sketch: Sketch, figures: Iterable[Asked] = ()) -> list[Asked]:
    """Return the melody and the hooks as the right hand's strikes; the melody matters most.

    A note gives way to one of the *figures* that begins under it.
    """
    melody = set(sketch.melody.places)
    begun = sorted((item.meant, item.tick) for item in figures)
    asked = []
    for note in sketch.tune.notes:
        sings = note.place in melody
        strike = Strike(
            (note.pitch,),
            tune_velocity(note.source.velocity),
            Hand.RIGHT,
            Role.MELODY,
            _until(begun, note),
            weight=3.0 if sings else 0.8,
        )
        asked.append(Asked(note.tick, strike, place=note.place))
    return asked


def _until(figures: Sequence[tuple[int, int]], note: LineNote) -> int:
    """Return how long *note* lasts: to its end, or to the next of *figures* (places and ticks, in order)."""
    index = bisect_right(figures, note.place, key=lambda begun: begun[0])
    if index < len(figures):
        return max(1, min(note.length_ticks, figures[index][1] - note.tick))
    return note.length_ticks


def fit_figures(sketch: Sketch, asked: Iterable[Asked]) -> list[Asked]:
    """Return the figures' strikes; what lands with the tune goes under the tune's note."""
    fitted = []
    reach = sketch.player.size(Hand.RIGHT).comfortable
    for item in asked:
        note = sketch.tune.onset(item.meant)
        if note is None:
            fitted.append(item)
            continue
        pitches = tuple(p for p in item.strike.pitches if note.pitch - reach <= p < note.pitch - 2)
        if pitches:
            strike = replace(item.strike, pitches=pitches, fingers=(), role=Role.COMPING)
            fitted.append(replace(item, tick=note.tick, strike=strike))  # it is meant there already
    return fitted


def beneath(chord: Chord, top: int, count: int, reach: int) -> tuple[int, ...]:
    """Return up to *count* notes of *chord* under *top* that a hand reaching *reach* semitones holds with it.

    Third and seventh come first, then fifth, tensions and root; none nearer to the top than a minor third.
    """
    order: list[int] = []
    for wanted in (_THIRDS, _SEVENTHS, _FIFTHS):
        order += [step for step in wanted if step in chord.tones][:1]
    order += [step for step in (*chord.tones, *chord.tensions) if step not in order]
    found: list[int] = []
    for step in order:
        pc = (chord.root.pc + step) % 12
        pitch = top - 3 - (top - 3 - pc) % 12
        clear = all(abs(pitch - other) > 1 for other in found)
        if pc != top % 12 and pitch >= max(top - reach, FLOOR) and clear:
            found.append(pitch)
        if len(found) == count:
            break
    return tuple(sorted(found))


def fit_strikes(
    sketch: Sketch, asked: Iterable[Asked], names: Sequence[str]
) -> tuple[list[Asked], list[Omission]]:
    """Return the right hand's strikes of *asked* fitted to the tune, and a line for each that it leaves no room for.

    *names* are the groove's pieces by hit. What falls together with the tune goes under it; under its long notes the
    inner fingers play on; in its rests the chords come as asked; a moving tune has the hand to itself.
    """
    fitted: list[Asked] = []
    gone: list[Omission] = []
    last = -(10**6)
    for item in sorted(asked, key=lambda one: one.tick):
        new = _fit(sketch, item)
        if isinstance(new, Asked) and sketch.tune.onset(new.meant):
            sec = (new.tick - last) / sketch.per_sec(new.tick)
            if 0 < sec < _SHORT_SEC:
                new = "it comes too soon after the last chord"
        if isinstance(new, Asked):
            last = new.tick
            fitted.append(new)
        else:
            name = names[item.hits[0]] if item.hits else item.strike.role.value
            gone.append(Omission(item.meant, Change.THINNED, name, new, Hand.RIGHT, item.hits))
    return fitted, gone


def _fit(sketch: Sketch, item: Asked) -> Asked | str:
    """Return *item* with its notes placed under the tune, or why there is no room."""
    tick, strike = item.tick, item.strike
    tune = sketch.tune
    together = tune.onset(item.meant)
    following = tune.next_after(item.meant)
    room = (following.tick - tick) if following else 10**9
    room_sec = room / sketch.per_sec(tick)
    reason = _refuse(sketch, item, together, following, room_sec)
    if reason:
        return reason
    if together is not None:
        return _under(sketch, item, together, room_sec)
    held = sketch.held_at(item.meant, tick)
    if held is None:
        return _between(sketch, item, following, room_sec)
    shorter = replace(item, strike=replace(strike, hold_ticks=min(strike.hold_ticks, room)))
    return _under(sketch, shorter, held, room_sec, inner=True)


def _refuse(
    sketch: Sketch, item: Asked, together: LineNote | None, following: LineNote | None, room_sec: float
) -> str:
    """Return why *item* is not to be struck at all, or an empty string.

    *together* is the tune's note that it falls on, *following* the next one, *room_sec* later.
    """
    tick, strike = item.tick, item.strike
    held = sketch.held_at(item.meant, tick)
    if sketch.density is Density.SPARE and strike.role is Role.COMPING and strike.weight < _ACCENT:
        return "light strokes are left out in a spare version"
    if together is not None or held is not None:
        if sketch.chords is Chords.ANSWER:
            return "the chords answer the tune in its rests"
        return "" if together is not None else _refuse_inner(sketch, item, held)
    if room_sec < _SHORT_SEC:
        return "the tune's next note has the hand"
    per_sec = sketch.per_sec(tick)
    if sketch.chords is Chords.SUPPORT and _is_near(sketch, item, following, _LONG_SILENCE_SEC * per_sec):
        return "the chords go with the tune's own notes"
    return ""


def _refuse_inner(sketch: Sketch, item: Asked, held: LineNote | None) -> str:
    """Return why the inner fingers can't strike *item* while the outer ones hold the tune's note, if they can't."""
    strike = item.strike
    following = sketch.tune.next_after(item.meant)
    per_sec = sketch.per_sec(item.tick)
    if following is not None and following.tick - item.tick < _SHORT_SEC * per_sec:
        return "the tune's next note has the hand"
    least = _ACCENT if sketch.density is Density.USUAL else _FAINT
    left = held.end_tick - item.tick if held else 0
    if left < _LONG_SEC * per_sec or strike.weight < least or strike.role is Role.COLOUR:
        return "the tune has the hand"
    return ""


def _is_near(sketch: Sketch, item: Asked, following: LineNote | None, ticks: float) -> bool:
    """Return whether the tune sounds within *ticks* before or after *item*."""
    before = sketch.tune.last_before(item.meant)
    return (before is not None and item.tick - before.end_tick < ticks) or (
        following is not None and following.tick - item.tick < ticks
    )


def _between(sketch: Sketch, item: Asked, following: LineNote | None, room_sec: float) -> Asked | str:
    """Return *item* in a rest of the tune: as asked, but within the hand's reach of a tune's note close by."""
    strike, tick = item.strike, item.tick
    before = sketch.tune.last_before(item.meant)
    since_sec = (tick - before.tick) / sketch.per_sec(tick) if before else 9.0
    near = following if room_sec <= since_sec else before
    hold = strike.hold_ticks if following is None else min(strike.hold_ticks, following.tick - tick)
    pitches = strike.pitches
    reach = sketch.player.size(Hand.RIGHT).comfortable
    if near is not None and min(room_sec, since_sec) < _LEAP_SEC:
        far = pitches[0] < near.pitch - reach or pitches[-1] > near.pitch
        chord = sketch.chord_at(item.meant)
        if far and chord is not None:
            pitches = beneath(chord, near.pitch, min(3, len(pitches)), reach)
    if not pitches:
        return "the hand has no time to go there and back"
    return replace(item, strike=replace(strike, pitches=pitches, hold_ticks=hold, fingers=()))


def _under(
    sketch: Sketch, item: Asked, note: LineNote, room_sec: float, *, inner: bool = False
) -> Asked | str:
    """Return *item* as notes under the tune's *note*."""
    chord = sketch.chord_at(item.meant)
    if chord is None:
        return "no chord sounds here (N.C.)"
    strike = item.strike
    accent = strike.weight >= _ACCENT
    count = {Density.SPARE: 1, Density.USUAL: 2, Density.FULL: 3}[sketch.density] if accent else 1
    if not accent and sketch.density is not Density.FULL:
        return "light strokes give way to the tune"
    if room_sec < _RUN_SEC:
        count = 1
    if inner:
        count = min(count, 2)
    size = sketch.player.size(Hand.RIGHT)
    pitches = beneath(chord, note.pitch, count, size.comfortable)
    if not pitches:
        return "the tune lies too low for chords under it"
    new = replace(
        strike,
        pitches=pitches,
        fingers=(),
        role=Role.COMPING,
        velocity=max(1, round(_UNDER * strike.velocity)),
        hold_ticks=min(strike.hold_ticks, note.length_ticks) if not inner else strike.hold_ticks,
        until_next=True,
    )
    return replace(item, tick=item.tick if inner else note.tick, strike=new)
