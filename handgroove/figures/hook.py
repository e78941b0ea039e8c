"""Bars of drums alone become a hook: an idea from the groove's accents, said, answered, said again and led on.

The left hand keeps the groove. Forms are written as bars: a the idea, a' its answer, b the last bar, which opens and
leads into the song (common practice, no source). Plainer answers stand beside the hooks.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp

from handgroove.figures.candidate import Candidate
from handgroove.figures.context import Surroundings
from handgroove.figures.figure_costs import Term
from handgroove.figures.figure_settings import DEFAULT_SETTINGS, FigureSettings
from handgroove.figures.hook_line import HookLine, find_answer, find_centre, find_ideas, find_lead_in
from handgroove.figures.hook_rhythm import Rhythm, find_rhythms
from handgroove.figures.pitches import pitch_name
from handgroove.groove.kit import Family
from handgroove.groove.know.knowledge import Knowledge
from handgroove.groove.meant.reading import Reading
from handgroove.harmony.chord import Chord
from handgroove.strike import Asked, Hand, Role, Strike
from handgroove.timeline import Bar
from handgroove.translators.loudness import right_velocity

KEEPS_TIME = frozenset({Family.HAT, Family.RIDE, Family.HAND})
HOOK_VELOCITY, SOFTER = 96, 84
VAMP_COST, OCTAVES_COST = 0.7, 0.9  # plainer than a hook, better than none


@dataclass(frozen=True, slots=True)
class Bars:
    """A stretch of bars by index among the knowledge's bars: *first* to *last*, both included."""

    first: int
    last: int

    @property
    def count(self) -> int:
        """Return how many bars it is."""
        return self.last - self.first + 1


def find_form(bars: int) -> tuple[str, ...]:
    """Return a form of *bars* bars: ideas and answers by turns, the last bar leading on."""
    if bars == 1:
        return ("b",)
    return tuple("b" if bar == bars - 1 else "a'" if bar % 2 else "a" for bar in range(bars))


@dataclass(frozen=True)
class HookPlace:
    """Where a hook is to be made: the *song*, what is *known* of its groove, which *bars*, and what it leads to."""

    song: Surroundings
    known: Knowledge
    bars: Bars
    settings: FigureSettings
    landing: int | None

    @property
    def centre(self) -> int:
        """Return the pitch that the hook sings around."""
        return find_centre(self.landing, self.settings)

    @property
    def model(self) -> int:
        """Return the index of the bar whose strokes the hook is made of: the backbone's, if it lies in the stretch."""
        loop, letters = self.known.backbone.loop, self.known.backbone.letters
        inside = [index for index in range(self.bars.first, self.bars.last + 1) if letters[index]]
        if loop and loop[0] in inside:
            return loop[0]
        return inside[0] if inside else self.bars.first


def hook_candidates(
    song: Surroundings, known: Knowledge, bars: Bars, settings: FigureSettings = DEFAULT_SETTINGS
) -> list[Candidate]:
    """Find hooks and plainer answers for *bars* where the drums play alone, best first."""
    end = known.bars[bars.last].bar.end_tick
    place = HookPlace(song, known, bars, settings, song.tune_at(end) or _landing_tone(song, end, settings))
    model = place.model
    part, cells = known.bars[model], known.cells[model]
    rhythms = find_rhythms(cells, round(part.bar.length_ticks / part.bar.metre.beat_ticks))
    start = known.bars[bars.first].bar.start_tick
    hooks: list[Candidate] = []
    for number, rhythm in enumerate(rhythms):
        ticks = [_slot_tick(known, model, slot, part.bar.length_ticks / cells.slots) for slot in rhythm.slots]
        chords = [song.chord_at(start + tick) for tick in ticks]
        for idea in find_ideas(chords, song, settings, place.centre, 3 if number == 0 else 1):
            hooks.append(_hook(place, rhythm, ticks, idea, 0.3 * number))
    hooks.sort(key=lambda hook: (-hook.score, hook.pitches))
    plainer = [_vamp(song, known, bars, rhythms[0], model), _octaves(song, known, bars)]
    count = settings.candidates
    return [*hooks[: max(1, count - len(plainer))], *plainer][:count]


def _slot_tick(known: Knowledge, model: int, slot: int, slot_ticks: float) -> int:
    """Return where in the bar the stroke of *slot* is written: the drummer's own place, if the model bar has one."""
    part, aim = known.bars[model], round(slot * slot_ticks)
    struck = zip(part.hits, part.places, strict=True)
    offsets = [place - part.bar.start_tick for hit, place in struck if hit.piece.family not in KEEPS_TIME]
    near = min(offsets, key=lambda offset: abs(offset - aim), default=aim)
    return near if abs(near - aim) < slot_ticks / 2 else aim


def _landing_tone(song: Surroundings, tick: int, settings: FigureSettings) -> int | None:
    """Return the note that the song is met on: the top of its first chord as it will be played, or a tone of it."""
    top = _voicing(song, tick)[-1:]
    if song.voicings and top and settings.lowest <= top[0] <= settings.highest:
        return top[0]
    chord = song.chord_at(tick)
    aim = settings.lowest + 16
    tones = [p for p in range(settings.lowest, settings.highest + 1) if p % 12 in chord.tone_pcs]
    return min(tones, key=lambda p: (abs(p - aim), p), default=None)


def _name(place: HookPlace, landing: int) -> str:
    """Return the name of the note that the hook leads to, in the chord that it is met in."""
    chord = place.song.chord_at(place.known.bars[place.bars.last].bar.end_tick)
    return pitch_name(landing, place.song.harmony.key, chord)


def _hook(
    place: HookPlace, rhythm: Rhythm, ticks: Sequence[int], idea: HookLine, handicap: float
) -> Candidate:
    """Say *idea* on *ticks* of every bar by the form; *handicap* is what a lesser rhythm costs."""
    song, known, bars, landing = place.song, place.known, place.bars, place.landing
    form = find_form(bars.count)
    asked: list[Asked] = []
    pitches: list[int] = []
    cost = idea.cost + handicap
    for number, name in enumerate(form):
        bar = known.bars[bars.first + number].bar
        line, offsets = _say(place, name, bar, ticks, idea)
        cost += 0.5 * line.cost if name != "a" else 0.0
        pitches += line.pitches
        asked += _strikes(song.reading, bar, offsets, line.pitches)
    told = ": the idea, its answer turned over, the idea again, and a last bar that leads on"
    reasons = (
        rhythm.words,
        f"form {' '.join(form)}{told if bars.count > 3 else ''}",
        f"{len(ticks)} notes a bar with rests between them",
        f"leads to {_name(place, landing)}" if landing else "ends open",
    )
    score = round(100 * exp(-max(0.0, 0.08 * cost)), 1)
    terms = {Term.MOTION: round(cost, 3)}
    return Candidate(
        f"a hook of {bars.count} bars",
        tuple(pitches),
        landing,
        score,
        terms,
        reasons,
        tuple(asked),
        _time_hits(known, bars),
    )


def _say(
    place: HookPlace, name: str, bar: Bar, ticks: Sequence[int], idea: HookLine
) -> tuple[HookLine, list[int]]:
    """Return the line of one bar of the form, and where its notes fall in the bar."""
    song, settings = place.song, place.settings
    offsets = [tick for tick in ticks if tick < bar.length_ticks]
    if name == "b":
        unit = bar.metre.beat_ticks // 2
        pickup = bar.length_ticks - unit
        offsets = [tick for tick in offsets if tick < pickup - unit // 2] + [pickup]
    chords = [song.chord_at(bar.start_tick + offset) for offset in offsets]
    if name == "b":
        return find_lead_in(idea, chords, place.landing, song, settings), offsets
    if name == "a'":
        return find_answer(idea, chords, song, settings, place.centre), offsets
    return _said_again(idea, chords), offsets


def _said_again(idea: HookLine, chords: Sequence[Chord]) -> HookLine:
    """Return the idea over *chords*: as it was, or each note moved to the nearest tone of a chord that changed."""
    moved = []
    for pitch, chord in zip(idea.pitches, chords, strict=False):
        if pitch % 12 in chord.tone_pcs:
            moved.append(pitch)
            continue
        near = [p for p in range(pitch - 4, pitch + 5) if p % 12 in chord.tone_pcs]
        moved.append(min(near, key=lambda p: (abs(p - pitch), p), default=pitch))
    return HookLine(tuple(moved), idea.cost)


def _strikes(reading: Reading, bar: Bar, offsets: Sequence[int], pitches: Sequence[int]) -> list[Asked]:
    asked = []
    for index, (offset, pitch) in enumerate(zip(offsets, pitches, strict=False)):
        following = offsets[index + 1] if index + 1 < len(offsets) else bar.length_ticks
        hold = min(following - offset, 960)
        velocity = right_velocity(HOOK_VELOCITY if index == 0 else SOFTER)
        strike = Strike(
            (pitch,), velocity, Hand.RIGHT, Role.MELODY, max(60, round(0.9 * hold)), until_next=True
        )
        written = bar.start_tick + offset
        asked.append(Asked(reading.played_at(written), strike, (), written))
    return asked


def _time_hits(known: Knowledge, bars: Bars) -> tuple[int, ...]:
    """Return the hits that keep time in *bars*: the right hand is at the hook, so it leaves them out."""
    return tuple(
        part.first + number
        for part in known.bars[bars.first : bars.last + 1]
        for number, hit in enumerate(part.hits)
        if hit.piece.family in KEEPS_TIME
    )


def _vamp(song: Surroundings, known: Knowledge, bars: Bars, rhythm: Rhythm, model: int) -> Candidate:
    """Return the plainer answer: the first chord on the rhythm's strokes, bar after bar."""
    slot_ticks = known.bars[model].bar.length_ticks / known.cells[model].slots
    asked = []
    for part in known.bars[bars.first : bars.last + 1]:
        voicing = _voicing(song, part.bar.start_tick)
        for slot in rhythm.slots:
            written = part.bar.start_tick + _slot_tick(known, model, slot, slot_ticks)
            strike = Strike(voicing, right_velocity(SOFTER), Hand.RIGHT, Role.COMPING, 480, until_next=True)
            asked.append(Asked(song.reading.played_at(written), strike, (), written))
    symbol = song.chord_at(known.bars[bars.first].bar.start_tick).symbol
    reasons = (f"a vamp on {symbol}: plain, and nothing to learn", rhythm.words)
    score = round(100 * exp(-VAMP_COST), 1)
    return Candidate("a vamp", (), None, score, {}, reasons, tuple(asked), _time_hits(known, bars))


def _voicing(song: Surroundings, tick: int) -> tuple[int, ...]:
    if song.voicings:
        return song.voicings[song.harmony.index_at(tick)]
    chord = song.chord_at(tick)
    return tuple(p for p in range(57, 69) if p % 12 in chord.tone_pcs)[:3]


def _octaves(song: Surroundings, known: Knowledge, bars: Bars) -> Candidate:
    """Return the plainest answer: kick and snare of the groove as octaves of the root in the right hand, too."""
    asked = []
    for part in known.bars[bars.first : bars.last + 1]:
        for number, (hit, written) in enumerate(zip(part.hits, part.places, strict=True)):
            if hit.piece.family not in (Family.KICK, Family.SNARE) or hit.velocity < 60:
                continue
            root = song.chord_at(written).root.pc
            low = 60 + (root - 60) % 12
            pitches = (low, low + 12) if hit.piece.family is Family.SNARE else (low,)
            strike = Strike(
                pitches, right_velocity(hit.velocity), Hand.RIGHT, Role.COMPING, 240, until_next=True
            )
            asked.append(Asked(hit.tick, strike, (part.first + number,), written))
    reasons = ("the groove itself in octaves on the root: two hands of drums",)
    score = round(100 * exp(-OCTAVES_COST), 1)
    return Candidate(
        "octaves on the groove", (), None, score, {}, reasons, tuple(asked), _time_hits(known, bars)
    )
