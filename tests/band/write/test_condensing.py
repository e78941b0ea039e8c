"""Condensing a band: the tune whole and on top, bass and drums in the left hand, the rest where there's room."""

from __future__ import annotations

import time
from collections.abc import Iterable
from itertools import pairwise
from pathlib import Path

import mido
import pytest

from handgroove.band.read.choices import Choices, Rule
from handgroove.band.read.density import Chords, Density
from handgroove.band.read.read_band import read_band
from handgroove.band.read.roles import BandRole
from handgroove.band.tell.decisions import Ear, Fate
from handgroove.band.tell.shares import measure
from handgroove.band.write.condensing import Condensed, condense, condense_band
from handgroove.groove.kit import Family
from handgroove.hands.playability import Severity, check_notes
from handgroove.hands.player import Player, read_player
from handgroove.part import Note
from handgroove.strike import Hand, Role
from tests.band.bands import ROCK, TUNE, Row, drums, notes, quartet, save, times, track

DEMO = Path(__file__).parents[3] / "demo" / "lantern-street-band.mid"


@pytest.fixture(scope="module")
def demo() -> Condensed:
    """Return the demo song's condensing."""
    return condense_band(read_band(DEMO))


def condensed(path: Path, *tracks: mido.MidiTrack, choices: Choices | None = None) -> Condensed:
    """Return *tracks* condensed."""
    return condense_band(read_band(save(path / "band.mid", *tracks)), choices=choices)


def plain(found: Iterable[Note], start_tick: int = 0) -> list[tuple[int, int, int, str]]:
    """Return *found* from *start_tick* on, as values that can be compared."""
    return [(n.tick - start_tick, n.length_ticks, n.pitch, n.hand.value) for n in found]


def later(rows: Iterable[Row], steps: int) -> list[Row]:
    """Return *rows* moved on by *steps* sixteenths."""
    return [(step + steps, *rest) for step, *rest in rows]  # type: ignore[misc]


def test_the_melody_is_whole_in_the_right_hand_on_top(demo: Condensed) -> None:
    """Every note of the lead is struck by the right hand, and nothing of that hand lies above it."""
    right = demo.part.hand(Hand.RIGHT)
    lead = demo.sketch.form.band.track("Lead").notes
    for note in lead:
        together = [n for n in right if abs(n.tick - note.tick) <= 48]
        assert max(n.pitch for n in together) % 12 == note.pitch % 12, demo.part.timeline.format_position(
            note.tick
        )
    assert len(lead) == 66


def test_the_melody_lies_on_the_outer_fingers_over_chords(demo: Condensed) -> None:
    """Where chords stand under the melody, it is on the fourth or fifth finger nearly always."""
    right = demo.part.hand(Hand.RIGHT)
    fingers = []
    for note in right:
        under = [n for n in right if n.tick == note.tick and n.pitch < note.pitch]
        if note.role is Role.MELODY and len(under) > 1:
            fingers.append(note.finger)
    assert len(fingers) > 20
    assert sum(finger >= 4 for finger in fingers) >= 0.9 * len(fingers)


def test_the_left_hand_plays_the_kick_on_the_bass_lines_notes(demo: Condensed) -> None:
    """Where kick and bass strike together, the little finger's note is the bass's, in the left hand's octave."""
    bass = demo.sketch.form.band.track("Bass").notes
    left = demo.part.hand(Hand.LEFT)
    checked = 0
    for hit in demo.part.groove.families[Family.KICK]:
        sounding = [n for n in bass if abs(n.tick - hit.tick) <= 48]
        if sounding:
            low = min(n.pitch for n in left if abs(n.tick - hit.tick) <= 48)
            assert low % 12 == sounding[0].pitch % 12
            checked += 1
    assert checked > 50


def test_bass_runs_come_where_the_kick_is_silent(demo: Condensed) -> None:
    """The bass's pickups have notes of their own, with no hit behind them."""
    own = [note for note in demo.part.hand(Hand.LEFT) if note.role is Role.BASS and not note.hits]
    assert len(own) >= 15


def test_the_snare_is_the_thumbs(demo: Condensed) -> None:
    """In the groove (outside the fills) the snare is a note over the low one, on thumb or second finger."""
    groove = demo.part.groove
    snares = {i for i, hit in enumerate(groove.hits) if hit.piece.family is Family.SNARE}
    thumbs = [n for n in demo.part.hand(Hand.LEFT) if snares & set(n.hits) and n.role is Role.SNARE]
    assert len(thumbs) > 45
    assert all(note.finger <= 2 for note in thumbs)


def test_what_the_guitar_answers_comes_in_where_the_lead_rests(demo: Condensed) -> None:
    """The guitar's run at the end of bar 6 is played, whole and in order."""
    timeline = demo.part.timeline
    start = timeline.bar_start(6) + 3 * 960 - 60
    sung = [n for n in demo.part.hand(Hand.RIGHT) if start <= n.tick < start + 960 and n.role is Role.MELODY]
    assert [note.pitch % 12 for note in sung] == [9, 0, 2, 4]  # A C D E


def test_fills_become_figures_where_no_tune_is_in_the_way(demo: Condensed) -> None:
    """Both fills get a figure in the right hand, and the left hand keeps time under them."""
    timeline = demo.part.timeline
    assert [text.split(",")[0] for text in demo.part.figures] == ["bar 1", "bar 12", "bar 20"]
    start, end = timeline.bar_start(20), timeline.bar_start(21)
    figure = [n for n in demo.part.hand(Hand.RIGHT) if start <= n.tick < end - 60]
    beats = {
        round((n.tick - start) / 960) for n in demo.part.hand(Hand.LEFT) if start - 60 <= n.tick < end - 60
    }
    assert len(figure) >= 12
    assert {0, 1, 2, 3} <= beats


def test_a_drum_only_intro_becomes_a_hook(demo: Condensed) -> None:
    """Bars 1 to 4 have a line in the right hand that comes again, thicker, over kick and snare in the left."""
    timeline = demo.part.timeline
    tops = {n.meant: n.pitch for n in sorted(demo.part.hand(Hand.RIGHT), key=lambda note: note.pitch)}
    bars = [
        [tops[place] for place in sorted(tops) if timeline.bar_at(place).number == number]
        for number in (1, 2, 3, 4)
    ]
    assert all(2 <= len(bar) <= 6 for bar in bars)
    assert bars[0] == bars[2] != bars[1]
    third = [n for n in demo.part.hand(Hand.RIGHT) if timeline.bar_at(n.meant).number == 3]
    assert len(third) > len(bars[2])
    assert {n.role for n in demo.part.hand(Hand.LEFT) if n.tick < timeline.bar_start(4)} == {
        Role.KICK,
        Role.SNARE,
    }


def test_crash_and_kick_land_with_the_tune(demo: Condensed) -> None:
    """On the chorus's first beat both hands strike together, with an octave in the left and the tune on top."""
    tick = demo.part.timeline.bar_start(13)
    now = [n for n in demo.part.notes if abs(n.tick - tick) <= 60]
    left = [n.pitch for n in now if n.hand is Hand.LEFT]
    assert max(left) - min(left) == 12
    assert max(n.pitch for n in now) % 12 == 9


@pytest.mark.parametrize("reach", ["octave", "", "tenth"])
@pytest.mark.parametrize("density", list(Density))
def test_three_hand_sizes_can_play_all_densities(reach: str, density: Density) -> None:
    """Whatever the reach and density, nothing in the demo is more than the hands can do, and the tune is whole."""
    player = read_player(reach)
    found = condense_band(read_band(DEMO), player, choices=Choices(density=density))
    troubles = check_notes(found.part.notes, player, found.part.timeline)
    assert [t for t in troubles if t.severity is Severity.CANT] == []
    figures = measure(found)
    assert figures.melody == 1
    assert (figures.bass or 0) >= 0.95


def test_the_demos_measures_are_met(demo: Condensed) -> None:
    """Melody, bass, kicks, snares, chord tones and accents are kept as promised."""
    figures = measure(demo)
    assert figures.melody == figures.melody_on_top == 1
    assert (figures.bass or 0) >= 0.95
    assert (figures.kick or 0) >= 0.95
    assert (figures.snare or 0) >= 0.95
    assert (figures.drums_allowed or 0) >= 0.95
    assert (figures.chords or 0) >= 0.9
    assert (figures.accents or 0) >= 0.8


def test_denser_versions_have_more_notes(demo: Condensed) -> None:
    """Spare has fewer notes than usual, usual fewer than full."""
    band = read_band(DEMO)
    counts = [len(condense(band, choices=Choices(density=density)).notes) for density in Density]
    assert all(fewer < more for fewer, more in pairwise(counts))


def test_the_same_band_gives_the_same_part() -> None:
    """Two runs agree in every note."""
    band = read_band(DEMO)
    assert condense(band).notes == condense(band).notes


def test_a_repeated_section_is_treated_the_same_way(tmp_path: Path) -> None:
    """Where the band plays the same eight bars twice, so does the piano, but for what the end of the song changes."""
    found = condensed(tmp_path, *quartet(16).values())
    timeline = found.part.timeline
    half = timeline.bar_start(9)
    first = [n for n in found.part.notes if n.tick < timeline.bar_start(8)]
    second = [n for n in found.part.notes if half <= n.tick < half + timeline.bar_start(8)]
    assert plain(first) == plain(second, half)
    assert len(first) > 100


def test_leaving_out_changes_only_what_follows_from_it(demo: Condensed) -> None:
    """Without the guitar's answers in the chorus the verse stays note for note as it was, and the chorus does not."""
    choices = Choices(leave_out=(Rule("Guitar", "Chorus"),))
    other = condense_band(read_band(DEMO), choices=choices)
    chorus = demo.part.timeline.bar_start(13) - 960
    before = [n for n in demo.part.notes if n.tick < chorus]
    assert plain(n for n in other.part.notes if n.tick < chorus) == plain(before)
    assert plain(other.part.notes) != plain(demo.part.notes)


def test_drums_can_be_left_out_by_family_and_bars() -> None:
    """No snare in bars 5 to 8, as said, and all of them elsewhere in the groove."""
    choices = Choices(leave_out=(Rule("snare", bars=(5, 8)),))
    part = condense(read_band(DEMO), choices=choices)
    struck = {
        part.timeline.bar_at(n.tick + 60).number
        for n in part.notes
        for i in n.hits
        if part.groove.hits[i].piece.family is Family.SNARE and n.role is Role.SNARE
    }
    assert not struck & {5, 6, 7, 8}
    assert {9, 10, 13, 14} <= struck
    assert any(item.reason == "as you asked" for item in part.omissions)


def test_what_is_kept_is_struck(demo: Condensed) -> None:
    """The guitar's chops, kept in the verse, are struck on their own keys far more often than before."""
    choices = Choices(keep=(Rule("Guitar", "Verse"),))
    kept = condense_band(read_band(DEMO), choices=choices)
    verse = demo.sketch.form.sections[1]
    guitar = demo.sketch.form.band.track("Guitar").between(verse.start_tick, verse.end_tick)

    def struck(found: Condensed) -> int:
        ear = Ear(found.part.notes, 48)
        return sum(ear.fate(note.tick, note.pitch) is Fate.KEPT for note in guitar)

    assert len(guitar) == 44
    assert struck(kept) >= struck(demo) + 5


def test_a_preferred_line_comes_first(tmp_path: Path) -> None:
    """Two instruments answer the tune at once: the preferred one is heard."""
    answers = {
        "Sax": track("Sax", times(notes("r/12 81/1 79/1 77/1 76/1"), 8), 5, 65),
        "Flute": track("Flute", times(notes("r/12 88/1 89/1 91/1 93/1"), 8), 6, 73),
    }
    tune = track("Lead", times(notes("72/4 74/4 76/4 r/4", 100), 8), 3, 80)
    tracks = [*(t for name, t in quartet().items() if name != "Lead"), tune, *answers.values()]
    for name, last in (("Sax", 76), ("Flute", 93)):
        found = condensed(tmp_path, *tracks, choices=Choices(prefer=(Rule(name),)))
        sung = set(found.sketch.melody.places)
        hooks = [note for note in found.sketch.tune.notes if note.place not in sung]
        assert {note.track for note in hooks} == {name}
        assert hooks[3].source.pitch == last


def struck_beside_the_tune(found: Condensed) -> tuple[int, int]:
    """Return how many chord notes of the verse fall under the tune's notes, and how many where it is silent."""
    section = found.sketch.form.sections[1]
    comping = [
        n
        for n in found.part.hand(Hand.RIGHT)
        if n.role is Role.COMPING and section.start_tick <= n.tick < section.end_tick - 2400
    ]
    sketch = found.sketch
    under = [n for n in comping if sketch.held_at(n.meant, n.tick) or sketch.tune.onset(n.meant)]
    return len(under), len(comping) - len(under)


def test_chords_answer_or_support_the_tune_as_set(demo: Condensed) -> None:
    """Answering chords come only in the tune's rests, supporting ones only with it; comping does both."""
    band = read_band(DEMO)
    answer = condense_band(band, choices=Choices(chords=Chords.ANSWER))
    support = condense_band(band, choices=Choices(chords=Chords.SUPPORT))
    assert struck_beside_the_tune(answer)[0] == 0 < struck_beside_the_tune(answer)[1]
    assert struck_beside_the_tune(support)[1] == 0 < struck_beside_the_tune(support)[0]
    assert min(struck_beside_the_tune(demo)) > 0
    assert measure(answer).melody == measure(support).melody == 1


def test_a_stop_stops_both_hands(tmp_path: Path) -> None:
    """All strike on 1 and are silent: both hands strike together, and nothing sounds on, pedal included."""
    bass, keys = times(notes("36/8 43/8"), 4), times(notes("60+64+67/8 60+64+67/8"), 4)
    tracks = [
        track(
            "Drums", [*drums(4, **ROCK), *later(notes("36+38/2", 110), 64), *later(drums(3, **ROCK), 80)], 10
        ),
        track("Bass", [*bass, *later(notes("36/2"), 64), *later(bass, 80)], 1, 33),
        track("Keys", [*keys, *later(notes("60+64+67/2"), 64), *later(keys, 80)], 2, 4),
    ]
    found = condensed(tmp_path, *tracks)
    (stop,) = found.sketch.form.stops
    timeline = found.part.timeline
    assert timeline.format_position(stop.tick) == "bar 5, beat 1"
    assert {n.hand for n in found.part.notes if abs(n.tick - stop.tick) <= 48} == {Hand.LEFT, Hand.RIGHT}
    silent = range(stop.silent_tick, stop.end_place)
    assert not [n for n in found.part.notes if n.tick < silent.stop and n.end_tick > silent.start]
    down = [m.down for m in found.part.pedal if m.tick <= silent.start]
    assert not down or not down[-1]


def test_a_push_lands_together(tmp_path: Path) -> None:
    """Bass and keys lean on the bar line by an eighth: both hands strike the new chord there."""
    keys = notes("60+64+67/6 60+64+67/8 65+69+72/8 65+69+72/8 60+64+67/2")
    bass = notes("36/6 36/8 41/8 41/8 36/2")
    held = [[*times(rows[:-1], 1), *later(times(rows, 3, 32), 32)] for rows in (bass, keys)]
    tracks = [
        track("Drums", drums(8, **ROCK), 10),
        track("Bass", held[0], 1, 33),
        track("Keys", held[1], 2, 4),
    ]
    found = condensed(tmp_path, *tracks)
    assert found.sketch.form.pushes
    for push in found.sketch.form.pushes:
        assert push.line_tick - push.place == 480
        now = [n for n in found.part.notes if abs(n.tick - push.tick) <= 48]
        assert {n.hand for n in now} == {Hand.LEFT, Hand.RIGHT}
        chord = found.part.harmony.at(push.line_tick).chord
        assert chord is not None
        assert min(n.pitch for n in now) % 12 == chord.bass.pc


def test_a_band_without_drums_comps_in_the_keys_rhythm(tmp_path: Path) -> None:
    """No drums: the left hand has the bass line, the right the chords where the keys strike, and the report says so."""
    found = condensed(tmp_path, *(t for name, t in quartet().items() if name != "Drums"))
    figures = measure(found)
    assert figures.melody == figures.bass == 1
    assert figures.kick is None
    assert any(text.startswith("No drums") for text in found.part.messages)


def test_a_band_without_a_tune_says_so_and_comps(tmp_path: Path) -> None:
    """No melody: the right hand comps, and the report tells how to name one."""
    found = condensed(tmp_path, *(t for name, t in quartet().items() if name != "Lead"))
    assert any("No track is a tune" in text for text in found.part.messages)
    assert len(found.part.hand(Hand.RIGHT)) > 30


def test_a_band_without_a_bass_takes_the_lowest_notes(tmp_path: Path) -> None:
    """No bass: kicks take the chord's low notes, and the report says so."""
    found = condensed(tmp_path, *(t for name, t in quartet().items() if name != "Bass"))
    assert any(text.startswith("No bass") for text in found.part.messages)
    assert min(note.pitch for note in found.part.notes) < 44


def test_drums_alone_still_give_a_part(tmp_path: Path) -> None:
    """A file with drums and nothing else is a groove over the key's chord, and says that no chart was given."""
    found = condensed(tmp_path, track("Drums", drums(4, **ROCK), 10))
    assert len(found.part.notes) > 20
    assert any("No chart" in text for text in found.part.messages)


def test_one_track_of_type_0_gives_the_same_part(tmp_path: Path) -> None:
    """The quartet in one track, channels mixed, is the quartet."""
    whole = condense(read_band(save(tmp_path / "a.mid", *quartet().values())))
    mixed = condense(read_band(save(tmp_path / "b.mid", *quartet().values(), kind=0)))
    assert plain(mixed.notes) == plain(whole.notes)


def test_one_solo_track_is_parted_into_tune_and_bass(tmp_path: Path) -> None:
    """A lone piano track still gives two hands: its top line above, its low notes below."""
    rows = sorted(
        [*times(notes(TUNE), 4, 32), *times(notes("36/8 43/8"), 8), *times(notes("60+64/8 59+62/8", 60), 8)]
    )
    found = condensed(tmp_path, track("Piano", rows, 1, 0))
    assert len(found.part.hand(Hand.LEFT)) >= 8
    assert len(found.part.hand(Hand.RIGHT)) >= 16


def test_a_player_who_puts_bass_first_gets_more_of_it() -> None:
    """The order of importance is the player's: with the bass first, no note of it that was asked for is lost."""
    order = (Role.BASS, Role.MELODY, Role.KICK, Role.SNARE, Role.COMPING, Role.COLOUR)
    found = condense_band(read_band(DEMO), Player(order=order))
    assert measure(found).bass == 1


def test_a_low_tune_is_moved_up_by_octaves(tmp_path: Path) -> None:
    """A tune in the bass's octave is played where the right hand is, every note by whole octaves."""
    low = track("Lead", [(s, ln, p - 24, v) for s, ln, p, v in times(notes(TUNE, 100), 4, 32)], 3, 80)
    tracks = [*(t for name, t in quartet().items() if name != "Lead"), low]
    found = condensed(tmp_path, *tracks, choices=Choices(roles={"Lead": BandRole.MELODY}))
    moved = {n.pitch - n.source.pitch for n in found.sketch.melody.notes}
    assert moved in ({12}, {24})
    assert measure(found).melody == 1


def test_what_the_band_accents_together_is_struck_harder(tmp_path: Path) -> None:
    """With all hats alike, the chord on 2& that bass, keys and horns strike too is louder than the one on 3."""
    hats = {"kick": "X...............", "hat": "x.x.x.x.x.x.x.x."}
    tracks = [
        track("Drums", drums(8, **hats), 10),
        track("Bass", times(notes("36/6 36/10"), 8), 1, 33),
        track("Keys", times(notes("60+64+67/6 60+64+67/10"), 8), 2, 4),
        track("Brass", times(notes("r/6 55+60+64/2"), 8), 3, 61),
    ]
    found = condensed(tmp_path, *tracks)
    bar = found.part.timeline.bar_start(3)
    loud = {
        step: max(n.velocity for n in found.part.hand(Hand.RIGHT) if abs(n.tick - bar - 240 * step) < 60)
        for step in (6, 8)
    }
    assert loud[6] > loud[8] + 8


def test_forty_minutes_take_less_than_a_twentieth_of_their_length(tmp_path: Path) -> None:
    """A thousand bars (forty minutes) are condensed in under two minutes of the processor's time, tune whole."""
    band = read_band(save(tmp_path / "long.mid", *quartet(1000).values()))
    started = time.process_time()
    found = condense_band(band)
    took_sec = time.process_time() - started
    assert band.timeline.tick_to_sec(band.timeline.end_tick) == pytest.approx(2400, abs=3)
    assert took_sec < 0.05 * 2400
    assert measure(found).melody == 1


def test_the_demo_takes_less_than_a_twentieth_of_its_length() -> None:
    """Forty-eight seconds of band take under 2.4 of the processor's."""
    band = read_band(DEMO)
    condense_band(band)
    started = time.process_time()
    condense_band(band)
    assert time.process_time() - started < 0.05 * band.timeline.tick_to_sec(band.timeline.end_tick)


def test_thirty_tracks_are_condensed(tmp_path: Path) -> None:
    """Thirty players at once: two hands that can play, and a role for each."""
    tracks = [
        track(f"Player {n}", times(notes(f"{40 + n}/4 {43 + n}/4 {45 + n}/4 {40 + n}/4"), 8), n % 9 + 1)
        for n in range(30)
    ]
    found = condensed(tmp_path, *tracks)
    assert len(found.sketch.form.casts) == 30
    troubles = check_notes(found.part.notes, found.sketch.player, found.part.timeline)
    assert [t for t in troubles if t.severity is Severity.CANT] == []
