"""Hits through the chain: causal, fenced, and with what a moment may know."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from handgroove.groove.hits import Hit, Stroke
from handgroove.groove.kit import Family, Piece
from handgroove.groove.know.levels import DEFAULT_LEVELS
from handgroove.groove.meant.gestures import GestureKind
from handgroove.host.chain import Chain
from handgroove.host.links import Link
from handgroove.host.own_strokes import ChordHere, Taken
from handgroove.strike import Hand, LeaveOut, Moment, Role, Strike
from handgroove.timeline import Timeline
from tests.translators.moments import AM7, FMAJ7


class TwoBars:
    """A bar of Am7, then Fmaj7 for ever."""

    def at(self, tick: int) -> ChordHere:
        """Return what holds at *tick*."""
        if tick < 3840:
            return ChordHere(AM7, (60, 64, 67), 33, FMAJ7, (60, 64, 69), 29, 3840 - tick)
        return ChordHere(FMAJ7, (60, 64, 69), 29)


@dataclass
class Spy:
    """A translator that remembers its moments and answers as told."""

    answer: Any
    moments: list[Moment]

    def strikes(self, hit: Hit, moment: Moment) -> Any:
        """Remember the moment and answer."""
        self.moments.append(moment)
        if isinstance(self.answer, Exception):
            raise self.answer
        return self.answer


def strike(hand: Hand = Hand.LEFT, **changes: Any) -> Strike:
    """Return a strike of one note."""
    return Strike(
        **{"pitches": (40,), "velocity": 80, "hand": hand, "role": Role.KICK, "hold_ticks": 480, **changes}
    )


def chain_of(*spies: tuple[Piece, Spy], hand: Hand | None = None) -> Chain:
    """Return a chain in which each spy takes one piece."""
    links = [Link(f"spy {n}", frozenset({piece}), spy, hand) for n, (piece, spy) in enumerate(spies)]
    return Chain(links, TwoBars(), DEFAULT_LEVELS, Timeline(end_tick=7680))


def take(chain: Chain, index: int, hit: Hit, place: int | None = None) -> Taken:
    """Let *chain* take *hit*, meant at *place* (None = where it is struck)."""
    return chain.take(index, hit, hit.tick if place is None else place)


def test_a_moment_knows_bar_chord_and_what_comes_next() -> None:
    """On the last eighth of bar 1 the chord is Am7, Fmaj7 an eighth away with its own voicing and low note."""
    spy = Spy([strike()], [])
    take(chain_of((Piece.KICK, spy)), 0, Hit(3360, Piece.KICK, 80))
    (moment,) = spy.moments
    assert (moment.bar, moment.offset_ticks, moment.tempo_bpm) == (1, 3360, 120)
    assert (moment.chord, moment.next_chord, moment.ticks_to_change) == (AM7, FMAJ7, 480)
    assert (moment.low, moment.next_low, moment.next_voicing) == (33, 29, (60, 64, 69))


def test_a_hair_before_the_bar_line_is_the_new_bar() -> None:
    """A hit 20 ticks early that is meant on the bar line belongs to the bar and chord that it leads into."""
    spy = Spy([strike()], [])
    take(chain_of((Piece.KICK, spy)), 0, Hit(3820, Piece.KICK, 80), 3840)
    assert (spy.moments[0].bar, spy.moments[0].offset_ticks, spy.moments[0].chord) == (2, 0, FMAJ7)


def test_what_is_struck_together_is_known_to_the_later_hit() -> None:
    """A snare 10 ticks after a kick knows of it; a snare an eighth later does not."""
    kick, snare = Spy([strike()], []), Spy([strike()], [])
    chain = chain_of((Piece.KICK, kick), (Piece.SNARE, snare))
    take(chain, 0, Hit(0, Piece.KICK, 80))
    take(chain, 1, Hit(10, Piece.SNARE, 80), 0)
    take(chain, 2, Hit(490, Piece.SNARE, 80), 480)
    assert snare.moments[0].together == {Family.KICK, Family.SNARE}
    assert snare.moments[1].together == {Family.SNARE}


def test_rate_and_distance_are_per_family() -> None:
    """Hats in eighths at 120 come four a second, whatever the kick does."""
    hat, kick = Spy([strike(Hand.RIGHT)], []), Spy([strike()], [])
    chain = chain_of((Piece.CLOSED_HAT, hat), (Piece.KICK, kick))
    for index in range(8):
        take(chain, 2 * index, Hit(480 * index, Piece.KICK, 80))
        take(chain, 2 * index + 1, Hit(480 * index, Piece.CLOSED_HAT, 80))
    assert hat.moments[0].since_ticks is None
    assert hat.moments[-1].since_ticks == 480
    assert 3.9 < hat.moments[-1].rate < 4.1


def test_what_a_hand_holds_is_known() -> None:
    """While the left hand is asked to hold a note, later moments say so."""
    kick, hat = Spy([strike(hold_ticks=960)], []), Spy([strike(Hand.RIGHT)], [])
    chain = chain_of((Piece.KICK, kick), (Piece.CLOSED_HAT, hat))
    for index, item in enumerate(
        (Hit(0, Piece.KICK, 80), Hit(480, Piece.CLOSED_HAT, 80), Hit(960, Piece.CLOSED_HAT, 80))
    ):
        take(chain, index, item)
    assert [moment.left for moment in hat.moments] == [(40,), ()]


def test_hats_all_alike_take_their_accents_from_the_metre() -> None:
    """Where a hat's velocities say nothing, beats are accents and what lies between is not."""
    spy = Spy([strike()], [])
    chain = chain_of((Piece.CLOSED_HAT, spy))
    for index in range(4):
        take(chain, index, Hit(480 * index, Piece.CLOSED_HAT, 90))
    assert [moment.stroke for moment in spy.moments] == [Stroke.ACCENT, Stroke.NORMAL] * 2


def test_a_translator_that_raises_is_bypassed_and_told() -> None:
    """The first failure is a fault with the error in it; later hits go round the translator, others play on."""
    bad, good = Spy(ValueError("boom"), []), Spy([strike()], [])
    chain = chain_of((Piece.SNARE, bad), (Piece.KICK, good))
    assert "failed" in take(chain, 0, Hit(0, Piece.SNARE, 80)).reason
    assert "failed" in take(chain, 1, Hit(100, Piece.SNARE, 80)).reason
    assert take(chain, 2, Hit(200, Piece.KICK, 80)).asked
    assert [(fault.name, fault.error) for fault in chain.faults] == [("spy 0", "ValueError: boom")]
    assert len(bad.moments) == 1


def test_an_answer_that_is_no_answer_is_a_fault_too() -> None:
    """A translator that returns something else than strikes is bypassed, not passed on."""
    chain = chain_of((Piece.SNARE, Spy(42, [])))
    assert take(chain, 0, Hit(0, Piece.SNARE, 80)).asked == ()
    assert len(chain.faults) == 1


def test_no_hit_goes_without_strikes_or_a_reason() -> None:
    """An untaken piece, a leave-out and an empty answer each have their reason."""
    chain = chain_of((Piece.SNARE, Spy(LeaveOut("as the pattern says"), [])), (Piece.KICK, Spy([], [])))
    reasons = [take(chain, 0, Hit(0, piece, 80)).reason for piece in (Piece.SNARE, Piece.KICK, Piece.COWBELL)]
    assert reasons == [
        "as the pattern says",
        "spy 1 gives it nothing",
        "no translator takes it in this pattern",
    ]


def test_a_pattern_may_change_the_hand() -> None:
    """A link with a hand moves its translator's strikes there and lets the fingers free."""
    chain = chain_of((Piece.KICK, Spy([strike(fingers=(5,))], [])), hand=Hand.RIGHT)
    (asked,) = take(chain, 0, Hit(0, Piece.KICK, 80)).asked
    assert (asked.strike.hand, asked.strike.fingers) == (Hand.RIGHT, ())


@settings(max_examples=40)
@given(
    st.lists(
        st.tuples(st.integers(0, 20_000), st.sampled_from(list(Piece)), st.integers(1, 127)), max_size=40
    ),
    st.integers(0, 40),
)
def test_the_chain_never_looks_ahead(raw: list[tuple[int, Piece, int]], cut: int) -> None:
    """What it asks for the first hits is the same whether more hits follow or not."""
    hits = sorted((Hit(*item) for item in raw), key=lambda hit: hit.order)

    def run(some: list[Hit]) -> list[Any]:
        from handgroove.host.links import make_links
        from handgroove.patterns import read_pattern

        links = make_links(read_pattern("straight eighths").assignments)
        chain = Chain(links, TwoBars(), DEFAULT_LEVELS, Timeline(end_tick=7680))
        return [take(chain, index, hit) for index, hit in enumerate(some)]

    assert run(hits)[:cut] == run(hits[:cut])


def test_a_main_stroke_brings_its_graces() -> None:
    """The moment tells a gesture's graces in ticks from the main stroke, and each hit goes to the strike nearest it."""
    graces = [(0, Hit(880, Piece.SNARE, 30)), (1, Hit(920, Piece.SNARE, 40))]
    spy = Spy([strike(grace=True, delay_ticks=-40), strike()], [])
    taken = chain_of((Piece.SNARE, spy)).take(2, Hit(960, Piece.SNARE, 90), 960, GestureKind.DRAG, graces)
    assert (spy.moments[0].gesture, spy.moments[0].graces) == (GestureKind.DRAG, ((-80, 30), (-40, 40)))
    assert [(item.tick, item.hits) for item in taken.asked] == [(920, (0, 1)), (960, (2,))]


def test_a_main_note_stands_for_graces_that_are_not_played() -> None:
    """A translator that knows nothing of graces gives one note, which stands for all strokes of the gesture."""
    spy = Spy([strike()], [])
    taken = chain_of((Piece.SNARE, spy)).take(
        1, Hit(960, Piece.SNARE, 90), 960, GestureKind.FLAM, [(0, Hit(920, Piece.SNARE, 40))]
    )
    assert [item.hits for item in taken.asked] == [(0, 1)]
