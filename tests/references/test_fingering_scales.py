"""Scales and arpeggios as handbooks finger them.

Sources: C.-L. Hanon, *The Virtuoso Pianist*, no. 39, for the twelve major scales, one octave upwards. The
arpeggios (major
triads, root position, two octaves) are common practice, from memory.

Measured: left hand 11 of 12 scales, right hand 9 of 12 and all 12 where the scale runs on. Those that differ
do so at
an end, where nothing goes on: F sharp's last left-hand note takes 3 (the handbook keeps 4, ready to go on);
A flat, E
flat and B flat begin on the finger that is nearest instead of the one that the running pattern would bring
there.
Arpeggios: 5 of 12 right, 9 of 12 left. The right hand's D, A and E end 2-3-1-5 rather than 2-3-5; D flat, A
flat, E flat and
B flat take 3 for 4 at the turn or the end; the left hand's C, G and F take 5-3 where handbooks stretch 5-4.
"""

from __future__ import annotations

from handgroove.hands.fingering import finger
from handgroove.hands.player import Player
from handgroove.part import Note
from handgroove.strike import Hand, Role
from handgroove.timeline import Metre, Timeline

KEYS = {"C": 0, "Db": 1, "D": 2, "Eb": 3, "E": 4, "F": 5, "F#": 6, "G": 7, "Ab": 8, "A": 9, "Bb": 10, "B": 11}
MAJOR = (0, 2, 4, 5, 7, 9, 11)
BLACK = {1, 3, 6, 8, 10}

# right hand, left hand
HANDBOOK = {
    **dict.fromkeys(("C", "G", "D", "A", "E"), ("12312345", "54321321")),
    "B": ("12312345", "43214321"),
    "F#": ("23412312", "43213214"),
    "Db": ("23123412", "32143213"),
    "Ab": ("34123123", "32143213"),
    "Eb": ("31234123", "32143213"),
    "Bb": ("21231234", "32143213"),
    "F": ("12341234", "54321321"),
}

RIGHT_ARPEGGIOS = {
    **dict.fromkeys(("C", "G", "F", "D", "A", "E", "B", "F#"), ("1231235",)),
    **dict.fromkeys(("Db", "Ab", "Eb", "Bb"), ("4124124", "2124124")),
}
LEFT_ARPEGGIOS = {
    **dict.fromkeys(("C", "G", "F"), ("5421421",)),
    **dict.fromkeys(("D", "A", "E", "B", "F#"), ("5321321",)),
    **dict.fromkeys(("Db", "Ab", "Eb"), ("2142142",)),
    "Bb": ("3213213", "2142142"),
}


def fingers_of(pitches: list[int], hand: Hand) -> str:
    """Return the fingers of sixteenths at 100 a minute."""
    notes = [Note(i * 240, 240, pitch, 80, hand, Role.MELODY) for i, pitch in enumerate(pitches)]
    return "".join(str(note.finger) for note in finger(notes, Player(), Timeline.of(Metre(4, 4), 100, 4)))


def scale(key: str, base: int, octaves: int) -> list[int]:
    """Return a major scale upwards from *key* above *base*."""
    tonic = base + KEYS[key]
    return [tonic + 12 * octave + step for octave in range(octaves) for step in MAJOR] + [
        tonic + 12 * octaves
    ]


def test_left_hand_scales() -> None:
    """Eleven of twelve are the handbook's; F sharp differs in its last note."""
    got = {key: fingers_of(scale(key, 48, 1), Hand.LEFT) for key in KEYS}
    differ = {key: fingers for key, fingers in got.items() if fingers != HANDBOOK[key][1]}
    assert differ == {"F#": "43213213"}


def test_right_hand_scales() -> None:
    """Nine of twelve are the handbook's; three begin on another finger."""
    got = {key: fingers_of(scale(key, 60, 1), Hand.RIGHT) for key in KEYS}
    assert {key for key, fingers in got.items() if fingers != HANDBOOK[key][0]} == {"Ab", "Eb", "Bb"}


def test_right_hand_scales_that_run_on() -> None:
    """In the middle one of three octaves all twelve have the handbook's fingers."""
    for key in KEYS:
        middle = fingers_of(scale(key, 48, 3), Hand.RIGHT)[8:14]
        assert middle == HANDBOOK[key][0][1:7], key


def test_the_thumb_keeps_off_black_keys() -> None:
    """In a scale the thumb never falls on a black key, as in all of the handbook's."""
    for key in KEYS:
        for hand, base in ((Hand.RIGHT, 60), (Hand.LEFT, 48)):
            pitches = scale(key, base, 2)
            for pitch, used in zip(pitches, fingers_of(pitches, hand), strict=True):
                assert used != "1" or pitch % 12 not in BLACK, (key, hand)


def test_arpeggios() -> None:
    """At least as many of the usual fingerings come out as were measured."""
    counts = []
    for table, hand, base in ((RIGHT_ARPEGGIOS, Hand.RIGHT, 48), (LEFT_ARPEGGIOS, Hand.LEFT, 36)):
        pitches = {key: [base + KEYS[key] + step for step in (0, 4, 7, 12, 16, 19, 24)] for key in KEYS}
        counts.append(sum(fingers_of(pitches[key], hand) in usual for key, usual in table.items()))
    assert counts[0] >= 5
    assert counts[1] >= 9
