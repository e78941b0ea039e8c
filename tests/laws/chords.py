"""Laws of chord changes: what is struck, held, pedalled and spelled on both sides of them.

Places are the page's, in written ticks; what sounds has the part's own.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from handgroove.harmony.chord import Chord, Key
from handgroove.harmony.symbols.spelling import spell
from handgroove.part import Note
from handgroove.strike import Hand, Role
from tests.laws.played import ChordChange, Played, half_beat_ticks, play
from tests.laws.verdict import Take, Verdict, beat_of, find_doubt, names_of

RING_SEC = 0.060  # past the change, as this drummer plays it
SPELLING_CHART = "key: G minor\n| D7alt | Gm9 | Ebmaj7 | F#dim7 |"  # neighbours that spell one key two ways


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
    following = next((one for one in played.changes if one.before is change.after), None)
    until = played.first_push(following) if following else change.after.end_tick
    ahead = played.own_pcs(following.after) if following else frozenset()
    half = half_beat_ticks(played.timeline, change.after.end_tick - 1)
    for hand, place, notes in played.strokes(change.tick, until):
        pcs = {note.pitch % 12 for note in notes}
        if hand is Hand.LEFT and pcs <= ahead and place >= change.after.end_tick - half:
            continue  # a push to what follows
        leads_on = any(_leads_on(played, note, place, change.after.end_tick) for note in notes)
        if pcs <= old and not pcs <= home and not leads_on:
            yield f"old {names_of({note.pitch for note in notes})} ({hand}) on {beat_of(played, place)}"


def _new_before(played: Played, change: ChordChange) -> Iterator[str]:
    """Yield strokes written before the change that bear only the new chord's tones, but for pushes."""
    home, new = played.own_pcs(change.before), played.own_pcs(change.after)
    half = half_beat_ticks(played.timeline, change.tick - 1)
    pushed = played.first_push(change)
    for hand, place, notes in played.strokes(change.before.start_tick, change.tick):
        pcs = {note.pitch % 12 for note in notes}
        free_from = change.tick - half if hand is Hand.LEFT else pushed
        leads_on = any(_leads_on(played, note, place, change.tick) for note in notes)
        if pcs <= new and not pcs <= home and place < free_from and not leads_on:
            yield f"new {names_of({note.pitch for note in notes})} ({hand}) on {beat_of(played, place)}"


def _leads_on(played: Played, note: Note, place: int, change_tick: int) -> bool:
    """Return whether *note* is a low note in the last beat before *change_tick*, where it may lead on."""
    beat = 2 * half_beat_ticks(played.timeline, change_tick - 1)
    return note.hand is Hand.LEFT and note.role in (Role.KICK, Role.BASS) and place >= change_tick - beat


def judge_push(take: Take) -> Verdict:
    """Look at every kick that takes the next root early: right-hand notes from there on belong to the next or to both.

    That is playing.md I and R; the cases are pushes.
    """
    played, cases, faults = take.plain, 0, []
    for change in played.changes:
        pushed = played.first_push(change)
        if pushed == change.tick:
            continue
        cases += 1
        home = played.own_pcs(change.after)
        wrong = [
            f"old {names_of([note.pitch])} on {beat_of(played, place)}"
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
                f"{played.where(change.tick)}: {names_of([pitch])} rings {1000 * sec:.0f} ms on{more}"
            )
    return Verdict(law, len(played.changes), tuple(faults), doubt=find_doubt(played))


def judge_spelling(take: Take) -> Verdict:
    """Read the page's names over chords that spell one key two ways: a note's name is that of its chord.

    A note of the next chord in the last half-beat before it may be named by either.
    """
    played = play(take.groove, SPELLING_CHART)
    harmony, cases, faults = played.part.harmony, 0, []
    for index, printed in played.page.notes.items():
        pitch, chord = played.part.notes[index].pitch, harmony.at(printed.tick).chord
        half = half_beat_ticks(played.timeline, printed.tick)
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


def _spelled(pitch: int, key: Key, chord: Chord | None) -> str:
    name, octave = spell(pitch, key, chord)
    return f"{name}{octave}"
