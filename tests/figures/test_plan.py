"""Figures for a whole song: fills, hooks, picks."""

from __future__ import annotations

import pytest

from handgroove.figures.hook import find_form
from handgroove.figures.plan import Figures, choose_figures, find_places
from handgroove.groove.kit import Family, Piece
from handgroove.groove.know.knowledge import know_groove
from handgroove.harmony.chart import lay_chart, parse_chart
from handgroove.strike import Hand, Role
from tests.groove.know.test_knowledge import CRASH, ROCK, TOMS, play

EIGHTHS = {
    Piece.CLOSED_HAT: "X.x.X.x.X.x.X.x.",
    Piece.SNARE: "....X.......X...",
    Piece.KICK: "X.....x.x.....x.",
}


def plan_fill(picks: dict[str, int] | None = None) -> Figures:
    """Return the figures of eight bars with a fill in the fourth."""
    groove = play(ROCK, ROCK, ROCK, TOMS, CRASH, ROCK, ROCK, ROCK)
    chart = parse_chart("| C | F | C | G7 | C | F | C | C |")
    return choose_figures(find_places(know_groove(groove), lay_chart(chart, groove.timeline)), picks or {})


def plan_intro(bars: int = 4, tune: int = 76) -> Figures:
    """Return the figures of *bars* bars of drums over Am7 before a tune that begins on *tune*."""
    groove = play(*[EIGHTHS] * (bars + 4))
    known = know_groove(groove, sounding=[(bars * 3840, (bars + 4) * 3840)])
    chart = parse_chart("| Am7 " * (bars + 4) + "|")
    harmony = lay_chart(chart, groove.timeline)
    return choose_figures(find_places(known, harmony, tune=[(bars * 3840, tune)]), {})


def test_fill_is_replaced_whole_and_nothing_else() -> None:
    """The hits that the figure replaces are the fill's and its landing's."""
    figures = plan_fill()
    groove = play(ROCK, ROCK, ROCK, TOMS, CRASH, ROCK, ROCK, ROCK)
    ticks = {groove.hits[index].tick for index in figures.hits}
    assert min(ticks) == 3 * 3840
    assert max(ticks) == 4 * 3840
    assert len([index for index in figures.hits if groove.hits[index].tick < 4 * 3840]) == 16
    assert "bar 4, fill" in figures.explanations[0]


def test_pick_is_kept() -> None:
    """A picked candidate is played, and a pick that fits nothing is told."""
    assert plan_fill({"bar 4": 3}).choices[0].chosen == 2
    assert "no fill" in plan_fill({"bar 2": 1}).messages[0]
    assert "9 was picked" in plan_fill({"bar 4": 9}).messages[0]


@pytest.mark.parametrize(("bars", "form"), [(1, "b"), (2, "a b"), (4, "a a' a b"), (5, "a a' a a' b")])
def test_form_ends_by_leading_on(bars: int, form: str) -> None:
    """Any number of bars has ideas and answers by turns and a last bar that leads on."""
    assert " ".join(find_form(bars)) == form


def test_intro_becomes_a_hook() -> None:
    """Four bars of drums over Am7: the idea on kick, push and backbeat, answered, said again, and led to the tune."""
    figures = plan_intro()
    hook = figures.choices[0].candidate
    assert "a a' a b" in " ".join(hook.reasons)
    assert "1 (kick), 2& (kick), 4 (snare)" in hook.reasons[0]
    bars = [[item for item in hook.asked if item.tick // 3840 == bar] for bar in range(4)]
    onsets = [[item.tick % 3840 for item in bar] for bar in bars]
    assert onsets[0] == onsets[1] == onsets[2] == [0, 1440, 2880]
    assert onsets[3] == [0, 1440, 2880, 3360]
    pitches = [[item.strike.pitches[-1] for item in bar] for bar in bars]
    assert pitches[0] == pitches[2] == [69, 72, 76]
    assert pitches[1][0] > pitches[1][1] > pitches[1][2] == 69
    assert 1 <= abs(76 - pitches[3][-1]) <= 2
    assert {item.strike.role for item in hook.asked} == {Role.MELODY}
    assert {item.strike.hand for item in hook.asked} == {Hand.RIGHT}


def test_hook_leaves_kick_and_snare_to_the_left_hand() -> None:
    """A hook takes the hats' place only: the left hand keeps the groove."""
    groove = play(*[EIGHTHS] * 8)
    figures = plan_intro()
    families = {groove.hits[index].piece.family for index in figures.choices[0].candidate.hits}
    assert families == {Family.HAT}


def test_plainer_answers_stand_beside_the_hooks() -> None:
    """A vamp and octaves on the groove are offered below the hooks, each with its reason."""
    names = [candidate.name for candidate in plan_intro().choices[0].candidates]
    assert names[-2:] == ["a vamp", "octaves on the groove"]
    assert len(names) == 5


@pytest.mark.parametrize("bars", [2, 3, 8])
def test_any_number_of_bars(bars: int) -> None:
    """Two, three and eight bars of drums get a hook that fills them and ends by leading on."""
    hook = plan_intro(bars).choices[0].candidate
    assert {item.tick // 3840 for item in hook.asked} == set(range(bars))


def test_chart_that_says_drums_only_gets_a_hook() -> None:
    """Bars that the chart marks as drums alone become a hook though no band is there to fall silent."""
    groove = play(*[EIGHTHS] * 8)
    harmony = lay_chart(
        parse_chart("| drums | drums | drums | drums | Am7 | % | Dm7 | Am7 |"), groove.timeline
    )
    figures = choose_figures(find_places(know_groove(groove), harmony), {})
    assert [(choice.bar, choice.what) for choice in figures.choices] == [(1, "drums alone")]


def test_one_bar_of_drums_alone_is_told() -> None:
    """One bar is too short for a hook; it is played like the others, and said."""
    known = know_groove(play(ROCK, ROCK, ROCK, ROCK))
    harmony = lay_chart(parse_chart("| C | F | drums | G |"), known.groove.timeline)
    planned = choose_figures(find_places(known, harmony), {})
    assert planned.choices == ()
    assert any(message.startswith("bar 3 is drums alone") for message in planned.messages)
