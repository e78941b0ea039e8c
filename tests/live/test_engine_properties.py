"""Whatever comes in and whatever fails: every note begun is ended once, nothing is lost, memory stays bounded."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from handgroove.groove.hits import Groove, Hit
from handgroove.groove.kit import Piece
from handgroove.groove.know.levels import DEFAULT_LEVELS
from handgroove.groove.meant.causal import CausalReading
from handgroove.groove.meant.gestures import FLAM_SEC
from handgroove.groove.suggest.learn_cell import LearnedCells
from handgroove.hands.guard import FOREVER
from handgroove.host.chain import Chain
from handgroove.host.links import find_celled
from handgroove.live.core.changes import Action, At, StageChange
from handgroove.live.core.drummer import MAIN_LOUDER
from handgroove.live.core.messages import Message
from handgroove.live.core.stage import Source
from handgroove.strike import Hand
from handgroove.timeline import Metre, Timeline
from tests.live.pretended import PretendedClock
from tests.live.stage_rig import Rig, faulty_pattern, real_guard

_BYTES = st.lists(st.integers(0, 255), max_size=4).map(tuple)
_CHANNEL_MESSAGES = st.one_of(
    st.tuples(st.sampled_from([0x80, 0x90, 0x99, 0x91, 0xB0]), st.integers(0, 127), st.integers(0, 127)),
    st.tuples(st.just(0x99), st.sampled_from([36, 38, 42, 46, 49, 51, 45, 48]), st.integers(1, 127)),
    st.tuples(st.just(0xB0), st.just(64), st.integers(0, 127)),
)
_SYSTEM_MESSAGES = st.sampled_from([(0xF8,), (0xFA,), (0xFB,), (0xFC,), (0xFE,), (0xFF,), (0xF2, 16, 0)])
_CHANGES = st.builds(
    StageChange,
    st.sampled_from(list(Action)),
    st.sampled_from(["", "next", "previous", "up", "down", "left", "90", "nonsense", "down the toms"]),
    st.sampled_from([None, *At]),
)
_EVENTS = st.one_of(
    st.tuples(st.sampled_from(list(Source)), st.one_of(_BYTES, _CHANNEL_MESSAGES, _SYSTEM_MESSAGES)),
    st.tuples(st.just("change"), _CHANGES),
    st.tuples(st.just("lose"), st.sampled_from(list(Source))),
)
_STEPS = st.lists(st.tuples(_EVENTS, st.floats(0, 0.7)), max_size=60)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    steps=_STEPS,
    fault=st.sampled_from(["raise", "slow", "nonsense", "not strikes", "none", ""]),
    follow=st.booleans(),
    thru=st.booleans(),
)
def test_every_note_begun_is_ended_once(steps, fault: str, follow: bool, thru: bool) -> None:  # type: ignore[no-untyped-def]
    """Any messages, changes and faults: no key is struck twice without an end, and at the end nothing sounds."""
    clock = PretendedClock()
    extra = [faulty_pattern(fault, clock, frozenset({Piece.SNARE}))] if fault else []
    rig = Rig(
        extra=extra,
        timer=clock,
        follow=follow,
        thru=thru,
        guard=real_guard(),
        send_clock=True,
        count_in_bars=1,
    )
    rig.far.hear(rig.engine.start(0.0), 0.0)
    for (kind, what), wait_sec in steps:
        rig.advance(rig.now_sec + wait_sec)
        if kind == "change":
            rig.far.hear(rig.engine.change(what, rig.now_sec), rig.now_sec)
        elif kind == "lose":
            rig.far.hear(rig.engine.lose(what), rig.now_sec)
        else:
            rig.take(kind, what)
    rig.close()
    assert rig.far.wrong == []
    assert rig.far.sounding == {}
    assert all(value < 64 for value in rig.far.pedals.values())
    assert rig.engine.ledger.begun == rig.engine.ledger.ended
    accounts = rig.engine.accounts
    assert accounts.hits <= accounts.answered + sum(accounts.left_out.values())


_HITS = st.lists(
    st.tuples(
        st.integers(0, 16 * 960),
        st.sampled_from([36, 38, 42, 46, 49, 51, 45]),
        st.integers(1, 127),
    ),
    min_size=1,
    max_size=80,
)


@pytest.mark.parametrize("style", ["every hat", "cell"])
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(raw=_HITS, tempo_bpm=st.sampled_from([60.0, 96.0, 120.0, 187.0]))
def test_live_gives_the_notes_of_offline(
    style: str, raw: list[tuple[int, int, int]], tempo_bpm: float
) -> None:
    """The engine on a pretended clock presses the keys that reading, chain and guard give offline, at the same ticks.

    What follows a stroke of the same drum within a flam's gap is not answered once more, unless it is much louder.
    """
    rig = Rig(plays=False, tempo_bpm=tempo_bpm, guard=real_guard(), style=style)
    rig.far.hear(rig.engine.start(0.0), 0.0)
    kit = rig.engine.setup.kit
    raw = sorted(raw)
    hits = [Hit(tick, kit.pieces[note], velocity, note) for tick, note, velocity in raw]
    tick_sec = 60 / (tempo_bpm * 960)

    programme = rig.engine.programme
    timeline = Timeline.of(Metre(4, 4), tempo_bpm, 4)
    links = programme.pattern.links
    celled = find_celled(links)
    cells = LearnedCells(celled.cell, celled.pieces) if celled and celled.cell else None
    placing = Rig(tempo_bpm=tempo_bpm).engine.placing
    offline = Chain(links, placing, DEFAULT_LEVELS, timeline, cells=cells)
    guard = real_guard()
    reading = CausalReading()
    struck: dict[Piece, tuple[float, int]] = {}
    expected: list[tuple[int, int, int]] = []
    ends: list[tuple[float, int, Hand, int]] = []
    for index, hit in enumerate(Groove(tuple(hits), timeline).hits):
        now_sec = hit.tick * tick_sec
        place = reading.take(hit.tick, timeline, programme.pattern.feel)
        before_sec, before = struck.get(hit.piece, (-1.0, 0))
        struck[hit.piece] = (now_sec, hit.velocity)
        has_flams = hit.piece in {Piece.KICK, Piece.SNARE, Piece.LOW_TOM}
        if has_flams and now_sec - before_sec <= FLAM_SEC and hit.velocity < MAIN_LOUDER * before:
            continue
        for asked in offline.take(index, hit, place).asked:
            assert asked.tick == hit.tick
            for end_sec, pitch, hand, at in [
                end for end in sorted(ends, key=lambda e: e[0]) if end[0] <= now_sec
            ]:
                guard.release(hand, pitch, end_sec)
                ends.remove((end_sec, pitch, hand, at))
            hold_sec = asked.strike.hold_ticks * tick_sec
            admitted = guard.admit(asked.strike, now_sec, hold_sec, tick=asked.tick)
            let_go = {(hand, pitch) for hand, pitch in admitted.releases}
            ends = [end for end in ends if (end[2], end[1]) not in let_go]
            for press in admitted.presses:
                expected.append((asked.tick, press.pitch, press.velocity))
                ends = [end for end in ends if (end[2], end[1]) != (press.hand, press.pitch)]
                end_sec = now_sec + hold_sec if press.end_sec == FOREVER else press.end_sec
                ends.append((end_sec, press.pitch, press.hand, hit.tick))

    for tick, note, velocity in raw:
        rig.hit(note, tick * tick_sec, velocity)
    got = [(round(sec / tick_sec), pitch, velocity) for sec, pitch, velocity in rig.far.notes()]
    assert got == expected
    rig.close()
    assert rig.far.sounding == {}


@pytest.mark.parametrize("kind", ["hits", "keys", "sysex", "sensing", "controls"])
def test_a_flood_keeps_memory_bounded_and_ends_on_time(kind: str) -> None:
    """Ten thousand messages a second for three seconds: what is kept stays small, and a note ends when it should."""
    rig = Rig(thru=True, guard=real_guard())
    flood: dict[str, list[tuple[Source, Message]]] = {
        "hits": [(Source.DRUMS, (0x99, note, 90)) for note in range(36, 60)],
        "keys": [(Source.KEYS, (0x90, pitch, 90)) for pitch in range(21, 109)],
        "sysex": [(Source.KEYS, (0xF0, *([1] * 40), 0xF7))],
        "sensing": [(Source.KEYS, (0xFE,)), (Source.DRUMS, (0xFE,))],
        "controls": [(Source.KEYS, (0xB0, 1, value)) for value in range(128)],
    }
    messages = flood[kind]
    rig.take(Source.KEYS, (0x91, 60, 90), 0.0)
    due_sec = 1.0
    most = 0
    for number in range(30_000):
        source, message = messages[number % len(messages)]
        rig.take(source, message, number / 10_000)
        if kind != "keys" and number == 10_000 * due_sec:
            rig.take(Source.KEYS, (0x81, 60, 0), number / 10_000)
        schedule = rig.engine.voices.schedule
        most = max(most, len(schedule) + len(rig.engine.ledger) + len(rig.engine.accounts.left_out))
        rig.far.heard.clear()
    assert most < 1500
    rig.close()
    assert rig.far.wrong == []
    assert rig.far.sounding == {}
