"""The laws of meant strokes for a whole band: what is played a hair off is read, voiced and written as it was meant."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import cache
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory

import mido
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from handgroove.band.read.read_band import read_band
from handgroove.band.read.tracks import Band
from handgroove.band.write.condensing import Condensed, condense_band
from handgroove.output.score import format_musicxml, make_sheet
from handgroove.part import Note
from handgroove.strike import Hand, Role
from tests.band.bands import ROCK, Row, drums, notes, quartet, save, times, track
from tests.band.played import by_people, lead_in, shift

DEMO = Path(__file__).parents[2] / "demo" / "lantern-street-band.mid"
RING_SEC = 0.06
SEEDS = st.integers(0, 10_000)
MANY = settings(
    max_examples=20, deadline=None, phases=[Phase.explicit, Phase.generate]
)  # shrinking takes minutes


def later(rows: Iterable[Row], steps: int) -> list[Row]:
    """Return *rows* moved on by *steps* sixteenths."""
    return [(step + steps, length, pitch, velocity) for step, length, pitch, velocity in rows]


def pushed() -> dict[str, mido.MidiTrack]:
    """Return a band whose bass and keys lean on every bar line by an eighth."""
    keys = notes("60+64+67/6 60+64+67/8 65+69+72/8 65+69+72/8 60+64+67/2", 80)
    bass = notes("36/6 36/8 41/8 41/8 36/2")
    keys, bass = ([*rows[:-1], *later(times(rows, 3, 32), 32)] for rows in (keys, bass))
    return {
        "Drums": track("Drums", drums(8, **ROCK), 10),
        "Bass": track("Bass", bass, 1, 33),
        "Keys": track("Keys", keys, 2, 4),
    }


def stopping() -> dict[str, mido.MidiTrack]:
    """Return a band that strikes together at the start of bar 5 and is silent until bar 6."""

    def around(bar: str, stop: str) -> list[Row]:
        return [*times(notes(bar), 4), *later(notes(stop), 64), *later(times(notes(bar), 4), 80)]

    struck = [*drums(4, **ROCK), *later(notes("36+38/2", 110), 64), *later(drums(3, **ROCK), 80)]
    return {
        "Drums": track("Drums", struck, 10),
        "Bass": track("Bass", around("36/8 43/8", "36/2"), 1, 33),
        "Keys": track("Keys", around("60+64+67/8 59+62+67/8", "60+64+67/2"), 2, 4),
    }


def drumless() -> dict[str, mido.MidiTrack]:
    """Return the quartet without its drums."""
    return {name: one for name, one in quartet().items() if name != "Drums"}


def changing() -> dict[str, mido.MidiTrack]:
    """Return a band that changes between chords without a common tone, over hats that let each chord ring."""
    keys = notes(
        "60+64+67/12 60+64+67/4 61+65+68/12 61+65+68/4 62+66+69/12 62+66+69/4 59+63+66/12 59+63+66/4", 80
    )
    bass = notes("36/16 37/16 38/16 35/16")
    few = {"kick": "X.......X.......", "snare": "....x.......x...", "hat": "....X...X.x....X"}
    return {
        "Drums": track("Drums", drums(16, **few), 10),
        "Bass": track("Bass", times(bass, 4, 64), 1, 33),
        "Keys": track("Keys", times(keys, 4, 64), 2, 4),
    }


BANDS: dict[str, Callable[[], Mapping[str, mido.MidiTrack]]] = {
    "quartet": quartet,
    "pushed": pushed,
    "stopping": stopping,
    "drumless": drumless,
    "changing": changing,
}
NAMES = st.sampled_from([*BANDS, "demo"])


@cache
def band(name: str) -> Band:
    """Return one of the made bands, or the demo's, after a bar of silence."""
    if name == "demo":
        return lead_in(read_band(DEMO))
    with TemporaryDirectory() as folder:
        return lead_in(read_band(save(Path(folder) / "band.mid", *BANDS[name]().values())))


def written(found: Condensed) -> list[tuple[int, int, str, int]]:
    """Return the part's notes as they are written and fingered: place, pitch, hand, finger."""
    return sorted((note.meant, note.pitch, note.hand.value, note.finger) for note in found.part.notes)


def page(found: Condensed) -> str:
    """Return the written page."""
    return format_musicxml(make_sheet(found.part))


@given(name=NAMES, seed=SEEDS, by_ms=st.sampled_from((-60, -40, -20, 20, 40, 60)))
@MANY
def test_a_shifted_band_is_the_same_part(name: str, seed: int, by_ms: int) -> None:
    """All players up to 60 ms early or late: the same pitches, hands, fingers and page, and each sounds as much off."""
    plain = by_people(band(name), seed)
    first, moved = condense_band(plain), condense_band(shift(plain, by_ms))
    assert written(moved) == written(first)
    assert page(moved) == page(first)
    by_ticks = round(by_ms / 1000 * 16 * band(name).timeline.tempo_at(0))
    ticks = [note.tick for note in first.part.notes]
    assert [note.tick for note in moved.part.notes] == [tick + by_ticks for tick in ticks]


def accompaniment(found: Condensed) -> list[Note]:
    """Return the part's notes but the tune's, hooks' and figures', and little notes."""
    return [note for note in found.part.notes if note.role is not Role.MELODY and not note.grace]


@given(name=st.sampled_from([*BANDS]), seed=SEEDS)
@MANY
def test_no_stroke_on_or_after_a_change_is_the_old_chords(name: str, seed: int) -> None:
    """However early a player strikes what is meant on a change of chord or later, it has the new chord's tones."""
    found = condense_band(by_people(band(name), seed, scatter_ms=10, lean_ms=15))
    strokes: dict[int, set[int]] = {}
    for note in accompaniment(found):
        if note.hand is Hand.RIGHT:  # the left hand's notes are the bass player's own
            strokes.setdefault(round(note.tick / 240) * 240, set()).add(note.pitch % 12)
    for before, after in pairwise(found.part.harmony.spans):
        if not before.chord or not after.chord:
            continue
        old, new = before.chord.pcs - after.chord.pcs, after.chord.pcs
        for place, pcs in strokes.items():
            if after.start_tick <= place < after.end_tick:
                assert pcs & new or not pcs & old, found.part.timeline.format_position(place)
    assert strokes


@given(name=NAMES, seed=SEEDS)
@MANY
def test_no_note_of_a_left_chord_rings_on(name: str, seed: int) -> None:
    """What the next chord does not have ends within 60 ms of the change as the band plays it; the tune sings on."""
    found = condense_band(by_people(band(name), seed))
    reading, timeline = found.sketch.form.reading, found.part.timeline
    spans = found.part.harmony.spans
    for before, after in pairwise(spans):
        if not before.chord or not after.chord:
            continue
        change = found.sketch.heard(reading.played_at(after.start_tick))
        limit_sec = timeline.tick_to_sec(change) + RING_SEC
        for note in accompaniment(found):
            if note.meant < after.start_tick and note.pitch % 12 not in after.chord.pcs:
                assert timeline.tick_to_sec(note.end_tick) <= limit_sec, timeline.format_position(note.meant)


@given(seed=SEEDS, by_ms=st.integers(-40, 40))
@MANY
def test_a_stop_is_silent_however_it_is_played(seed: int, by_ms: int) -> None:
    """The silence after a stop is found at the same place, and nothing sounds in it."""
    found = condense_band(shift(by_people(band("stopping"), seed), by_ms))
    (stop,) = found.sketch.form.stops
    timeline = found.part.timeline
    assert timeline.format_position(stop.place) == "bar 6, beat 1"
    assert timeline.format_position(stop.end_place) == "bar 7, beat 1"
    silent, again = (found.sketch.heard(tick) for tick in (stop.silent_tick, timeline.bar_start(7)))
    inside = [note for note in found.part.notes if note.tick < again - 120 and note.end_tick > silent]
    assert inside == []


@given(name=st.sampled_from([*BANDS]), seed=SEEDS)
@MANY
def test_every_note_is_meant_where_the_file_has_it(name: str, seed: int) -> None:
    """A band that was made on the grid and is played by people is read on the grid again, every player's every note."""
    found = condense_band(by_people(band(name), seed)).sketch.form.band
    for meant, exact in zip(found.tracks, band(name).tracks, strict=True):
        read = sorted((note.meant, note.pitch) for note in meant.notes)
        assert read == sorted((note.tick, note.pitch) for note in exact.notes)
