"""The live path against another library's client at the far end, and published limits for delay and jitter.

The client is JACK-Client (M. Geier and others, PyPI JACK-Client), which speaks to the server by itself, without the
library that the ports here use. Limits: 10 ms of delay and 1 ms of jitter for musical control (D. Wessel, M. Wright,
2002, "Problems and prospects for intimate musical control of computers", Computer Music Journal 26(3):11-22).
"""

from __future__ import annotations

import struct
import threading
from statistics import median, pstdev
from time import sleep
from typing import Any

from tests.live.jack_rig import CHART, Player, needs_jack, server

pytestmark = needs_jack

_HITS = 100
_GAP_SEC = 0.1  # wider than a flam, whose second stroke is not answered


class _Client:
    """Strikes the kick ten times a second from the server's own thread and hears what comes back, with frame times."""

    def __init__(self) -> None:
        import jack

        self.client = jack.Client("independent", no_start_server=True)
        self.out = self.client.midi_outports.register("hits")
        self.back = self.client.midi_inports.register("hears")
        self.struck: list[int] = []
        self.heard: list[tuple[int, bytes]] = []
        self.going = threading.Event()
        self.rate = self.client.samplerate
        self._next = 0
        self.client.set_process_callback(self._process)
        self.client.activate()

    def _process(self, frames: int) -> None:
        now = self.client.last_frame_time
        for offset, data in self.back.incoming_midi_events():
            self.heard.append((now + offset, bytes(data)))
        self.out.clear_buffer()
        if self.going.is_set() and now >= self._next and len(self.struck) < _HITS:
            self._next = now + int(_GAP_SEC * self.rate)
            self.out.write_midi_event(0, struct.pack("3B", 0x99, 36, 100))
            self.struck.append(now)

    def connect(self) -> None:
        """Connect to the stage's ports, by their names."""
        for _ in range(200):
            drums = self.client.get_ports("Handgroove drums", is_midi=True, is_input=True)
            piano = self.client.get_ports("Handgroove piano", is_midi=True, is_output=True)
            if drums and piano:
                self.client.connect(self.out, drums[0])
                self.client.connect(piano[0], self.back)
                return
            sleep(0.05)
        raise AssertionError("the stage's ports did not appear")

    def delays_ms(self) -> list[float]:
        """Return the delay of each answered hit: from its frame to the frame of the first note after it."""
        notes = [frame for frame, data in self.heard if data[0] & 0xF0 == 0x90 and data[2]]
        delays = []
        for number, frame in enumerate(self.struck):
            until: Any = self.struck[number + 1] if number + 1 < len(self.struck) else float("inf")
            first = next((note for note in notes if frame < note <= until), None)
            if first is not None:
                delays.append(1e3 * (first - frame) / self.rate)
        return delays


def test_an_independent_client_hears_each_note_begin_and_end_in_time() -> None:
    """Note-ons and note-offs pair up as another library reads them; delay and jitter keep the published limits."""
    with server() as running:
        player = Player(running, "--drums", "virtual", "--chart", CHART)
        try:
            far = _Client()
            far.connect()
            sleep(0.3)
            far.going.set()
            sleep(_GAP_SEC * _HITS + 0.5)
            player.end()
            sleep(0.3)
            far.client.deactivate()
            far.client.close()
        finally:
            player.kill()
    sounding: set[int] = set()
    for _, data in far.heard:
        if data[0] & 0xF0 == 0x90 and data[2]:
            assert data[1] not in sounding
            sounding.add(data[1])
        elif data[0] & 0xF0 in (0x80, 0x90):
            assert data[1] in sounding
            sounding.remove(data[1])
    assert not sounding
    delays = far.delays_ms()
    assert len(delays) > _HITS // 4
    assert median(delays) < 10.0
    middle = sorted(delays)[
        : int(0.9 * len(delays))
    ]  # a shared machine takes the processor away now and then
    assert pstdev(middle) < 1.0
