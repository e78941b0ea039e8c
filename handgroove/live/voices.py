"""From strikes to note messages: the hand guard says what is pressed, the ledger that it is let go again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from handgroove.live.guard import HandGuard
from handgroove.live.ledger import Ledger
from handgroove.live.midi import Message
from handgroove.live.schedule import Schedule
from handgroove.live.tempo import Transport
from handgroove.part import Omission
from handgroove.strike import Asked, Hand

LONGEST_HOLD_SEC = 30.0
_LOWEST, _HIGHEST = 21, 108  # a piano's keys


@dataclass(frozen=True, slots=True)
class End:
    """The stroke with this *token* ends."""

    token: int


@dataclass(frozen=True, slots=True)
class Later:
    """A strike whose time has not come (a figure's later notes, a roll's)."""

    asked: Asked
    owner: str


class Voices:
    """Plays strikes on one channel. *level* scales velocities (1.0 = as asked), *transpose* is in semitones."""

    def __init__(self, ledger: Ledger, guard: HandGuard, transport: Transport, channel: int) -> None:
        self.ledger = ledger
        self.guard = guard
        self.transport = transport
        self.channel = channel
        self.level = 1.0
        self.transpose = 0
        self.schedule: Schedule[End | Later] = Schedule()
        self.last: dict[Hand, tuple[int, ...]] = {Hand.LEFT: (), Hand.RIGHT: ()}  # what each hand struck last
        self._tokens: dict[int, int] = {}  # the guard's pitch -> the stroke that it pressed

    def strike(
        self, asked: Sequence[Asked], sec: float, owner: str
    ) -> tuple[list[Message], tuple[Omission, ...]]:
        """Play strikes that are due at *sec*; return what to send and what was left out."""
        pressed = self.guard.take(asked, self.transport.tempo_bpm)
        out: list[Message] = []
        for pitch in pressed.let_go:
            token = self._tokens.pop(pitch, None)
            if token is not None:
                out += self.ledger.end(token)
        for hand in self.last:
            struck = tuple(note.pitch + self.transpose for note in pressed.notes if note.hand is hand)
            if struck:
                self.last[hand] = struck
        for note in pressed.notes:
            velocity = max(1, min(127, round(note.velocity * self.level)))
            messages, token = self.ledger.begin(
                self.channel, self._sounding_pitch(note.pitch), velocity, owner
            )
            out += messages
            self._tokens[note.pitch] = token
            hold_sec = min(LONGEST_HOLD_SEC, self.transport.ticks_to_sec(note.length_ticks))
            self.schedule.put(sec + hold_sec, End(token))
        self.schedule.prune(self._is_alive, len(self.ledger))
        return out, pressed.omissions

    def end(self, token: int) -> list[Message]:
        """End the stroke with *token*; return what to send."""
        return self.ledger.end(token)

    def end_owner(self, owner: str) -> list[Message]:
        """End all that *owner* began and forget what it planned; return what to send."""
        self.schedule.keep(lambda item: not (isinstance(item, Later) and item.owner == owner))
        return self.ledger.end_where(lambda note: note.owner == owner)

    def end_mine(self) -> list[Message]:
        """End every note that the hands hold and forget what they planned; return what to send."""
        self._forget()
        return self.ledger.end_all(channels=frozenset({self.channel}))

    def end_all(self) -> list[Message]:
        """End every note there is, whoever began it, and release the pedals; return what to send."""
        self._forget()
        return self.ledger.end_all()

    def _forget(self) -> None:
        self.schedule.clear()
        self._tokens.clear()
        self.guard.reset()

    def planned(self) -> list[Later]:
        """Return the strikes whose time has not come."""
        return [item for item in self.schedule.items() if isinstance(item, Later)]

    def _is_alive(self, item: End | Later) -> bool:
        return isinstance(item, Later) or self.ledger.sounds(item.token)

    def _sounding_pitch(self, pitch: int) -> int:
        """Return the key that sounds for *pitch*: transposed, an octave nearer where the keyboard ends."""
        pitch += self.transpose
        while pitch < _LOWEST:
            pitch += 12
        while pitch > _HIGHEST:
            pitch -= 12
        return pitch
