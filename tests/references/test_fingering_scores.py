"""Agreement with fingerings printed in open scores.

Source: Clara Wieck (Schumann), *Quatre Polonaises* op. 1, as music21's corpus has them, with 57 printed
fingers. Over all four
pieces 40 of the 56 that can be compared agree (71 %). Beside it: pianists agree with each other on 71.4 % of
notes, and
statistical models with pianists on 61 to 65 % (E. Nakamura, Y. Saito, K. Yoshii, 2020, "Statistical learning
and
estimation of piano fingering", Information Sciences 517:68-85; other pieces).
"""

from __future__ import annotations

import pytest

from handgroove.hands.fingering import finger
from handgroove.hands.player import HandSize, Player
from handgroove.part import Note
from handgroove.strike import Hand, Role
from handgroove.timeline import Metre, Timeline

music21 = pytest.importorskip("music21")
PIECES = tuple(f"polonaise_op1n{number}" for number in (1, 2, 3, 4))

Key = tuple[int, int, Hand]


def read_piece(name: str) -> tuple[list[Note], dict[Key, int]]:
    """Return a piece's notes and the printed fingers."""
    from music21 import articulations, corpus

    notes: dict[Key, Note] = {}
    printed: dict[Key, int] = {}
    for part, hand in zip(
        corpus.parse(f"schumann_clara/{name}").parts, (Hand.RIGHT, Hand.LEFT), strict=False
    ):
        for element in part.flatten().notes:
            if element.duration.isGrace or (element.tie is not None and element.tie.type != "start"):
                continue
            tick, length = (
                round(float(element.offset) * 960),
                max(30, round(float(element.quarterLength) * 960)),
            )
            pitches = sorted(pitch.midi for pitch in element.pitches)
            fingers = [
                a.fingerNumber for a in element.articulations if isinstance(a, articulations.Fingering)
            ]
            for pitch in pitches:
                notes[tick, pitch, hand] = Note(tick, length, pitch, 80, hand, Role.MELODY)
            if fingers and len(fingers) == len(pitches):
                fingers.sort(reverse=hand is Hand.LEFT)
                printed.update({(tick, pitch, hand): f for pitch, f in zip(pitches, fingers, strict=True)})
    return list(notes.values()), printed


@pytest.mark.filterwarnings("ignore")
def test_agreement_with_printed_fingers() -> None:
    """At least as many agree as a statistical model's do with pianists."""
    player = Player(left=HandSize(15, 13), right=HandSize(15, 13))
    same = count = 0
    for name in PIECES:
        notes, printed = read_piece(name)
        done = finger(notes, player, Timeline.of(Metre(3, 4), 100, 100))
        ours = {(note.tick, note.pitch, note.hand): note.finger for note in done}
        count += len(printed)
        same += sum(ours[key] == wanted for key, wanted in printed.items())
    assert count >= 50
    assert same / count >= 0.6, f"{same} of {count}"
