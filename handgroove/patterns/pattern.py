"""A pattern, read and ready: its groove on a grid, its fills, who takes what, and what the chords are to be like."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from handgroove.errors import HandgrooveError, Problem, did_you_mean
from handgroove.groove.hits import Feel, Groove, Hit
from handgroove.groove.kit import Family, Piece
from handgroove.groove.read.rows import NOTE_OF, STRUCK, GridHit
from handgroove.strike import Hand
from handgroove.timeline import Metre, Timeline

if TYPE_CHECKING:
    from handgroove.harmony.voice.voicing_settings import HarmonySettings

_LANDING_VELOCITY = STRUCK["X"][1]
_HAND_KEEPS_TIME = (Family.HAT, Family.RIDE)


@dataclass(frozen=True, slots=True)
class Assignment:
    """Which translator (*use*) takes which *pieces*, with what *settings*, and in which *hand* (None = its own).

    *place* is where the file says so (``file:line:column``).
    """

    pieces: frozenset[Piece]
    use: str
    settings: Mapping[str, object] = field(default_factory=dict)
    hand: Hand | None = None
    place: str = ""


@dataclass(frozen=True, slots=True)
class Fill:
    """A fill prepared ahead: its *hits* over *bars* whole bars, and the pieces that it *lands* on, on the next 1."""

    name: str
    hits: tuple[GridHit, ...]
    bars: int
    lands: tuple[Piece, ...] = ()
    about: str = ""
    steps_per_beat: int = 4
    feel: Feel = Feel()  # noqa: RUF009  (a frozen value)


@dataclass(frozen=True)
class Pattern:
    """A pattern of the library or of the player's own; *hits* are its groove over *bars* bars (0 = it has none).

    *as_drums* and *at_the_piano* are its writer's own readings, nobody's certificate.
    """

    name: str
    title: str
    assignments: tuple[Assignment, ...]
    harmony: HarmonySettings
    about: str = ""
    as_drums: str = ""
    at_the_piano: str = ""
    tempo_bpm: int = 100
    metre: Metre = Metre(4, 4)  # noqa: RUF009  (a frozen value)
    feel: Feel = Feel()  # noqa: RUF009  (a frozen value)
    steps_per_beat: int = 4
    hits: tuple[GridHit, ...] = ()
    bars: int = 0
    fills: tuple[Fill, ...] = ()
    source: str = ""

    def fill(self, name: str = "") -> Fill:
        """Return the fill called *name*, or the first one."""
        found = next((fill for fill in self.fills if name in ("", fill.name)), None)
        if found is None:
            known = [fill.name for fill in self.fills]
            remedy = did_you_mean(name, known) or f"it has: {', '.join(known) or 'no fills'}"
            problem = Problem(self.source, f"the pattern {self.name!r} has no fill {name!r}", remedy=remedy)
            raise HandgrooveError(problem)
        return found

    def groove(
        self,
        bars: int | None = None,
        *,
        fills: Mapping[int, str] | None = None,
        tempo_bpm: float | None = None,
    ) -> Groove:
        """Make a groove of *bars* bars (default: once through) by repeating the pattern's own.

        *fills* says in which bar, counted from 1, which fill begins; it replaces what the groove has there.
        """
        if not self.bars:
            remedy = "give it a drummer's MIDI file, or write a groove into the pattern"
            raise HandgrooveError(
                Problem(self.source, f"the pattern {self.name!r} has no groove", remedy=remedy)
            )
        length = bars or self.bars
        bar_ticks, end_tick = self.metre.bar_ticks, length * self.metre.bar_ticks
        laid = [
            hit for start in range(0, end_tick, self.bars * bar_ticks) for hit in _shift(self.hits, start)
        ]
        for bar, name in sorted((fills or {}).items()):
            fill, start = self.fill(name), (bar - 1) * bar_ticks
            laid = list(_lay_fill(laid, fill, start, start + fill.bars * bar_ticks))
        return self._make_groove(
            (hit for hit in laid if hit.tick < end_tick), length, self.feel, self.title, tempo_bpm
        )

    def fill_groove(self, name: str = "", *, tempo_bpm: float | None = None) -> Groove:
        """Make a groove of one fill alone: the one called *name*, or the first."""
        fill = self.fill(name)
        return self._make_groove(_shift(fill.hits, 0), fill.bars, fill.feel, fill.name, tempo_bpm)

    def _make_groove(
        self, hits: Iterable[Hit], bars: int, feel: Feel, title: str, tempo_bpm: float | None
    ) -> Groove:
        timeline = Timeline.of(self.metre, tempo_bpm or self.tempo_bpm, bars)
        ordered = tuple(sorted(hits, key=lambda hit: hit.order))
        return Groove(ordered, timeline, title=title, feel=feel, source=self.source or self.name)


def _shift(hits: Iterable[GridHit], ticks: int) -> list[Hit]:
    """Return written *hits* as hits *ticks* later."""
    return [Hit(ticks + hit.tick, hit.piece, hit.velocity, NOTE_OF[hit.piece]) for hit in hits]


def _lay_fill(hits: Iterable[Hit], fill: Fill, start: int, end: int) -> Iterable[Hit]:
    """Yield *hits* with *fill* in their place from *start* to *end*, and its landing in place of hat or ride there."""
    for hit in hits:
        covered = hit.tick == end and fill.lands and hit.piece.family in _HAND_KEEPS_TIME
        if not (start <= hit.tick < end or covered or (hit.tick == end and hit.piece in fill.lands)):
            yield hit
    yield from _shift(fill.hits, start)
    yield from (Hit(end, piece, _LANDING_VELOCITY, NOTE_OF[piece]) for piece in fill.lands)
