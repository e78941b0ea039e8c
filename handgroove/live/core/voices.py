"""From strikes to note messages: the hand guard says what is pressed, the ledger that it is let go again."""

from __future__ import annotations

from dataclasses import dataclass

from handgroove.hands.guard import Guard
from handgroove.live.core.ledger import Ledger
from handgroove.live.core.messages import Message
from handgroove.live.core.schedule import Schedule
from handgroove.live.core.tempo import Transport
from handgroove.part import Omission
from handgroove.strike import Asked, Hand

LONGEST_HOLD_SEC = 30.0
_LOWEST, _HIGHEST = 21, 108  # a piano's keys


@dataclass(frozen=True, slots=True)
class End:
    """The stroke with this *token* ends; *hand* lets go of *pitch*, as the guard knows it."""

    token: int
    hand: Hand
    pitch: int


@dataclass(frozen=True, slots=True)
class Later:
    """A strike whose time has not come (a figure's later notes, a roll's)."""

    asked: Asked
    owner: str


class Voices:
    """Plays strikes on one channel. *volume* scales velocities (1.0 = as asked), *transpose* is in semitones."""

    def __init__(self, ledger: Ledger, guard: Guard, transport: Transport, channel: int) -> None:
        self.ledger = ledger
        self.guard = guard
        self.transport = transport
        self.channel = channel
        self.volume = 1.0
        self.transpose = 0
        self.schedule: Schedule[End | Later] = Schedule()
        self.last: dict[Hand, tuple[int, ...]] = {Hand.LEFT: (), Hand.RIGHT: ()}  # what each hand struck last
        self._tokens: dict[tuple[Hand, int], int] = {}  # the guard's key -> the stroke that pressed it
        self._sec = 0.0

    def strike(self, asked: Asked, sec: float, owner: str) -> tuple[list[Message], tuple[Omission, ...]]:
        """Play a strike that is due at *sec*; return what to send and what was left out."""
        strike = asked.strike
        self._sec = sec
        hold_sec = min(LONGEST_HOLD_SEC, self.transport.ticks_to_sec(strike.hold_ticks))
        admitted = self.guard.admit(strike, sec, hold_sec, tick=asked.tick)
        out: list[Message] = []
        for hand, pitch in admitted.releases:
            token = self._tokens.get((hand, pitch))
            if token is not None:
                out += self.ledger.end(token)
        if admitted.presses:
            self.last[strike.hand] = tuple(press.pitch + self.transpose for press in admitted.presses)
        for press in admitted.presses:
            velocity = max(1, min(127, round(press.velocity * self.volume)))
            messages, token = self.ledger.begin(
                self.channel, self._sounding_pitch(press.pitch), velocity, owner
            )
            out += messages
            self._tokens[press.hand, press.pitch] = token
            self.schedule.put(min(sec + hold_sec, press.end_sec), End(token, press.hand, press.pitch))
        self.schedule.prune(self._is_alive, len(self.ledger))
        return out, admitted.omissions

    def end(self, end: End, sec: float) -> list[Message]:
        """End the stroke that *end* names, at *sec*; return what to send."""
        if not self.ledger.sounds(end.token):
            return []
        self._sec = sec
        self.guard.release(end.hand, end.pitch, sec)
        return self.ledger.end(end.token)

    def end_owner(self, owner: str) -> list[Message]:
        """End all that *owner* began and forget what it planned; return what to send."""
        self.schedule.keep(lambda item: not (isinstance(item, Later) and item.owner == owner))
        out = self.ledger.end_where(lambda note: note.owner == owner)
        self._let_go()
        return out

    def end_all(self) -> list[Message]:
        """End every note there is, whoever began it, and release the pedals; return what to send."""
        self.schedule.clear()
        out = self.ledger.end_all()
        self._let_go()
        return out

    def _let_go(self) -> None:
        """Tell the guard of every key whose stroke has been ended behind its back."""
        for key, token in list(self._tokens.items()):
            if not self.ledger.sounds(token):
                self.guard.release(*key, self._sec)
                del self._tokens[key]

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
