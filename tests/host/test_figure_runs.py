"""Figure translators at work: whole fills offline, runs of their pieces outside fills, and a pattern's fills live."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from handgroove.groove.hits import Groove, Hit
from handgroove.groove.kit import Family, Piece
from handgroove.groove.meant.reading import Reading
from handgroove.harmony.chart import parse_chart
from handgroove.host.figure_runs import Coming, find_owned, find_runs, share_out
from handgroove.host.links import Link
from handgroove.job import translate
from handgroove.live.shell.prepare import prepare_pattern
from handgroove.patterns import Pattern, read_pattern
from handgroove.strike import Hand, Role, Strike
from handgroove.timeline import Timeline
from tests.live.stage_rig import Rig

TOMS = frozenset({Piece.HIGH_TOM, Piece.MIDDLE_TOM, Piece.FLOOR_TOM})
FIGURE = Link("a figure", TOMS, None, is_figure=True)
NOTE = Strike((72,), 80, Hand.RIGHT, Role.MELODY, 240)
BAR = 3840
SONG = """title: Toms
steps per beat: 4
groove:
  closed hat: x.x.x.x.x.x.x.x.
  kick: X.......X.......
  snare: ....X.......X...
fills:
  down:
    groove:
      high tom: XxXx............
      middle tom: ....XxXx........
      floor tom: ........XxXxXxXx
    lands: [crash, kick]
hands:
  - take: toms
    use: fill figure
"""


@pytest.fixture
def pattern(tmp_path: Any) -> Pattern:
    """Return a pattern that gives its toms to a figure translator."""
    path = tmp_path / "toms.yaml"
    path.write_text(SONG)
    return read_pattern(str(path))


def tom(tick: int, velocity: int = 100) -> Hit:
    """Return a stroke on the high tom."""
    return Hit(tick, Piece.HIGH_TOM, velocity)


def runs(ticks: Sequence[int], taken_over: Sequence[int] = ()) -> list[tuple[int, ...]]:
    """Return the runs of toms at *ticks*, with a kick on every beat."""
    bars = 1 + max(ticks) // BAR
    hits = sorted(
        [*map(tom, ticks), *(Hit(tick, Piece.KICK, 90) for tick in range(0, bars * BAR, 960))],
        key=lambda hit: hit.order,
    )
    groove = Groove(tuple(hits), Timeline(end_tick=bars * BAR))
    reading = Reading(groove, tuple(hit.tick for hit in hits))
    found = find_runs(find_owned([FIGURE], hits), reading, (), taken_over)
    assert all(first == run[0] for first, run in found.items())
    return [tuple(hits[index].tick for index in run) for run in found.values()]


def test_outside_fills_strokes_closer_than_a_beat_are_one_run() -> None:
    """Two sixteenths, then a beat's rest: another run begins; kicks between them belong to neither."""
    assert runs([240, 480, 1440, 1680]) == [(240, 480), (1440, 1680)]


def test_a_groove_on_toms_is_cut_every_two_bars() -> None:
    """Eighths on a tom for five bars are figures of two, two and one."""
    assert [len(run) for run in runs(range(0, 5 * BAR, 480))] == [16, 16, 8]


def test_hits_of_other_figures_are_in_no_run() -> None:
    """What a planned figure takes over is left to it."""
    assert runs([240, 480, 720], taken_over=[2]) == [(240, 720)]


def test_a_link_for_single_hits_has_no_runs() -> None:
    """Only figure translators own hits ahead."""
    assert find_owned([Link("hits", TOMS, None)], [tom(0)]) == {}


def test_each_strike_comes_with_the_hit_that_it_stands_for() -> None:
    """A note stands for the hits it falls on; what falls between comes with the hit before, for none."""
    run = [
        Coming(tom(0), 0, 7),
        Coming(tom(0, 60), 0, 8),
        Coming(tom(480), 480, 9),
        Coming(tom(960), 960, 10),
    ]
    strikes = [Strike(**{**_fields(NOTE), "delay_ticks": delay}) for delay in (0, 240, 955)]
    shares = share_out(run, strikes, 90)
    brought = {one.number: [asked.hits for asked in shares.get(one.hit, ())] for one in run}
    assert brought == {7: [(7, 8)], 8: [()], 9: [], 10: [(10,)]}
    assert run[2].hit not in shares
    assert [asked.place for asked in shares[run[1].hit]] == [240]
    assert [asked.place for asked in shares[run[3].hit]] == [960]


def _fields(strike: Strike) -> dict[str, Any]:
    return {name: getattr(strike, name) for name in Strike.__dataclass_fields__}


@pytest.mark.parametrize("choose", [1, 2])
def test_offline_every_tom_of_a_fill_sounds(pattern: Pattern, choose: int) -> None:
    """The fill's sixteen toms become sixteen notes of one line, in the hand and on the beat that they are struck."""
    groove = pattern.groove(4, fills={4: "down"})
    part = translate(groove, parse_chart("| Am7 | Fmaj7 | C | G7 |"), pattern)
    toms = [index for index, hit in enumerate(groove.hits) if hit.piece.family is Family.TOM]
    line = [note for note in part.notes if set(toms).intersection(note.hits)]
    assert len(toms) == 16
    assert {index for note in line for index in note.hits} == set(toms)
    assert [note.tick for note in line] == [groove.hits[index].tick for index in toms]
    assert {note.role for note in line} == {Role.MELODY}
    assert len({note.pitch for note in line}) > 4
    assert not part.figures  # no other figure is planned over it
    assert not [message for message in part.messages if "translator" in message]


def test_offline_toms_outside_fills_sound_too(pattern: Pattern) -> None:
    """Two toms in a bar of the groove are a figure of two notes."""
    groove = pattern.groove(4)
    hits = sorted([*groove.hits, tom(BAR + 1200), tom(BAR + 1440)], key=lambda hit: hit.order)
    part = translate(Groove(tuple(hits), groove.timeline), parse_chart("| Am7 |"), pattern)
    toms = {index for index, hit in enumerate(hits) if hit.piece.family is Family.TOM}
    assert toms <= {index for note in part.notes for index in note.hits}


def test_live_a_pattern_s_own_fill_is_played_as_its_figure(pattern: Pattern) -> None:
    """Asked for on stage, the fill's toms sing what they sing offline, each at its own time."""
    from handgroove.live.core.changes import Action, At, StageChange

    rig = Rig(extra=[], chart="| G7 |", tempo_bpm=120.0)
    playable = prepare_pattern(pattern, rig.fence)
    rig = Rig(extra=[playable], chart="| G7 |", tempo_bpm=120.0)
    rig.far.hear(rig.engine.start(0.0), 0.0)
    rig.advance(1.0)
    rig.far.hear(rig.engine.change(StageChange(Action.FILL, "down", At.BAR), 1.0), 1.0)
    rig.advance(3.99)
    accounts = rig.engine.accounts
    assert not [subject for subject, _ in accounts.left_out if "tom" in subject]
    line = [(round(sec, 3), pitch) for sec, pitch, _ in rig.far.notes() if 1.99 <= sec < 3.99]
    assert [sec for sec, _ in line] == [round(2 + 0.125 * step, 3) for step in range(16)]
    part = translate(pattern.groove(4, fills={2: "down"}), parse_chart("| G7 |"), pattern)
    sung = [note.pitch for note in part.notes if BAR <= note.tick < 2 * BAR]
    assert [pitch for _, pitch in line] == sung
    rig.advance(6.0)
    rig.close()
    assert not rig.far.wrong
    assert not rig.far.sounding


def test_live_a_drummer_s_own_toms_are_no_figure_known_ahead(pattern: Pattern) -> None:
    """Hits from outside can't be known ahead: each is accounted for with the reason."""
    rig = Rig(patterns=(), extra=[prepare_pattern(pattern, Rig().fence, plays=False)], plays=False)
    rig.far.hear(rig.engine.start(0.0), 0.0)
    rig.hit(48, 0.5)
    (((subject, reason), count),) = rig.engine.accounts.left_out.items()
    assert ("tom" in subject, count) == (True, 1)
    assert "was not known ahead" in reason
