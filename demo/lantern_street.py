"""Write the demo song "Lantern Street": a chart, and a drummer's take of it with human timing.

Both are our own. Run ``python demo/lantern_street.py`` to make ``lantern-street-drums.mid`` again; the same script
gives the same bytes. One row is one bar in steps of a sixteenth: X accent, x normal, g ghost, o open, . rest.

The scenario: Ines plays keys in a band on Lantern Street's summer stage. At noon the drummer's van breaks down, and
at six she has to play the set alone on the house piano: her drummer's rehearsal take and the chart are all she has.
"""

from __future__ import annotations

import random
from pathlib import Path

import mido

TICKS_PER_BEAT = 480
STEP = TICKS_PER_BEAT // 4
TEMPO_BPM = 104

NOTES = {"kick": 36, "snare": 38, "hat": 42, "crash": 49, "high tom": 48, "mid tom": 45, "floor tom": 43}
OPEN_HAT = 46
LOUDNESS = {"X": 112, "x": 84, "o": 100, "g": 36}

# How this drummer sits: the kick on the click, the snare a hair behind it, the hat a hair ahead (in ms), and how
# much each wanders (standard deviation in ms).
PLACEMENT_MS = {"kick": 0.0, "snare": 6.0, "hat": -4.0}
WANDER_MS = 4.0

INTRO = {
    "hat": "X.x.X.x.X.x.X.x.",
    "snare": "....X..g.g..X...",
    "kick": "X.....x.x......x",
}
INTRO_END = {
    "hat": "X.x.X.x.X.o.....",
    "snare": "....X..g....X.XX",
    "kick": "X.....x.x.......",
}
VERSE = {
    "hat": "X.x.X.x.X.x.X.x.",
    "snare": "....X..g.g..X...",
    "kick": "X.....x.x.x.....",
}
VERSE_TURN = {
    "hat": "X.x.X.x.X.x.X.o.",
    "snare": "....X..g.g..X..g",
    "kick": "X.....x.x.x...x.",
}
FILL_DOWN = {
    "hat": "X.x.X.x.........",
    "snare": "....X...XxXx....",
    "high tom": "............Xx..",
    "floor tom": "..............Xx",
    "kick": "X.....x.........",
}
CHORUS = {
    "hat": "X.x.X.o.X.x.X.o.",
    "snare": "....X.......X...",
    "kick": "X..x..x.X.x.....",
}
CHORUS_CRASH = {**CHORUS, "crash": "X...............", "hat": "....X.o.X.x.X.o."}
FILL_BIG = {
    "snare": "XxXx............",
    "high tom": "....XxXx........",
    "mid tom": "........XxXx....",
    "floor tom": "............XxXX",
    "kick": "X.......X.......",
}
LAST_STOP = {"crash": "X...............", "kick": "X..............."}

SONG = [
    *(INTRO, INTRO, INTRO, INTRO_END),
    *(VERSE, VERSE, VERSE, VERSE_TURN, VERSE, VERSE, VERSE, FILL_DOWN),
    *(CHORUS_CRASH, CHORUS, CHORUS, CHORUS, CHORUS, CHORUS, CHORUS, FILL_BIG),
    LAST_STOP,
]
SECTIONS = {0: "Intro", 4: "Verse", 12: "Chorus", 20: "End"}


def hits(song: list[dict[str, str]], seed: int = 7) -> list[tuple[int, int, int]]:
    """Return (tick, note, velocity) for every stroke of *song*, placed and struck as a hand would."""
    chance = random.Random(seed)
    ticks_per_ms = TICKS_PER_BEAT * TEMPO_BPM / 60_000
    found = []
    for bar, rows in enumerate(song):
        for drum, row in rows.items():
            for step, stroke in enumerate(row):
                if stroke == ".":
                    continue
                late_ms = PLACEMENT_MS.get(drum, 0.0) + max(-9.0, min(9.0, chance.gauss(0, WANDER_MS)))
                tick = (bar * 16 + step) * STEP + round(late_ms * ticks_per_ms)
                velocity = LOUDNESS[stroke] + round(chance.gauss(0, 3))
                note = OPEN_HAT if stroke == "o" else NOTES[drum]
                found.append((max(0, tick), note, max(20, min(127, velocity))))
    return sorted(found)


def make_conductor() -> mido.MidiTrack:
    """Return the track that holds title, metre, tempo and sections."""
    conductor = mido.MidiTrack([mido.MetaMessage("track_name", name="Lantern Street")])
    conductor.append(mido.MetaMessage("time_signature", numerator=4, denominator=4))
    conductor.append(mido.MetaMessage("set_tempo", tempo=round(60e6 / TEMPO_BPM)))
    now = 0
    for bar, name in SECTIONS.items():
        conductor.append(mido.MetaMessage("marker", text=name, time=bar * 16 * STEP - now))
        now = bar * 16 * STEP
    return conductor


def make_track(name: str, channel: int, notes: list[tuple[int, int, int, int]]) -> mido.MidiTrack:
    """Return a track of *notes* (tick, length, note, velocity) on *channel*, counted from 0 as in the file."""
    track = mido.MidiTrack([mido.MetaMessage("track_name", name=name)])
    events = []
    for tick, length, note, velocity in notes:
        events.append((tick, 1, mido.Message("note_on", channel=channel, note=note, velocity=velocity)))
        events.append((tick + length, 0, mido.Message("note_off", channel=channel, note=note)))
    now = 0
    for tick, _, message in sorted(events, key=lambda event: (*event[:2], event[2].note)):
        track.append(message.copy(time=tick - now))
        now = tick
    return track


def make_drums() -> mido.MidiFile:
    """Return the drummer's take as a type-1 file: a conductor track and the drums on channel 10."""
    smf = mido.MidiFile(type=1, ticks_per_beat=TICKS_PER_BEAT)
    struck = [(tick, STEP // 2, note, velocity) for tick, note, velocity in hits(SONG)]
    smf.tracks += [make_conductor(), make_track("Drums", 9, struck)]
    return smf


if __name__ == "__main__":
    make_drums().save(Path(__file__).with_name("lantern-street-drums.mid"))
