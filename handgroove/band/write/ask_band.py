"""What both hands are asked for a band: the drums by their translators, and all else written around them."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from handgroove.band.read.choices import LaidChoices
from handgroove.band.read.roles import BandRole
from handgroove.band.write.accents import shape_accents
from handgroove.band.write.backing import ask_strokes, complete_chords, find_strokes, lean_on
from handgroove.band.write.bass_placing import BassPlacing
from handgroove.band.write.left_hand import ask_bass, ask_time, land_on_bass, lean_on_beats
from handgroove.band.write.right_hand import ask_tune, fit_figures, fit_strikes
from handgroove.band.write.sketch import Sketch
from handgroove.band.write.tutti import ask_tutti, leave_silent
from handgroove.desk.desk import ask
from handgroove.figures.plan import Figures, choose_figures, find_places
from handgroove.groove.know.levels import find_levels
from handgroove.host.chain import Chain
from handgroove.host.figure_runs import find_owned
from handgroove.host.links import make_links
from handgroove.part import Omission
from handgroove.patterns import Pattern
from handgroove.strike import Asked, Hand, Role, Strike
from handgroove.translators.loudness import right_velocity


@dataclass(frozen=True, slots=True)
class BandAsked:
    """What both hands are asked, what is left out before they are, and what is to be told of it."""

    asked: list[Asked]
    omissions: list[Omission]
    messages: list[str]
    figures: Figures


def ask_band(sketch: Sketch, pattern: Pattern, placed: LaidChoices) -> BandAsked:
    """Return all that both hands are asked, *pattern*'s translators taking the drums."""
    form = sketch.form
    links = make_links(pattern.assignments)
    owned = find_owned(links, form.reading.groove.hits)
    figures = _plan_figures(sketch, placed.choices.figures, owned)
    chain = Chain(links, BassPlacing(sketch), find_levels(form.groove), form.groove.timeline)
    fills = form.knowledge.fills if form.knowledge else ()
    drums = ask(chain, form.reading, figures.hits, fills)
    struck = drums.asked
    strokes = find_strokes(sketch, placed.wants, placed.prefers)

    right = lean_on(sketch, _of(Hand.RIGHT, struck), strokes)
    left = lean_on_beats(sketch, _of(Hand.LEFT, struck))
    tutti = ask_tutti(sketch, _places(right), _places(left))
    right += _of(Hand.RIGHT, tutti)
    right += ask_strokes(sketch, strokes, _places(right))
    right, gone = fit_strikes(sketch, right, [hit.piece.value for hit in form.groove.hits])
    sung = _of(Hand.RIGHT, figures.asked)
    right += [*ask_tune(sketch, sung), *fit_figures(sketch, sung)]

    left += _of(Hand.LEFT, tutti)
    low = [item for item in left if item.strike.role is Role.KICK or len(item.strike.pitches) > 1]
    left += [
        *land_on_bass(sketch, _of(Hand.LEFT, figures.asked)),
        *ask_bass(sketch, _places(low), left),
    ]
    left += ask_time(sketch, _places(left))

    asked = complete_chords(sketch, [*left, *right, *_ask_kept(sketch, placed)])
    asked = shape_accents(sketch, asked)
    return BandAsked(
        leave_silent(asked, form.stops),
        [*drums.omissions, *figures.omissions, *gone],
        [*drums.messages, *figures.messages],
        figures,
    )


def _of(hand: Hand, asked: Iterable[Asked]) -> list[Asked]:
    return [item for item in asked if item.strike.hand is hand]


def _places(asked: Iterable[Asked]) -> set[int]:
    return {item.meant for item in asked}


def _plan_figures(sketch: Sketch, picks: Mapping[str, int], owned: Collection[int]) -> Figures:
    """Return the figures for fills that no tune sings through, and the hooks over drums alone."""
    form = sketch.form
    if form.knowledge is None:
        return Figures()
    tune = [(note.place, note.pitch) for note in sketch.melody.notes]
    places = find_places(
        form.knowledge, form.harmony, sketch.voicings, lows=sketch.lows, tune=tune, owned=owned
    )
    return choose_figures(places, picks)


def _ask_kept(sketch: Sketch, placed: LaidChoices) -> list[Asked]:
    """Return the notes of pitched tracks that the player wants kept, each hand taking its own side of the keyboard."""
    asked = []
    taken = {(note.tick, note.track) for line in (sketch.tune, sketch.bass) for note in line.notes}
    for cast in sketch.form.casts:
        if cast.role in (BandRole.DRUMS, BandRole.UNUSED):
            continue
        name = cast.track.name
        for note in cast.track.notes:
            if (note.tick, name) in taken or not placed.keeps(name, note.meant):
                continue
            hand = Hand.LEFT if note.pitch < 52 else Hand.RIGHT
            strike = Strike(
                (note.pitch,),
                right_velocity(note.velocity),
                hand,
                Role.COMPING,
                note.length_ticks,
                weight=4.0,
            )
            asked.append(Asked(note.tick, strike, place=note.meant))
    return asked
