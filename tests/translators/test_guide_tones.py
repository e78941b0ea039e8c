"""Which notes of a chord a hand takes."""

from __future__ import annotations

import pytest

from handgroove.harmony.chord import parse_chord
from handgroove.harmony.voice.voicing_settings import HarmonySettings, Idiom
from handgroove.harmony.voice.voicings import candidates
from handgroove.translators.guide_tones import SECOND, guide_pair, lift, neighbour, open_shell


@pytest.mark.parametrize(
    ("symbol", "voicing", "pair"),
    [
        ("Am7", (60, 64, 67), (60, 67)),  # third and seventh
        ("C6", (60, 64, 67, 69), (64, 69)),  # third and sixth
        ("G7sus4", (60, 62, 65, 67), (60, 65)),  # fourth and seventh
        ("C", (60, 64, 67), (64, 67)),  # third and fifth
        ("G", (59, 62, 67), (59, 62)),
    ],
)
def test_pairs_are_guide_tones(symbol: str, voicing: tuple[int, ...], pair: tuple[int, ...]) -> None:
    """Third and seventh first; the sixth or the fourth in their place; in a triad the third with another."""
    assert guide_pair(parse_chord(symbol), voicing) == pair


def test_the_upper_pair_stays_where_the_thumb_has_the_third() -> None:
    """Fifth and seventh of Am7 over the thumb's C; of G not fifth and root, whose third no one has but the thumb."""
    assert guide_pair(parse_chord("Am7"), (60, 64, 67), upper=True) == (64, 67)
    assert guide_pair(parse_chord("Dm7"), (62, 65, 69, 72), upper=True) != (69, 72)


@pytest.mark.parametrize("symbol", ["Dm9", "G13", "Cmaj9", "A7b9", "F6", "Bm7b5", "Eb7sus4", "Cadd9", "C"])
@pytest.mark.parametrize("idiom", list(Idiom))
def test_no_pair_is_a_second(symbol: str, idiom: Idiom) -> None:
    """Whatever the idiom places, two notes of it taken as a pair are never a second apart."""
    chord = parse_chord(symbol)
    for voicing, _ in candidates(chord, HarmonySettings(idiom=idiom, colour=True), None):
        for upper in (False, True):
            pair = guide_pair(chord, voicing, upper=upper)
            assert len(voicing) < 3 or pair[1] - pair[0] > SECOND, (voicing, pair)


@pytest.mark.parametrize(
    ("symbol", "voicing", "shell"),
    [
        ("Dm9", (60, 64, 65, 69), (53, 60, 64)),
        ("G13", (59, 64, 65, 69), (53, 59, 64)),
        ("Cmaj7", (59, 62, 64, 67), (52, 59, 62)),
        ("A7b13", (61, 65, 67), (55, 61, 65)),
    ],
)
def test_open_shells_have_one_colour_above(
    symbol: str, voicing: tuple[int, ...], shell: tuple[int, ...]
) -> None:
    """F3 C4 E4 · F3 B3 E4 · E3 B3 D4 · G3 C#4 F4, from the rootless chords that lie a voice closer."""
    assert open_shell(parse_chord(symbol), voicing, 51) == shell


def test_a_chord_that_has_just_come_has_no_colour_that_its_symbol_does_not_name() -> None:
    """Such a note could be heard as left from the chord before; a named one stays."""
    assert open_shell(parse_chord("Am7"), (60, 64, 67, 71), 51, named=True) == (55, 60, 64)
    assert open_shell(parse_chord("Am9"), (60, 64, 67, 71), 51, named=True) == (55, 60, 71)


def test_lifted_and_beside() -> None:
    """B3 D4 G4 rises to D4 G4 B4, and its top's neighbour is A4; a lift that would rub stays."""
    assert lift((59, 62, 67)) == (62, 67, 71)
    assert neighbour(parse_chord("G"), (59, 62, 67)) == 69
    assert lift((53, 59, 64)) == (53, 59, 64)
