"""What a hand makes of a drummer's graces and rolls: little notes before the main one, a tremolo, or more weight.

Graces take other keys than the main note, and other fingers (one key at 30 ms is 33 strokes a second: no action does
it), never the octave below it, where the kick lives. Common practice at the keyboard, no source.
"""

from __future__ import annotations

from dataclasses import replace

from handgroove.harmony.chord import Chord
from handgroove.strike import Hand, Moment, Strike

NEAR_TONE = 3  # semitones: a chord tone so near below is the grace, else the scale's step
FINGER_SPAN = 5  # semitones from one finger's key to the next one's, with ease
GRACE_SHARE = 0.5  # of the main note's loudness
LEAST_SEC = 0.01  # closer strokes are heard as one
APART_SEC = 0.03  # later strokes are heard by themselves
WRITTEN_APART = 120  # ticks: a rebound is written a thirty-second after its stroke
REBOUND_SHARE = 0.8  # of the main note's loudness
THIRDS_FROM = 48  # C3: below it a tremolo is of root and octave (low interval limits)
# Two fingers in turn (Aoki, Kinoshita 2001, see hands/player.py); 12 is the most that is wanted
TREMOLO_HZ = 9.0
DIVISIONS = (2, 3, 4, 6, 8)  # of a quarter: what a measured tremolo is written in
ACCENTED = 1.15  # how much louder a note is that stands for several strokes


def grace_keys(main: int, chord: Chord | None, count: int, floor: int) -> list[int]:
    """Return up to *count* keys below *main* for graces, nearest first: chord tones or scale steps above *floor*."""
    tones = chord.pcs if chord else frozenset({main % 12, (main - 2) % 12, (main - 5) % 12})
    scale = chord.scale_pcs if chord else frozenset()
    keys: list[int] = []
    at, near = main, NEAR_TONE
    for _ in range(count):
        below = [key for key in range(at - 1, at - FINGER_SPAN - 1, -1) if key > floor and key != main - 12]
        places = (
            [key for key in below if key % 12 in tones and at - key <= near]
            or [key for key in below if key % 12 in scale and at - key <= 2]
            or [key for key in below if key % 12 in tones]
            or [key for key in below if at - key == 2]
        )
        if not places:
            break
        at, near = places[0], FINGER_SPAN
        keys.append(at)
    return keys


def second_key(main: int, moment: Moment) -> int:
    """Return the key below *main* that the second finger takes where a stroke comes too soon for the first, or -1.

    A chord tone, so that it stays in the chord; a scale step only where none is near enough.
    """
    tones = moment.chord.pcs if moment.chord else ()
    for key in range(main - 1, max(main - FINGER_SPAN - 1, moment.low), -1):
        if key % 12 in tones:
            return key
    return next(iter(grace_keys(main, moment.chord, 1, moment.low)), -1)


def spare_key(main: int, moment: Moment) -> int:
    """Return the chord tone a third or more above *main*, for a stroke whose second key is taken too, or -1."""
    tones = moment.chord.pcs if moment.chord else ()
    highest = min(main + FINGER_SPAN, moment.voicing[0] - 1 if moment.voicing else main)
    return next((key for key in range(main + NEAR_TONE, highest + 1) if key % 12 in tones), -1)


def with_graces(main: Strike, moment: Moment) -> list[Strike]:
    """Return *main* with a little note before it for each grace that the drummer leads to it with.

    They keep the drummer's timing. Those for which there is no key, and those that come with the main stroke, are part
    of it.
    """
    if not moment.graces:
        return [main]
    times = [ticks for ticks, _ in moment.graces if ticks <= -moment.ticks(LEAST_SEC)]
    keys = grace_keys(main.pitches[0], moment.chord, len(times), moment.low)
    times = times[len(times) - len(keys) :]
    # The left thumb's neighbours are the fingers after it; a right hand chooses its own.
    thumb = main.hand is Hand.LEFT and main.fingers == (1,)
    strikes = []
    for place, (ticks, after) in enumerate(zip(times, [*times[1:], 0], strict=False)):
        key = keys[len(keys) - 1 - place]
        strikes.append(
            Strike(
                (key,),
                max(1, round(GRACE_SHARE * main.velocity)),
                main.hand,
                main.role,
                after - ticks,
                fingers=(len(keys) + 1 - place,) if thumb else (),
                weight=main.weight,
                delay_ticks=ticks,
                grace=True,
            )
        )
    return [*strikes, main]


def with_rebound(main: Strike, moment: Moment) -> list[Strike]:
    """Return *main*, and after it its rebound on the key below, if that comes late enough to be told apart."""
    late = [ticks for ticks, _ in moment.graces if ticks >= moment.ticks(APART_SEC)]
    change = moment.ticks_to_change
    if not late or main.second < 0 or (change is not None and change <= WRITTEN_APART):
        return [main]
    soft = max(1, round(REBOUND_SHARE * main.velocity))
    fingers = (2,) if main.fingers == (1,) else ()
    fallen = replace(
        main, pitches=(main.second,), velocity=soft, fingers=fingers, delay_ticks=late[0], second=-1, spare=-1
    )
    return [replace(main, hold_ticks=min(main.hold_ticks, late[0])), fallen]


def as_accent(main: Strike, ceiling: int = 127) -> Strike:
    """Return *main* a little louder, for the strokes that it stands for (velocity at most *ceiling*)."""
    return replace(main, velocity=max(main.velocity, min(round(ACCENTED * main.velocity), ceiling)))


def as_held(main: Strike, moment: Moment) -> list[Strike]:
    """Return *main* accented and held for as long as the roll lasts."""
    return [replace(as_accent(main), hold_ticks=max(main.hold_ticks, _length(moment)))]


def as_tremolo(main: Strike, moment: Moment) -> list[Strike]:
    """Return the roll as *main* and a lower key in turn, in measured notes; one held note where it is too short.

    The lower key is a chord tone a third or more below from C3 up, and the low note further down.
    """
    key, unit = main.pitches[0], _unit(moment)
    times = range(0, _length(moment) - unit // 2, unit)
    tones = moment.chord.pcs if moment.chord else frozenset({(key - 3) % 12, (key - 5) % 12})
    third = next((low for low in range(key - 3, key - 8, -1) if low % 12 in tones), key - 12)
    lower = third if key >= THIRDS_FROM else moment.low
    if len(times) < 2 or lower >= key:
        return as_held(main, moment)
    return [
        replace(
            main,
            pitches=(lower if place % 2 else key,),
            hold_ticks=unit,
            until_next=False,
            fingers=(5 if place % 2 else 1,) if main.hand is Hand.LEFT and main.fingers else (),
            delay_ticks=ticks,
            second=-1,
            spare=-1,
        )
        for place, ticks in enumerate(times)
    ]


def _length(moment: Moment) -> int:
    """Return how many ticks the roll lasts, its last stroke's own time included; a chord that comes ends it."""
    last = max((ticks for ticks, _ in moment.graces), default=0)
    strokes = sum(ticks > 0 for ticks, _ in moment.graces)
    whole = last + last // max(1, strokes)
    return whole if moment.ticks_to_change is None else min(whole, moment.ticks_to_change)


def _unit(moment: Moment) -> int:
    """Return the ticks of the shortest value that two fingers can play in turn at the moment's tempo."""
    beats_a_sec = moment.tempo_bpm / 60
    fast = [parts for parts in DIVISIONS if parts * beats_a_sec <= TREMOLO_HZ]
    return 960 // (fast[-1] if fast else 1)
