"""Settling: what two hands can play of all that they are asked.

First version: keys and hands are kept apart, a hand holds at most five notes within the player's span, and
what matters least goes first, each with its line.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from handgroove.hands.player import Player
from handgroove.part import Change, Note, Omission
from handgroove.strike import Asked, Hand
from handgroove.timeline import Timeline


@dataclass(frozen=True, slots=True)
class Settled:
    """What is played (*notes*, in order, fingered) and what was changed on the way (*omissions*, by time)."""

    notes: tuple[Note, ...]
    omissions: tuple[Omission, ...] = ()


def settle(
    asked: Sequence[Asked],
    player: Player,
    timeline: Timeline,
    *,
    keep: Sequence[int] = (),
    leave_out: Sequence[int] = (),
) -> Settled:
    """Return what *player* can play of *asked*, at the least loss, with a line for every change."""
    rank = {role: index for index, role in enumerate(player.order)}
    omissions: list[Omission] = []
    sounding: list[Note] = []
    done: list[Note] = []
    for hand in Hand:
        mine = sorted((a for a in asked if a.strike.hand is hand), key=lambda a: (a.tick, a.strike.pitches))
        notes = _notes(mine, timeline)
        notes.sort(key=lambda note: (note.tick, rank.get(note.role, 99), -note.weight, note.pitch))
        sounding = []
        for note in notes:
            sounding = [n for n in sounding if n.end_tick > note.tick]
            kept, reason = [], ""
            for old in sounding:
                pitches = [n.pitch for n in sounding if n.tick == note.tick] + [note.pitch]
                if (
                    old.tick < note.tick
                    and max(*pitches, old.pitch) - min(*pitches, old.pitch) > player.size(hand).most
                ):
                    done[done.index(old)] = replace(old, length_ticks=note.tick - old.tick)
                else:
                    kept.append(old)
            sounding = kept
            pitches = [n.pitch for n in sounding] + [note.pitch]
            if max(pitches) - min(pitches) > player.size(hand).most:
                reason = "wider than the hand reaches"
            elif len(sounding) == 5:
                reason = "all five fingers are taken"
            elif any(
                n.pitch == note.pitch and n.tick < note.end_tick and note.tick < n.end_tick for n in done
            ):
                reason = "the key is already down"
            if reason:
                omissions.append(
                    Omission(note.tick, Change.LEFT_OUT, note.role.value, reason, hand, note.hits)
                )
            else:
                sounding.append(note)
                done.append(note)
    done.sort(key=lambda note: note.order)
    return Settled(tuple(done), tuple(sorted(omissions, key=lambda o: o.tick)))


def _notes(asked: list[Asked], timeline: Timeline) -> list[Note]:
    """Return the notes of one hand's strikes; a note ends where its key, or the hand, is struck next."""
    notes: dict[tuple[int, int], Note] = {}
    ticks = sorted({a.tick for a in asked})
    following = dict(pairwise(ticks))
    for a in asked:
        s = a.strike
        end = a.tick + s.hold_ticks
        if s.until_next and a.tick in following:
            end = min(end, following[a.tick])
        for index, pitch in enumerate(s.pitches):
            finger = s.fingers[index] if s.fingers else 0
            old = notes.get((a.tick, pitch))
            hits = a.hits if old is None else tuple(sorted({*old.hits, *a.hits}))
            length = max(1, end - a.tick)
            notes[a.tick, pitch] = Note(
                a.tick, length, pitch, s.velocity, s.hand, s.role, finger, hits, s.weight, s.grace
            )
    by_pitch: dict[int, Note] = {}
    for key in sorted(notes):
        note = notes[key]
        before = by_pitch.get(note.pitch)
        if before is not None and before.end_tick > note.tick:
            notes[before.tick, before.pitch] = replace(before, length_ticks=note.tick - before.tick)
        by_pitch[note.pitch] = note
    return list(notes.values())
