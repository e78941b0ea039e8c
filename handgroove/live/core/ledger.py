"""The note ledger: every note begun is ended, once, whatever happens.

All notes and pedals that go out pass through here. A key can sound once only, so a second stroke on it ends the
first; each stroke has a token, and the end that was planned for an earlier stroke finds its token gone and does
nothing. Source for what to send at a stop: MIDI 1.0 Detailed Specification 4.2.1 (1996), pages 24, 25 and 31
(every note-off first, pedals back to normal, and only then All Notes Off, which receivers need not obey).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from handgroove.live.core.messages import ALL_NOTES_OFF, PEDALS, Message, control, note_off, note_on


@dataclass(frozen=True, slots=True)
class SoundingKey:
    """A note that was begun and not yet ended: its key, who asked for it, and the *token* of the stroke."""

    channel: int
    pitch: int
    owner: str
    token: int


class Ledger:
    """Keeps account of what sounds. *begun* and *ended* count note-ons and note-offs since the start."""

    __slots__ = ("_by_token", "_next_token", "_pedals", "_sounding", "begun", "ended")

    def __init__(self) -> None:
        self._sounding: dict[tuple[int, int], SoundingKey] = {}
        self._by_token: dict[int, tuple[int, int]] = {}
        self._pedals: set[tuple[int, int]] = set()
        self._next_token = 1
        self.begun = 0
        self.ended = 0

    def begin(self, channel: int, pitch: int, velocity: int, owner: str) -> tuple[list[Message], int]:
        """Begin a note; return what to send (an end first if the key sounds already) and the stroke's token."""
        out = self.end_key(channel, pitch)
        token = self._next_token
        self._next_token += 1
        key = (channel, pitch)
        self._sounding[key] = SoundingKey(channel, pitch, owner, token)
        self._by_token[token] = key
        self.begun += 1
        out.append(note_on(channel, pitch, velocity))
        return out, token

    def end(self, token: int) -> list[Message]:
        """End the stroke that *token* names; return what to send, nothing if it has ended already."""
        key = self._by_token.get(token)
        return [] if key is None else self.end_key(*key)

    def end_key(self, channel: int, pitch: int) -> list[Message]:
        """End what sounds on a key; return what to send, nothing if it is silent."""
        note = self._sounding.pop((channel, pitch), None)
        if note is None:
            return []
        del self._by_token[note.token]
        self.ended += 1
        return [note_off(channel, pitch)]

    def end_where(self, chosen: Callable[[SoundingKey], bool]) -> list[Message]:
        """End every note for which *chosen* is true; return what to send."""
        doomed = [note for note in self._sounding.values() if chosen(note)]
        return [message for note in doomed for message in self.end_key(note.channel, note.pitch)]

    def move_pedal(self, channel: int, number: int, value: int) -> list[Message]:
        """Pass on a pedal move (control 64, 66 or 67), remembering what has to be released."""
        if value >= 64 or (value > 0 and number == PEDALS[0]):  # a half-pressed sustain pedal counts as down
            self._pedals.add((channel, number))
        else:
            self._pedals.discard((channel, number))
        return [control(channel, number, value)]

    def end_all(self) -> list[Message]:
        """End every note and release every pedal; return what to send."""
        used = {note.channel for note in self._sounding.values()} | {channel for channel, _ in self._pedals}
        out = self.end_where(lambda _: True)
        out += [control(channel, number, 0) for channel, number in sorted(self._pedals)]
        self._pedals.clear()
        return out + [control(channel, ALL_NOTES_OFF, 0) for channel in sorted(used)]

    def sounds(self, token: int) -> bool:
        """Return whether the stroke that *token* names still sounds."""
        return token in self._by_token

    def sounding(self) -> tuple[SoundingKey, ...]:
        """Return what sounds now."""
        return tuple(self._sounding.values())

    def __len__(self) -> int:
        return len(self._sounding)
