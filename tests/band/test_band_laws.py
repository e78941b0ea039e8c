"""The laws of meant strokes for a whole band: what is played a hair off is read, voiced and written as it was meant."""

from __future__ import annotations

from pathlib import Path

import mido
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from handgroove.band.read.read_band import read_band
from handgroove.band.read.tracks import Band
from handgroove.band.write.condensing import Condensed, condense_band
from handgroove.output.score import format_musicxml, make_sheet
from handgroove.part import Note
from handgroove.strike import Hand, Role
from tests.band.bands import BASS, KEYS, ROCK, TUNE, drums, notes, quartet, save, times, track
from tests.band.played import by_people, lead_in, shift

DEMO = Path(__file__).parents[2] / "demo" / "lantern-street-band.mid"
RING_SEC = 0.06
SEEDS = st.integers(0, 10_000)
FEW = settings(
    max_examples=6, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)  # a condensing takes a third of a second


def pushed() -> dict[str, mido.MidiTrack]:
    """Return a band whose bass and keys lean on every bar line by an eighth."""
    keys = notes("60+64+67/6 60+64+67/8 65+69+72/8 65+69+72/8 60+64+67/2", 80)
    bass = notes("36/6 36/8 41/8 41/8 36/2")
    later = [[(step + 32, *rest) for step, *rest in times(rows, 3, 32)] for rows in (bass, keys)]
    return {
        "Drums": track("Drums", drums(8, **ROCK), 10),
        "Bass": track("Bass", [*bass[:-1], *later[0]], 1, 33),
        "Keys": track("Keys", [*keys[:-1], *later[1]], 2, 4),
    }


def stopping() -> dict[str, mido.MidiTrack]:
    """Return a band that strikes together at the start of bar 5 and is silent until bar 6."""
    rows = {
        "Bass": ("36/8 43/8", "36/2", 1, 33),
        "Keys": ("60+64+67/8 59+62+67/8", "60+64+67/2", 2, 4),
    }
    after = [(step + 80, *rest) for step, *rest in drums(3, **ROCK)]
    found = {
        "Drums": track("Drums", [*drums(4, **ROCK), (64, 2, 36, 110), (64, 2, 38, 110), *after], 10),
    }
    for name, (bars, stop, channel, program) in rows.items():
        whole = times(notes(bars), 4)
        struck = [(step + 64, *rest) for step, *rest in notes(stop)]
        again = [(step + 80, *rest) for step, *rest in whole]
        found[name] = track(name, [*whole, *struck, *again], channel, program)
    return found


def drumless() -> dict[str, mido.MidiTrack]:
    """Return the quartet without its drums."""
    return {name: one for name, one in quartet().items() if name != "Drums"}


BANDS = {"quartet": quartet, "pushed": pushed, "stopping": stopping, "drumless": drumless}


@pytest.fixture(scope="module", params=[*BANDS, "demo"])
def band(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Band:
    """Return each of the made bands in turn, and the demo's, after a bar of silence."""
    if request.param == "demo":
        return lead_in(read_band(DEMO))
    path = tmp_path_factory.mktemp("band") / "band.mid"
    return lead_in(read_band(save(path, *BANDS[request.param]().values())))


def written(found: Condensed) -> list[tuple[int, int, str, int]]:
    """Return the part's notes as they are written and fingered: place, pitch, hand, finger."""
    return sorted((note.meant, note.pitch, note.hand.value, note.finger) for note in found.part.notes)


def page(found: Condensed) -> str:
    """Return the written page."""
    return format_musicxml(make_sheet(found.part))


@given(seed=SEEDS, by_ms=st.sampled_from((-60, -40, -20, 20, 40, 60)))
@FEW
def test_a_shifted_band_is_the_same_part(band: Band, seed: int, by_ms: int) -> None:
    """All players up to 60 ms early or late: the same pitches, hands, fingers and page, and each sounds as much off."""
    plain = by_people(band, seed)
    first, moved = condense_band(plain), condense_band(shift(plain, by_ms))
    assert written(moved) == written(first)
    assert page(moved) == page(first)
    by_ticks = round(by_ms / 1000 * 16 * band.timeline.tempo_at(0))
    ticks = [note.tick for note in first.part.notes]
    assert [note.tick for note in moved.part.notes] == [tick + by_ticks for tick in ticks]


def accompaniment(found: Condensed) -> list[Note]:
    """Return the part's notes but the tune's, hooks' and figures', and little notes."""
    return [note for note in found.part.notes if note.role is not Role.MELODY and not note.grace]


@given(seed=SEEDS)
@FEW
def test_no_stroke_on_or_after_a_change_is_the_old_chords(band: Band, seed: int) -> None:
    """However early a player strikes what is written on a change of chord or later, it bears the new chord's tones."""
    found = condense_band(by_people(band, seed, scatter_ms=12, lean_ms=20))
    spans = found.part.harmony.spans
    strokes: dict[tuple[int, Hand], set[int]] = {}
    for note in accompaniment(found):
        if note.hits or note.hand is Hand.RIGHT:  # a bass's own notes are its own affair
            strokes.setdefault((note.meant, note.hand), set()).add(note.pitch % 12)
    checked = 0
    for before, after in zip(spans, spans[1:], strict=False):
        if not before.chord or not after.chord:
            continue
        old, new = before.chord.pcs - after.chord.pcs, after.chord.pcs
        for (place, hand), pcs in strokes.items():
            if after.start_tick <= place < after.end_tick and hand is Hand.RIGHT:
                assert pcs & new or not pcs & old, found.part.timeline.format_position(place)
                checked += 1
    assert checked


@given(seed=SEEDS)
@FEW
def test_no_note_of_a_left_chord_rings_on(band: Band, seed: int) -> None:
    """What the next chord does not have ends within 60 ms of the change as the band plays it; the tune sings on."""
    found = condense_band(by_people(band, seed))
    reading, timeline = found.sketch.form.reading, found.part.timeline
    spans = found.part.harmony.spans
    for before, after in zip(spans, spans[1:], strict=False):
        if not before.chord or not after.chord:
            continue
        change = found.sketch.heard(reading.played_at(after.start_tick))
        limit_sec = timeline.tick_to_sec(change) + RING_SEC
        for note in accompaniment(found):
            if note.meant < after.start_tick and note.pitch % 12 not in after.chord.pcs:
                assert timeline.tick_to_sec(note.end_tick) <= limit_sec, timeline.format_position(note.meant)


@given(seed=SEEDS, by_ms=st.integers(-40, 40))
@FEW
def test_a_stop_is_silent_however_it_is_played(
    tmp_path_factory: pytest.TempPathFactory, seed: int, by_ms: int
) -> None:
    """The silence after a stop is found at the same place, and nothing sounds in it."""
    path = tmp_path_factory.mktemp("stop") / "band.mid"
    whole = shift(by_people(lead_in(read_band(save(path, *stopping().values()))), seed), by_ms)
    found = condense_band(whole)
    (stop,) = found.sketch.form.stops
    timeline = found.part.timeline
    assert timeline.format_position(stop.place) == "bar 6, beat 1"
    assert timeline.format_position(stop.end_place) == "bar 7, beat 1"
    silent, again = (found.sketch.heard(tick) for tick in (stop.silent_tick, timeline.bar_start(7)))
    inside = [note for note in found.part.notes if note.tick < again - 120 and note.end_tick > silent]
    assert inside == []


def test_the_bands_share_one_place(tmp_path: Path) -> None:
    """What bass, keys, tune and kick play on one beat, each a little off, is meant at one place."""
    tracks = {
        "Drums": track("Drums", drums(8, **ROCK), 10),
        "Bass": track("Bass", times(notes(BASS), 4, 32), 1, 33),
        "Keys": track("Keys", times(notes(KEYS, 70), 4, 32), 2, 4),
        "Lead": track("Lead", times(notes(TUNE, 100), 4, 32), 3, 80),
    }
    exact = read_band(save(tmp_path / "band.mid", *tracks.values()))
    found = condense_band(by_people(lead_in(exact), 5)).sketch.form
    bar = exact.timeline.bar_at(0).length_ticks
    for track_meant, track_exact in zip(found.band.tracks, exact.tracks, strict=True):
        meant = sorted((note.meant - bar, note.pitch) for note in track_meant.notes)
        assert meant == sorted((note.tick, note.pitch) for note in track_exact.notes)
