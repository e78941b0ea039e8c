"""Finding a cell: which places of a groove's bars the hand makes its own.

Each place is weighed by what the drummer leans on there: accents of hats and ride, kicks (pushes most), snares. The
places whose weights add up to most, far enough apart, get the chords; what leads into them, and enough of the other
accents, get light strokes. The weights are design choices.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field

from handgroove.groove.hits import Stroke
from handgroove.groove.kit import Family, Piece
from handgroove.groove.suggest.cell_model import BarStruck, Cell, Struck, Touch
from handgroove.groove.suggest.cell_styles import FAST_REGGAE_BPM, CellStyle
from handgroove.timeline import Metre

TIME = frozenset({Family.HAT, Family.RIDE})
_ALWAYS_STRONG = frozenset({Family.KICK, Family.CRASH})
_WEIGHT = {Family.KICK: 1.0, Family.SNARE: 1.0, Family.CRASH: 1.0, Family.TOM: 0.5, Family.HAND: 0.4}
_ACCENT, _PLAIN, _GHOST = 1.0, 0.3, 0.1  # of a hat or ride; a ghost of any drum
_OPEN = 1.8  # an open hat sings
_PUSH, _ANSWER, _UPBEAT = 1.0, 1.0, 0.6  # more for a kick, a snare, a hat's or ride's accent off the beat
_OFF_BEAT = {Family.KICK: _PUSH, Family.SNARE: _ANSWER}
_PULSE = 0.7  # less of what hats and ride do alike in every beat: that is the pulse, and no groove's own
_ONE = 0.6  # more for the bar's first place
_CLOSE = 1.0  # less where the chord before is no farther than an eighth
_LIKED = 0.8  # more where the chord before is as far as the style likes
_WEAK = 1.5  # less for a place that is leant on in fewer than half the bars
_OFTEN = 0.5  # of the bars: what the drummer strikes there is there for the cell
_LEAD_TICKS = (480, 320, 240)  # how long before its chord a stroke leads into it, the likeliest first
_CHORDS_SEC, _LIGHTS_SEC = 0.24, 0.13  # no chord sooner after another, no stroke sooner after any
TWO_BARS_FROM = 0.35  # so much of their weight must odd and even bars not share, to be a cell of two


def leans(struck: Struck) -> bool:
    """Return whether the drummer leans on a place: an accent of hats or ride, an open hat, a kick, snare or crash."""
    for piece, stroke in zip(struck.pieces, struck.strokes, strict=True):
        family = piece.family
        if family in _ALWAYS_STRONG or piece is Piece.OPEN_HAT:
            return True
        if (
            stroke is Stroke.ACCENT
            if family in TIME
            else family is Family.SNARE and stroke is not Stroke.GHOST
        ):
            return True
    return False


def is_accented(struck: Struck) -> bool:
    """Return whether a hat or ride has an accent there."""
    return Stroke.ACCENT in struck.strokes and any(
        piece.family in TIME and stroke is Stroke.ACCENT
        for piece, stroke in zip(struck.pieces, struck.strokes, strict=True)
    )


def has_own(struck: Struck, takes: frozenset[Piece]) -> bool:
    """Return whether a snare is struck or a drum accented there that the hand *takes*, no hat or ride: it stays."""
    return any(
        piece in takes
        and piece.family not in TIME
        and (stroke is Stroke.ACCENT or (piece.family is Family.SNARE and stroke is not Stroke.GHOST))
        for piece, stroke in zip(struck.pieces, struck.strokes, strict=True)
    )


def _answers(struck: Struck) -> bool:
    """Return whether a kick or a snare that is no ghost is struck there."""
    return any(
        piece.family is Family.KICK or (piece.family is Family.SNARE and stroke is not Stroke.GHOST)
        for piece, stroke in zip(struck.pieces, struck.strokes, strict=True)
    )


def _weigh(struck: Struck, offset: int, beat_ticks: int) -> tuple[float, float]:
    """Return what hats and ride weigh on a place, and what the other pieces do."""
    time, weight, off = 0.0, 0.0, offset % beat_ticks != 0
    for piece, stroke in zip(struck.pieces, struck.strokes, strict=True):
        family = piece.family
        if piece is Piece.OPEN_HAT:
            time += _OPEN + _UPBEAT * off
        elif family in TIME:
            time += _ACCENT if stroke is Stroke.ACCENT else _PLAIN if stroke is Stroke.NORMAL else _GHOST
            time += _UPBEAT if off and stroke is Stroke.ACCENT else 0.0
        elif stroke is Stroke.GHOST and family is not Family.KICK:
            weight += _GHOST
        else:
            weight += _WEIGHT[family] + (_OFF_BEAT.get(family, 0.0) if off else 0.0)
    return time, weight


@dataclass(slots=True)
class Profile:
    """What the bars of a stretch have on each place: weight, and how many bars strike, lean on or accent it."""

    bars: int = 0
    weight: dict[int, float] = field(default_factory=dict)
    time: dict[int, float] = field(default_factory=dict)
    struck: dict[int, int] = field(default_factory=dict)
    leant: dict[int, int] = field(default_factory=dict)
    accents: dict[int, int] = field(default_factory=dict)
    own: dict[int, int] = field(default_factory=dict)
    pushes: dict[int, int] = field(default_factory=dict)

    def add(self, bar: BarStruck, beat_ticks: int, takes: frozenset[Piece]) -> None:
        """Count one more bar in; *takes* are the pieces that the hand itself takes."""
        self.bars += 1
        for offset, struck in bar.items():
            time, others = _weigh(struck, offset, beat_ticks)
            self.weight[offset] = self.weight.get(offset, 0.0) + time + others
            self.time[offset] = self.time.get(offset, 0.0) + time
            self.struck[offset] = self.struck.get(offset, 0) + 1
            self.leant[offset] = self.leant.get(offset, 0) + leans(struck)
            self.accents[offset] = self.accents.get(offset, 0) + is_accented(struck)
            if offset % beat_ticks and _answers(struck):
                self.pushes[offset] = self.pushes.get(offset, 0) + 1
            self.own[offset] = self.own.get(offset, 0) + has_own(struck, takes)


def find_cell(
    bars: Sequence[BarStruck], metre: Metre, tempo_bpm: float, style: CellStyle, takes: frozenset[Piece]
) -> Cell:
    """Find the cell that *bars* of one stretch suggest in *style*; the hand's own pieces are those it *takes*.

    An empty bar tells nothing, but keeps its turn among odd and even ones.
    """
    halves = [_profile(bars[first::2], metre, takes) for first in (0, 1)]
    both = all(half.bars for half in halves) and (style.bars == 2 or (not style.bars and _differ(*halves)))
    profiles = halves if both else [_profile(bars, metre, takes)]
    return Cell(tuple(_find_bar(profile, metre, tempo_bpm, style) for profile in profiles))


def _profile(bars: Sequence[BarStruck], metre: Metre, takes: frozenset[Piece]) -> Profile:
    profile = Profile()
    for bar in filter(None, bars):
        profile.add(bar, metre.beat_ticks, takes)
    return profile


def _differ(odd: Profile, even: Profile) -> bool:
    """Return whether odd and even bars of a stretch are two ideas in turn."""
    if odd.bars < 2 or even.bars < 2:
        return False
    apart = together = 0.0
    for offset in odd.weight.keys() | even.weight.keys():
        a, b = odd.weight.get(offset, 0.0) / odd.bars, even.weight.get(offset, 0.0) / even.bars
        apart += abs(a - b)
        together += a + b
    return apart > TWO_BARS_FROM * together


def _find_bar(profile: Profile, metre: Metre, tempo_bpm: float, style: CellStyle) -> dict[int, Touch]:
    chords = _place_chords(profile, metre, tempo_bpm, style)
    touches = dict.fromkeys(chords, Touch.PAIR if style.is_pairs else Touch.CHORD)
    if style.lights != "none":
        _add_lights(touches, profile, metre.bar_ticks, tempo_bpm, style)
    return dict(sorted(touches.items()))


def _place_chords(profile: Profile, metre: Metre, tempo_bpm: float, style: CellStyle) -> list[int]:
    """Return the offsets whose weights add up to most, with as many chords as the style has (dynamic programming)."""
    own = [offset for offset, count in profile.own.items() if 2 * count >= profile.bars and count]
    if own:
        return sorted(own)
    beat = metre.beat_ticks
    worth: dict[int, float] = {}
    pulse = {
        phase: min(profile.time.get(offset, 0.0) for offset in range(phase, metre.bar_ticks, beat))
        for phase in {offset % beat for offset in profile.weight}
    }
    for offset, weight in sorted(profile.weight.items()):
        if style.places and not _is_at(style.places, offset, metre, tempo_bpm):
            continue
        value = (
            weight / profile.bars + (0.0 if offset % beat == 0 else style.pull) + (0.0 if offset else _ONE)
        )
        value -= _PULSE * pulse[offset % beat] / profile.bars
        if 2 * profile.leant[offset] < profile.bars:
            value -= _WEAK
        worth[offset] = value
    beats = metre.bar_ticks / (960 if not metre.is_compound else beat)
    wanted = max(1, round(style.chords * beats / 4))
    gap = max(style.gap_beats * (beat if metre.is_compound else 960), _CHORDS_SEC * tempo_bpm * 16)
    return _choose(worth, wanted, round(gap), metre.bar_ticks, style)


def _is_at(places: str, offset: int, metre: Metre, tempo_bpm: float) -> bool:
    """Return whether *offset* is one of the style's *places*."""
    quarter, rest = divmod(offset, 960)
    if places == "upbeats" and tempo_bpm < FAST_REGGAE_BPM:
        return rest == 480
    return rest == 0 and quarter % 2 == 1


def _choose(worth: Mapping[int, float], wanted: int, gap: int, bar_ticks: int, style: CellStyle) -> list[int]:
    offsets = list(worth)
    one = worth.get(0, 0.0) > 0.5
    liked = round(style.gap_liked_beats * 960)
    # best[count][index]: the most that count chords are worth, the last of them at offsets[index]
    best: list[list[tuple[float, int]]] = [[(worth[offset], -1) for offset in offsets]]
    for _ in range(1, wanted):
        row = []
        for index, offset in enumerate(offsets):
            top = (-1e9, -1)
            for before in range(index):
                apart = offset - offsets[before]
                if apart < gap:
                    continue
                value = best[-1][before][0] - (_CLOSE if apart <= 480 else 0.0)
                value += _LIKED if apart == liked else 0.0
                if value > top[0]:
                    top = (value, before)
            row.append((top[0] + worth[offset], top[1]))
        best.append(row)
    found: tuple[float, int, int] = (-1e9, 0, 0)
    for count, row in enumerate(best):
        for index, offset in enumerate(offsets):
            value = row[index][0] - (_CLOSE if one and bar_ticks - offset <= 480 else 0.0)
            if value > found[0]:
                found = (value, count, index)
    chosen = []
    value, count, index = found
    while offsets and value > 0 and index >= 0:
        chosen.append(offsets[index])
        index = best[count][index][1]
        count -= 1
    return chosen[::-1]


def _add_lights(
    touches: dict[int, Touch], profile: Profile, bar_ticks: int, tempo_bpm: float, style: CellStyle
) -> None:
    """Add to *touches* the light strokes: what leads into chords, and accents until enough are answered."""
    near = round(_LIGHTS_SEC * tempo_bpm * 16)
    often = {offset for offset, count in profile.struck.items() if count >= _OFTEN * profile.bars}
    chords = list(touches)

    def is_free(offset: int) -> bool:
        return all(abs(offset - other) >= near for other in touches)

    if style.lights == "between":
        wanted = [offset for offset in sorted(often) if offset % 160 == 0]
    else:
        leant = {offset for offset in often if profile.leant[offset] >= _OFTEN * profile.bars}
        leads = [_find_lead(chord, chords, leant, bar_ticks) for chord in chords]
        leads = [
            lead if lead >= 0 else _find_lead(chord, chords, often, bar_ticks)
            for chord, lead in zip(chords, leads, strict=True)
        ]
        pushes = [offset for offset, count in profile.pushes.items() if count >= _OFTEN * profile.bars]
        wanted = [*(lead for lead in leads if lead >= 0), *sorted(pushes)]
    for offset in wanted:
        if is_free(offset):
            touches[offset] = Touch.THUMB
    aim = style.answered * sum(profile.accents.values())
    answered = sum(profile.accents.get(offset, 0) for offset in touches)
    for offset in sorted(
        profile.accents, key=lambda offset: (-profile.accents[offset], -profile.weight[offset], offset)
    ):
        if answered >= aim or not profile.accents[offset]:
            break
        if is_free(offset):
            touches[offset] = Touch.THUMB
            answered += profile.accents[offset]
    before = None
    for offset in sorted(touches):
        if touches[offset] is before is Touch.THUMB:
            touches[offset] = Touch.INNER
        before = touches[offset]


def _find_lead(chord: int, chords: Sequence[int], often: Collection[int], bar_ticks: int) -> int:
    """Return the offset from which a light stroke leads into *chord*, or -1; into a bar's first place from its end."""
    for ticks in _LEAD_TICKS:
        offset = (chord - ticks) % bar_ticks
        if offset in often and not any(0 <= offset - other < 480 for other in chords):
            return offset
    return -1
