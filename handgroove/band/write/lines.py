"""The lines that a condensing is built around: the tune, the bass, and what other instruments sing where it rests.

Lines are moved by whole octaves to where a hand can play them, the same way in every round of a section. Pitches are
MIDI note numbers (middle C = 60 = C4).
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from handgroove.band.read.features import near_ticks
from handgroove.band.read.roles import BandRole, Cast
from handgroove.band.read.song_form import Form
from handgroove.band.read.tracks import BandNote, skyline
from handgroove.timeline import Timeline

MELODY_LOW, MELODY_HIGH = 60, 86  # C4 to D6: room for the left hand below, not shrill above
BASS_LOW, BASS_HIGH = 26, 45  # D1 to A2: the left hand's octave above it still clears the right hand
_CENTRES = {True: 72, False: 35}  # where tune (True) and bass like to lie


@dataclass(frozen=True, slots=True)
class LineNote:
    """A note of a line as it will be asked for: the *source* note, the *pitch* it is moved to, and its *track*.

    It sounds for *length_ticks* at most, and is meant to end at the written tick *end_place*.
    """

    source: BandNote
    pitch: int
    length_ticks: int
    end_place: int
    track: str

    @property
    def place(self) -> int:
        """Return the written tick at which it is meant."""
        return self.source.meant

    @property
    def tick(self) -> int:
        """Return when it starts."""
        return self.source.tick

    @property
    def end_tick(self) -> int:
        """Return when it ends."""
        return self.source.tick + self.length_ticks

    def until(self, following: LineNote) -> LineNote:
        """Return it ended where *following* begins, at the latest."""
        length = min(self.length_ticks, max(1, following.tick - self.tick))
        return replace(self, length_ticks=length, end_place=min(self.end_place, following.place))


class BandLine:
    """Notes one after another, in order of time, that can be asked what is meant where (in written ticks)."""

    def __init__(self, notes: Iterable[LineNote]) -> None:
        self.notes = tuple(sorted(notes, key=lambda note: (note.place, note.tick)))
        self.places = [note.place for note in self.notes]

    def at(self, place: int) -> LineNote | None:
        """Return the note that starts at *place* or still sounds there."""
        index = bisect_right(self.places, place) - 1
        if index < 0:
            return None
        note = self.notes[index]
        return note if note.end_place > place or note.place == place else None

    def onset(self, place: int) -> LineNote | None:
        """Return the note that starts at *place*; where little notes lead to it, the one that they lead to."""
        note = self.at(place)
        return note if note is not None and note.place == place else None

    def between(self, start: int, end: int) -> tuple[LineNote, ...]:
        """Return the notes that are meant from *start* on and before *end*."""
        return self.notes[bisect_left(self.places, start) : bisect_left(self.places, end)]

    def next_after(self, place: int) -> LineNote | None:
        """Return the first note that starts after *place*."""
        index = bisect_right(self.places, place)
        return self.notes[index] if index < len(self.notes) else None

    def last_before(self, place: int) -> LineNote | None:
        """Return the last note that starts before *place*."""
        index = bisect_left(self.places, place)
        return self.notes[index - 1] if index else None

    def gaps(self, end: int) -> list[tuple[int, int]]:
        """Return from where to where nothing sounds, up to *end*."""
        starts = [0, *(note.end_place for note in self.notes)]
        return [(a, b) for a, b in zip(starts, [*self.places, end], strict=True) if b > a]


def melody_line(form: Form, wanted: Wanted) -> BandLine:
    """Return the tune: the top line of the melody's tracks, moved by octaves, section by section, where it must be."""
    near = near_ticks(form.band)
    found = [
        (note, cast.track.name)
        for cast in form.casts
        if cast.role is BandRole.MELODY
        for note in skyline(cast.track.notes, near)
        if wanted(cast.track.name, note.meant)
    ]
    found.sort(key=lambda item: (item[0].meant, -item[0].pitch))
    return _place(_one_at_once(found), form, high=True)  # of two tunes at once the higher leads


def _one_at_once(found: Sequence[tuple[BandNote, str]]) -> list[tuple[BandNote, str]]:
    """Return *found* (in order) with only the first track's of what several tracks mean at one place, in order."""
    leads: dict[int, str] = {}
    kept = [item for item in found if leads.setdefault(item[0].meant, item[1]) == item[1]]
    return sorted(kept, key=lambda item: (item[0].meant, item[0].tick))


Wanted = Callable[[str, int], bool]  # may the track of this name be used at this written tick?


def bass_line(form: Form, wanted: Wanted) -> BandLine:
    """Return the bass's notes in the left hand's low octaves; without a bass, the lowest line below C3 of all."""
    tracks = [cast.track for cast in form.casts if cast.role is BandRole.BASS]
    if not tracks:
        tracks = [c.track for c in form.casts if c.role in (BandRole.CHORDS, BandRole.PAD, BandRole.MELODY)]
    near = near_ticks(form.band)
    low: list[tuple[BandNote, str]] = []
    for track in tracks:
        mirrored = [replace(note, pitch=127 - note.pitch) for note in track.notes]
        bottom = skyline(mirrored, near)
        low += [(replace(note, pitch=127 - note.pitch), track.name) for note in bottom]
    has_bass = any(cast.role is BandRole.BASS for cast in form.casts)
    low = [item for item in low if (has_bass or item[0].pitch < 48) and wanted(item[1], item[0].meant)]
    low.sort(key=lambda item: (item[0].meant, item[0].pitch))
    return _place(_one_at_once(low), form, high=False)


def _place(found: Sequence[tuple[BandNote, str]], form: Form, *, high: bool) -> BandLine:
    """Return a line one note at a time, each letter's sections moved by the octaves that suit its notes best."""
    by_letter: dict[str, list[int]] = {}
    letters = []
    for note, _ in found:
        letter = form.section_at(note.meant).letter
        letters.append(letter)
        by_letter.setdefault(letter, []).append(note.pitch)
    shifts = {letter: _octaves(pitches, high=high) for letter, pitches in by_letter.items()}
    notes: list[LineNote] = []
    for (note, track), letter in zip(found, letters, strict=True):
        pitch = _fold(note.pitch + shifts[letter], high=high)
        new = LineNote(note, pitch, note.length_ticks, note.meant_end, track)
        if notes:
            notes[-1] = notes[-1].until(new)
        notes.append(new)
    return BandLine(notes)


def _octaves(pitches: Sequence[int], *, high: bool) -> int:
    """Return by how many semitones (whole octaves) to move *pitches*: as little as leaves few of them out of range."""
    lowest, highest = (MELODY_LOW, MELODY_HIGH) if high else (BASS_LOW, BASS_HIGH)
    centre = _CENTRES[high]

    def cost(shift: int) -> float:
        out = sum(max(0, lowest - p - shift, p + shift - highest) for p in pitches)
        middle = sum(pitches) / len(pitches) + shift
        return 3.0 * out / len(pitches) + 0.25 * abs(middle - centre) + 0.35 * abs(shift)

    return min((12 * n for n in range(-4, 5)), key=lambda shift: (cost(shift), abs(shift)))


def _fold(pitch: int, *, high: bool) -> int:
    """Return *pitch*, moved by octaves only where it lies far out of what the hand can do."""
    lowest, highest = (MELODY_LOW - 4, MELODY_HIGH + 10) if high else (BASS_LOW - 2, BASS_HIGH)
    while pitch < lowest:
        pitch += 12
    while pitch > highest:
        pitch -= 12
    return pitch


_HOOK_WORTH = {
    BandRole.MELODY: 1.5,
    BandRole.COUNTER: 1.2,
    BandRole.CHORDS: 0.8,
    BandRole.PAD: 0.5,
}
_PREFERRED = 3.0
_LEAST_WORTH = 0.35


def hook_line(
    form: Form,
    melody: BandLine,
    wanted: Wanted,
    preferred: Wanted,
    closed: Sequence[tuple[int, int]] = (),
) -> BandLine:
    """Return what other instruments sing where the *melody* rests for a beat and more: one line, the best in each bar.

    What moves, is one note at a time and loud is worth most; *preferred* tracks count threefold. Nothing is taken from
    *closed* stretches (their starts and ends in written ticks).
    """
    timeline = form.band.timeline
    near = near_ticks(form.band)
    found: list[tuple[BandNote, str]] = []
    last_track = ""
    sources = [(cast, skyline(cast.track.notes, near)) for cast in form.casts if cast.role in _HOOK_WORTH]
    lines = [(cast, line, [note.meant for note in line]) for cast, line in sources]
    for start, end in melody.gaps(timeline.end_tick):
        if end - start < round(0.9 * timeline.metre_at(start).beat_ticks):
            continue
        for left, right in _by_bar(timeline, start, end):
            if any(left < b and a < right for a, b in closed):
                continue
            best: tuple[BandNote, ...] = ()
            worth = _LEAST_WORTH
            name = ""
            for cast, line, places in lines:
                inside = line[bisect_left(places, left) : bisect_left(places, right)]
                inside = [note for note in inside if wanted(cast.track.name, note.meant)]
                own = _hook_worth(cast, inside, left, right) * (1.2 if cast.track.name == last_track else 1)
                if inside and preferred(cast.track.name, inside[0].meant):
                    own *= _PREFERRED
                if own > worth:
                    best, worth, name = tuple(inside), own, cast.track.name
            last_track = name
            found += [(_cut(note, right), name) for note in best]
    found.sort(key=lambda item: (item[0].meant, item[0].tick))
    return _place(found, form, high=True)


def _by_bar(timeline: Timeline, start: int, end: int) -> list[tuple[int, int]]:
    """Return the stretch from *start* to *end* cut at bar lines."""
    cuts = [start]
    tick = timeline.bar_at(start).end_tick
    while tick < end:
        if tick - cuts[-1] >= 480 and end - tick >= 480:
            cuts.append(tick)
        tick = timeline.bar_at(tick).end_tick
    return list(pairwise([*cuts, end]))


def _hook_worth(cast: Cast, line: Sequence[BandNote], start: int, end: int) -> float:
    """Return how much of a hook *line* (the track's top notes between *start* and *end*) is."""
    if len(line) < 2 or (len(line) < 3 and end - start > 1920):
        return 0.0
    all_notes = cast.track.between(start, end)
    thick = len(all_notes) / len(line)
    moves = sum(a.pitch != b.pitch for a, b in pairwise(line)) / (len(line) - 1)
    if thick > 1.7 or not moves:
        return 0.0
    loud = sum(note.velocity for note in line) / len(line) / 90
    return _HOOK_WORTH[cast.role] * min(1.0, len(line) / 4) * (0.3 + 0.7 * moves) * loud * (1.5 - 0.5 * thick)


def _cut(note: BandNote, end: int) -> BandNote:
    over = note.meant_end - end
    if over <= 0:
        return note
    return replace(note, length_ticks=max(1, note.length_ticks - over), end_place=end)
