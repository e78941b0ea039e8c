"""Bars of drums alone become a hook: an idea from the groove's accents, said, answered, said again and led on.

The left hand keeps the groove. Forms are written as bars: a the idea, a' its answer, b the last bar, which opens and
leads into the song (common practice, no source); of two bars the second begins as the first. Said again, an idea is
thicker: louder notes have a chord tone below. Plainer answers stand beside the hooks.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import pairwise
from math import exp

from handgroove.figures.alone import Alone, Bars
from handgroove.figures.candidate import Candidate
from handgroove.figures.context import Surroundings
from handgroove.figures.figure_costs import Term
from handgroove.figures.figure_settings import DEFAULT_SETTINGS, FigureSettings
from handgroove.figures.hook_line import SHORT, HookLine, Said, Singer
from handgroove.figures.hook_rhythm import (
    Clap,
    Rhythm,
    bend,
    felt_beat_ticks,
    find_claps,
    find_rhythms,
    tell_rhythm,
)
from handgroove.figures.pitches import pitch_name
from handgroove.figures.plainer import octaves, vamp
from handgroove.groove.kit import Piece
from handgroove.groove.know.barlines import BarHits
from handgroove.groove.know.knowledge import Knowledge
from handgroove.harmony.chord import Chord
from handgroove.metre import shift_ticks
from handgroove.strike import Asked, Role
from handgroove.timeline import Bar

RHYTHMS = 3  # that are sung to
AWAY = 2  # claps by which two of them differ, if they can
THICKENED = range(3, 10)  # semitones below the tune: thirds to sixths
QUICK_SEC = 0.2  # two notes at once follow others no faster
HELD = 0.9  # of the time to the next note
EIGHTH_TICKS = 480
INTRO = 2  # bars: the second is the first with another end


def find_form(bars: int) -> tuple[str, ...]:
    """Return a form of *bars* bars: ideas and answers by turns, the last bar leading on."""
    if bars == 1:
        return ("b",)
    return tuple("b" if bar == bars - 1 else "a'" if bar % 2 else "a" for bar in range(bars))


def hook_candidates(
    song: Surroundings, known: Knowledge, bars: Bars, settings: FigureSettings = DEFAULT_SETTINGS
) -> list[Candidate]:
    """Find hooks and plainer answers for *bars* where the drums play alone, best first; none in silence."""
    alone = Alone(song, known, bars, settings)
    claps = find_claps(alone.usual, song.levels, song.reading.graces)
    if not claps:
        return []
    rhythms = _choose_rhythms(find_rhythms(claps, alone.bar, alone.beat_sec))
    singer = Singer(song, settings, felt_beat_ticks(alone.bar.metre), _find_landing(alone))
    ideas: list[tuple[float, Rhythm, HookLine]] = []
    for number, rhythm in enumerate(rhythms):
        chords = _chords(alone, alone.parts[: 1 + alone.comes_in][-1].bar, rhythm)
        found = singer.find_ideas(rhythm, chords, 1 if number else 2)
        ideas += [(idea.cost + rhythm.cost, rhythm, idea) for idea in found]
    ideas.sort(key=lambda item: (item[0], item[2].pitches))
    if settings.candidates == 1:
        return [_make_hook(alone, singer, claps, *ideas[0])]
    plainer = _differing([vamp(alone, rhythms[0], _tell_rhythm(alone, rhythms[0])), octaves(alone)])
    hooks = _differing([_make_hook(alone, singer, claps, *item) for item in ideas])
    return [*hooks[: max(1, settings.candidates - len(plainer))], *plainer][: settings.candidates]


def _differing(candidates: Iterable[Candidate]) -> list[Candidate]:
    """Return those of *candidates* that say something, each in a rhythm or contour of its own."""
    heard: dict[tuple[tuple[int, ...], tuple[int, ...]], Candidate] = {}
    for candidate in candidates:
        tops = [item.strike.pitches[-1] for item in candidate.asked]
        contour = tuple((b > a) - (b < a) for a, b in pairwise(tops))
        if tops:
            heard.setdefault((tuple(item.meant for item in candidate.asked), contour), candidate)
    return list(heard.values())


def _choose_rhythms(found: Sequence[Rhythm]) -> list[Rhythm]:
    """Return the best of *found* (best first) and some that are audibly others."""
    chosen = list(found[:1])
    for away in (AWAY, 1):
        for rhythm in found:
            if len(chosen) < RHYTHMS and all(
                len({*rhythm.offsets} ^ {*other.offsets}) >= away for other in chosen
            ):
                chosen.append(rhythm)
    return chosen


def _find_landing(alone: Alone) -> int | None:
    """Return the note that the song is met on: the tune's, or its first chord's top; None where a fill comes."""
    song, tick, settings = alone.song, alone.end_tick, alone.settings
    tune = song.tune_at(tick)
    if tune is not None:
        return tune
    if alone.leads_into_fill:
        return None
    top = alone.voicing_at(tick)[-1:]
    if song.voicings and top and settings.lowest <= top[0] <= settings.highest:
        return top[0]
    aim = settings.lowest + 16
    chord = song.chord_at(tick)
    tones = [p for p in range(settings.lowest, settings.highest + 1) if p % 12 in chord.tone_pcs]
    return min(tones, key=lambda p: (abs(p - aim), p), default=None)


def _make_hook(
    alone: Alone, singer: Singer, claps: Sequence[Clap], cost: float, rhythm: Rhythm, idea: HookLine
) -> Candidate:
    """Say *idea*, whose *rhythm* is chosen among *claps*, in every bar by the form."""
    form = find_form(alone.whole_bars)
    form = ("a", *form) if alone.comes_in else form
    said = dict(zip(rhythm.offsets, idea.pitches, strict=True))
    bent = [_bend(alone, rhythm, claps, part) for part in alone.parts]
    whole = [number for number, part in enumerate(alone.parts) if part.bar.number > 0]
    if len(whole) == INTRO:
        first, second = ({*bent[number].offsets} for number in whole)
        if 2 * len(first & second) < len(first):
            bent[whole[1]] = bent[whole[0]]  # heard once more, or there is no idea at all
    asked: list[Asked] = []
    pitches: list[int] = []
    for number, (name, part, own) in enumerate(zip(form, alone.parts, bent, strict=True)):
        if not own.claps:
            continue
        here = {offset - shift_ticks(part.bar): pitch for offset, pitch in said.items()}
        line, sung = _say(alone, singer, here, name, part, own)
        pitches += line.pitches
        asked += _ask_line(alone, sung, part.bar, line.pitches, thick=name == "a" and number > alone.comes_in)
    return Candidate(
        f"a hook of {len(alone.parts)} bars",
        tuple(pitches),
        singer.landing,
        round(100 * exp(-0.06 * max(0.0, cost)), 1),
        {Term.MOTION: round(cost, 3)},
        tuple(_reasons(alone, singer, rhythm, bent, asked)),
        tuple(asked),
        alone.time_hits,
    )


def _bend(alone: Alone, rhythm: Rhythm, claps: Sequence[Clap], part: BarHits) -> Rhythm:
    """Return *rhythm* as the drummer's bar *part* has it; as it is where nothing is struck, or cut to a shorter bar."""
    own = find_claps([part], alone.song.levels, alone.song.reading.graces)
    if own and alone.comes_in and part is alone.parts[0]:
        shift = shift_ticks(part.bar)
        moved = [replace(clap, offset_ticks=clap.offset_ticks - shift) for clap in rhythm.claps]
        together = tuple(clap for clap in moved if clap.offset_ticks >= own[0].offset_ticks)
        return Rhythm(together or own[-1:], 0.0)
    if part.bar.length_ticks != alone.bar.length_ticks or not part.hits:
        return Rhythm(tuple(clap for clap in rhythm.claps if clap.offset_ticks < part.bar.length_ticks), 0.0)
    return bend(rhythm, claps, own, part.bar, alone.beat_sec)


def _say(
    alone: Alone, singer: Singer, said: Said, name: str, part: BarHits, rhythm: Rhythm
) -> tuple[HookLine, Rhythm]:
    """Return the line of one bar of the form, and the rhythm that it has."""
    if name == "b":
        rhythm = _with_upbeat(alone, part, rhythm)
    chords = _chords(alone, part.bar, rhythm)
    if name == "a":
        return singer.say(said, rhythm, chords), rhythm
    if name == "a'":
        return singer.answer(said, rhythm, chords), rhythm
    kept = frozenset(list(said)[: len(said) // 2]) if alone.whole_bars == INTRO else frozenset[int]()
    return singer.lead_on(said, rhythm, chords, kept), rhythm


def _chords(alone: Alone, bar: Bar, rhythm: Rhythm) -> list[Chord]:
    return [alone.song.chord_at(bar.start_tick + offset) for offset in rhythm.offsets]


def _with_upbeat(alone: Alone, part: BarHits, rhythm: Rhythm) -> Rhythm:
    """Return *rhythm* with an upbeat to the next bar: the drummer's heaviest stroke of the last eighth, if any."""
    bar = part.bar
    late = bar.length_ticks - min(EIGHTH_TICKS, felt_beat_ticks(bar.metre) // 2)
    if rhythm.offsets[-1] >= late:
        return rhythm
    own = find_claps([part], alone.song.levels, alone.song.reading.graces) if part.hits else ()
    usual = Clap(late, 0.0, Piece.CLOSED_HAT, min(clap.velocity for clap in rhythm.claps), on_beat=False)
    upbeats = [clap for clap in own if clap.offset_ticks >= late]
    return Rhythm((*rhythm.claps, max(upbeats, key=lambda clap: clap.weight, default=usual)), 0.0)


def _ask_line(
    alone: Alone, rhythm: Rhythm, bar: Bar, pitches: Sequence[int], *, thick: bool
) -> Iterable[Asked]:
    """Ask for *pitches* on *rhythm*; *thick* adds a chord tone below the louder ones, where there is time."""
    beat = felt_beat_ticks(bar.metre)
    gaps = [b - a for a, b in pairwise((*rhythm.offsets, bar.length_ticks))]
    for index, (clap, strong, pitch) in enumerate(zip(rhythm.claps, rhythm.strong, pitches, strict=True)):
        place = bar.start_tick + clap.offset_ticks
        hold = max(60, round(HELD * min(gaps[index], beat if strong else beat // 2)))
        near = min(gaps[max(0, index - 1) : index + 1])
        has_time = alone.song.sec(place, place + near) >= QUICK_SEC
        second = _below(alone, place, pitch) if thick and strong and has_time else ()
        yield alone.ask(place, (*second, pitch), Role.MELODY, hold, clap.velocity, 1.2 if strong else 0.9)


def _below(alone: Alone, tick: int, pitch: int) -> tuple[int, ...]:
    """Return the chord tone nearest below *pitch* that is at least a third away, if the range has one."""
    tones = alone.song.chord_at(tick).tone_pcs
    found = [p for step in THICKENED if (p := pitch - step) % 12 in tones and p >= alone.settings.lowest]
    return tuple(found[:1])


def _tell_rhythm(alone: Alone, rhythm: Rhythm) -> str:
    return tell_rhythm(rhythm, alone.bar, alone.song.groove.timeline)


def _reasons(
    alone: Alone, singer: Singer, rhythm: Rhythm, bent: Sequence[Rhythm], asked: Sequence[Asked]
) -> Iterable[str]:
    """Yield what is true of a hook, in words."""
    yield _tell_rhythm(alone, rhythm)
    if any(own.offsets != rhythm.offsets for own in bent):
        yield "bent in each bar to what the drummer plays there"
    form = find_form(alone.whole_bars)
    if alone.comes_in:
        yield "comes in with the drummer"
    told = ""
    if len(form) > 3:
        turned = "turned over" if len(rhythm.claps) <= SHORT else "with another end"
        thick = any(len(item.strike.pitches) > 1 for item in asked)
        again = "the idea again in two voices" if thick else "the idea again"
        told = f": the idea, its answer {turned}, {again}, and a last bar that leads on"
    elif len(form) == INTRO:
        told = ": the idea, and the idea again with its second half turned towards the song"
    yield f"form {' '.join(form)}{told}"
    yield "as loud as the drummer's own strokes"
    if alone.leads_into_fill:
        yield "leads into the fill"
    elif singer.landing is None:
        yield "ends open"
    else:
        chord = alone.song.chord_at(alone.end_tick)
        yield f"leads to {pitch_name(singer.landing, alone.song.harmony.key, chord)}"
