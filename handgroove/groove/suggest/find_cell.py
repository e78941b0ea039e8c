"""Finding a cell: which places of a groove's bars the hand makes its own.

Each place is weighed by what the drummer leans on there: accents of hats and ride, kicks (pushes most), snares. The
places whose weights add up to most, far enough apart, get the chords; what leads into them, and enough of the other
accents, get light strokes. The weights are design choices.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from handgroove.groove.kit import Piece
from handgroove.groove.suggest.cell_model import BarStruck, Cell, Touch
from handgroove.groove.suggest.cell_styles import FAST_REGGAE_BPM, CellStyle
from handgroove.groove.suggest.leaning import Profile
from handgroove.timeline import Metre

_PULSE = 0.7  # less of what hats and ride do alike in every beat: that is the pulse, and no groove's own
_ONE = 0.6  # more for the bar's first place
_CLOSE = 1.0  # less where the chord before is no farther than an eighth
_LIKED = 0.8  # more where the chord before is as far as the style likes
_WEAK = 1.5  # less for a place that is leant on in fewer than half the bars
_OFTEN = 0.5  # of the bars: what the drummer strikes there is there for the cell
_LEAD_TICKS = (480, 320, 240)  # how long before its chord a stroke leads into it, the likeliest first
_CHORDS_SEC, _LIGHTS_SEC = 0.24, 0.13  # no chord sooner after another, no stroke sooner after any
TWO_BARS_FROM = 0.35  # so much of their weight must odd and even bars not share, to be a cell of two


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
