"""What the library promises of each of its patterns: two bars, two fills, two readings, and rows of its own."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import pytest

from handgroove.groove.hits import Hit
from handgroove.groove.kit import Family, Piece
from handgroove.groove.meant.swing import straighten
from handgroove.groove.read.rows import STRUCK, GridHit
from handgroove.hands.playability import Severity, check_notes
from handgroove.hands.playerfile import find_player
from handgroove.harmony.chart import parse_chart
from handgroove.job import translate
from handgroove.patterns import Fill, Pattern, check_pattern, list_patterns, read_pattern
from handgroove.yamlfile import parse_document

NAMES = list_patterns()
CHART = parse_chart("| Am7 | Dm7 | G7 | C |")
HANDS = ("small hand", "octave with comfort", "tenth with comfort")
ACCENT = STRUCK["X"][1]
GHOST = STRUCK["g"][1]

# One soft or late snare before the bar line, where a hand that reaches a seventh has to be at the next low octave.
LET_GO = {("disco", "small hand"), ("train-beat", "small hand")}
OF_SETTINGS = ("light strokes are left out", "ghost notes are left out")


def is_short(fill: Fill, pattern: Pattern) -> bool:
    """Return whether one of the groove's bars goes on for at least half of *fill*'s only bar."""
    bar, half = pattern.metre.bar_ticks, pattern.metre.bar_ticks // 2
    begun = {(h.tick, h.piece, h.velocity) for h in fill.hits if h.tick < half}
    starts = (
        {(h.tick - start, h.piece, h.velocity) for h in pattern.hits if start <= h.tick < start + half}
        for start in range(0, pattern.bars * bar, bar)
    )
    return fill.bars == 1 and begun in starts


def test_there_are_forty() -> None:
    """The library has forty patterns, each with a title of its own."""
    assert len(NAMES) == len({read_pattern(name).title for name in NAMES}) == 40


@pytest.mark.parametrize("name", NAMES)
def test_each_has_two_bars_two_fills_and_two_readings(name: str) -> None:
    """Two bars or more, two different fills, a short one and a longer one, one that lands, and both readings."""
    pattern = read_pattern(name)
    assert pattern.bars >= 2
    assert len({fill.hits for fill in pattern.fills}) == len(pattern.fills) >= 2
    assert {is_short(fill, pattern) for fill in pattern.fills} == {True, False}
    assert any(fill.lands for fill in pattern.fills)
    assert all(fill.about for fill in pattern.fills)
    assert len(pattern.as_drums) > 40
    assert len(pattern.at_the_piano) > 40


def test_no_text_and_no_groove_is_there_twice() -> None:
    """No two patterns share their groove's rows, what is said of them, or a reading."""
    library = [read_pattern(name) for name in NAMES]
    rows = {(str(p.metre), p.bars, frozenset((h.tick, h.piece, h.velocity) for h in p.hits)) for p in library}
    assert len(rows) == len(library)
    for said in ("about", "as_drums", "at_the_piano"):
        assert len({getattr(pattern, said) for pattern in library}) == len(library)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("hands", HANDS)
def test_hands_of_three_sizes_keep_kick_and_snare(name: str, hands: str) -> None:
    """At its own tempo, with each fill and without, no kick or snare over a ghost is lost, and nothing can't be played.

    What a pattern's own settings leave out is left out, and a crash's low octave covers a kick with it.
    """
    pattern, player = read_pattern(name), find_player(hands)
    taken = frozenset[Piece]().union(*(assignment.pieces for assignment in pattern.assignments))
    for fill in ("", *(fill.name for fill in pattern.fills)):
        groove = pattern.groove(5, fills={2: fill} if fill else {})
        part = translate(groove, CHART, pattern, player)
        troubles = check_notes(part.notes, player, part.timeline)
        assert not [trouble for trouble in troubles if trouble.severity is Severity.CANT]
        kept = {index for note in part.notes for index in note.hits}
        kept |= {i for line in part.omissions if line.reason.startswith(OF_SETTINGS) for i in line.hits}
        crashes = {hit.tick for hit in groove.hits if hit.piece is Piece.CRASH}
        lost = [
            hit
            for index, hit in enumerate(groove.hits)
            if index not in kept and is_heavy(hit) and hit.piece in taken and hit.tick not in crashes
        ]
        assert len(lost) <= ((name, hands) in LET_GO), (fill, lost)


def is_heavy(hit: Hit) -> bool:
    """Return whether *hit* is a kick or snare that is more than a ghost."""
    return hit.piece.family in (Family.KICK, Family.SNARE) and hit.velocity > GHOST


# ---- bars that are a recording's -------------------------------------------------------------------------
# From memory, no source, and only where one famous recording is known by that very bar. Places are counted in steps
# of a bar. (kick, snare and ghosts), in sixteenths of 4/4, and the snare alone where it is enough.
_KICK_AND_SNARE = (
    ({0, 2, 10}, {4, 7, 9, 14}),
    ({0, 2, 6, 10, 13}, {4, 7, 9, 11, 12, 15}),
    ({0, 2, 6, 10, 13}, {4, 7, 9, 12, 15}),
    ({0, 1, 7, 10, 11}, {4, 12}),
    ({0, 6, 8}, {12}),
)
_SNARE_OF_SIXTEENTHS = ({4, 7, 9, 12, 15}, {4, 7, 9, 12})
_SNARE_OF_TRIPLETS = ({1, 4, 6, 7, 10},)  # the backbeat on 3, every gap of the shuffle ghosted
_FIVE_IN_EIGHTHS = ({0, 3, 6, 8}, {0, 3, 6})  # three and two, as piano and ride of one recording have it


def find_borrowed_bars(pattern: Pattern) -> Iterator[str]:
    """Yield which bars of *pattern*, fills and all, are stroke for stroke a famous recording's."""
    bar = pattern.metre.bar_ticks
    for start in range(0, pattern.bars * bar, bar):
        yield from _find_borrowed(pattern, pattern.hits, start, f"bar {start // bar + 1}")
    for fill in pattern.fills:
        yield from _find_borrowed(pattern, fill.hits, 0, fill.name)


def _find_borrowed(pattern: Pattern, hits: Iterable[GridHit], start: int, where: str) -> Iterator[str]:
    bar = [hit for hit in hits if start <= hit.tick < start + pattern.metre.bar_ticks]

    def steps(of: Iterable[GridHit], step_ticks: int) -> set[float]:
        return {float(straighten(hit.tick - start, pattern.feel)) / step_ticks for hit in of}

    kick = [hit for hit in bar if hit.piece is Piece.KICK]
    snare = [hit for hit in bar if hit.piece.family is Family.SNARE and hit.piece is not Piece.CLAP]
    if str(pattern.metre) == "4/4":
        both = steps(kick, 240), steps(snare, 240)
        if both in _KICK_AND_SNARE or both[1] in _SNARE_OF_SIXTEENTHS:
            yield f"{where}: kick and snare"
        triplets = {(hit.tick - start) / 320 for hit in snare}
        if triplets in _SNARE_OF_TRIPLETS:
            yield f"{where}: the ghosts of the shuffle"
    if str(pattern.metre) == "5/4":
        for piece in Piece:
            row = [hit for hit in bar if hit.piece is piece]
            leaning = [hit for hit in row if hit.velocity >= ACCENT]
            if any(steps(of, 480) in _FIVE_IN_EIGHTHS for of in (row, leaning)):
                yield f"{where}: {piece}"
        if steps([*kick, *(h for h in snare if h.velocity > GHOST)], 480) in _FIVE_IN_EIGHTHS:
            yield f"{where}: kick with snare"


@pytest.mark.parametrize("name", NAMES)
def test_no_bar_is_a_recordings(name: str) -> None:
    """No bar of a groove or fill is one that a famous recording is known by."""
    assert list(find_borrowed_bars(read_pattern(name))) == []


@pytest.mark.parametrize(
    "text",
    [
        "groove: {snare: .... X..g .g.. X..g, kick: X.x. .... ..xx ....}",
        "groove: {snare: .... x... .... x..., kick: xx.. ...x ..xx ....}",
        "steps per beat: 3\ngroove: {snare: .g. .g. Xg. .g., kick: X.. ... ... ...}",
        "metre: 5/4\nsteps per beat: 2\ngroove: {hat: Xx xX xx Xx Xx}",
        "metre: 5/4\nsteps per beat: 2\nfeel: {swing: 2}\ngroove: {kick: x. .x .. x. x.}",
        "metre: 5/4\nsteps per beat: 2\ngroove: {kick: x. .x .. .. .., snare: .. .. .. x. x.}",
        "fills: {f: {groove: {snare: .... X..g .g.. X..g}}}",
    ],
)
def test_a_recordings_bar_is_found(text: str) -> None:
    """Each kind of borrowed bar is found, swung and in a fill too."""
    pattern = check_pattern(parse_document(f"title: T\n{text}\n".encode(), "t.yaml"), "t")
    assert list(find_borrowed_bars(pattern))
