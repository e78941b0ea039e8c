"""Chords recognised from whole files: the run of chords that explains what sounds best, with few and likely changes.

Dynamic programming over felt beats: a change of chord costs least on a bar's first beat, more in its middle and most
elsewhere. The score of each chord on each beat is `handgroove.harmony.find.chord_fit`'s.
"""

from __future__ import annotations

from collections.abc import Sequence

from handgroove.harmony.charts.chart_model import ChordSpan
from handgroove.harmony.find.chord_fit import Template, name_chord, no_chord_fit, templates
from handgroove.harmony.find.key_finding import KeySpan, find_keys
from handgroove.harmony.find.sounding import Slot, Sounding, beat_slots, fill_slots
from handgroove.harmony.symbols.chord_model import Chord, Key
from handgroove.timeline import Timeline

# Of a change of chord: on a bar's first beat, its middle, any other
_DOWNBEAT, _MIDDLE, _BEAT = 0.7, 1.1, 1.6
_BASS_WEIGHT = 0.35  # of a slot's length
_SILENCE_BONUS = 0.4  # for no chord, a quarter note of silence
_OUT_OF_KEY = 0.25  # for each tone of a chord outside the key


def recognise_chords(
    notes: Sequence[Sounding], timeline: Timeline, keys: Sequence[KeySpan] | None = None
) -> tuple[ChordSpan, ...]:
    """Return the chords that *notes* sound, in order and without gaps from tick 0 to the end.

    *keys* spell the chords and make those in the key likelier (found from the notes where not given).
    """
    if not notes:
        return ()
    end_tick = max([timeline.end_tick, *(note.end_tick for note in notes)])
    slots = beat_slots(timeline, end_tick)
    fill_slots(slots, notes)
    keys = find_keys(notes, timeline) if keys is None else keys
    return _spans(slots, _best_path(slots, timeline, keys), keys)


def _change_cost(timeline: Timeline, tick: int) -> float:
    """Return what a change of chord at *tick* costs."""
    bar = timeline.bar_at(tick)
    offset = tick - bar.start_tick
    if offset == 0:
        return _DOWNBEAT
    return _MIDDLE if 2 * offset == bar.length_ticks else _BEAT


def _key_costs(keys: Sequence[KeySpan]) -> dict[Key | None, list[float]]:
    """Return for each key what each template costs for its tones outside it (a leading tone in minor is inside)."""
    found: dict[Key | None, list[float]] = {None: [0.0] * len(templates())}
    for key in {span.key for span in keys}:
        steps = (0, 2, 3, 5, 7, 8, 9, 10, 11) if key.minor else (0, 2, 4, 5, 7, 9, 11)
        inside = {(key.tonic.pc + step) % 12 for step in steps}
        found[key] = [
            _OUT_OF_KEY * sum((one.root_pc + step) % 12 not in inside for step in one.tones)
            for one in templates()
        ]
    return found


def _key_at(keys: Sequence[KeySpan], tick: int) -> Key | None:
    """Return the key at *tick*, if any is known."""
    return next(
        (span.key for span in keys if span.start_tick <= tick < span.end_tick), keys[-1].key if keys else None
    )


def _best_path(slots: Sequence[Slot], timeline: Timeline, keys: Sequence[KeySpan]) -> list[int]:
    """Return for each slot the index of its template, or -1 for no chord."""
    chords = templates()
    fits_of = [one.fit for one in chords]
    count = len(chords)
    key_costs = _key_costs(keys)
    totals = [0.0] * (count + 1)  # the last is no chord
    back: list[list[bool]] = []
    best_before: list[int] = []
    for place, slot in enumerate(slots):
        outside = key_costs[_key_at(keys, slot.start_tick)]
        weights, total = slot.weights, sum(slot.weights)
        quarters = (slot.end_tick - slot.start_tick) / 960
        bass_pc = None if slot.bass is None else slot.bass % 12
        bass_weight = _BASS_WEIGHT * quarters
        best = max(range(count + 1), key=totals.__getitem__)
        enter = totals[best] - (_change_cost(timeline, slot.start_tick) if place else 0.0)
        fits = [fit(weights, total, bass_pc, bass_weight) for fit in fits_of]
        silence = _SILENCE_BONUS * quarters if total == 0 else no_chord_fit(total) - 2 * bass_weight
        entries = [enter + one.prior - cost for one, cost in zip(chords, outside, strict=True)]
        entries.append(enter - 1.0)
        changed = [entry > stay for entry, stay in zip(entries, totals, strict=True)]
        fits.append(silence)
        totals = [
            (entry if change else stay) + fit
            for entry, stay, change, fit in zip(entries, totals, changed, fits, strict=True)
        ]
        back.append(changed)
        best_before.append(best)
    state = max(range(count + 1), key=totals.__getitem__)
    path = []
    for changed, best in zip(reversed(back), reversed(best_before), strict=True):
        path.append(state)
        if changed[state]:
            state = best
    return [-1 if one == count else one for one in reversed(path)]


def _spans(slots: Sequence[Slot], path: Sequence[int], keys: Sequence[KeySpan]) -> tuple[ChordSpan, ...]:
    """Return the path as spans of spelled chords; an inversion changes the span too."""
    chords = templates()
    spans: list[ChordSpan] = []
    index = 0
    while index < len(slots):
        end = index + 1
        while end < len(slots) and path[end] == path[index]:
            end += 1
        chord = None
        if path[index] >= 0:
            chord = _name(chords[path[index]], slots[index:end], _key_at(keys, slots[index].start_tick))
        spans.append(ChordSpan(slots[index].start_tick, slots[end - 1].end_tick, chord))
        index = end
    return tuple(spans)


def _name(template: Template, slots: Sequence[Slot], key: Key | None) -> Chord:
    """Return the chord of *template* over *slots*, with its first bass note where that is a chord tone."""
    bass = next((slot.bass for slot in slots if slot.bass is not None), None)
    bass_pc = None if bass is None else bass % 12
    if bass_pc is not None and (bass_pc - template.root_pc) % 12 not in template.tones:
        bass_pc = None
    return name_chord(template, bass_pc, (), key)
