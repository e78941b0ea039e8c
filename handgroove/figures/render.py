"""From a line to strikes: notes, grace notes, tremolos, the other hand's octave, and the landing of both hands."""

from __future__ import annotations

from collections.abc import Sequence

from handgroove.figures.figure_settings import Doubling, Sharing
from handgroove.figures.frame import Frame
from handgroove.figures.line import Onset
from handgroove.figures.sticking import share_hands
from handgroove.harmony.chord import Chord
from handgroove.strike import Asked, Hand, Role, Strike
from handgroove.translators.loudness import left_velocity, right_velocity

GRACE_SEC = 0.045
TREMOLO_PER_SEC = 12.0  # strokes of both fingers together: six a second each
MEASURED_TICKS = (120, 160, 240, 320, 480)  # what a measured tremolo's strokes can be written as
SOFT_START = 0.65  # a roll's first stroke beside its last
LOWEST_OCTAVE = 40
LANDING_QUARTERS = 2.0
IN_A_HURRY_SEC = 0.115  # found with the hand model: a hand opens from one note to a chord in no less


def render_line(frame: Frame, pitches: Sequence[int], tempo_bpm: float) -> list[Asked]:
    """Return the strikes of a line at *tempo_bpm* quarter notes a minute (its landing not among them)."""
    sharing = frame.settings.sharing
    hands = share_hands(frame.onsets) if sharing is Sharing.BOTH else (sharing.hand,) * len(frame.onsets)
    per_sec = tempo_bpm * 16
    asked: list[Asked] = []
    for index, onset in enumerate(frame.onsets):
        pitch, hand = pitches[index], hands[index]
        asked += _graces(frame, index, pitch, hand, round(GRACE_SEC * per_sec))
        if onset.rolled:
            asked += _tremolo(frame, index, pitch, hand, per_sec)
        else:
            asked.append(_note(onset, pitch, hand))
        low = pitch - 12
        if frame.settings.doubling is Doubling.OCTAVES and low >= LOWEST_OCTAVE and not onset.rolled:
            asked.append(_note(onset, low, hand.other, weight=0.8))
    return asked


def _note(onset: Onset, pitch: int, hand: Hand, weight: float = 1.0) -> Asked:
    loud = right_velocity if hand is Hand.RIGHT else left_velocity
    strike = Strike(
        (pitch,),
        loud(onset.velocity),
        hand,
        Role.MELODY,
        onset.length_ticks,
        until_next=True,
        weight=weight * (0.8 + 0.4 * onset.accent),
    )
    return Asked(onset.tick, strike, onset.hits, onset.place)


def _graces(frame: Frame, index: int, pitch: int, hand: Hand, apart: int) -> list[Asked]:
    """Return a flam's grace note, or a drag's two, from the scale's next steps above."""
    onset = frame.onsets[index]
    above = [step for step in frame.ladders[index] if step > pitch]
    steps = [pitch + 2] if not above else above[:1]
    found = []
    for number in range(onset.graces, 0, -1):
        velocity = max(1, round(0.6 * right_velocity(onset.velocity)))
        target = steps[0] if number % 2 else pitch
        strike = Strike((target,), velocity, hand, Role.MELODY, apart, True, weight=0.3, grace=True)
        found.append(Asked(onset.tick - number * apart, strike, onset.hits, onset.place))
    return found


def _tremolo(frame: Frame, index: int, pitch: int, hand: Hand, per_sec: float) -> list[Asked]:
    """Return a roll as a tremolo of the note and the chord tone below it, growing louder."""
    onset, chord = frame.onsets[index], frame.chords[index]
    below = next((pitch - size for size in range(3, 10) if (pitch - size) % 12 in chord.tone_pcs), pitch - 12)
    step = next((ticks for ticks in MEASURED_TICKS if per_sec / ticks <= TREMOLO_PER_SEC), MEASURED_TICKS[-1])
    count = max(2, round(onset.length_ticks / step))
    loud = right_velocity(onset.velocity)
    asked = []
    for number in range(count):
        share = SOFT_START + (1 - SOFT_START) * number / max(1, count - 1)
        strike = Strike(
            (pitch if number % 2 == 0 else below,),
            max(1, round(share * loud)),
            hand,
            Role.MELODY,
            step,
            until_next=True,
            weight=1.0 if number == 0 else 0.6,
        )
        asked.append(Asked(onset.tick + number * step, strike, onset.hits, onset.place + number * step))
    return asked


def landing_pitches(top: int, chord: Chord, since_sec: float = 1.0) -> tuple[int, ...]:
    """Return the right hand's landing, low to high: *top* and the two chord tones next below it, none a semitone away.

    (A major seventh right under the root that a figure lands on would hide it.) Only one where the last note was less
    than IN_A_HURRY_SEC before: the hand has no time to open (*since_sec*).
    """
    below = [pitch for pitch in range(top - 2, top - 13, -1) if pitch % 12 in chord.tone_pcs]
    return tuple(sorted((top, *below[: 2 if since_sec >= IN_A_HURRY_SEC else 1])))


def render_landing(
    tick: int, place: int, right: tuple[int, ...], low: int, velocity: int, hits: tuple[int, ...] = ()
) -> list[Asked]:
    """Return both hands' landing at *tick*, written at *place*: the *right* hand's pitches over *low*'s octave."""
    hold_ticks = round(LANDING_QUARTERS * 960)
    loud, soft = right_velocity(velocity), left_velocity(velocity)
    low_octave = (low, low + 12)
    return [
        Asked(
            tick, Strike(low_octave, soft, Hand.LEFT, Role.BASS, hold_ticks, True, (5, 1), 2.0), hits, place
        ),
        Asked(tick, Strike(right, loud, Hand.RIGHT, Role.MELODY, hold_ticks, True, (), 2.0), hits, place),
    ]
