from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handgroove.errors import HandgrooveError
from handgroove.harmony.chord import Chord, parse_chord
from handgroove.harmony.symbols.chord_faults import QUALITIES, ChordFault
from handgroove.harmony.symbols.chord_text import read_symbol

ROOTS = ("C", "C#", "Db", "D", "D#", "Eb", "E", "F", "F#", "Gb", "G", "G#", "Ab", "A", "A#", "Bb", "B", "Cb")

# our symbol: other spellings that working musicians use for the same chord
SPELLINGS = {
    "C": "Cmaj CM Cma Cmajor CMaj",
    "Cm": "C- Cmin Cmi Cminor CMin",
    "Cdim": "C° Co Cdiminished Cmb5",
    "Caug": "C+ Caugmented C(#5)",
    "C5": "Cno3 C(omit3)",
    "Csus4": "Csus C4",
    "Csus2": "Csus2",
    "C6": "Cmaj6 Cadd6 CM6",
    "Cm6": "C-6 Cmin6",
    "C6/9": "C69 C6(9) C6add9",
    "Cm6/9": "Cm69 C-69",
    "Cadd9": "Cadd2 C2 C(add9)",
    "Cm(add9)": "Cmadd9 C-add9 Cm(add2)",
    "C7": "Cdom7 C7",
    "Cmaj7": "CM7 Cma7 CΔ CΔ7 C^7 Cj7 C7M CMaj7 C^",
    "Cm7": "C-7 Cmin7 Cmi7",
    "Cm7b5": "Cø Cø7 C-7b5 C-7-5 Chdim7 Cm7(b5) Cmin7b5 Chalfdim",
    "Cdim7": "C°7 Co7",
    "Cm(maj7)": "CmM7 C-Δ C-Δ7 Cm#7 Cmmaj7 CminMaj7",
    "C7sus4": "C7sus Csus7",
    "C7#5": "C+7 C7+ Caug7 C7+5",
    "C7b5": "C7-5 C7(b5)",
    "Cmaj7#5": "CM7#5 C+M7 CΔ+5",
    "C9": "C7(9) C7/9",
    "C9sus4": "C9sus Csus9",
    "C13": "C7(9,13)",
    "C7b9": "C7-9 C7(b9)",
    "C7#9": "C7+9 C7(#9)",
    "C7(b9,b13)": "C7b9b13 C7(b13,b9)",
    "C7(#5,#9)": "C7#5#9 C+7#9",
    "C7alt": "Calt C7altered",
    "Cm9b5": "Cø9 Cm9-5",
    "Cmaj7#11": "CM7#11 CΔ#11 Cmaj7+11",
    "Eb7b9": "E♭7♭9",
    "F#m7": "F♯-7",
}


@pytest.mark.parametrize(
    ("symbol", "spelling"), [(s, o) for s, others in SPELLINGS.items() for o in others.split()]
)
def test_every_common_spelling_gives_the_same_chord(symbol: str, spelling: str) -> None:
    """However a musician spells a chord, it is read as the same one and written in our spelling."""
    assert parse_chord(spelling) == parse_chord(symbol)
    assert parse_chord(spelling).symbol == symbol


@pytest.mark.parametrize(
    ("symbol", "tones", "tensions"),
    [
        ("Cmaj7", (0, 4, 7, 11), ()),
        ("Am7", (0, 3, 7, 10), ()),
        ("C13", (0, 4, 7, 10), (2, 9)),
        ("C11", (0, 4, 7, 10), (2, 5)),
        ("Cm11", (0, 3, 7, 10), (2, 5)),
        ("Cm13", (0, 3, 7, 10), (2, 5, 9)),
        ("C13b9", (0, 4, 7, 10), (1, 9)),
        ("C7alt", (0, 4, 8, 10), (1, 3, 6)),
        ("C7(omit5)", (0, 4, 10), ()),
        ("Csus24", (0, 2, 5, 7), ()),
    ],
)
def test_tones_and_tensions(symbol: str, tones: tuple[int, ...], tensions: tuple[int, ...]) -> None:
    """A symbol gives its chord tones in stacking order and its tensions apart from them."""
    chord = parse_chord(symbol)
    assert (chord.tones, chord.tensions) == (tones, tensions)


def test_slash_gives_the_bass() -> None:
    """A note name after a slash is the bass; the chord above it stays what it is."""
    chord = parse_chord("F#m7b5/A")
    assert (str(chord.root), str(chord.bass), chord.symbol) == ("F#", "A", "F#m7b5/A")
    assert parse_chord("C/C").symbol == "C"


def test_a_chord_after_a_slash_makes_a_polychord() -> None:
    """A whole chord under the slash is a polychord: the lower chord's root, the upper one's notes above it."""
    chord = parse_chord("D/C7")
    assert chord.symbol == "D//C7"
    assert str(chord.root) == "C"
    assert chord.pcs == {0, 4, 7, 10, 2, 6, 9}
    assert parse_chord("D//C").pcs == {0, 4, 7, 2, 6, 9}


@pytest.mark.parametrize("quality", QUALITIES)
def test_our_own_spelling_is_read_back(quality: str) -> None:
    """What we write we read as the same chord, in the same spelling, on every root."""
    for root in ROOTS:
        chord = parse_chord(root + quality)
        assert chord.symbol == root + quality
        assert parse_chord(chord.symbol) == chord


def test_a_flat_after_the_root_is_not_a_flat_fifth() -> None:
    """Cb5 is an open fifth on C flat; a C with a flat fifth is written with brackets."""
    assert str(parse_chord("Cb5").root) == "Cb"
    assert parse_chord("C-5").symbol == "C(b5)"


@pytest.mark.parametrize(
    ("text", "column", "near"),
    [
        ("Cm7q", 3, "Cm7"),
        ("H7", 0, "B7"),
        ("am7", 0, "Am7"),
        ("Czus4", 1, "Csus4"),
        ("C7b12", 2, "C7b13"),
        ("", 0, ""),
    ],
)
def test_unknown_symbols_get_a_caret_and_near_ones(text: str, column: int, near: str) -> None:
    """A symbol that nobody knows is refused with its place and what it may have been."""
    with pytest.raises(HandgrooveError) as caught:
        parse_chord(text)
    problem = caught.value.problems[0]
    assert problem.excerpt.splitlines()[1] == "    " + " " * column + "^"
    assert repr(near) in problem.remedy if near else problem.remedy == ""


_LETTERS = st.text(st.sampled_from("CGb#m7M9135+-°øΔ/()susadomitlt, Nx"), max_size=14)


@given(st.one_of(st.text(max_size=12), _LETTERS, _LETTERS.map(lambda tail: "C" + tail)))
@settings(deadline=None)
def test_any_text_is_a_chord_or_a_fault(text: str) -> None:
    """No text crashes the reader, and what it does read it writes and reads back the same."""
    found = read_symbol(text)
    if isinstance(found, ChordFault):
        assert 0 <= found.start <= len(text)
        assert all(isinstance(read_symbol(near), Chord) for near in found.near)
    else:
        assert read_symbol(found.symbol) == found
