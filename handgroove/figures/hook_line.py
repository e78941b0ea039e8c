"""A hook's notes: an idea, its answer, the idea over other chords, and a last bar that opens towards the song."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from heapq import nsmallest
from itertools import combinations, pairwise

from handgroove.figures.context import Surroundings
from handgroove.figures.figure_costs import (
    MOTION_BETWEEN,
    landing_step_cost,
    leap_cost,
    motion_cost,
    move_class,
)
from handgroove.figures.figure_settings import FigureSettings
from handgroove.figures.hook_rhythm import Rhythm
from handgroove.harmony.chord import Chord, Key
from handgroove.harmony.symbols.scales import scale_in_key

BELOW_LANDING, ABOVE_LANDING = (
    6,
    1,
)  # a hook sings around the middle of the range, but no farther from its landing
NARROWEST, WIDEST = 3, 12
AROUND = 9  # semitones to each side of the centre
SPANS = (
    0,
    7,
    9,
)  # semitones between the lowest and the highest drum of an idea, by how many heights there are
DYNAMIC = 3.0  # semitones that the loudest stroke of a drum is from the drum's own height
OFF_TARGET, OFF_TARGET_LATER = 0.2, 0.12  # a semitone; answers and last bars are freer
RUN = 0.7  # a third move the same way: a scale is no idea
LEAST_SPREAD = 12.0  # velocity: less is no difference of loudness
NOT_HOME, NOT_ROOT = 1.2, 0.7
OPEN, NARROW = 7, 0.2  # semitones that a last bar spans, and what each less costs
ONE_WAY = 1.5  # a last bar that only rises, or falls
NOT_TURNED = 0.5  # a note of it that is the idea's
TOLD_TOO_SOON = 1.5  # the note that a last bar leads to, heard just before
SHORT = 3  # notes: an idea so short is turned over whole
BEAM = 32

Said = Mapping[int, int]  # an idea: offset in the bar (ticks) -> pitch
Ladder = dict[int, float]  # what may be sung -> what it costs there, whatever the path


@dataclass(frozen=True, slots=True)
class HookLine:
    """Pitches and what they cost (lower is better)."""

    pitches: tuple[int, ...]
    cost: float

    @property
    def contour(self) -> tuple[bool, ...]:
        """Return whether the line rises, note by note."""
        return tuple(b > a for a, b in pairwise(self.pitches))


@dataclass(frozen=True)
class Singer:
    """What all lines of one hook share: its *song* and *settings*, the *beat_ticks* of its metre, and where it leads
    (*landing*).
    """

    song: Surroundings
    settings: FigureSettings
    beat_ticks: int
    landing: int | None

    @property
    def centre(self) -> int:
        """Return the pitch that the hook sings around: the middle of the range, or nearer to its landing."""
        low, high = self.settings.lowest, self.settings.highest
        middle = (low + high) // 2
        if self.landing is not None:
            middle = max(self.landing - BELOW_LANDING, min(self.landing + ABOVE_LANDING, middle))
        return max(low + AROUND, min(high - AROUND, middle))

    def find_ideas(self, rhythm: Rhythm, chords: Sequence[Chord], count: int) -> list[HookLine]:
        """Find ideas of different contour: higher drums are higher notes, louder strokes chord tones."""
        ladders = self._ladders(rhythm, chords)
        for pitch in ladders[0]:
            ladders[0][pitch] += NOT_ROOT * (pitch % 12 != chords[0].root.pc)
        lines = self._lines(ladders, rhythm, obeys=True) or self._lines(ladders, rhythm)
        fitting = [line for line in lines if NARROWEST <= max(line.pitches) - min(line.pitches) <= WIDEST]
        chosen: dict[tuple[bool, ...], HookLine] = {}
        for line in fitting or lines:
            chosen.setdefault(line.contour, line)
        return list(chosen.values())[:count]

    def say(self, idea: Said, rhythm: Rhythm, chords: Sequence[Chord]) -> HookLine:
        """Return *idea* on a bar's *rhythm* over *chords*: as it was where it can be, and what the bar adds to it."""
        ladders = self._ladders(rhythm, chords)
        as_it_was = tuple(idea.get(offset, 0) for offset in rhythm.offsets)
        if all(pitch in ladder for pitch, ladder in zip(as_it_was, ladders, strict=True)) and _obeys(
            as_it_was, rhythm.levels
        ):
            return HookLine(as_it_was, 0.0)
        for ladder, offset in zip(ladders, rhythm.offsets, strict=True):
            if offset in idea:
                ladder.update({pitch: float(abs(pitch - idea[offset])) for pitch in ladder})
        lines = self._lines(ladders, rhythm, obeys=True) or self._lines(ladders, rhythm)
        return lines[0]

    def answer(self, idea: Said, rhythm: Rhythm, chords: Sequence[Chord]) -> HookLine:
        """Return the answer to *idea*: alike with another end, or a short one turned over."""
        said, kept = self.say(idea, rhythm, chords).pitches, first_half(idea)
        targets = self._targets(rhythm)
        if not kept:
            targets = [2 * self.centre - target for target in targets]
        ladders = self._free(rhythm, chords, targets, dict(zip(rhythm.offsets, said, strict=True)), kept)
        root = chords[-1].root.pc  # home, or away from it where the idea has ended there
        is_home = said[-1] % 12 == root
        ladders[-1] = {
            p: NOT_HOME * ((p % 12 == root) == is_home) for p in self._sung(chords[-1], strong=True)
        }
        rises = said[-1] > said[0]

        def price(line: HookLine) -> tuple[float, tuple[int, ...]]:
            a, b = line.pitches[0], line.pitches[-1]
            other = b != said[-1] if kept else a != b and (b < a) == rises
            return line.cost + 3.0 * (not other) + 0.5 * (a == said[-1]), line.pitches

        return min(self._lines(ladders, rhythm), key=price)

    def lead_on(self, idea: Said, rhythm: Rhythm, chords: Sequence[Chord], kept: frozenset[int]) -> HookLine:
        """Return the last bar: the notes at the offsets *kept* as in *idea*, then open towards the landing."""
        ladders = self._free(rhythm, chords, self._targets(rhythm), idea, kept)
        if not kept:
            first = next(iter(idea.values()))
            ladders[0] = {p: 0.1 * abs(p - first) for p in ladders[0]}
        if self.landing is not None:
            near = {p: cost for p, cost in ladders[-1].items() if 1 <= abs(p - (self.landing or 0)) <= 2}
            ladders[-1] = near or ladders[-1]

        def price(line: HookLine) -> tuple[float, tuple[int, ...]]:
            narrow = max(0, OPEN - max(line.pitches) + min(line.pitches))
            soon = line.pitches[-3:].count(self.landing or 0)
            scale = len(set(line.contour)) == 1 < len(line.contour)
            sung = zip(rhythm.offsets, line.pitches, strict=True)
            tail = [idea[offset] == pitch for offset, pitch in sung if offset in idea.keys() - kept]
            same = sum(tail) + len(rhythm.claps) * all(tail)
            cost = line.cost + NARROW * narrow + TOLD_TOO_SOON * soon + ONE_WAY * scale + NOT_TURNED * same
            return cost, line.pitches

        return min(self._lines(ladders, rhythm, into=self.landing), key=price)

    def _ladders(self, rhythm: Rhythm, chords: Sequence[Chord]) -> list[Ladder]:
        """Return what each clap may sing in a statement, and what it costs to be off its drum's height."""
        return [
            {pitch: OFF_TARGET * abs(pitch - target) for pitch in self._sung(chord, strong)}
            for chord, target, strong in zip(chords, self._targets(rhythm), rhythm.strong, strict=True)
        ]

    def _free(
        self,
        rhythm: Rhythm,
        chords: Sequence[Chord],
        targets: Sequence[float],
        said: Said,
        kept: frozenset[int],
    ) -> list[Ladder]:
        """Return what each clap may sing in other bars: near *targets*, but what was *said* at the offsets *kept*."""
        return [
            {said[offset]: 0.0}
            if offset in kept & said.keys()
            else {pitch: OFF_TARGET_LATER * abs(pitch - target) for pitch in self._free_sung(chord, strong)}
            for offset, chord, target, strong in zip(
                rhythm.offsets, chords, targets, rhythm.strong, strict=True
            )
        ]

    def _targets(self, rhythm: Rhythm) -> list[float]:
        """Return the pitch that each clap's drum stands for: hard low strokes are lower, hard high ones higher."""
        claps, ranks = rhythm.claps, rhythm.levels
        top = max(ranks)
        span = SPANS[top] if top < len(SPANS) else WIDEST
        loud: dict[int, list[float]] = {}
        for clap, rank in zip(claps, ranks, strict=True):
            loud.setdefault(rank, []).append(clap.velocity)
        targets = []
        for clap, rank in zip(claps, ranks, strict=True):
            share = rank / top if top else 1.0
            own = loud[rank]
            louder = (clap.velocity - sum(own) / len(own)) / max(max(own) - min(own), LEAST_SPREAD)
            targets.append(
                self.centre + span * (share - 0.5 * (top > 0)) + DYNAMIC * louder * (2 * share - 1)
            )
        return targets

    def _sung(self, chord: Chord, strong: bool) -> list[int]:
        """Return what an idea may sing: tones of *chord* where it is *strong*, else its five tones or so as well."""
        return self._range(_chord_pcs(chord) if strong else _open_pcs(chord, self.song.harmony.key))

    def _free_sung(self, chord: Chord, strong: bool) -> list[int]:
        """Return what other bars may sing: five tones or so where it is *strong*, else the scale."""
        pcs = _open_pcs if strong else _scale_pcs
        return self._range(pcs(chord, self.song.harmony.key))

    def _range(self, pcs: frozenset[int]) -> list[int]:
        low, high = (
            max(self.settings.lowest, self.centre - AROUND),
            min(self.settings.highest, self.centre + AROUND),
        )
        return [pitch for pitch in range(low, high + 1) if pitch % 12 in pcs] or [low]

    def _lines(
        self, ladders: Sequence[Ladder], rhythm: Rhythm, into: int | None = None, *, obeys: bool = False
    ) -> list[HookLine]:
        """Return the cheapest lines with one pitch of each ladder, no note twice in a row, best first.

        *obeys* says that higher drums must be higher notes; *into* is the pitch that comes next.
        """
        beam: list[tuple[float, tuple[int, ...]]] = sorted(
            (cost, (pitch,)) for pitch, cost in ladders[0].items()
        )
        for index in range(1, len(ladders)):
            gap = rhythm.offsets[index] - rhythm.offsets[index - 1]
            share = MOTION_BETWEEN if gap >= self.beat_ticks else 1.0
            ranks = rhythm.levels if obeys else ()
            lower = [n for n, rank in enumerate(ranks[:index]) if rank < ranks[index]]
            higher = [n for n, rank in enumerate(ranks[:index]) if rank > ranks[index]]
            alone = len(ladders[index]) == 1 and not obeys  # a range so narrow that there is nothing else
            grown: list[tuple[float, tuple[int, ...]]] = []
            for cost, line in beam:
                low = max([line[n] for n in lower], default=-1)
                high = min([line[n] for n in higher], default=128)
                last, moves = line[-1], tuple([b - a for a, b in pairwise(line[-3:])])
                grown += [
                    (cost + own + share * _step_cost(moves, pitch - last), (*line, pitch))
                    for pitch, own in ladders[index].items()
                    if low < pitch < high and (pitch != last or alone)
                ]
            beam = nsmallest(BEAM, grown)
        if into is not None:
            beam = sorted((cost + landing_step_cost(into - line[-1]), line) for cost, line in beam)
        return [HookLine(line, cost) for cost, line in beam]


def first_half(idea: Said) -> frozenset[int]:
    """Return the offsets that an answer to *idea* begins with: none of a short one, which is turned over."""
    return frozenset(list(idea)[: len(idea) // 2]) if len(idea) > SHORT else frozenset()


@lru_cache(maxsize=4096)
def _step_cost(moves: tuple[int, ...], size: int) -> float:
    """Return what a move of *size* semitones costs after up to two *moves* before."""
    leap = leap_cost(move_class(moves[-1]), size) if moves else 0.0
    runs_on = len(moves) > 1 and moves[0] * size > 0 < moves[1] * size
    return motion_cost(size) + leap + RUN * runs_on


def _obeys(pitches: Sequence[int], levels: Sequence[int]) -> bool:
    """Return whether higher *levels* are higher notes, and no note comes twice in a row."""
    pairs = combinations(zip(levels, pitches, strict=True), 2)
    ordered = all(p < q if one < other else p > q for (one, p), (other, q) in pairs if one != other)
    return ordered and all(a != b for a, b in pairwise(pitches))


def _chord_pcs(chord: Chord) -> frozenset[int]:
    return frozenset(chord.tone_pcs)


@lru_cache(maxsize=256)
def _scale_pcs(chord: Chord, key: Key | None) -> frozenset[int]:
    """Return the pitch classes of *chord* and of its scale in *key*."""
    return _chord_pcs(chord) | {(chord.root.pc + step) % 12 for step in scale_in_key(chord, key)}


@lru_cache(maxsize=256)
def _open_pcs(chord: Chord, key: Key | None) -> frozenset[int]:
    """Return the tones of *chord* and those of its scale that rub against none: in a plain chord, five tones."""
    tones = _chord_pcs(chord)
    return tones | {pc for pc in _scale_pcs(chord, key) if not tones & {(pc + 1) % 12, (pc - 1) % 12}}
