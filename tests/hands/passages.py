"""Random passages for property tests: anything a translator could ask, and much that none should."""

from __future__ import annotations

from hypothesis import strategies as st

from handgroove.hands.player import HandSize, Player
from handgroove.part import Note
from handgroove.strike import Asked, Hand, Role, Strike
from handgroove.timeline import Metre, Timeline

PLAYERS = [
    Player("octave", HandSize(12, 10), HandSize(12, 10)),
    Player(),
    Player("tenth", HandSize(16, 14), HandSize(17, 15)),
    Player("crossing", may_cross=True),
]


@st.composite
def strikes(draw: st.DrawFn) -> Strike:
    """Draw one strike: a chord or a note, anywhere, with or without fingers."""
    hand = draw(st.sampled_from(list(Hand)))
    centre = draw(st.integers(30, 60)) if hand is Hand.LEFT else draw(st.integers(52, 85))
    pitches = tuple(sorted(draw(st.sets(st.integers(centre - 9, centre + 9), min_size=1, max_size=5))))
    fingers: tuple[int, ...] = ()
    if draw(st.booleans()):
        chosen = sorted(draw(st.permutations(range(1, 6)))[: len(pitches)], reverse=hand is Hand.LEFT)
        fingers = tuple(draw(st.sampled_from((0, finger))) for finger in chosen)
    return Strike(
        pitches,
        draw(st.integers(1, 127)),
        hand,
        draw(st.sampled_from(list(Role))),
        draw(st.sampled_from((30, 120, 240, 480, 960, 3840))),
        until_next=draw(st.booleans()),
        fingers=fingers,
        weight=draw(st.sampled_from((0.3, 1.0, 1.5))),
        grace=draw(st.integers(0, 9)) == 0,
        second=draw(st.sampled_from((-1, -1, centre - 2, centre + 7))),
        spare=draw(st.sampled_from((-1, -1, centre + 4))),
    )


@st.composite
def passages(draw: st.DrawFn) -> tuple[Asked, ...]:
    """Draw a passage of up to thirty strikes, from leisurely to impossible."""
    tick, asked = 0, []
    for index in range(draw(st.integers(1, 30))):
        tick += draw(st.sampled_from((0, 0, 7, 20, 35, 61, 80, 120, 240, 480, 960)))
        asked.append(Asked(tick, draw(strikes()), (index,)))
    return tuple(asked)


@st.composite
def timelines(draw: st.DrawFn) -> Timeline:
    """Draw a timeline of one tempo."""
    return Timeline.of(Metre(4, 4), draw(st.sampled_from((60, 97, 112, 140, 220))), 8)


def ask_again(notes: tuple[Note, ...]) -> list[Asked]:
    """Return settled notes as strikes, exactly as they are."""
    return [
        Asked(
            note.tick,
            Strike(
                (note.pitch,),
                note.velocity,
                note.hand,
                note.role,
                note.length_ticks,
                fingers=(note.finger,),
                weight=note.weight,
                grace=note.grace,
            ),
            note.hits,
            note.place,
        )
        for note in notes
    ]
