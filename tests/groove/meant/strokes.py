"""Made strokes: flams, drags, ruffs, rolls and rebounds whose kinds are known, and fast singles that are none."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from random import Random

from handgroove.groove.hits import Groove, Hit
from handgroove.groove.kit import Piece
from handgroove.groove.meant.gestures import GestureKind
from handgroove.timeline import Metre, Timeline

JITTER_SEC = 0.004  # a good drummer's looseness from stroke to stroke, one standard deviation
GRACES = {GestureKind.FLAM: 1, GestureKind.DRAG: 2, GestureKind.RUFF: 3}


@dataclass
class Made:
    """A drum's strokes in seconds with what each is: the *kind* of its movement, or None for a grace."""

    tempo_bpm: float
    random: Random
    strokes: list[tuple[float, int, GestureKind | None]] = field(default_factory=list)

    @property
    def beat_sec(self) -> float:
        """Return how long a beat is."""
        return 60 / self.tempo_bpm

    def add(self, sec: float, velocity: float, kind: GestureKind | None = GestureKind.SINGLE) -> None:
        """Add a stroke."""
        self.strokes.append((sec, max(1, min(127, round(velocity))), kind))

    def loose(self, sec: float) -> float:
        """Return *sec* as a drummer would strike it."""
        return sec + self.random.gauss(0, JITTER_SEC)

    def led_to(self, sec: float, velocity: float, kind: GestureKind, ratio: float) -> None:
        """Add a main stroke with its graces before it, each *ratio* as loud and 12 to 45 ms from the next."""
        self.add(sec, velocity, kind)
        wide = 0.045 if kind is not GestureKind.RUFF else 0.042
        narrow = 0.012 if kind is GestureKind.FLAM else 0.02
        for _ in range(GRACES[kind]):
            sec -= self.random.uniform(narrow, wide)
            self.add(sec, velocity * ratio * self.random.uniform(0.9, 1.0), None)

    def groove(self) -> tuple[Groove, list[GestureKind | None]]:
        """Return the strokes as a groove, and what each of its hits is."""
        ticks_per_sec = self.tempo_bpm * 16
        rows = sorted(
            (round((sec + 1) * ticks_per_sec), velocity, kind) for sec, velocity, kind in self.strokes
        )
        hits = tuple(Hit(tick, Piece.SNARE, velocity, 38) for tick, velocity, _ in rows)
        bars = rows[-1][0] // 3840 + 1
        return Groove(hits, Timeline.of(Metre(4, 4), self.tempo_bpm, bars)), [kind for _, _, kind in rows]


def graced(made: Made, kind: GestureKind) -> None:
    """Add eight bars of backbeats, each led to by graces, with ghosts on some sixteenths between."""
    random = made.random
    ratio = random.uniform(0.2, 0.85)
    for beat in range(32):
        sec = made.loose((beat + 1) * made.beat_sec)
        if beat % 2:
            made.led_to(sec, random.uniform(70, 127), kind, ratio)
        elif made.beat_sec / 4 > 0.1 and random.random() < 0.6:
            made.add(made.loose((beat + 1.25) * made.beat_sec), random.uniform(15, 45))


def rolled(made: Made) -> None:
    """Add rolls of five to twelve strokes, about 25 a second, a beat apart at least."""
    random, sec = made.random, 0.0
    for _ in range(10):
        made.add(sec, random.uniform(50, 90), GestureKind.ROLL)
        first = made.strokes[-1][1]
        for _ in range(random.randint(4, 11)):
            sec += random.uniform(0.034, 0.046)
            made.add(sec, first * random.uniform(0.6, 1.0), None)
        sec += made.beat_sec + 0.2


def rebounding(made: Made) -> None:
    """Add backbeats whose stick falls once more, softer."""
    random = made.random
    for beat in range(16):
        sec = made.loose((beat + 1) * made.beat_sec)
        loud = random.uniform(70, 127)
        made.add(sec, loud, GestureKind.REBOUND)
        made.add(sec + random.uniform(0.02, 0.043), loud * random.uniform(0.2, 0.8), None)


def singles(made: Made, step_beats: float, loudness: Callable[[int], float]) -> None:
    """Add runs of 4 to 16 counted strokes *step_beats* apart, *loudness* telling each one's velocity."""
    beat = 0.0
    while beat < 24:
        count = made.random.choice((4, 6, 8, 16))
        for at in range(count):
            made.add(made.loose((beat + at * step_beats) * made.beat_sec), loudness(at))
        beat = int(beat + count * step_beats) + 2


def accents(made: Made) -> Callable[[int], float]:
    """Return a loudness that accents each fourth stroke."""
    return lambda at: made.random.uniform(95, 120) if at % 4 == 0 else made.random.uniform(40, 60)


def alternating(made: Made) -> Callable[[int], float]:
    """Return a loudness of a strong and a weak hand in turn."""
    weak = made.random.uniform(0.45, 0.9)
    return lambda at: made.random.uniform(85, 100) * (weak if at % 2 else 1)


def ghosts(made: Made) -> Callable[[int], float]:
    """Return a loudness of ghosts, with a main stroke now and then."""
    return lambda at: 100 if at % 8 == 3 else made.random.uniform(12, 35)
