"""The laws of meant strokes, each a function from a take to a verdict. They ask the public API and the page alone.

What a law leaves out stands in its docstring. Places are the page's, in written ticks; what sounds has the part's own.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from hashlib import sha256

from handgroove import read_player
from handgroove.groove.hits import Groove
from handgroove.groove.kit import Family
from handgroove.hands.playability import Severity, check_notes
from handgroove.harmony.symbols.spelling import spell
from handgroove.output.midi import format_midi
from handgroove.part import Note
from handgroove.strike import Hand, Role
from tests.laws.moved import lead_in, loosen, shift, start_early
from tests.laws.played import ChordChange, Played, chart_of, play

CHART = "| Am7 | Fmaj7 | C | G |"
SPELLING_CHART = "key: G minor\n| D7alt | Gm9 | Ebmaj7 | F#dim7 |"  # neighbours that spell one key two ways
FILL_CHART = "| Am7 | Fmaj7 | C | G | Dm7 | E7 | Bb |"  # longer than a fill with a silent bar: that bar is no bar of it
SHIFTS_MS = (-60, -40, -20, 20, 40, 60)
SHORT_SHIFTS_MS = (-20, 20)  # of a clip under four bars
SHORT_BARS = 4
EARLY_MS = (10, 20, 40)  # but never more than a third of a sixteenth
RING_SEC = 0.060  # past the change, as this drummer plays it
PLAYERS = ("octave", "ninth", "tenth")
FINAL = frozenset({Family.KICK, Family.CRASH})  # what a last chord is struck with, beside an accented snare
ACCENT = 90  # velocity from which a last snare may be one
ON_LINE_TICKS = 60  # a quarter of a sixteenth: this near a bar line, a stroke is meant on it
NEAR_LINE_TICKS = 160  # half-way to a triplet: up to here either reading may be right
DOUBT = re.compile(r"ambiguous|not sure|either way|no bar lines|rubato|as played", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a law says of a take: *cases* looked at, its *faults* in words, and cases *exempt* by the law's own words.

    *doubt* is the sentence with which the reading itself said that it was not sure.
    """

    law: str
    cases: int
    faults: tuple[str, ...] = ()
    exempt: int = 0
    doubt: str = ""

    @property
    def holds(self) -> bool:
        """Return whether nothing is wrong."""
        return not self.faults


@dataclass(frozen=True)
class Take:
    """A *groove* called *name* over a *chart*, as it is and with a bar of silence before it."""

    name: str
    groove: Groove
    chart: str = CHART

    @cached_property
    def plain(self) -> Played:
        """Return the take put through the job."""
        return play(self.groove, self.chart)

    @cached_property
    def led(self) -> Groove:
        """Return the groove with a bar of silence before it."""
        return lead_in(self.groove)

    @cached_property
    def after_silence(self) -> Played:
        """Return that one put through the job."""
        return play(self.led, self.chart)

    @property
    def is_fill(self) -> bool:
        """Return whether the take is a fill clip, by its name."""
        return "_fill_" in self.name or self.name.startswith("fill")


def judge_shift(take: Take) -> Verdict:
    """Compare the take with itself earlier and later: no pitch, hand, finger, spelling or page changes.

    A shift over a third of the finest step that the unshifted page uses is made a third of it; such are counted exempt.
    """
    plain = take.after_silence
    timeline = take.groove.timeline
    bars = timeline.bar_at(take.groove.hits[-1].tick).number
    fastest_bpm = max(change.tempo_bpm for change in timeline.tempos)
    most_ms = int(plain.page.finest_step_ticks(plain.timeline) / 3 / (16 * fastest_bpm) * 1000)
    wanted = SHIFTS_MS if bars >= SHORT_BARS else SHORT_SHIFTS_MS
    tried = sorted({max(-most_ms, min(most_ms, ms)) for ms in wanted})
    faults = []
    for ms in tried:
        difference = compare(plain, play(shift(take.led, ms), take.chart))
        if difference:
            faults.append(f"{ms:+d} ms: {difference}")
    return Verdict(
        "shift", len(tried), tuple(faults), sum(abs(ms) > most_ms for ms in wanted), find_doubt(plain)
    )


def compare(plain: Played, moved: Played) -> str:
    """Return the first thing in which *moved* differs from *plain*, in words ("" = none)."""
    one, other = plain.part.notes, moved.part.notes
    if len(one) != len(other):
        return f"{len(other)} notes instead of {len(one)}"
    for what in ("pitch", "hand", "finger"):
        wrong = [
            i for i, (a, b) in enumerate(zip(one, other, strict=True)) if getattr(a, what) != getattr(b, what)
        ]
        if wrong:
            return f"{what} of {len(wrong)} notes, first at {plain.where(plain.place(wrong[0]))}"
    if plain.musicxml == moved.musicxml:
        return ""
    if plain.page.measures != moved.page.measures:
        return f"{len(moved.page.measures)} bars instead of {len(plain.page.measures)}"
    for index in plain.page.notes:
        if plain.page.notes[index] != moved.page.notes[index]:
            one_note, other_note = plain.page.notes[index], moved.page.notes[index]
            was, now = (f"{note.name} at tick {note.tick}" for note in (one_note, other_note))
            return f"the page, {plain.where(one_note.tick)}: {was} is {now}"
    lines = zip(plain.musicxml.splitlines(), moved.musicxml.splitlines(), strict=False)
    return "the page: " + next((a for a, b in lines if a != b), "its length")[:120]


def judge_looseness(take: Take) -> Verdict:
    """Compare the take with itself played half as loosely: each right-hand note stays under its chord."""
    plain = take.plain
    groove, was = loosen(take.groove, plain, 0.5)
    tight = play(groove, take.chart)
    cases, faults = 0, []
    for now, before in enumerate(was):
        one = [i for i in plain.answers.get(before, ()) if plain.part.notes[i].hand is Hand.RIGHT]
        other = [i for i in tight.answers.get(now, ()) if tight.part.notes[i].hand is Hand.RIGHT]
        if not one or not other:
            continue
        cases += 1
        place = plain.place(one[0])
        harmony = plain.part.harmony
        span = harmony.at(place)
        pitches = {plain.part.notes[i].pitch for i in one}
        strange = {tight.part.notes[i].pitch for i in other} - pitches
        if tight.part.harmony.index_at(tight.place(other[0])) != harmony.index_at(place):
            faults.append(f"{plain.where(place)}: written under another chord")
        elif any(pitch % 12 not in plain.own_pcs(span) for pitch in strange):
            faults.append(f"{plain.where(place)}: {_names(strange)} instead of {_names(pitches)}")
    return Verdict("looseness", cases, tuple(faults), doubt=find_doubt(plain))


def judge_changes(take: Take) -> Verdict:
    """Look at every chord change: the written strokes from it on bear the new chord, those before it the old.

    A stroke is what one hand has at one written place. Left out: figures and tune, graces, the left hand's pushes in
    the last half-beat and its approach in the last beat, the right hand's new chord from such a push on, and tones
    that belong to both.
    """
    played, faults = take.plain, []
    for change in played.changes:
        wrong = [*_old_after(played, change), *_new_before(played, change)]
        if wrong:
            faults.append(f"{played.where(change.tick)}: {'; '.join(wrong[:3])}")
    return Verdict("changes", len(played.changes), tuple(faults), doubt=find_doubt(played))


def _old_after(played: Played, change: ChordChange) -> Iterator[str]:
    """Yield strokes written under the new chord that bear only the old one's tones."""
    home, old = played.own_pcs(change.after), played.own_pcs(change.before)
    for hand, place, notes in played.strokes(change.tick, change.after.end_tick):
        pcs = {note.pitch % 12 for note in notes}
        leads_on = any(_leads_on(played, note, place, change.after.end_tick) for note in notes)
        if pcs <= old and not pcs <= home and not leads_on:
            yield f"old {_names({note.pitch for note in notes})} ({hand}) on {_beat(played, place)}"


def _new_before(played: Played, change: ChordChange) -> Iterator[str]:
    """Yield strokes written before the change that bear only the new chord's tones, but for pushes."""
    home, new = played.own_pcs(change.before), played.own_pcs(change.after)
    half = played.timeline.metre_at(change.tick - 1).beat_ticks // 2
    pushed = min(played.pushes(change), default=change.tick)
    for hand, place, notes in played.strokes(change.before.start_tick, change.tick):
        pcs = {note.pitch % 12 for note in notes}
        free_from = change.tick - half if hand is Hand.LEFT else pushed
        leads_on = any(_leads_on(played, note, place, change.tick) for note in notes)
        if pcs <= new and not pcs <= home and place < free_from and not leads_on:
            yield f"new {_names({note.pitch for note in notes})} ({hand}) on {_beat(played, place)}"


def _leads_on(played: Played, note: Note, place: int, change_tick: int) -> bool:
    """Return whether *note* is a low note in the last beat before *change_tick*, where it may lead on."""
    beat = played.timeline.metre_at(change_tick - 1).beat_ticks
    return note.hand is Hand.LEFT and note.role in (Role.KICK, Role.BASS) and place >= change_tick - beat


def judge_push(take: Take) -> Verdict:
    """Look at every kick that takes the next root early: right-hand notes from there on belong to the next or to both.

    That is playing.md I and R; the cases are pushes.
    """
    played, cases, faults = take.plain, 0, []
    for change in played.changes:
        pushed = min(played.pushes(change), default=None)
        if pushed is None:
            continue
        cases += 1
        home = played.own_pcs(change.after)
        wrong = [
            f"old {_names([note.pitch])} on {_beat(played, place)}"
            for _, note, place in played.accompaniment
            if note.hand is Hand.RIGHT and pushed <= place < change.tick and note.pitch % 12 not in home
        ]
        if wrong:
            faults.append(f"{played.where(change.tick)}: {'; '.join(wrong[:3])}")
    return Verdict("push", cases, tuple(faults), doubt=find_doubt(played))


def judge_ring(take: Take) -> Verdict:
    """Look at every chord change: no key of the old chord is held over 60 ms past it, as this drummer plays it.

    A key struck a hair early counts as begun before it, wherever it is written.
    """
    played = take.plain
    return _judge_ring(played, "ring", [note.end_tick for note in played.part.notes], late_stroke=False)


def judge_pedal(take: Take) -> Verdict:
    """Look at every chord change with the pedal in it: no string of the old chord rings on.

    The pedal is lifted by the new chord's first stroke, so the 60 ms are counted from that where it comes later.
    """
    played = take.plain
    moves = played.part.pedal
    ends = []
    for note in played.part.notes:
        down = [move for move in moves if move.tick <= note.end_tick]
        up = next((move.tick for move in moves if move.tick > note.end_tick and not move.down), note.end_tick)
        ends.append(up if down and down[-1].down else note.end_tick)
    return _judge_ring(played, "pedal", ends, late_stroke=True)


def _judge_ring(played: Played, law: str, ends: Sequence[int], *, late_stroke: bool) -> Verdict:
    faults = []
    timeline = played.timeline
    for change in played.changes:
        limit = played.played_sec(change.tick) + RING_SEC
        if late_stroke:
            new = [n.tick for _, n, at in played.accompaniment if change.tick <= at < change.after.end_tick]
            limit = max(limit, timeline.tick_to_sec(min(new, default=0)) + RING_SEC)
        home = played.own_pcs(change.after)
        played_tick = timeline.sec_to_tick(played.played_sec(change.tick))
        left = [
            (timeline.tick_to_sec(ends[index]) - limit + RING_SEC, note.pitch)
            for index, note, place in played.accompaniment
            if min(place, change.tick + note.tick - played_tick)
            < change.tick  # begun before it, on paper or by ear
            and note.pitch % 12 not in home
            and timeline.tick_to_sec(ends[index]) > limit
        ]
        if left:
            sec, pitch = max(left)
            more = f" and {len(left) - 1} more" if len(left) > 1 else ""
            faults.append(
                f"{played.where(change.tick)}: {_names([pitch])} rings {1000 * sec:.0f} ms on{more}"
            )
    return Verdict(law, len(played.changes), tuple(faults), doubt=find_doubt(played))


def judge_bars(take: Take) -> Verdict:
    """Count the page's bars: as many as were played, and one more only for a last kick, crash or accented snare on it.

    Silent bars before the music may be counted or not. Strokes from a quarter to two thirds of a sixteenth off the last
    bar line may be read either way.
    """
    played = take.plain
    printed = len(played.page.measures)
    timeline = take.groove.timeline
    last = take.groove.hits[-1].tick - played.running_lean(take.groove.hits[-1].tick)
    line = timeline.bar_at(last + NEAR_LINE_TICKS)
    off = last - line.start_tick
    near = [hit for hit in take.groove.hits if hit.tick >= take.groove.hits[-1].tick - NEAR_LINE_TICKS]
    is_final = any(
        hit.piece.family in FINAL or (hit.piece.family is Family.SNARE and hit.velocity >= ACCENT)
        for hit in near
    )
    bars = timeline.bar_at(last).number
    right = {bars}
    if abs(off) <= NEAR_LINE_TICKS and line.number > 1:
        right = {line.number} if is_final else {line.number - 1}
        if abs(off) > ON_LINE_TICKS:
            right = {line.number, line.number - 1} if is_final or off > 0 else {line.number - 1}
    silent = timeline.bar_at(take.groove.hits[0].tick + NEAR_LINE_TICKS).number - 1
    right |= {number - silent for number in right if silent > 0}
    faults = (
        ()
        if printed in right
        else (f"{printed} bars printed, {' or '.join(map(str, sorted(right)))} played",)
    )
    return Verdict("bars", 1, faults, doubt=find_doubt(played))


def judge_same(take: Take) -> Verdict:
    """Do it twice: the same bytes of MIDI and page."""
    one, other = take.plain, play(take.groove, take.chart)
    faults = []
    if format_midi(one.part) != format_midi(other.part):
        faults.append("the MIDI file differs")
    if one.musicxml != other.musicxml:
        faults.append("the page differs")
    return Verdict("same", 2, tuple(faults))


def fingerprint(played: Played) -> str:
    """Return a digest of all bytes written, to be compared between processes."""
    return sha256(format_midi(played.part) + played.musicxml.encode()).hexdigest()


def judge_told(take: Take) -> Verdict:
    """Look for every hit: it stands in a note's hits or in an omission's, whose reason is in words."""
    part = take.plain.part
    found = {hit for note in part.notes for hit in note.hits}
    found |= {hit for omission in part.omissions for hit in omission.hits if omission.reason}
    lost = [index for index in range(len(part.groove.hits)) if index not in found]
    faults = [
        f"{part.groove.hits[index].piece} at {part.timeline.format_position(part.groove.hits[index].tick)} is lost"
        for index in lost
    ]
    return Verdict("told", len(part.groove.hits), tuple(faults))


def judge_hands(take: Take) -> Verdict:
    """Let three sizes of hand play it: nothing that can't be played."""
    cases, faults = 0, []
    for name in PLAYERS:
        played = take.plain if name == "ninth" else play(take.groove, take.chart, name)
        part = played.part
        cases += len(part.notes)
        faults += [
            f"{name}, {part.timeline.format_position(trouble.tick)}: {trouble.text}"
            for trouble in check_notes(part.notes, read_player(name), part.timeline)
            if trouble.severity is Severity.CANT
        ]
    return Verdict("hands", cases, tuple(faults))


def judge_spelling(take: Take) -> Verdict:
    """Read the page's names over chords that spell one key two ways: a note's name is that of its chord.

    A note of the next chord in the last half-beat before it may be named by either.
    """
    played = play(take.groove, SPELLING_CHART)
    harmony, cases, faults = played.part.harmony, 0, []
    for index, printed in played.page.notes.items():
        pitch, chord = played.part.notes[index].pitch, harmony.at(printed.tick).chord
        half = played.timeline.metre_at(printed.tick).beat_ticks // 2
        right = {_spelled(pitch, harmony.key, chord)}
        soon = harmony.at(printed.tick + half).chord
        if soon and pitch % 12 in soon.pcs:
            right.add(_spelled(pitch, harmony.key, soon))
        cases += 1
        if printed.name not in right and "##" not in "".join(right) and "bb" not in "".join(right):
            faults.append(
                f"{played.where(printed.tick)}: {printed.name} instead of {' or '.join(sorted(right))}"
            )
    return Verdict("spelling", cases, tuple(faults), doubt=find_doubt(played))


def _spelled(pitch: int, key: object, chord: object) -> str:
    name, octave = spell(pitch, key, chord)  # type: ignore[arg-type]
    return f"{name}{octave}"


def judge_fill(take: Take) -> Verdict:
    """Play a fill clip after a bar of silence with its first stroke on the bar line and a hair before it.

    The chart's first chord is under that stroke, and chords and bars lie as they do on time. Clips that begin elsewhere
    have no cases.
    """
    cases, faults = 0, []
    plain: Played | None = None
    plain_first = 0
    for ms in (0, *EARLY_MS):
        most_ms = (
            80 / (16 * take.groove.timeline.tempos[0].tempo_bpm) * 1000
        )  # 80 ticks are a third of a sixteenth
        groove = start_early(take.led, min(ms, most_ms)) if take.is_fill else None
        if groove is None:
            continue
        cases += 1
        played = play(groove, FILL_CHART)
        when = f"{ms} ms early" if ms else "on time"
        first = min(
            (note.tick for note in played.page.notes.values()),
            default=played.part.harmony.spans[0].start_tick,
        )
        if plain is None:
            plain, plain_first = played, first
        chord, chart_first = played.part.harmony.at(first).chord, chart_of(FILL_CHART).bars[0].chords[0].chord
        if chord != chart_first:
            faults.append(f"{when}: {chord.symbol if chord else 'nothing'} under the first stroke")
        elif first != plain_first:
            faults.append(f"{when}: the first stroke is written at {played.where(first)}")
        elif played.part.harmony.spans != plain.part.harmony.spans:
            faults.append(f"{when}: the chords lie otherwise than on time")
        elif played.page.measures != plain.page.measures:
            faults.append(f"{when}: {len(played.page.measures)} bars instead of {len(plain.page.measures)}")
    doubt = find_doubt(plain) if plain else ""
    return Verdict("fill", cases, tuple(faults), doubt=doubt)


def find_doubt(played: Played) -> str:
    """Return the message in which the reading says that it is not sure ("" = none)."""
    return next((message for message in played.part.messages if DOUBT.search(message)), "")


def _names(pitches: Sequence[int] | set[int]) -> str:
    letters = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
    return " ".join(f"{letters[pitch % 12]}{pitch // 12 - 1}" for pitch in sorted(pitches))


def _beat(played: Played, place: int) -> str:
    return played.where(place).partition(", ")[2]


LAWS: dict[str, Callable[[Take], Verdict]] = {
    "shift": judge_shift,
    "looseness": judge_looseness,
    "changes": judge_changes,
    "push": judge_push,
    "ring": judge_ring,
    "pedal": judge_pedal,
    "bars": judge_bars,
    "same": judge_same,
    "told": judge_told,
    "hands": judge_hands,
    "spelling": judge_spelling,
    "fill": judge_fill,
}
