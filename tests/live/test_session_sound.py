"""Playing live through the machine's own audio: only the piano's messages go there, and silence is told once."""

from __future__ import annotations

from typing import Any

from handgroove.live.core.accounts import Accounts
from handgroove.live.core.stage import Sink
from handgroove.live.session import _sound_sender


class Port:
    """Takes messages, and falls silent after the second."""

    def __init__(self) -> None:
        self.sent: list[Any] = []
        self.trouble = ""

    def send(self, message: Any) -> None:
        """Keep *message*."""
        self.sent.append(message)
        if len(self.sent) == 2:
            self.trouble = "the sound has stopped"


class Engine:
    """Only the accounts of an engine."""

    def __init__(self) -> None:
        self.accounts = Accounts()


def test_only_the_piano_sounds_and_silence_is_told_once() -> None:
    """Clock and click stay away from the piano; when the sound stops, one line says so and playing goes on."""
    port, engine = Port(), Engine()
    send: Any = _sound_sender(port, engine)  # type: ignore[arg-type]
    send((Sink.CLOCK, (0xF8,)))
    for pitch in (60, 62, 64):
        send((Sink.PIANO, (0x90, pitch, 90)))
    assert [message[1] for message in port.sent] == [60, 62, 64]
    assert engine.accounts.fresh(0) == ["the sound has stopped"]
