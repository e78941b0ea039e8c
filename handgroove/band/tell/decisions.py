"""What became of the band, in the open: by section and track, what was kept, moved, merged or left out, and why.

A note is **kept** when the piano strikes its key within 50 ms, **moved** when it strikes it in another octave,
**merged** when its pitch class sounds on from before or is struck within an eighth, and otherwise **left out**. A
drum's hit is kept when a note stands for it. Weights are what the solver gives such a note for this player (see
handgroove.hands).
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from handgroove.band.read.choices import LaidChoices
from handgroove.band.read.roles import BandRole, Cast
from handgroove.band.read.sections import Section
from handgroove.band.read.tracks import BandNote
from handgroove.band.tell.shares import TOLERANCE_SEC
from handgroove.band.write.condensing import Condensed
from handgroove.groove.kit import FAMILY_ORDER, Family
from handgroove.hands.wishes import worth_of
from handgroove.part import Note
from handgroove.strike import Role

_EIGHTH = 480
_OCTAVES = ("", "an octave", "two octaves", "three octaves", "four octaves", "five octaves")


class Fate(StrEnum):
    """What became of a note or hit."""

    KEPT = "kept"
    MOVED = "moved"
    MERGED = "merged"
    LEFT_OUT = "left out"


# What the solver is asked to play a track's notes as, and with which weight beside others of that role.
_ASKED_AS = {
    BandRole.MELODY: (Role.MELODY, 3.0),
    BandRole.COUNTER: (Role.MELODY, 0.8),
    BandRole.BASS: (Role.BASS, 1.0),
    BandRole.CHORDS: (Role.COMPING, 1.0),
    BandRole.PAD: (Role.COMPING, 0.5),
    BandRole.DOUBLE: (Role.COLOUR, 0.5),
    BandRole.UNUSED: (Role.COLOUR, 0.0),
}
_DRUM_ROLES = {Family.KICK: Role.KICK, Family.SNARE: Role.SNARE, Family.TOM: Role.COLOUR}


@dataclass(frozen=True, slots=True)
class Account:
    """What became of one *track* in one *section*: how many of its notes had which fate, and why some are left out."""

    section: Section
    track: str
    role: str
    weight: float
    fates: Counter[Fate]
    reasons: Counter[str]

    @property
    def total(self) -> int:
        """Return how many notes there were."""
        return self.fates.total()

    def __str__(self) -> str:
        parts = [f"{self.fates[fate]} {fate}" for fate in Fate if self.fates[fate]]
        why = ", ".join(f"{reason} ({count})" for reason, count in self.reasons.most_common(2))
        text = f"{self.track} ({self.role}, weight {self.weight:g}): {', '.join(parts)} of {self.total}"
        return f"{text}; left out where {why}" if why else text


class Ear:
    """A part's notes, to ask what became of a band's note."""

    def __init__(self, notes: Iterable[Note], slack_ticks: int) -> None:
        self._slack = slack_ticks
        self._by_pc: list[list[Note]] = [[] for _ in range(12)]
        for note in sorted(notes, key=lambda note: note.tick):
            self._by_pc[note.pitch % 12].append(note)
        self._ticks = [[note.tick for note in notes] for notes in self._by_pc]

    def fate(self, tick: int, pitch: int) -> Fate:
        """Return what became of the band's note of *pitch* at *tick*."""
        notes, ticks = self._by_pc[pitch % 12], self._ticks[pitch % 12]
        first = bisect_left(ticks, tick - self._slack)
        last = bisect_left(ticks, tick + self._slack + 1)
        struck = [note.pitch for note in notes[first:last]]
        if struck:
            return Fate.KEPT if pitch in struck else Fate.MOVED
        near = notes[bisect_left(ticks, tick - _EIGHTH) : bisect_left(ticks, tick + _EIGHTH + 1)]
        sounds = any(note.end_tick > tick for note in notes[max(0, first - 4) : first])
        return Fate.MERGED if near or sounds else Fate.LEFT_OUT


def find_fates(condensed: Condensed) -> dict[str, list[tuple[BandNote, Fate]]]:
    """Return for each track that plays what became of each of its notes."""
    part, sketch = condensed.part, condensed.sketch
    ear = Ear(part.notes, round(TOLERANCE_SEC * part.timeline.tempo_at(0) * 16))
    sounding = {index for note in part.notes for index in note.hits}
    hit_at = {(hit.tick, hit.note): index in sounding for index, hit in enumerate(sketch.form.groove.hits)}
    found: dict[str, list[tuple[BandNote, Fate]]] = {}
    for cast in sketch.form.casts:
        if cast.role is BandRole.DRUMS:
            fates = [
                (note, Fate.KEPT if hit_at.get((note.tick, note.pitch)) else Fate.LEFT_OUT)
                for note in cast.track.notes
            ]
        else:
            fates = [(note, ear.fate(sketch.heard(note.tick), note.pitch)) for note in cast.track.notes]
        found[cast.track.name] = fates
    return found


def decide(
    condensed: Condensed, fates: dict[str, list[tuple[BandNote, Fate]]] | None = None
) -> tuple[Account, ...]:
    """Return what became of every track in every section, in order; drums by family."""
    fates = find_fates(condensed) if fates is None else fates
    sketch = condensed.sketch
    placed = LaidChoices(condensed.choices, sketch.form)
    accounts: list[Account] = []
    hits = {(hit.tick, hit.note): index for index, hit in enumerate(sketch.form.groove.hits)}
    why = {index: item.reason for item in condensed.part.omissions for index in item.hits}
    for section in sketch.form.sections:
        for cast in sketch.form.casts:
            inside = starting(fates[cast.track.name], section.start_tick, section.end_tick)
            if not inside:
                continue
            if cast.role is BandRole.DRUMS:
                accounts += _drum_accounts(condensed, section, cast, inside, hits, why)
            else:
                role, weight = _ASKED_AS[cast.role]
                reasons = Counter(
                    _why(condensed, placed, cast, note) for note, fate in inside if fate is Fate.LEFT_OUT
                )
                worth = worth_of(sketch.player, role, weight, 64, False)
                accounts.append(
                    Account(
                        section,
                        cast.track.name,
                        cast.role,
                        round(worth, 1),
                        Counter(f for _, f in inside),
                        reasons,
                    )
                )
    return tuple(accounts)


def starting(fates: Iterable[tuple[BandNote, Fate]], start: int, end: int) -> Sequence[tuple[BandNote, Fate]]:
    """Return those of *fates* whose notes are meant from the written tick *start* on and before *end*."""
    return [item for item in fates if start <= item[0].meant < end]


def _why(condensed: Condensed, placed: LaidChoices, cast: Cast, note: BandNote) -> str:
    """Return why a pitched *note* is left out."""
    sketch = condensed.sketch
    if not placed.wants(cast.track.name, note.meant):
        return "you asked for it"
    if cast.role is BandRole.UNUSED:
        return "its track is left out"
    if cast.role is BandRole.DOUBLE:
        return f"it only doubles {cast.doubles}"
    if cast.role is BandRole.BASS:
        return "a hand or the density leaves no room"
    if sketch.tune.at(note.meant) is not None:
        return "the tune has the hand"
    return (
        "the comping takes the hats' rhythm" if sketch.form.groove.hits else "the chord is voiced without it"
    )


def _drum_accounts(
    condensed: Condensed,
    section: Section,
    cast: Cast,
    inside: Sequence[tuple[BandNote, Fate]],
    hits: Mapping[tuple[int, int], int],
    why: Mapping[int, str],
) -> list[Account]:
    """Return the accounts of a drum track's families in one section.

    *hits* are the groove's indices by tick and number, *why* the reasons that the part gives, by hit.
    """
    part, player = condensed.part, condensed.sketch.player
    by_family: dict[Family, list[tuple[BandNote, Fate]]] = {}
    for note, fate in inside:
        index = hits.get((note.tick, note.pitch))
        if index is not None:
            by_family.setdefault(part.groove.hits[index].piece.family, []).append((note, fate))
    accounts = []
    for family in sorted(by_family, key=FAMILY_ORDER.__getitem__):
        reasons = Counter(
            why.get(hits[note.tick, note.pitch], "no hand is free")
            for note, fate in by_family[family]
            if fate is Fate.LEFT_OUT
        )
        worth = worth_of(player, _DRUM_ROLES.get(family, Role.COMPING), 1.0, 64, False)
        counts = Counter(fate for _, fate in by_family[family])
        accounts.append(
            Account(section, f"{cast.track.name}: {family}", "drums", round(worth, 1), counts, reasons)
        )
    return accounts


def format_decisions(condensed: Condensed) -> str:
    """Return all decisions in words, section by section."""
    sketch = condensed.sketch
    lines: list[str] = []
    now = None
    for account in decide(condensed):
        section = account.section
        if section is not now:
            now = section
            again = next((s for s in sketch.form.sections if s.letter == section.letter), section)
            repeat = (
                "" if again is section else f", as {again.name} in bars {again.first_bar} to {again.last_bar}"
            )
            lines.append(f"{section.name}, bars {section.first_bar} to {section.last_bar}{repeat}")
            lines.append(f"  the left hand {sketch.left_styles[section.letter]}")
            lines += [f"  {text}" for text in _moved(condensed, section)]
        lines.append(f"  {account}")
    lines += [f"{line}" for line in _together(condensed)]
    return "\n".join(lines) + "\n"


def _moved(condensed: Condensed, section: Section) -> list[str]:
    """Return by how many octaves the tune is moved in *section*, if it is, and for which notes alone."""
    shifts = Counter(
        note.pitch - note.source.pitch
        for note in condensed.sketch.melody.between(section.start_tick, section.end_tick)
    )
    return [
        f"the tune is moved {'up' if shift > 0 else 'down'} {_OCTAVES[abs(shift) // 12]} ({count} notes)"
        for shift, count in sorted(shifts.items())
        if shift
    ]


def _together(condensed: Condensed) -> list[str]:
    """Return where both hands strike together for the band's stops and pushes, and where the drums play alone."""
    form, where = condensed.sketch.form, condensed.part.timeline.format_position
    told = [f"stop at {where(stop.place)}: both hands strike and are silent" for stop in form.stops]
    told += [
        f"push at {where(push.place)}: both hands strike the next chord with {', '.join(push.tracks)}"
        for push in form.pushes
    ]
    told += [
        f"drums alone ({stretch.name}) in bars {stretch.first} to {stretch.last}"
        for stretch in form.drum_only
    ]
    return told
