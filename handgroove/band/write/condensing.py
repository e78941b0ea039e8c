"""Condensing: a whole band becomes a piano part for two hands.

The drums go through the same translators as in the main job, on the band's own harmony and bass; the tune, the bass's
own notes and what other instruments sing in the tune's rests are written around them; and the same solver settles what
two hands can play of it all.
"""

from __future__ import annotations

from dataclasses import dataclass

from handgroove.band.read.choices import Choices, LaidChoices, check_choices
from handgroove.band.read.density import Density
from handgroove.band.read.meant import take_lean_off
from handgroove.band.read.roles import BandRole, find_roles
from handgroove.band.read.song_form import Form, find_form
from handgroove.band.read.tracks import Band
from handgroove.band.write.ask_band import ask_band
from handgroove.band.write.lines import bass_line, hook_line, melody_line
from handgroove.band.write.sketch import Sketch, find_left_styles, merge_lines, plan_chords
from handgroove.band.write.whole_tune import settle_tune
from handgroove.desk.desk import usual_pattern
from handgroove.desk.finish import Song
from handgroove.figures.as_heard import explain_heard
from handgroove.groove.kit import GENERAL_MIDI, Kit
from handgroove.hands.player import Player
from handgroove.harmony.chart import Chart
from handgroove.harmony.chord import Key
from handgroove.harmony.voice.voicing_settings import HarmonySettings
from handgroove.part import Part
from handgroove.patterns import Pattern
from handgroove.strike import Asked, Role


@dataclass(frozen=True)
class Condensed:
    """A condensing: the *part*, and the *sketch* that it was written from.

    *drums_asked* are the strikes that stand for kicks and snares, before settling.
    """

    part: Part
    sketch: Sketch
    choices: Choices
    drums_asked: tuple[Asked, ...]


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
    band = take_lean_off(band)
    form = find_form(band, find_roles(band, choices.roles), chart, key, kit)
    check_choices(choices, form.band, form)
    placed = LaidChoices(choices, form)
    pattern = pattern or usual_pattern(form.knowledge)
    settings = pattern.harmony
    sketch = make_sketch(form, player, placed, settings)

    drums = [cast.track.name for cast in form.casts if cast.role is BandRole.DRUMS]
    keep, leave_out = placed.hits(choices.keep, drums), placed.hits(choices.leave_out, drums)
    wanted = ask_band(sketch, pattern, placed)
    silences = tuple(sorted(stop.silent_tick for stop in form.stops))
    song = Song(form.reading, form.harmony, player, silences)
    settled, cleared = settle_tune(sketch, song, wanted.asked, keep, leave_out)
    part = song.finish(
        settled.notes,
        (*wanted.omissions, *cleared, *settled.omissions),
        title=(chart.title if chart else "") or form.band.title,
        pedal=settings.pedal,
        sections=form.harmony.sections,
        messages=(*form.band.messages, *form.harmony.messages, *_messages(sketch), *wanted.messages),
        pattern_name=pattern.name,
        figures=explain_heard(wanted.figures, settled.notes),
    )
    drums_asked = tuple(
        item
        for item in wanted.asked
        if item.strike.role in (Role.KICK, Role.SNARE) and not set(item.hits) & set(leave_out)
    )
    return Condensed(part, sketch, choices, drums_asked)


def make_sketch(form: Form, player: Player, placed: LaidChoices, settings: HarmonySettings) -> Sketch:
    """Return all that the two hands are written from."""
    density = placed.choices.density
    melody = melody_line(form, placed.wants)
    closed = [(fill.start_tick, fill.landing_tick) for fill in form.knowledge.fills] if form.knowledge else []
    tune = melody
    if density is not Density.SPARE:
        tune = merge_lines(melody, hook_line(form, melody, placed.wants, placed.prefers, closed))
    bass = bass_line(form, placed.wants)
    voicings, lows = plan_chords(form, settings, tune, bass)
    styles = find_left_styles(form, bass)
    return Sketch(form, player, density, placed.choices.chords, melody, bass, tune, voicings, lows, styles)


def _messages(sketch: Sketch) -> list[str]:
    """Return what the player should know of how the band was heard."""
    told = [str(cast) for cast in sketch.form.casts]
    roles = {cast.role for cast in sketch.form.casts}
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
