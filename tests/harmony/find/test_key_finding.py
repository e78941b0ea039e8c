from __future__ import annotations

import pytest

from handgroove.harmony.chart import parse_chart
from handgroove.harmony.charts.chart_key import chart_key
from handgroove.harmony.chord import Chord, parse_chord, parse_key
from handgroove.harmony.find.key_finding import find_key, find_keys
from handgroove.harmony.symbols.key_profiles import MAJOR_PROFILE, MINOR_PROFILE, all_keys, key_fits
from handgroove.timeline import Metre, Timeline
from tests.harmony.tones import Tone


def played(symbols: str) -> list[Tone]:
    """Return the chords in *symbols*, a bar of 4/4 each, with their roots in the bass."""
    notes = []
    for bar, symbol in enumerate(symbols.split()):
        chord: Chord = parse_chord(symbol)
        start = bar * 3840
        notes += [
            Tone(start, start + 3840, pitch)
            for pitch in (36 + chord.root.pc, *(60 + pc for pc in chord.tone_pcs))
        ]
    return notes


def test_there_are_24_keys() -> None:
    """Each tonic has a major and a minor key, none with more than seven sharps or flats."""
    assert len({(key.tonic.pc, key.minor) for key in all_keys()}) == 24
    assert str(all_keys()[12 + 6]) == "F# minor"


@pytest.mark.parametrize(("profile", "shift"), [(MAJOR_PROFILE, 0), (MINOR_PROFILE, 12)])
def test_a_profile_fits_itself_best(profile: tuple[float, ...], shift: int) -> None:
    """Weights like a key's own profile correlate with it perfectly and with no other as well."""
    for tonic in range(12):
        fits = key_fits([profile[(pc - tonic) % 12] for pc in range(12)])
        assert fits[tonic + shift] == pytest.approx(1)
        assert max(range(24), key=fits.__getitem__) == tonic + shift


def test_silence_fits_no_key() -> None:
    """Nothing, or everything alike, has no key."""
    assert key_fits([0.0] * 12) == [0.0] * 24
    assert key_fits([1.0] * 12) == [0.0] * 24


@pytest.mark.parametrize(
    ("symbols", "key"),
    [("C F G C", "C"), ("Am Dm E Am", "A minor"), ("Eb Ab Bb7 Eb", "Eb"), ("F#m Bm C#7 F#m", "F# minor")],
)
def test_cadences_are_heard_in_their_key(symbols: str, key: str) -> None:
    """A plain cadence gives its key."""
    assert find_key(played(symbols)) == parse_key(key)


def test_a_change_of_key_is_found_at_its_bar() -> None:
    """Eight bars in C and eight in E: two keys, the change within a bar of where it is."""
    notes = played("C F G C Am F G C " + "E A B7 E C#m A B7 E")
    spans = find_keys(notes, Timeline.of(Metre(4, 4), 120, 16))
    assert [span.key for span in spans] == [parse_key("C"), parse_key("E")]
    assert abs(spans[1].start_tick - 8 * 3840) <= 3840
    assert (spans[0].start_tick, spans[-1].end_tick) == (0, 16 * 3840)


def test_one_foreign_bar_is_no_new_key() -> None:
    """A borrowed chord does not change the key."""
    spans = find_keys(played("C F G C Fm G C C"), Timeline.of(Metre(4, 4), 120, 8))
    assert [span.key for span in spans] == [parse_key("C")]


def test_nothing_has_no_keys() -> None:
    """No notes, no keys."""
    assert find_keys([], Timeline()) == ()


def test_a_charts_key() -> None:
    """A chart's chords say its key, in the chart's own spelling."""
    assert chart_key(parse_chart("| Gb | Cb | Db7 | Gb |")) == parse_key("Gb")
    assert chart_key(parse_chart("| Am | F | C | G | Am |")) == parse_key("A minor")
    assert chart_key(parse_chart("| N.C. |")) == parse_key("C")
    assert chart_key(parse_chart("| Dm9 | G13 | Cmaj9 | A7b9 |")) == parse_key("C")
    assert (
        chart_key(parse_chart("| Dm7 | G7 | Cmaj7 | A7b9 | Bbmaj7 | Eb7 | F#m7b5 B7 | Em9 |")).tonic.letter
        in "CE"
    )
    assert chart_key(parse_chart("| Dm7 | G7 | Cmaj7 | A7b9 |")) == parse_key("C")
    assert chart_key(parse_chart("| C7 | F7 | C7 | G7 C7 |")) == parse_key("C")
    assert chart_key(parse_chart("| Bm7b5 E7 | Am | Dm | E7 |")) == parse_key("A minor")
