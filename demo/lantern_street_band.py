"""Write the whole band's take of the demo song "Lantern Street": what the six o'clock set would have sounded like.

Bass, electric piano, guitar, lead and strings join the drums of ``lantern_street.py``; all of it is our own. Run
``python demo/lantern_street_band.py`` to make ``lantern-street-band.mid`` again; the same script gives the same bytes.

Lines are written ``pitch/length`` in sixteenths, a bar in each string (``r`` rests): ``E5/3 D5/1 C5/4 r/8``. Chords are
a rhythm row (X accented, x normal, - held on, . rest) under the chord that the chart has there.
"""

from __future__ import annotations

import random
from pathlib import Path

import mido
from lantern_street import SONG, STEP, TEMPO_BPM, TICKS_PER_BEAT, hits, make_conductor, make_track

BARS = 21
BAR = 16 * STEP
FIRST_VERSE_BAR, FIRST_CHORUS_BAR, LAST_BAR = 4, 12, 20  # counted from 0

VERSE = ["Am7", "Fmaj7", "C/E", "G7sus4 G7", "Am7", "Fmaj7", "Dm9", "E7#9"]
CHORUS = ["F", "C/E", "Dm7", "Am7 G", "F", "C/E", "Dm7", "Esus4 E7"]
CHORDS = [*VERSE, *CHORUS, "Am(add9)"]  # from bar 5 on

# The verse talks in short phrases and leaves room at the end of every second bar; the chorus sings a third higher.
# Both leave the drummer's fills alone.
LEAD = [
    "E5/3 D5/1 C5/4 r/2 A4/2 C5/2 D5/2",
    "E5/6 C5/2 A4/4 r/4",
    "G4/2 C5/2 D5/2 E5/4 D5/2 C5/2 D5/2",
    "C5/4 D5/4 B4/6 r/2",
    "E5/3 D5/1 C5/4 r/2 A4/2 C5/2 D5/2",
    "E5/4 F5/2 E5/2 C5/4 r/4",
    "F5/3 E5/1 D5/4 r/2 D5/2 E5/2 F5/2",
    "G5/3 F5/1 E5/4 r/8",
    "A5/6 G5/2 F5/4 C5/4",
    "G5/6 E5/2 C5/4 r/4",
    "F5/4 E5/2 D5/2 A4/2 D5/2 F5/4",
    "E5/8 D5/6 r/2",
    "A5/6 G5/2 F5/4 C5/4",
    "G5/4 A5/2 G5/2 E5/4 r/4",
    "F5/4 E5/2 D5/2 E5/8",
    "r/16",
    "A5/8 r/8",
]

# The bass is on the kick, and runs to the next chord where the kick is silent.
BASS = [
    "A1/6 A1/2 A1/2 E2/4 G1/2",
    "F1/6 F1/2 F1/2 C2/4 F1/2",
    "E1/6 E1/2 E1/2 G1/4 F#1/2",
    "G1/6 G1/2 G1/2 D2/2 B1/2 G1/2",
    "A1/6 A1/2 A1/2 E2/4 G1/2",
    "F1/6 F1/2 F1/2 C2/4 E1/2",
    "D2/6 D2/2 D2/2 A1/4 D#2/2",
    "E2/6 E2/2 E1/4 G#1/2 B1/2",
    "F1/3 F1/3 F1/2 F1/2 C2/2 F1/2 F1/2",
    "E1/3 E1/3 E1/2 G1/2 C2/2 B1/2 C2/2",
    "D2/3 D2/3 D2/2 D2/2 A1/2 D2/2 B1/2",
    "A1/3 A1/3 A1/2 G1/2 G1/2 B1/2 G1/2",
    "F1/3 F1/3 F1/2 F1/2 C2/2 F1/2 F1/2",
    "E1/3 E1/3 E1/2 G1/2 C2/2 B1/2 C2/2",
    "D2/3 D2/3 D2/2 D2/2 A1/2 D2/2 D#2/2",
    "E2/8 E1/4 B1/2 E1/2",
    "A1/8 r/8",
]

# The guitar chops on the backbeat, and answers the lead where it breathes.
CHOP, ANSWER = "....X.......X...", "....X..........."
ANSWERS = {5: "r/12 A4/1 C5/1 D5/1 E5/1", 9: "r/12 A4/1 C5/1 D5/1 C5/1", 13: "r/12 C5/1 D5/1 E5/1 G5/1",
           17: "r/12 C5/1 D5/1 E5/1 G5/1"}  # fmt: skip

EPIANO_VERSE, EPIANO_CHORUS = "X-----x---x-----", "X--x--x-X-----x-"
GUITAR_CHORUS = "x.x.X.x.x.x.X.x."

EPIANO_TONES = {
    "Am7": "G3 C4 E4", "Fmaj7": "A3 C4 E4", "C/E": "G3 C4 E4", "G7sus4": "F3 C4 D4", "G7": "F3 B3 D4",
    "Dm9": "F3 C4 E4", "E7#9": "G#3 D4 G4", "F": "A3 C4 F4", "Dm7": "A3 C4 F4", "G": "G3 B3 D4",
    "Esus4": "A3 B3 E4", "E7": "G#3 B3 D4", "Am(add9)": "A3 B3 C4 E4",
}  # fmt: skip
GUITAR_TONES = {
    "Am7": "C4 E4 G4", "Fmaj7": "C4 E4 A4", "C/E": "C4 E4 G4", "G7sus4": "C4 D4 G4", "G7": "B3 D4 G4",
    "Dm9": "C4 E4 F4", "E7#9": "D4 G4 B4", "F": "C4 F4 A4", "Dm7": "D4 F4 A4", "G": "B3 D4 G4",
    "Esus4": "B3 E4 A4", "E7": "B3 D4 G#4", "Am(add9)": "C4 E4 B4",
}  # fmt: skip
# The strings hold: two notes in the verse's second half, three with a line on top in the chorus.
STRINGS = {
    8: "A3/16 E4/16", 9: "A3/16 C4/16", 10: "A3/16 D4/16", 11: "G#3/16 D4/16",
    12: "C4/16 F4/16 A4/16", 13: "C4/16 E4/16 G4/16", 14: "D4/16 F4/16 A4/16", 15: "C4/8 E4/8 G4/8 + B3/8 D4/8 G4/8",
    16: "C4/16 F4/16 A4/16", 17: "C4/16 E4/16 G4/16", 18: "D4/16 F4/16 A4/16", 19: "B3/8 E4/8 A4/8 + B3/8 E4/8 G#4/8",
    20: "C4/8 E4/8 B4/8",
}  # fmt: skip

# How each player sits against the click (ms, and how much it wanders) and how loud (mean velocity).
FEEL = {
    "bass": (4, 5, 92),
    "epiano": (2, 6, 76),
    "guitar": (-2, 6, 80),
    "lead": (8, 9, 100),
    "strings": (-8, 10, 60),
}

Notes = list[tuple[int, int, int, int]]


def pitch(name: str) -> int:
    """Return the MIDI note number of *name* (C4 = 60)."""
    letter, rest = name[0], name[1:]
    sharp = rest.startswith("#")
    return (
        12 * (int(rest.lstrip("#")) + 1)
        + {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}[letter]
        + sharp
    )


def line(bar: int, text: str) -> Notes:
    """Return the notes of one *bar* written one after another, in steps; velocity 0 stands for 'as usual'."""
    found, step = [], 0
    for token in text.split():
        name, length = token.split("/")
        if name != "r":
            found.append((bar * 16 + step, int(length), pitch(name), 0))
        step += int(length)
    return found


def held(bar: int, text: str) -> Notes:
    """Return the notes of one *bar* that start together; ``+`` starts the next chord where the last ends."""
    found, step = [], 0
    for chord in text.split(" + "):
        tones = [token.split("/") for token in chord.split()]
        found += [(bar * 16 + step, int(length), pitch(name), 0) for name, length in tones]
        step += int(tones[0][1])
    return found


def comp(bar: int, chords: str, row: str, tones: dict[str, str]) -> Notes:
    """Return the chords of one *bar* struck in the rhythm of *row*; two chords share the bar in halves."""
    names = chords.split()
    found = []
    for step, stroke in enumerate(row):
        if stroke not in "Xx":
            continue
        length = 1 + len(row[step + 1 :]) - len(row[step + 1 :].lstrip("-"))
        name = names[step * len(names) // 16]
        accent = 14 if stroke == "X" else 0
        found += [(bar * 16 + step, length, pitch(tone), accent) for tone in tones[name].split()]
    return found


def play(name: str, notes: Notes, seed: int) -> Notes:
    """Return *notes* (in steps) as *name* plays them: in ticks, a little early or late, a little louder or softer."""
    chance = random.Random(seed)
    late_ms, wander_ms, loud = FEEL[name]
    ticks_per_ms = TICKS_PER_BEAT * TEMPO_BPM / 60_000
    played, together = [], {}
    for step, length, number, accent in sorted(notes):
        if step not in together:
            together[step] = late_ms + max(-16.0, min(16.0, chance.gauss(0, wander_ms)))
        tick = max(0, step * STEP + round((together[step] + chance.uniform(-2, 2)) * ticks_per_ms))
        velocity = loud + accent + (6 if step % 4 == 0 else 0) + round(chance.gauss(0, 4))
        played.append((tick, max(STEP // 2, length * STEP - 14), number, min(127, velocity)))
    return played


def make_parts() -> dict[str, tuple[int, int, Notes]]:
    """Return for each track its channel (from 0), its program (from 0) and its notes."""
    bars = list(enumerate(CHORDS, FIRST_VERSE_BAR))
    lead = [note for bar, text in enumerate(LEAD, FIRST_VERSE_BAR) for note in line(bar, text)]
    bass = [note for bar, text in enumerate(BASS, FIRST_VERSE_BAR) for note in line(bar, text)]
    epiano: Notes = []
    guitar: Notes = []
    for bar, chords in bars:
        chorus = FIRST_CHORUS_BAR <= bar < LAST_BAR
        if bar == LAST_BAR:
            epiano += held(bar, "A3/8 B3/8 C4/8 E4/8")
            guitar += held(bar, "C4/8 E4/8 B4/8")
            continue
        fill = bar in (11, 19)
        row = EPIANO_CHORUS if chorus else EPIANO_VERSE
        epiano += comp(bar, chords, "X-------X-------" if fill else row, EPIANO_TONES)
        if not fill:
            chop = ANSWER if bar in ANSWERS else GUITAR_CHORUS if chorus else CHOP
            guitar += comp(bar, chords, chop, GUITAR_TONES)
        guitar += line(bar, ANSWERS.get(bar, ""))
    strings = [note for bar, text in STRINGS.items() for note in held(bar, text)]
    return {
        "Bass": (0, 33, play("bass", bass, 11)),
        "E-Piano": (1, 4, play("epiano", epiano, 12)),
        "Guitar": (2, 27, play("guitar", guitar, 13)),
        "Lead": (3, 85, play("lead", lead, 14)),
        "Strings": (4, 48, play("strings", strings, 15)),
    }


def make_band() -> mido.MidiFile:
    """Return the whole band as a type-1 file, as a sequencer exports it: conductor, drums, one track a player."""
    smf = mido.MidiFile(type=1, ticks_per_beat=TICKS_PER_BEAT)
    struck = [(tick, STEP // 2, note, velocity) for tick, note, velocity in hits(SONG)]
    smf.tracks += [make_conductor(), make_track("Drums", 9, struck)]
    for name, (channel, program, notes) in make_parts().items():
        track = make_track(name, channel, notes)
        track.insert(1, mido.Message("program_change", channel=channel, program=program))
        smf.tracks.append(track)
    return smf


if __name__ == "__main__":
    make_band().save(Path(__file__).with_name("lantern-street-band.mid"))
