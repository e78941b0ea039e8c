"""One bar of a cell as it is played: with what the drummer strikes in it, its end varied where a phrase ends."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from enum import Enum

from handgroove.groove.kit import Family, Piece
from handgroove.groove.suggest.cell_model import WHOLE, BarStruck, Cell, CellStroke, Struck, Touch
from handgroove.groove.suggest.cell_styles import CellStyle
from handgroove.groove.suggest.leaning import has_own, is_accented, leans

PHRASE_BARS = 4
CELL_ROUND_BARS = 2 * PHRASE_BARS  # after so many bars endings come round again
LIGHT_HOLD_TICKS = 320
_BESIDE_CRASH_TICKS = 720
_LIGHT = 0.62  # as loud as a chord
_PHRASE = (1.0, 1.02, 1.08, 1.04)  # how loud the bars of a phrase are: it rises to its third, and breathes
_LIFTED = 1.06
_LEAST_ANSWERED = 0.6  # of a bar's own accents, where the drummer leaves the cell


class Ending(Enum):
    """How a bar ends: as the cell has it, turned (each fourth bar), or lifted (each eighth, and a stretch's last)."""

    NONE = 0
    TURN = 1
    LIFT = 2

    @staticmethod
    def at(number: int, *, is_last: bool = False) -> Ending:
        """Return the ending of bar *number* (from 0) of a stretch."""
        if is_last or number % CELL_ROUND_BARS == CELL_ROUND_BARS - 1:
            return Ending.LIFT
        return Ending.TURN if number % PHRASE_BARS == PHRASE_BARS - 1 else Ending.NONE


def lay_bar(
    cell: Cell,
    number: int,
    struck: BarStruck,
    style: CellStyle,
    takes: frozenset[Piece],
    ending: Ending,
    *,
    after_lift: bool = False,
    crashes_ahead: Iterable[int] = (),
) -> dict[int, CellStroke]:
    """Return what bar *number* (from 0) of a stretch asks, by offset, where it has these *struck* places.

    The hand's own pieces are those it *takes*. *after_lift*: the bar before lifted the hand, and the first chord meets
    it there. *crashes_ahead* are the offsets, counted from this bar's start, of crashes in the next.
    """
    touches = {
        offset: touch
        for offset, touch in cell.bars[number % len(cell.bars)].items()
        if offset in struck and not has_crash(struck[offset])
    }
    crashes = [*(offset for offset, place in struck.items() if has_crash(place)), *crashes_ahead]
    for offset, touch in touches.items():
        if touch in WHOLE and _is_beside(offset, crashes):
            touches[offset] = Touch.INNER  # the crash has both hands' chord
    if style.lights != "none":
        _follow_drummer(touches, struck, crashes)
    touches.update((offset, Touch.CHORD) for offset, place in struck.items() if has_own(place, takes))
    if ending is not Ending.NONE:
        touches = _ended(touches, struck, ending, style)
    chords = [offset for offset, touch in touches.items() if touch in WHOLE]
    if style.is_pairs and chords and number % 2:
        touches[chords[0]] = Touch.CHORD  # the one long chord in two bars
    is_late = chords and 2 * chords[-1] >= max(touches)
    lifted = {chords[-1]} if ending is Ending.LIFT and is_late else set()
    if after_lift and chords and chords[0] == 0:
        lifted.add(0)
    loud = _PHRASE[number % PHRASE_BARS]
    return {
        offset: CellStroke(
            touch,
            _hold_ticks(touch, style),
            loud * (_LIFTED if offset in lifted else 1.0 if touch in WHOLE else _LIGHT),
            _carrier(struck[offset], takes),
            offset in lifted,
        )
        for offset, touch in touches.items()
    }


def _hold_ticks(touch: Touch, style: CellStyle) -> int:
    if touch not in WHOLE:
        return LIGHT_HOLD_TICKS
    rings = style.is_pairs and touch is Touch.CHORD
    return 1440 if rings else round(style.hold_beats * 960)


def _follow_drummer(touches: dict[int, Touch], struck: BarStruck, crashes: Collection[int]) -> None:
    """Change *touches* where the drummer leaves the cell in this bar.

    A chord that nothing leans on becomes a light stroke; a bar that has none left gets one where it is leant on first;
    and where most accents would go unanswered, light strokes answer them.
    """
    for offset, touch in touches.items():
        if touch in WHOLE and not leans(struck[offset]):
            touches[offset] = Touch.INNER
    if not any(touch in WHOLE for touch in touches.values()):
        leant = [o for o in sorted(struck) if leans(struck[o]) and not _is_beside(o, crashes)]
        if leant and not any(has_crash(place) for place in struck.values()):
            touches[leant[0]] = Touch.CHORD
    accents = [offset for offset in sorted(struck) if is_accented(struck[offset])]
    missing = [offset for offset in accents if offset not in touches and not has_crash(struck[offset])]
    lacking = _LEAST_ANSWERED * len(accents) - (len(accents) - len(missing))
    touch = Touch.THUMB
    while lacking > 0 and missing:
        touches[missing.pop(0)] = touch
        touch = Touch.INNER if touch is Touch.THUMB else Touch.THUMB
        lacking -= 1


def _ended(
    touches: dict[int, Touch], struck: BarStruck, ending: Ending, style: CellStyle
) -> dict[int, Touch]:
    """Return *touches* with the bar's end varied: from its last chord's lead on, or at its very end."""
    chords = [offset for offset in sorted(touches) if touches[offset] in WHOLE]
    lights = [offset for offset in sorted(touches) if touches[offset] not in WHOLE]
    voice = Touch.NEIGHBOUR if ending is Ending.LIFT else Touch.TOP
    if not chords or 2 * chords[-1] < max(touches):
        return _end_lightly(touches, lights, struck, ending, voice)
    last = chords[-1]
    kept = {offset: touch for offset, touch in touches.items() if offset <= last}
    leads = [offset for offset in lights if max([-1, *chords[:-1]]) < offset < last]
    if ending is Ending.LIFT:
        if leads:
            kept[leads[-1]] = voice
        # What is before the end makes room, too: where the drummer fills in what comes after, it is still another end.
        before = [offset for offset in lights if offset < last and offset not in leads[-1:]]
        if before:
            del kept[before[-1]]
        elif len(kept) == len(touches) and len(chords) > 1:
            kept[chords[-2]] = Touch.PAIR
        return kept
    if style.is_pairs:
        del kept[last]  # where all are pairs, room is what turns the phrase
    elif len(chords) > 1:
        kept[last] = Touch.PAIR
    if style.lights == "none":
        return kept
    if leads:
        del kept[leads[-1]]
    after = [offset for offset in sorted(struck) if offset >= last + 480 and not has_crash(struck[offset])]
    if after:
        kept[after[0]] = voice
    return kept


def _end_lightly(
    touches: dict[int, Touch], lights: list[int], struck: BarStruck, ending: Ending, voice: Touch
) -> dict[int, Touch]:
    """Return *touches*, of which the last are light, so that the phrase turns with fewer, or rises to a chord."""
    if not lights:
        return touches
    ended, last = {**touches, lights[-1]: voice}, lights[-1]
    leant = [offset for offset in lights[1:] if leans(struck[offset]) and not has_crash(struck[offset])]
    if ending is Ending.LIFT and leant and 2 * leant[-1] >= last:
        ended = {offset: touch for offset, touch in touches.items() if offset <= leant[-1]}
        ended[leant[-1]] = Touch.CHORD
        ended[lights[lights.index(leant[-1]) - 1]] = voice
    elif len(lights) > 1:
        del ended[lights[-2]]
    return ended


def _is_beside(offset: int, crashes: Collection[int]) -> bool:
    return any(abs(offset - crash) < _BESIDE_CRASH_TICKS for crash in crashes)


def has_crash(struck: Struck) -> bool:
    """Return whether a crash is struck there."""
    return any(piece.family is Family.CRASH for piece in struck.pieces)


def _carrier(struck: Struck, takes: frozenset[Piece]) -> Family | None:
    """Return the family that brings the stroke: None where the hand's own piece is struck, else the first."""
    return None if not takes.isdisjoint(struck.pieces) else struck.pieces[0].family
