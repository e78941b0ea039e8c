"""More than is asked, for hands that want it: octaves on the right hand's chords, and the chatter that was let go.

What is added gives way to every stroke (`within.py`).
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Iterator, Sequence

from handgroove.groove.kit import Family, Piece
from handgroove.groove.meant.reading import Reading
from handgroove.host.chain import Placing
from handgroove.part import Change, Omission
from handgroove.strike import Asked, Hand, Role, Strike
from handgroove.translators.loudness import ghost_velocity, right_velocity

ADDED = 0.1  # the weight of what is added: it gives way to all that is asked
OCTAVE, HIGHEST_TOP = 12, 84  # C6: from there up a doubled chord is thin (design choice)
TOP_SHARE = 0.95  # of the chord's loudness: the octave crowns it and does not shout
CHATTER_SEC = 1 / 7  # the hand rocks no quicker
STRONG = 0.9  # a stroke that matters so much gets the chord's upper pair, others the thumb
NEAR_CHANGE_TICKS = 480  # so near a change the chord may be pushed already


def find_octaves(asked: Sequence[Asked]) -> Iterator[Asked]:
    """Yield for each whole chord of the right hand its lowest note an octave up, on top."""
    for item in asked:
        strike = item.strike
        if strike.hand is not Hand.RIGHT or strike.grace or len(strike.pitches) < 3:
            continue
        top = strike.pitches[0] + OCTAVE
        if strike.pitches[-1] < top <= HIGHEST_TOP:
            velocity = max(1, round(TOP_SHARE * strike.velocity))
            added = Strike(
                (top,), velocity, Hand.RIGHT, Role.COLOUR, strike.hold_ticks, strike.until_next, weight=ADDED
            )
            yield Asked(item.tick, added, (), item.place)


def find_chatter(
    asked: Sequence[Asked],
    lines: Sequence[Omission],
    reading: Reading,
    importance: Sequence[float],
    placing: Placing,
) -> Iterator[Asked]:
    """Yield light strokes of the right hand for the hats and rides that were thinned or left out, as *lines* tell.

    Only where the hand has the time beside what it is *asked*, and a chord to play.
    """
    second = reading.groove.timeline.tick_to_sec
    struck = sorted(second(item.tick) for item in asked if item.strike.hand is Hand.RIGHT)
    for line in lines:
        for index in line.hits if line.change in {Change.THINNED, Change.LEFT_OUT} else ():
            hit, place = reading.groove.hits[index], reading.places[index]
            if hit.piece.family not in {Family.HAT, Family.RIDE} or hit.piece is Piece.PEDAL_HAT:
                continue
            here, sec = placing.at(place), second(hit.tick)
            change = here.ticks_to_change
            if not here.voicing or here.is_stop or (change is not None and change <= NEAR_CHANGE_TICKS):
                continue
            at = bisect_left(struck, sec)
            if any(abs(other - sec) < CHATTER_SEC for other in struck[max(0, at - 1) : at + 1]):
                continue
            insort(struck, sec)
            is_strong = importance[index] >= STRONG
            pitches = here.voicing[-2:] if is_strong else here.voicing[:1]
            velocity = right_velocity(hit.velocity) if is_strong else ghost_velocity(hit.velocity)
            yield Asked(
                hit.tick,
                Strike(pitches, velocity, Hand.RIGHT, Role.COMPING, 288, True, weight=ADDED),
                (index,),
                place,
            )
