"""A fill's candidates: the search run on one fill of a song, its strikes and its landing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from handgroove.figures.candidate import Candidate, find_candidates
from handgroove.figures.context import Surroundings, landed_at
from handgroove.figures.figure_settings import DEFAULT_SETTINGS, Doubling, FigureSettings, Sharing
from handgroove.figures.frame import Frame, make_frame
from handgroove.figures.line import make_line
from handgroove.figures.render import landing_pitches, render_landing, render_line
from handgroove.groove.kit import Family
from handgroove.strike import Asked

BOTH_HANDS = frozenset(
    {Family.KICK, Family.HAT, Family.RIDE, Family.CRASH, Family.SNARE, Family.TOM, Family.HAND}
)
FEWEST_NOTES = 2  # one note is no line
ONE_HAND = BOTH_HANDS - {Family.KICK}


def frame_fill(
    song: Surroundings, indices: Sequence[int], landing_tick: int, settings: FigureSettings = DEFAULT_SETTINGS
) -> Frame | None:
    """Make the frame of the fill whose hits are *indices*; None where nothing in it is sung, or one note only."""
    onsets = make_line(song.reading, indices, song.levels, landing_tick, settings)
    if len(onsets) < FEWEST_NOTES and not any(onset.rolled for onset in onsets):
        return None
    ticks = [*(onset.tick for onset in onsets), song.reading.played_at(landing_tick)]
    lands = song.lands(song.hits_at(landing_tick)) or song.tune_at(landing_tick) is not None
    return make_frame(
        onsets,
        [song.chord_at(onset.place) for onset in onsets],
        song.harmony.key,
        song.chord_at(landing_tick) if lands else None,
        [max(0.02, song.sec(a, b)) for a, b in pairwise(ticks)],
        settings,
        song.tune_at(landing_tick),
    )


def fill_candidates(
    song: Surroundings, indices: Sequence[int], landing_tick: int, settings: FigureSettings = DEFAULT_SETTINGS
) -> list[Candidate]:
    """Find the best figures for one fill, with their strikes, best first."""
    frame = frame_fill(song, indices, landing_tick, settings)
    if frame is None:
        return []
    found = find_candidates(frame, settings.candidates)
    return [_dress(song, frame, candidate, indices, landing_tick) for candidate in found]


def _dress(
    song: Surroundings, frame: Frame, candidate: Candidate, indices: Sequence[int], landing_tick: int
) -> Candidate:
    """Give *candidate* its strikes and the hits that they stand for, its landing's among them."""
    tempo = song.groove.timeline.tempo_at(frame.onsets[0].tick)
    asked = render_line(frame, candidate.pitches, tempo)
    taken = taken_hits(song, indices, frame.settings)
    if candidate.landing is not None and song.tune_at(landing_tick) is None:
        landing_hits = song.hits_at(landing_tick)
        asked += _land(song, frame, candidate.landing, landing_tick, landing_hits)
        taken += landing_hits
    return replace(candidate, asked=tuple(asked), hits=tuple(sorted(set(taken))))


def taken_hits(song: Surroundings, indices: Sequence[int], settings: FigureSettings) -> tuple[int, ...]:
    """Return which of the hits *indices* the figure's hands have no room for beside it: the chain leaves them alone.

    With one hand at the figure the other keeps the kick; with both, nothing else is played. A pedalled hat is a foot
    at the drums but a hand at the piano, so it goes with the other hats.
    """
    both = settings.sharing is Sharing.BOTH or settings.doubling is Doubling.OCTAVES
    families = BOTH_HANDS if both else ONE_HAND
    return tuple(index for index in indices if song.groove.hits[index].piece.family in families)


def _land(song: Surroundings, frame: Frame, top: int, tick: int, hits: Sequence[int]) -> list[Asked]:
    struck = [song.groove.hits[index] for index in hits]
    when = landed_at(struck) if struck else song.reading.played_at(tick)
    loudest = max((hit.velocity for hit in struck), default=100)
    right = landing_pitches(top, song.chord_at(tick), frame.seconds[-1])
    return render_landing(when, tick, right, song.low_at(tick), loudest, tuple(hits))
