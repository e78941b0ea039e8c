"""The laws of meant strokes on made takes, where it is known what was meant."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from handgroove import parse_chart, read_groove, read_pattern, translate
from handgroove.groove.hits import Groove, Hit
from handgroove.groove.kit import Piece
from handgroove.strike import Hand
from tests.laws import made
from tests.laws.judge import LAWS
from tests.laws.moved import lead_in, shift
from tests.laws.played import play
from tests.laws.steady import compare
from tests.laws.verdict import Take

# Without shrinking: judging a take may take a second.
FEW = settings(max_examples=12, deadline=None, derandomize=True, phases=(Phase.generate,))
OF_ALL = (
    "shift",
    "looseness",
    "changes",
    "push",
    "ring",
    "pedal",
    "bars",
    "same",
    "told",
    "hands",
    "spelling",
)
IN_FOUR = (
    "| Am7 | Fmaj7 | C | G |",
    "| Dm7 G7 | Cmaj7 A7 |",
    "| C Am F G |",
    "| Am7 | >Fmaj7 | C . >G . | N.C. |",
)
IN_ANY = ("| Am7 | Fmaj7 | C | G |", "| Dm7 G7 | Cmaj7 A7 |", "| Cm7 | F7 | Bbmaj7 | Ebmaj7 |")
TEMPOS = {  # by pattern: 60 to 200 quarter notes a minute, and none that its drummer couldn't play
    "straight-eighths": (70, 180),
    "four-on-the-floor": (90, 150),
    "sixteenth-hats": (60, 110),
    "sixteenth-funk": (76, 116),
    "half-time": (110, 180),
    "tresillo": (70, 130),
    "bossa-nova": (90, 170),
    "two-beat": (120, 200),
    "shuffle": (80, 150),
    "swing-ride": (90, 200),
    "waltz": (90, 200),
    "jazz-waltz": (110, 190),
    "ballad-6-8": (60, 110),
    "seven-eight": (80, 150),
    "five-four": (90, 160),
}
FILLS = ("straight-eighths", "sixteenth-funk", "half-time", "five-four", "waltz", "seven-eight")


@dataclass(frozen=True, slots=True)
class Recipe:
    """What a made take is made of: a pattern's *name*, how long, how fast, by whom, with which fills, over what."""

    name: str
    bars: int
    tempo_bpm: int
    drummer: made.Drummer
    fill_bars: tuple[int, ...]
    chart: str

    def take(self) -> Take:
        """Make the take."""
        groove = made.pattern_take(
            self.name, self.bars, self.tempo_bpm, self.drummer, fill_bars=self.fill_bars
        )
        return Take(self.name, groove, self.chart)


@st.composite
def recipes(draw: st.DrawFn) -> Recipe:
    """Draw a pattern as somebody plays it: 4 to 16 bars, with or without a fill, over a chart."""
    name = draw(st.sampled_from(list(TEMPOS)))
    scatter_ms, lean_ms = draw(st.sampled_from((0.0, 4.0, 8.0))), draw(st.integers(-30, 30))
    return Recipe(
        name,
        draw(st.integers(4, 16)),
        draw(st.integers(*TEMPOS[name])),
        made.Drummer(scatter_ms, lean_ms, seed=draw(st.integers(0, 99))),
        draw(st.sampled_from(((), (4,)))),
        draw(st.sampled_from(IN_FOUR if read_pattern(name).metre.beats == 4 else IN_ANY)),
    )


@pytest.mark.parametrize("law", OF_ALL)
@FEW
@given(recipe=recipes())
def test_the_law_holds(law: str, recipe: Recipe) -> None:
    """Each law holds for people who play the library's patterns, whatever the chart, metre, feel and tempo."""
    verdict = LAWS[law](recipe.take())
    assert verdict.holds, verdict.faults[:3]


@pytest.mark.parametrize("lean_ms", [-60, -30, 30, 60])
@pytest.mark.parametrize("name", ["straight-eighths", "swing-ride", "waltz", "ballad-6-8"])
def test_a_lean_is_no_other_part(name: str, lean_ms: int) -> None:
    """A drummer who leans throughout, a bar of lead-in before it, gets the notes, fingers and page of the beat."""
    groove = lead_in(made.pattern_take(name, 8, 100, made.Drummer(scatter_ms=4)))
    chart = IN_ANY[0]
    assert compare(play(groove, chart), play(shift(groove, lean_ms), chart)) == ""


def test_groove_a_fifty_ms_early() -> None:
    """Groove A of music.md 50 ms earlier, a bar of lead-in before it, has the same pitches, hands, fingers and page."""
    groove = lead_in(read_pattern("straight-eighths").groove(2))
    assert compare(play(groove, "| Am7 | Fmaj7 |"), play(shift(groove, -50), "| Am7 | Fmaj7 |")) == ""


@pytest.mark.parametrize("name", FILLS)
@pytest.mark.parametrize("lean_ms", [-12, 0, 12])
def test_a_fill_keeps_its_charts_first_bar(name: str, lean_ms: int) -> None:
    """A fill clip whose first stroke is a hair early has the chart's first chord under it, as it has on time."""
    drummer = made.Drummer(scatter_ms=3, lean_ms=lean_ms)
    take = Take(f"fill of {name}", made.fill_clip(name, 108, drummer))
    verdict = LAWS["fill"](take)
    assert verdict.cases == 4
    assert verdict.holds, verdict.faults


def sixteen_bars(*last: tuple[int, Piece, int]) -> int:
    """Return how many bars are printed of sixteen bars with the *last* strokes added."""
    groove = made.pattern_take("straight-eighths", 16, 112, made.Drummer(scatter_ms=5))
    more = (Hit(tick, piece, velocity) for tick, piece, velocity in last)
    hits = tuple(sorted((*groove.hits, *more), key=lambda hit: hit.order))
    end = groove.timeline.bar_at(hits[-1].tick).end_tick
    groove = replace(groove, hits=hits, timeline=replace(groove.timeline, end_tick=end))
    return len(play(groove, IN_FOUR[0]).page.measures)


def test_sixteen_bars_are_sixteen_on_paper() -> None:
    """A stray hat at the end of bar 16 makes no seventeenth bar, before the bar line or after it."""
    end = 16 * 3840
    assert sixteen_bars() == 16
    assert sixteen_bars((end - 125, Piece.CLOSED_HAT, 60)) == 16
    assert sixteen_bars((end - 30, Piece.CLOSED_HAT, 60)) == 16
    assert sixteen_bars((end + 12, Piece.CLOSED_HAT, 60)) == 16


@pytest.mark.parametrize("off_ticks", [-60, -20, 0, 20])
def test_a_final_chord_has_a_bar(off_ticks: int) -> None:
    """A kick and crash meant on the bar line after bar 16 are a final chord, with a bar of its own, early or late."""
    at = 16 * 3840 + off_ticks
    assert sixteen_bars((at, Piece.KICK, 110), (at + 9, Piece.CRASH, 110)) == 17


def test_the_bytes_are_the_same_in_another_process() -> None:
    """Nothing depends on the process: other hash seeds give the same MIDI file and page."""
    code = (
        "from tests.laws import made; from tests.laws.steady import fingerprint; from tests.laws.played import play\n"
        "for name in ('sixteenth-funk', 'jazz-waltz'):\n"
        "    groove = made.pattern_take(name, 8, 100, made.Drummer(), fill_bars=(4,))\n"
        "    print(fingerprint(play(groove, '| Dm7 G7 | Cmaj7 A7 |')))"
    )
    told = [
        subprocess.run(
            [sys.executable, "-c", code],
            env={"PYTHONHASHSEED": seed, "PYTHONPATH": str(Path(__file__).parents[2])},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    ]
    assert told[0] == told[1]
    assert len(told[0].split()) == 2


HARD: dict[str, Callable[[], Groove]] = {
    "only flams": made.only_flams,
    "drags by 80 ms": lambda: lead_in(
        made.pattern_take("straight-eighths", 8, 112, made.Drummer(lean_ms=80))
    ),
    "drifts by 5%": made.drifting,
    "two songs": made.two_songs,
    "before bar 1": made.before_bar_one,
    "12/8 in 4": made.triplets_in_four,
    "rubato": made.rubato,
}


@pytest.mark.parametrize("kind", HARD)
def test_hard_takes_are_read(kind: str, tmp_path: Path) -> None:
    """Whatever was played, there is a part that can be played, every hit is told of, and messages are sentences."""
    groove = read_groove(made.write_take(HARD[kind](), tmp_path / "take.mid"))
    take = Take(kind, groove)
    for law in ("same", "told", "hands", "changes", "ring", "spelling"):
        verdict = LAWS[law](take)
        assert verdict.holds, f"{law}: {verdict.faults[:3]}"
    assert take.plain.part.notes
    for message in take.plain.part.messages:
        assert is_sentence(message), message


def is_sentence(message: str) -> bool:
    """Return whether *message* is said in words: several of them, and nothing that only a programmer reads."""
    return len(message.split()) >= 3 and not re.search(
        r"Error\b|Traceback|<|\{|\bNone\b|\w_\w|\w\(\)", message
    )


def test_eighty_ms_late_is_on_the_beat() -> None:
    """A drummer who drags by 80 ms throughout, after a bar of lead-in, is written as if he played on the beat."""
    late = lead_in(made.pattern_take("straight-eighths", 8, 112, made.Drummer(lean_ms=80)))
    on_beat = lead_in(made.pattern_take("straight-eighths", 8, 112, made.Drummer()))
    assert compare(play(on_beat, IN_FOUR[0]), play(late, IN_FOUR[0])) == ""


def test_a_drift_is_followed() -> None:
    """A tempo that drifts by 5% under an unchanging click leaves kicks and snares on the beats that were meant."""
    played = play(made.drifting(), IN_FOUR[0])
    left = [played.place(i) % 480 for i, note in enumerate(played.part.notes) if note.hand is Hand.LEFT]
    assert sum(off == 0 for off in left) >= 0.95 * len(left)


def test_triplets_in_four_stay_triplets() -> None:
    """12/8 felt in 4 is written on thirds of the beat, and the kicks and snares on the beats."""
    played = play(made.triplets_in_four(), IN_FOUR[0])
    places = [printed.tick for printed in played.page.notes.values() if not printed.is_grace]
    assert all(
        place % 320 == 0 or (played.part.groove.feel.swing_ratio > 1 and place % 480 == 0) for place in places
    )


def test_flams_are_no_rhythm() -> None:
    """A take of only flams is written on its beats: each flam's main stroke there, and nothing between."""
    played = play(made.only_flams(), IN_FOUR[0])
    places = {printed.tick for printed in played.page.notes.values() if not printed.is_grace}
    assert places == {960 * beat for beat in range(1, 16)}


def test_no_beat_to_speak_of_is_told() -> None:
    """Rubato without a beat is told in a sentence, and the strokes keep their order on paper."""
    played = play(made.rubato(), IN_FOUR[0])
    assert any(re.search(r"\bbeat\b|bar line", message) for message in played.part.messages), (
        played.part.messages
    )
    order = [(played.place(i), note.tick) for i, note in enumerate(played.part.notes) if not note.grace]
    assert [place for place, _ in sorted(order, key=lambda pair: pair[1])] == sorted(
        place for place, _ in order
    )


def test_a_pickup_comes_before_the_charts_first_bar(tmp_path: Path) -> None:
    """Hits before bar 1 are a pickup: bar 1 has the chart's first chord, and bar 2 the second."""
    groove = read_groove(made.write_take(made.before_bar_one(), tmp_path / "take.mid"))
    part = translate(groove, parse_chart(IN_FOUR[0]))
    timeline = part.timeline
    symbols = [part.harmony.at(timeline.bar_start(number)).chord.symbol for number in (1, 2)]
    assert timeline.pickup_ticks == 960
    assert symbols == ["Am7", "Fmaj7"]
