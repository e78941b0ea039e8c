"""Figures prepared ahead: a pattern's own fills as a figure translator, so that the stage plays what was planned.

The search needs what comes next, which live is known for a pattern's fills: their hits, and the chord that the last
moment says is coming.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import ClassVar

from pydantic import Field

from handgroove.figures.candidate import find_candidates
from handgroove.figures.context import LANDS_ON, landed_at
from handgroove.figures.figure_settings import Contour, Doubling, FigureSettings, Sharing
from handgroove.figures.frame import make_frame
from handgroove.figures.line import Onset, make_line
from handgroove.figures.render import landing_pitches, render_landing, render_line
from handgroove.groove.hits import Groove, Hit
from handgroove.groove.know.levels import find_levels
from handgroove.groove.meant.gestures import find_gestures
from handgroove.groove.meant.reading import Reading
from handgroove.harmony.chord import Chord
from handgroove.host.translator import Answer, Settings
from handgroove.strike import LeaveOut, Moment, Strike
from handgroove.timeline import MetreChange, TempoChange, Timeline, bpm_to_quarter_us


class FillFigureSettings(Settings):
    """How figures are to be; see handgroove.figures.figure_settings."""

    choose: int = Field(1, ge=1, le=5, description="which candidate to play, best first")
    busy: float = Field(1.0, ge=0, le=1, description="share of the strokes that sing: 0 accents alone, 1 all")
    tonal: float = Field(1.0, ge=0, le=1, description="1 keeps to the scale, below 0.5 any note is welcome")
    lowest: int = Field(60, ge=36, le=90, description="the lowest note (MIDI number)")
    highest: int = Field(84, ge=48, le=108, description="the highest note (MIDI number)")
    sharing: Sharing = Field(Sharing.RIGHT, description="which hand plays: right, left, or both by turns")
    doubling: Doubling = Field(Doubling.UNISON, description="unison, or octaves in the other hand")
    contour: Contour = Field(Contour.LITERAL, description="literal follows the drums' heights, free hardly")

    def figure_settings(self) -> FigureSettings:
        """Return these settings as the search takes them."""
        return FigureSettings(
            self.busy, self.tonal, self.lowest, self.highest, self.sharing, self.doubling, self.contour
        )


class FillFigure:
    """A whole fill to a melodic figure that lands where the drummer lands."""

    name: ClassVar[str] = "fill figure"
    summary: ClassVar[str] = "a whole fill: a melody that follows the drums and lands with them"
    settings_model: ClassVar[type[Settings]] = FillFigureSettings

    def __init__(self, settings: FillFigureSettings) -> None:
        self.settings = settings

    def figure(self, hits: Sequence[Hit], moments: Sequence[Moment]) -> Answer:
        """Return the figure of *hits*; a crash or kick on a bar line is its landing. Delays count from the first."""
        first, bar_ticks = moments[0], moments[0].metre.bar_ticks
        start_tick = hits[0].tick - first.offset_ticks
        hits = [replace(hit, tick=hit.tick - start_tick) for hit in hits]
        places = tuple((moment.bar - first.bar) * bar_ticks + moment.offset_ticks for moment in moments)
        landing = [hit for hit, place in zip(hits, places, strict=True) if place == places[-1]]
        lands = places[-1] % bar_ticks == 0 < places[-1] and any(
            hit.piece.family in LANDS_ON for hit in landing
        )
        landing_place = places[-1] if lands else (places[-1] // bar_ticks + 1) * bar_ticks
        tempo = TempoChange(0, bpm_to_quarter_us(first.tempo_bpm))
        groove = Groove(tuple(hits), Timeline((MetreChange(0, first.metre),), (tempo,), landing_place))
        settings = self.settings.figure_settings()
        line = make_line(
            Reading(groove, places, find_gestures(groove)),
            range(len(hits)),
            find_levels(groove),
            landing_place,
            settings,
        )
        if not line:
            return LeaveOut("nothing in this fill is sung")
        chords = [_chord_at(onset, hits, moments) for onset in line]
        if any(chord is None for chord in chords):
            return LeaveOut("no chord sounds here (N.C.)")
        seconds = [onset.length_ticks / (first.tempo_bpm * 16) for onset in line]
        last = moments[-1]
        after = last.chord if lands else last.next_chord or last.chord
        frame = make_frame(line, [c for c in chords if c], None, after, seconds, settings)
        found = find_candidates(frame)
        chosen = found[min(self.settings.choose, len(found)) - 1]
        asked = render_line(frame, chosen.pitches, first.tempo_bpm)
        if lands and chosen.landing is not None and after is not None:
            loudest = max(hit.velocity for hit in landing)
            right = landing_pitches(chosen.landing, after, seconds[-1])
            asked += render_landing(landed_at(landing), landing_place, right, last.low, loudest)
        return [_delayed(item.strike, item.tick - hits[0].tick) for item in asked]


def _chord_at(onset: Onset, hits: Sequence[Hit], moments: Sequence[Moment]) -> Chord | None:
    return next(
        (moment.chord for hit, moment in zip(hits, moments, strict=True) if hit.tick >= onset.tick),
        moments[-1].chord,
    )


def _delayed(strike: Strike, delay_ticks: int) -> Strike:
    return replace(strike, delay_ticks=max(0, delay_ticks))
