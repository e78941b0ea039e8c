"""What the right hand does between figures: bare seconds, one key hammered, bars without a chord, cells and drums.

A stroke is what the right hand strikes at one meant place. The bounds are design choices, asked of the finished part.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import inf

from handgroove.desk.desk import Desk
from handgroove.figures.plan import find_stretches
from handgroove.groove.hits import Hit, Stroke
from handgroove.groove.kit import Family, Piece
from handgroove.groove.know.knowledge import ClipKind
from handgroove.harmony.chart import Cue
from handgroove.part import Note, Part
from handgroove.strike import Hand, Role
from tests.styles import with_style
from tests.tools.music.heard import Count, Heard, Match

CHORDS_A_SEC = 5.0  # three notes struck again by the same fingers more often are a machine gun
LONGEST_RUN = 4
SECTION_BARS = 8
FEWEST_DISTINCT = 3
MATCHED_TAKES = 22
CELL_SLOTS = 48  # to a bar: sixteenths and triplets both fall on whole ones
_TIME = (Family.HAT, Family.RIDE)
_LEANS = (Family.KICK, Family.SNARE, Family.CRASH)


@dataclass(frozen=True, slots=True)
class RightStroke:
    """What the right hand strikes at the written tick *place*: its notes, low to high."""

    place: int
    notes: tuple[Note, ...]

    @property
    def pitches(self) -> tuple[int, ...]:
        """Return what is struck, low to high."""
        return tuple(note.pitch for note in self.notes)

    @property
    def is_comping(self) -> bool:
        """Return whether all of it is comping."""
        return all(note.role is Role.COMPING for note in self.notes)


def right_strokes(part: Part) -> list[RightStroke]:
    """Return the right hand's strokes in order, grace notes left out."""
    found: dict[int, list[Note]] = {}
    for note in part.hand(Hand.RIGHT):
        if not note.grace:
            found.setdefault(note.meant, []).append(note)
    return [
        RightStroke(place, tuple(sorted(found[place], key=lambda note: note.pitch)))
        for place in sorted(found)
    ]


def _stroke(desk: Desk, hit: Hit, place: int) -> Stroke:
    """Return how *hit*, meant at *place*, was struck beside others in its bar."""
    bar = desk.reading.groove.timeline.bar_at(place)
    return desk.known.levels.stroke_in_bar(hit, place - bar.start_tick, bar.metre.beat_ticks)


def _free_hits(desk: Desk) -> Iterator[tuple[Hit, int]]:
    """Yield the hits that no figure takes over, each with its meant place."""
    reading, taken = desk.reading, desk.figures.hits
    for index, (hit, place) in enumerate(zip(reading.groove.hits, reading.places, strict=True)):
        if index not in taken and index not in reading.strays and index not in reading.graces:
            yield hit, place


def _accents(desk: Desk) -> set[int]:
    """Return the places of accented strokes on hats and ride under a chord, outside figures."""
    figures = _figure_bars(desk)
    return {
        place
        for hit, place in _free_hits(desk)
        if hit.piece.family in _TIME
        and _stroke(desk, hit, place) is Stroke.ACCENT
        and _has_chord(desk, place)
        and not any(low <= place < high for low, high in figures)
    }


def _figure_bars(desk: Desk) -> list[tuple[int, int]]:
    """Return from where to where figures go on, in written ticks."""
    return find_stretches(item.meant for item in desk.figures.asked)


def _has_chord(desk: Desk, place: int) -> bool:
    span = desk.harmony.at(place)
    return span.chord is not None and span.cue is Cue.NONE


def seconds(heard: Heard) -> Count:
    """Count the two-note chords that are a second apart."""
    pairs = [stroke for stroke in right_strokes(heard.part) if len(stroke.notes) == 2]
    rubbing = [stroke for stroke in pairs if stroke.pitches[1] - stroke.pitches[0] <= 2]
    return Count(len(rubbing), len(pairs), _where(heard, rubbing[0].place) if rubbing else "")


def hammered(heard: Heard) -> Count:
    """Count the strokes of one key alone that come fifth and later in a row."""
    strokes = right_strokes(heard.part)
    run = found = longest = where = 0
    before: tuple[int, ...] = ()
    for stroke in strokes:
        run = run + 1 if len(stroke.pitches) == 1 and stroke.pitches == before else 1
        before = stroke.pitches
        if len(stroke.pitches) == 1 and run > LONGEST_RUN:
            found += 1
            if run > longest:
                longest, where = run, stroke.place
    return Count(found, len(strokes), f"{longest} in a row, {_where(heard, where)}" if found else "")


def machine_gun(heard: Heard) -> Count:
    """Count the three-note chords that are struck again sooner than a fifth of a second."""
    clock = heard.part.timeline.tick_to_sec
    pairs = [
        (clock(b.notes[0].tick) - clock(a.notes[0].tick), b.place)
        for a, b in pairwise(right_strokes(heard.part))
        if len(a.notes) > 2 and len(b.notes) > 2 and a.pitches == b.pitches and b.is_comping and a.is_comping
    ]
    quick = [place for sec, place in pairs if sec < 1 / CHORDS_A_SEC]
    return Count(len(quick), len(pairs), _where(heard, quick[0]) if quick else "")


def bare_bars(heard: Heard) -> Count:
    """Count the bars under a chord, no figure in them, in which the right hand has no two notes at once."""
    desk, part = heard.desk, heard.part
    right = part.hand(Hand.RIGHT)
    figures = _figure_bars(desk)
    bars = bare = 0
    worst = ""
    for bar in part.timeline.bars():
        inside = [place for _, place in _free_hits(desk) if bar.start_tick <= place < bar.end_tick]
        plain = inside and all(_has_chord(desk, place) for place in inside)
        if not plain or any(low < bar.end_tick and high > bar.start_tick for low, high in figures):
            continue
        bars += 1
        start, end = (
            desk.reading.played_at(tick) + desk.reading.lean_ticks for tick in (bar.start_tick, bar.end_tick)
        )
        sounding = [note for note in right if note.tick < end and note.end_tick > start]
        struck = Counter(note.meant for note in sounding if bar.start_tick <= note.meant < bar.end_tick)
        two = max(struck.values(), default=0) > 1 or any(
            a.tick < b.end_tick and b.tick < a.end_tick
            for index, a in enumerate(sounding)
            for b in sounding[index + 1 :]
        )
        if not two:
            bare += 1
            worst = worst or f"bar {bar.number}"
    return Count(bare, bars, worst)


def _windows(heard: Heard) -> Iterator[list[tuple[tuple[int, int], ...]]]:
    """Yield eight bars of one section at a time, each as its strokes (offset, voices)."""
    part = heard.part
    strokes = right_strokes(part)
    starts = {marker.tick for marker in part.sections}
    bars: list[tuple[tuple[int, int], ...]] = []
    count = 0
    for bar in part.timeline.bars():
        if bar.start_tick in starts:
            bars, count = [], 0
        count += 1
        inside = [s for s in strokes if bar.start_tick <= s.place < bar.end_tick]
        bars.append(tuple((s.place - bar.start_tick, len(s.notes)) for s in inside))
        if count == SECTION_BARS:
            yield bars
            bars, count = [], 0


def alike(heard: Heard) -> Count:
    """Count the eights of bars of one section that have fewer than three bars which differ."""
    windows = list(_windows(heard))
    return Count(sum(len(set(bars)) < FEWEST_DISTINCT for bars in windows), len(windows))


def kept(heard: Heard) -> Count:
    """Count the chords whose place in the bar most bars of their section's eight have a chord on, too."""
    found = of = 0
    for bars in _windows(heard):
        chords = [{offset for offset, voices in bar if voices > 1} for bar in bars]
        for number, bar in enumerate(chords):
            others = [other for index, other in enumerate(chords) if index % 2 == number % 2]
            for offset in bar:
                of += 1
                found += 2 * sum(offset in other for other in others) >= len(others)
    return Count(found, of)


def chords_on_strokes(heard: Heard) -> Count:
    """Count the chords outside figures that stand on a hat's or ride's accent, a crash, a kick or a snare."""
    desk = heard.desk
    leans = {place for hit, place in _free_hits(desk) if _leans(desk, hit, place)}
    chords = [s for s in right_strokes(heard.part) if s.is_comping and len(s.notes) > 1]
    on = [s for s in chords if s.place in leans]
    off = [s for s in chords if s.place not in leans]
    return Count(
        len(on), len(chords), f"{len(off)} stand beside, {_where(heard, off[0].place)}" if off else ""
    )


def _leans(desk: Desk, hit: Hit, place: int) -> bool:
    return (
        hit.piece.family in _LEANS
        or hit.piece is Piece.OPEN_HAT
        or (hit.piece.family in _TIME and _stroke(desk, hit, place) is Stroke.ACCENT)
    )


def accents_answered(heard: Heard) -> Count:
    """Count the accents of hats and ride outside figures that the right hand answers."""
    accents = _accents(heard.desk)
    struck = {stroke.place for stroke in right_strokes(heard.part)}
    lost = sorted(accents - struck)
    return Count(len(accents & struck), len(accents), f"{len(lost)} not" if lost else "")


def out_of_nothing(heard: Heard) -> Count:
    """Count the right hand's strokes outside figures where the drummer plays nothing."""
    played = set(heard.desk.reading.places)
    strokes = [stroke for stroke in right_strokes(heard.part) if stroke.is_comping]
    nothing = [stroke for stroke in strokes if stroke.place not in played]
    return Count(len(nothing), len(strokes), _where(heard, nothing[0].place) if nothing else "")


def every_hat_sounds(heard: Heard) -> Count:
    """Count the accents of hats and ride outside figures that sound in style ``every hat``."""
    desk = heard.desk.change(named_pattern=with_style(heard.desk.pattern, "every hat"))
    return accents_answered(replace(heard, desk=desk))


def _where(heard: Heard, place: int) -> str:
    return heard.part.timeline.format_position(place)


# ---- whose cell is it? ---------------------------------------------------------------------------------------


def _profile(weights: Mapping[int, float]) -> list[float]:
    """Return weights by slot of the bar as a row of mean nothing and length one."""
    mean = sum(weights.values()) / CELL_SLOTS
    row = [weights.get(slot, 0.0) - mean for slot in range(CELL_SLOTS)]
    length = sum(value * value for value in row) ** 0.5 or 1.0
    return [value / length for value in row]


def hand_profile(heard: Heard) -> list[float]:
    """Return how often the right hand comps on each slot of the bar, chords counting double."""
    counts: Counter[int] = Counter()
    for stroke in right_strokes(heard.part):
        if stroke.is_comping:
            counts[_slot(heard, stroke.place)] += 1 + (len(stroke.notes) > 1)
    return _profile(counts)


def drum_profile(heard: Heard) -> list[float]:
    """Return how often kick, snare and accented hats or ride fall on each slot of the bar."""
    counts: Counter[int] = Counter()
    for place in {place for hit, place in _free_hits(heard.desk) if _leans(heard.desk, hit, place)}:
        counts[_slot(heard, place)] += 1
    return _profile(counts)


def _slot(heard: Heard, place: int) -> int:
    bar = heard.desk.reading.groove.timeline.bar_at(place)
    return round((place - bar.start_tick) * CELL_SLOTS / bar.metre.bar_ticks) % CELL_SLOTS


def given_back(takes: Sequence[Heard]) -> Match:
    """Give the shuffled comping of takes back to their drums, each to one, so that together they agree most.

    How well two agree is the correlation of what falls on each slot of the bar. Twenty-two beats of four bars and more
    are asked, spread over the folder; of a shuffled pack one comes back by chance, whatever its size.
    """
    beats = [
        take for take in takes if take.desk.known.kind is ClipKind.BEAT and len(take.desk.known.bars) >= 4
    ]
    step = max(1.0, len(beats) / MATCHED_TAKES)
    chosen = [beats[int(index * step)] for index in range(min(MATCHED_TAKES, len(beats)))]
    hands, drums = [hand_profile(take) for take in chosen], [drum_profile(take) for take in chosen]
    cost = [[-sum(a * b for a, b in zip(hand, drum, strict=True)) for drum in drums] for hand in hands]
    given = assign(cost)
    wrong = [(index, other) for index, other in enumerate(given) if index != other]
    told = "; ".join(f"{chosen[index].name} to {chosen[other].name}" for index, other in wrong)
    return Match(len(chosen) - len(wrong), len(chosen), 1, told)


def assign(cost: Sequence[Sequence[float]]) -> list[int]:
    """Return a column for each row of the square *cost*, each column once, of the least sum.

    H. W. Kuhn, 1955, "The Hungarian method for the assignment problem", Naval Research Logistics Quarterly 2:83-97,
    in the form with potentials, from memory; a test holds it against trying all orders.
    """
    count = len(cost)
    rows, columns = [0.0] * (count + 1), [0.0] * (count + 1)
    owner = [0] * (count + 1)  # the row (from 1) that each column is given to; column 0 is where a row waits
    for row in range(1, count + 1):
        owner[0], column = row, 0
        least, way, done = [inf] * (count + 1), [0] * (count + 1), [False] * (count + 1)
        while owner[column]:
            done[column] = True
            here, delta, nearest = owner[column], inf, 0
            for other in range(1, count + 1):
                if done[other]:
                    continue
                slack = cost[here - 1][other - 1] - rows[here] - columns[other]
                if slack < least[other]:
                    least[other], way[other] = slack, column
                if least[other] < delta:
                    delta, nearest = least[other], other
            for other in range(count + 1):
                if done[other]:
                    rows[owner[other]] += delta
                    columns[other] -= delta
                else:
                    least[other] -= delta
            column = nearest
        while column:
            owner[column] = owner[way[column]]
            column = way[column]
    given = [0] * count
    for column in range(1, count + 1):
        given[owner[column] - 1] = column - 1
    return given
