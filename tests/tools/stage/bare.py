"""The bare pass-through that delays are compared with: it sends on what it receives and does nothing else.

It polls as the stage does and asks for the same punctual service, so that what differs is the stage's own work.
"""

from __future__ import annotations

import sys

from handgroove.clock import RealClock, be_punctual
from handgroove.live.shell.midi_ports import open_system
from handgroove.live.shell.shell import POLL_SEC


def main() -> None:
    """Pass on until the standard input is closed (looked at every 200 polls)."""
    import select

    system = open_system("jack")
    outlet = system.make_output("bare out")
    line = system.make_input("bare in")
    clock = RealClock()
    print("ready", flush=True)
    be_punctual()
    polls = 0
    while True:
        while (got := line.poll()) is not None:
            outlet.send(got[0])
        clock.rest(POLL_SEC)
        polls += 1
        if polls % 200 == 0 and select.select([sys.stdin], [], [], 0)[0]:
            break
    line.close()
    outlet.close()


if __name__ == "__main__":
    main()
