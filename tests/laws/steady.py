"""Laws of staying the same: earlier or later, tighter, again, or with a hair early first stroke."""

from __future__ import annotations

from hashlib import sha256

from handgroove.output.midi import format_midi
from handgroove.strike import Hand
from tests.laws.moved import loosen, shift, start_early
from tests.laws.played import Played, chart_of, play
from tests.laws.verdict import Take, Verdict, find_doubt, names_of

SHIFTS_MS = (-60, -40, -20, 20, 40, 60)
SHORT_SHIFTS_MS = (-20, 20)  # of a clip under four bars
SHORT_BARS = 4
FILL_CHART = "| Am7 | Fmaj7 | C | G | Dm7 | E7 | Bb |"  # longer than a fill with a silent bar: that bar is no bar of it
EARLY_MS = (10, 20, 40)  # but never more than a third of a sixteenth:
THIRD_TICKS = 80


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
    was, now = next(((a, b) for a, b in lines if a != b), ("one length", "another"))
    same = next((i for i, (a, b) in enumerate(zip(was, now, strict=False)) if a != b), 0)
    return f"the page: {was[max(0, same - 40) : same + 60]} is {now[max(0, same - 40) : same + 60]}"


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
            faults.append(f"{plain.where(place)}: {names_of(strange)} instead of {names_of(pitches)}")
    return Verdict("looseness", cases, tuple(faults), doubt=find_doubt(plain))


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


def judge_fill(take: Take) -> Verdict:
    """Play a fill clip after a bar of silence with its first stroke on the bar line and a hair before it.

    The chart's first chord is under that stroke, and chords and bars lie as they do on time. Clips that begin elsewhere
    have no cases.
    """
    cases, faults = 0, []
    plain: Played | None = None
    plain_first = 0
    most_ms = THIRD_TICKS / (16 * take.groove.timeline.tempos[0].tempo_bpm) * 1000
    for ms in (0, *EARLY_MS):
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
