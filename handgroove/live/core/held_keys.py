"""The player's keys: which chord they hold, and passing on what is played."""

from __future__ import annotations

from handgroove.live.core.ledger import Ledger
from handgroove.live.core.live_placing import LivePlacing
from handgroove.live.core.messages import ALL_SOUND_OFF, CONTROL, PEDALS, Message, is_note_off, is_note_on
from handgroove.live.core.stage import ChordEar

# The fingers of one chord land within this (asynchrony of 20 to 50 ms: common, from memory)
SETTLE_SEC = 0.04
OWNER = "the player"


class Keys:
    """Listens to the keys. A chord is read when its fingers have landed, or at once when a drum is struck."""

    def __init__(self, ear: ChordEar | None, placing: LivePlacing, ledger: Ledger, *, thru: bool) -> None:
        self._ear = ear
        self._placing = placing
        self._ledger = ledger
        self._thru = thru
        self._read_sec: float | None = None
        self.symbol = ""

    def take(self, message: Message, sec: float) -> list[Message]:
        """Take a channel message from the keys; return what is passed on."""
        channel = message[0] & 0x0F
        if is_note_on(message):
            if self._ear is not None:
                self._ear.press(message[1], sec)
                self._read_sec = sec + SETTLE_SEC
            return self._ledger.begin(channel, message[1], message[2], OWNER)[0] if self._thru else []
        if is_note_off(message):
            if self._ear is not None:
                self._ear.release(message[1], sec)
            return self._release(message) if self._thru else []
        return self._pass_on(message, channel) if self._thru else []

    def _pass_on(self, message: Message, channel: int) -> list[Message]:
        """Pass on what is no note; channel modes are kept back: they would silence what the ledger counts."""
        if message[0] & 0xF0 != CONTROL:
            return [message]
        if message[1] in PEDALS:
            return self._ledger.move_pedal(channel, message[1], message[2])
        return [message] if message[1] < ALL_SOUND_OFF else []

    def _release(self, message: Message) -> list[Message]:
        """End a key that the player let go, unless the hands have struck it anew since."""
        channel, pitch = message[0] & 0x0F, message[1]
        return self._ledger.end_where(
            lambda note: note.owner == OWNER and note.channel == channel and note.pitch == pitch
        )

    def next_sec(self) -> float | None:
        """Return when the chord wants reading, or None."""
        return self._read_sec

    def read(self, tick: int, sec: float) -> None:
        """Read the chord that is held at *tick* (and *sec*), if keys were pressed since it was last read."""
        if self._read_sec is None or self._ear is None:
            return
        self._read_sec = None
        chord = self._ear.chord(sec)
        if chord is not None:
            self.symbol = chord.symbol
            self._placing.hear(chord, tick)

    def lose(self) -> list[Message]:
        """Let every key go: their port has gone; return what to send."""
        if self._ear is not None:
            self._ear.clear()
        self._read_sec = None
        return self._ledger.end_where(lambda note: note.owner == OWNER)
