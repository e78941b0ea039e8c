"""Condensing: a whole band becomes a piano part for two hands.

The drums go through the same translators as in the main job, on the band's own harmony and bass; the tune, the bass's
own notes and what other instruments sing in the tune's rests are written around them; and the same solver settles what
two hands can play of it all.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from handgroove.band.backing import ask_strokes, complete_chords, find_strokes, lean_on
from handgroove.band.choices import Choices, Placed, check_choices
from handgroove.band.density import Density
from handgroove.band.form import Form, Stop, find_form
from handgroove.band.left import ask_bass, ask_time
from handgroove.band.lines import Line, bass_line, hook_line, melody_line
from handgroove.band.placing import BassPlacing
from handgroove.band.right import ask_tune, fit_figures, fit_strikes
from handgroove.band.roles import BandRole, Cast, find_roles
from handgroove.band.sketch import Sketch, find_left_styles, has_drums, merge_lines, plan_chords
from handgroove.band.tracks import Band, has_near
from handgroove.band.whole_tune import settle_tune
from handgroove.figures.plan import Figures, plan_figures
from handgroove.groove.kit import GENERAL_MIDI, Kit
from handgroove.groove.levels import find_levels
from handgroove.hands.player import Player
from handgroove.harmony.chart import Chart
from handgroove.harmony.chord import Key
from handgroove.harmony.pedal import plan_pedal
from handgroove.harmony.settings import HarmonySettings
from handgroove.host.chain import Chain, make_links
from handgroove.job import PATTERN_FOR_SWING, PLAIN_PATTERN, ask, end_with
from handgroove.part import Note, Omission, Part
from handgroove.patterns import Pattern, read_pattern
from handgroove.strike import Asked, Hand, Role, Strike
from handgroove.translators.loudness import left_velocity, right_velocity

_TUTTI_VELOCITY = 104  # of a stop or push that no drum marks


@dataclass(frozen=True)
class Condensed:
    """A condensing: the *part*, and the *sketch* that it was written from."""

    part: Part
    sketch: Sketch
    choices: Choices


def condense(
    band: Band,
    player: Player | None = None,
    *,
    chart: Chart | None = None,
    key: Key | None = None,
    choices: Choices | None = None,
    pattern: Pattern | None = None,
    kit: Kit = GENERAL_MIDI,
) -> Part:
    """Return *band* on one piano; see `condense_band` for what was found and decided on the way."""
    return condense_band(band, player, chart=chart, key=key, choices=choices, pattern=pattern, kit=kit).part


def condense_band(
    band: Band,
    player: Player | None = None,
    *,
    chart: Chart | None = None,
    key: Key | None = None,
    choices: Choices | None = None,
    pattern: Pattern | None = None,
    kit: Kit = GENERAL_MIDI,
) -> Condensed:
    """Return *band*'s piano part for *player* with the sketch that it was written from.

    *chart* and *key* replace the chords and the key that are heard. *choices* are the player's own. *pattern* says
    which hand takes which drum. Raise HandgrooveError where the choices name what the band does not have.
    """
    player = player or Player()
    choices = choices or Choices()
    check_choices(choices, band)
    casts = find_roles(band, choices.roles)
    form = find_form(band, casts, chart, key, kit)
    check_choices(choices, band, form)
    placed = Placed(choices, form)
    pattern = pattern or _pattern_for(form)
    settings = pattern.harmony
    sketch = make_sketch(band, casts, form, player, placed, settings)

    drums = [cast.track.name for cast in casts if cast.role is BandRole.DRUMS]
    keep, leave_out = placed.hits(choices.keep, drums), placed.hits(choices.leave_out, drums)
    wanted = _ask_all(sketch, pattern, placed)
    settled, cleared = settle_tune(sketch, wanted.asked, keep, leave_out)
    notes = _silence(end_with(settled.notes, band.timeline.end_tick), form.stops)
    part = Part(
        title=(chart.title if chart else "") or band.title,
        notes=notes,
        omissions=tuple(
            sorted((*wanted.omissions, *cleared, *settled.omissions), key=lambda item: item.tick)
        ),
        timeline=band.timeline,
        harmony=form.harmony,
        groove=form.groove,
        pedal=plan_pedal(notes, form.harmony, band.timeline, settings.pedal),
        sections=form.harmony.sections,
        messages=(*band.messages, *form.harmony.messages, *_messages(sketch), *wanted.messages),
        pattern_name=pattern.name,
        player_name=player.name,
        figures=wanted.figures,
    )
    return Condensed(part, sketch, choices)


def _pattern_for(form: Form) -> Pattern:
    """Return the pattern whose hands suit the drums' feel."""
    swung = form.knowledge is not None and form.knowledge.feel.is_swung
    return read_pattern(PATTERN_FOR_SWING if swung else PLAIN_PATTERN)


def make_sketch(
    band: Band,
    casts: Sequence[Cast],
    form: Form,
    player: Player,
    placed: Placed,
    settings: HarmonySettings,
) -> Sketch:
    """Return all that the two hands are written from."""
    density = placed.choices.density
    melody = melody_line(band, casts, form, placed.wants)
    closed = [(fill.start_tick, fill.landing_tick) for fill in form.knowledge.fills] if form.knowledge else []
    hooks = (
        Line(())
        if density is Density.SPARE
        else hook_line(band, casts, form, melody, placed.wants, placed.prefers, closed)
    )
    bass = bass_line(band, casts, form, placed.wants)
    tune = merge_lines(melody, hooks)
    voicings, lows = plan_chords(form, settings, tune, bass)
    styles = find_left_styles(form, bass, has_drums=has_drums(casts))
    return Sketch(
        band,
        casts,
        form,
        player,
        density,
        placed.choices.chords,
        melody,
        hooks,
        bass,
        tune,
        voicings,
        lows,
        styles,
    )


@dataclass(frozen=True, slots=True)
class _Asked:
    """What both hands are asked, what is left out before they are, and what is to be told of it."""

    asked: list[Asked]
    omissions: list[Omission]
    messages: list[str]
    figures: tuple[str, ...]


def _ask_all(sketch: Sketch, pattern: Pattern, placed: Placed) -> _Asked:
    """Return all that both hands are asked."""
    form = sketch.form
    chain = Chain(
        make_links(pattern.assignments), BassPlacing(sketch), find_levels(form.groove), sketch.band.timeline
    )
    struck, omissions = ask(chain, form.groove)
    figures = _plan_figures(sketch, placed.choices.figures)
    struck = [item for item in struck if not figures.hits.intersection(item.hits)]
    omissions = [item for item in omissions if not figures.hits.intersection(item.hits)]
    omissions += figures.omissions
    left = [item for item in struck if item.strike.hand is Hand.LEFT]
    right = [item for item in struck if item.strike.hand is Hand.RIGHT]
    names = [hit.piece.value for hit in form.groove.hits]
    strokes = find_strokes(sketch, placed.wants, placed.prefers)
    right = lean_on(sketch, right, strokes)
    tutti = _ask_tutti(sketch, sorted(item.tick for item in right), sorted(item.tick for item in left))
    right += [item for item in tutti if item.strike.hand is Hand.RIGHT]
    right += ask_strokes(sketch, strokes, sorted(item.tick for item in right))
    left += [item for item in tutti if item.strike.hand is Hand.LEFT]
    kicks = sorted(
        item.tick for item in left if item.strike.role is Role.KICK or len(item.strike.pitches) > 1
    )
    fitted, gone = fit_strikes(sketch, right, names)
    left += [item for item in figures.asked if item.strike.hand is Hand.LEFT]
    left += ask_bass(sketch, kicks)
    left += ask_time(sketch, sorted(item.tick for item in left))
    sung = [item for item in figures.asked if item.strike.hand is Hand.RIGHT]
    asked = [*left, *ask_tune(sketch, sorted(item.tick for item in sung)), *fitted]
    asked += [*fit_figures(sketch, sung), *_ask_kept(sketch, placed)]
    told = [
        f"the translator {fault.name!r} failed and was bypassed ({fault.error})" for fault in chain.faults
    ]
    asked = _stopped(complete_chords(sketch, asked), form.stops, sketch.near)
    return _Asked(asked, [*omissions, *gone], [*told, *figures.messages], figures.explanations)


def _plan_figures(sketch: Sketch, picks: Mapping[str, int]) -> Figures:
    """Return the figures for fills that no tune sings through, and the hooks over drums alone."""
    form = sketch.form
    if form.knowledge is None:
        return Figures()
    tune = [(note.tick, note.pitch) for note in sketch.melody.notes]
    return plan_figures(
        form.groove, form.knowledge, form.harmony, sketch.voicings, picks=picks, lows=sketch.lows, tune=tune
    )


def _ask_tutti(sketch: Sketch, right: Sequence[int], left: Sequence[int]) -> list[Asked]:
    """Return chords of both hands at stops and pushes, in each hand that is not struck there already."""
    asked = []
    holds = {stop.tick: stop.silent_tick - stop.tick for stop in sketch.form.stops}
    holds |= {push.tick: push.line_tick - push.tick + 480 for push in sketch.form.pushes}
    for tick, hold in sorted(holds.items()):
        voicing, low = sketch.voicing_at(tick), sketch.low_at(tick)
        if voicing and not has_near(right, tick, sketch.near):
            strike = Strike(
                voicing,
                right_velocity(_TUTTI_VELOCITY),
                Hand.RIGHT,
                Role.COMPING,
                hold,
                until_next=True,
                weight=2.0,
            )
            asked.append(Asked(tick, strike))
        if not has_near(left, tick, sketch.near):
            strike = Strike(
                (low, low + 12),
                left_velocity(_TUTTI_VELOCITY),
                Hand.LEFT,
                Role.BASS,
                hold,
                until_next=True,
                weight=2.0,
            )
            asked.append(Asked(tick, strike))
    return asked


def _ask_kept(sketch: Sketch, placed: Placed) -> list[Asked]:
    """Return the notes of pitched tracks that the player wants kept, each hand taking its own side of the keyboard."""
    asked = []
    taken = {(note.tick, note.track) for line in (sketch.tune, sketch.bass) for note in line.notes}
    for cast in sketch.casts:
        if cast.role in (BandRole.DRUMS, BandRole.UNUSED):
            continue
        name = cast.track.name
        for note in cast.track.notes:
            if (note.tick, name) in taken or not placed.keeps(name, note.tick):
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
            asked.append(Asked(note.tick, strike))
    return asked


def _stopped(asked: Iterable[Asked], stops: Sequence[Stop], near: int) -> list[Asked]:
    """Return *asked* without what would sound into a stop's silence."""
    kept = []
    for item in asked:
        tick, hold = item.tick, item.strike.hold_ticks
        for stop in stops:
            if tick <= stop.silent_tick - 60 < tick + hold:
                hold = max(60, stop.silent_tick - tick)
            elif stop.silent_tick - 60 < tick < stop.end_tick - near:
                hold = 0
        if hold:
            kept.append(
                item
                if hold == item.strike.hold_ticks
                else replace(item, strike=replace(item.strike, hold_ticks=hold))
            )
    return kept


def _silence(notes: Sequence[Note], stops: Sequence[Stop]) -> tuple[Note, ...]:
    """Return *notes*, none sounding on in a stop's silence."""
    quiet = []
    for note in notes:
        ends = [stop.silent_tick for stop in stops if note.tick < stop.silent_tick < note.end_tick]
        quiet.append(replace(note, length_ticks=max(1, min(ends) - note.tick)) if ends else note)
    return tuple(quiet)


def _messages(sketch: Sketch) -> list[str]:
    """Return what the player should know of how the band was heard."""
    told = [str(cast) for cast in sketch.casts]
    roles = {cast.role for cast in sketch.casts}
    if BandRole.MELODY not in roles:
        told.append("No track is a tune: the right hand has chords and hooks. Name one with --melody.")
    if BandRole.DRUMS not in roles:
        told.append("No drums: the chord players' own rhythm is the right hand's, the bass line the left's.")
    if BandRole.BASS not in roles:
        told.append("No bass: the left hand takes the lowest notes of the others.")
    told += sketch.form.knowledge.doubts if sketch.form.knowledge else ()
    for number, count in sketch.form.groove.unknown.items():
        told.append(f"drum note {number} is not in the kit: {count} left out (describe yours with --kit)")
    return told
