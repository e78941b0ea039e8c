"""One step easier, or one step harder: what is asked, thinned or filled out before it is settled.

Easier: comping is two notes at most and rests between quick strokes, ghosts, graces and colour go, rolls are one note,
quick second kicks go, so that the left hand has one plain line. Harder: accented chords get their top note doubled an
octave below, and accented kicks are struck in octaves; what hands can't do of it, settling takes back. The shares and
times are design choices. Whatever is left out gets its line.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from enum import StrEnum

from handgroove.hands.change_lines import GHOST_WEIGHT
from handgroove.hands.reasons import name_role
from handgroove.part import Change, Omission
from handgroove.strike import Asked, Hand, Role, Strike
from handgroove.timeline import Timeline

QUICK_COMPING_SEC = 0.3  # chords closer than this keep only the accented one
QUICK_KICK_SEC = 0.35
ACCENT = 1.0  # a weight over this is an accent
FULLEST = 4


class Ease(StrEnum):
    """How full the part is to be."""

    EASIER = "easier"
    AS_IS = "as is"
    HARDER = "harder"


def simplify(
    asked: Sequence[Asked], ease: Ease | str, timeline: Timeline
) -> tuple[list[Asked], list[Omission]]:
    """Return *asked* at *ease*, before settling, and a line for each thing that is left out or thinned."""
    ease = Ease(ease)
    if ease is Ease.AS_IS:
        return list(asked), []
    if ease is Ease.HARDER:
        return [_fuller(item) for item in asked], []
    return _easier(asked, timeline)


def _easier(asked: Sequence[Asked], timeline: Timeline) -> tuple[list[Asked], list[Omission]]:
    """Return the easier version: first whole strokes go, then chords are thinned."""
    kept: dict[int, Asked] = {}
    lines: list[Omission] = []
    last: dict[tuple[Hand, Role], tuple[int, Asked]] = {}
    for index, item in enumerate(sorted(asked, key=lambda item: item.tick)):
        strike = item.strike
        place, before = last.get((strike.hand, strike.role), (-1, None))
        reason = _too_much(strike, _since(before, item, timeline))
        # Of two quick chords the heavier stays: after a figure the first may well be the light one between the beats.
        if reason and before and strike.role is Role.COMPING and strike.weight > before.strike.weight:
            del kept[place]
            lines.append(_line(before, Change.LEFT_OUT, reason))
        elif reason:
            lines.append(_line(item, Change.LEFT_OUT, reason))
            continue
        if strike.role in (Role.KICK, Role.COMPING):
            last[strike.hand, strike.role] = index, item
        thinned = _thinned(strike)
        if thinned is not strike:
            lines.append(_line(item, Change.THINNED, "two notes of the chord, to keep it easy"))
        kept[index] = replace(item, strike=thinned)
    return list(kept.values()), lines


def _since(before: Asked | None, item: Asked, timeline: Timeline) -> float:
    """Return the seconds since the stroke before; simultaneous strokes are none of each other's business."""
    if before is None or before.tick == item.tick:
        return 1e9
    return timeline.tick_to_sec(item.tick) - timeline.tick_to_sec(before.tick)


def _too_much(strike: Strike, since_sec: float) -> str:  # noqa: PLR0911 - one return for each reason
    """Return why *strike* goes from the easier version, or nothing."""
    if strike.grace:
        return "no grace notes, to keep it easy"
    if strike.delay_ticks > 0 and strike.role in (Role.SNARE, Role.COLOUR):
        return "rolls as one note, to keep it easy"
    if strike.role is Role.COLOUR:
        return "no colour notes, to keep it easy"
    if strike.role in (Role.KICK, Role.SNARE) and strike.weight < GHOST_WEIGHT:
        return "no ghost notes, to keep it easy"
    if strike.weight > ACCENT:
        return ""
    if strike.role is Role.KICK and since_sec < QUICK_KICK_SEC:
        return "quick second kicks left out, to keep it easy"
    if strike.role is Role.COMPING and since_sec < QUICK_COMPING_SEC:
        return "quick chords between the accents left out, to keep it easy"
    return ""


def _thinned(strike: Strike) -> Strike:
    """Return *strike* with at most its outer two notes, where it's comping."""
    if strike.role is not Role.COMPING or len(strike.pitches) < 3:
        return strike
    fingers = (strike.fingers[0], strike.fingers[-1]) if strike.fingers else ()
    return replace(strike, pitches=(strike.pitches[0], strike.pitches[-1]), fingers=fingers)


def _fuller(item: Asked) -> Asked:
    """Return *item* with an octave added, where it's an accent and a hand could have room for it."""
    strike = item.strike
    if strike.weight <= ACCENT or strike.grace or len(strike.pitches) >= FULLEST:
        return item
    if strike.role is Role.COMPING and strike.hand is Hand.RIGHT:
        added = strike.pitches[-1] - 12
    elif strike.role is Role.KICK and strike.hand is Hand.LEFT:
        added = strike.pitches[0] + 12
    else:
        return item
    if added in strike.pitches:
        return item
    pitches = tuple(sorted((*strike.pitches, added)))
    fingers: tuple[int, ...] = ()
    if strike.fingers:
        given = dict(zip(strike.pitches, strike.fingers, strict=True))
        fingers = tuple(given.get(pitch, 0) for pitch in pitches)
    return replace(item, strike=replace(strike, pitches=pitches, fingers=fingers))


def _line(item: Asked, change: Change, reason: str) -> Omission:
    return Omission(item.meant, change, name_role(item.strike.role), reason, item.strike.hand, item.hits)
