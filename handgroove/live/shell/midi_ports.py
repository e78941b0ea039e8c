"""MIDI ports behind one small interface, whichever library is installed.

python-rtmidi serves Python up to 3.12 and rtmidi2 the newer ones (each has wheels only there). Ports are polled,
never called back: a callback runs in the MIDI server's own thread and waits there for Python's lock, which loses
messages in bursts and hangs at closing. A message comes with the seconds since the one before it on its port.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from importlib import import_module
from pathlib import Path
from typing import Any, Protocol

from handgroove.errors import HandgrooveError, Problem
from handgroove.live.core.messages import Message
from handgroove.live.shell.jack import is_server_running, prefer_system_library

QUEUE_MESSAGES = 4096  # what a port keeps while nobody polls; 10,000 a second fill it in 0.4 s
SYSTEMS = ("alsa", "jack", "core", "windows")


class PortError(HandgrooveError):
    """A port could not be found or opened, or its MIDI system is not there."""


class InPort(Protocol):
    """Where messages come in."""

    name: str

    def poll(self) -> tuple[Message, float] | None:
        """Return the next message and the seconds since the one before it, or None if there is none."""

    def close(self) -> None:
        """Close the port."""


class OutPort(Protocol):
    """Where messages go out."""

    name: str

    def send(self, message: Message) -> None:
        """Send one whole message."""

    def close(self) -> None:
        """Close the port."""


class MidiSystem(Protocol):
    """A MIDI system: the ports there are, and ways to open them.

    *makes_ports* tells of virtual ports, *outlives_server* whether ports can be closed when the server has died.
    """

    name: str
    makes_ports: bool
    outlives_server: bool

    def is_up(self) -> bool:
        """Return whether the system's server runs."""

    def forget(self) -> None:
        """Let go of what is left of a server that has died."""

    def inputs(self) -> list[str]:
        """Return the names of the ports that messages can be received from."""

    def outputs(self) -> list[str]:
        """Return the names of the ports that messages can be sent to."""

    def open_input(self, port: str, own_name: str) -> InPort:
        """Open the port whose full name is *port*; we are called *own_name* to others."""

    def open_output(self, port: str, own_name: str) -> OutPort:
        """Open the port whose full name is *port*; we are called *own_name* to others."""

    def make_input(self, own_name: str) -> InPort:
        """Make a virtual port that others can send to."""

    def make_output(self, own_name: str) -> OutPort:
        """Make a virtual port that others can receive from."""


def find_port(wanted: str, names: Sequence[str]) -> str:
    """Return the one of *names* that is *wanted*, or contains it (capitals don't matter); else raise PortError."""
    if wanted in names:
        return wanted
    matches = [name for name in names if wanted.casefold() in name.casefold()]
    if len(matches) == 1:
        return matches[0]
    if matches:
        listed = ", ".join(repr(name) for name in matches)
        raise PortError(
            Problem("", f"{wanted!r} fits {len(matches)} ports: {listed}", remedy="give more of its name")
        )
    listed = ", ".join(repr(name) for name in names) or "none"
    raise PortError(
        Problem("", f"expected a MIDI port, got {wanted!r}; there are: {listed}", remedy=_LIST_REMEDY)
    )


_LIST_REMEDY = "'handgroove ports' lists them and tells how to make one"


@contextmanager
def quiet_stderr() -> Iterator[None]:
    """Keep what C libraries print about their own troubles off the screen; ours is said in our words."""
    try:
        kept = os.dup(2)
    except OSError:  # no stderr at all
        yield
        return
    try:
        with open(os.devnull, "wb") as nowhere:
            os.dup2(nowhere.fileno(), 2)
        yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)


class _LibraryIn:
    """An input port of python-rtmidi or rtmidi2."""

    __slots__ = ("_port", "name")

    def __init__(self, port: Any, name: str) -> None:
        self._port = port
        self.name = name

    def poll(self) -> tuple[Message, float] | None:
        got = self._port.get_message()
        return None if got is None else (tuple(got[0]), got[1])

    def close(self) -> None:
        _close(self._port)


class _NewLibraryIn(_LibraryIn):
    """An input port of rtmidi2, which tells the time beside the message."""

    __slots__ = ()

    def poll(self) -> tuple[Message, float] | None:
        got = self._port.get_message()
        return None if got is None else (tuple(got), self._port.deltatime)


class _LibraryOut:
    """An output port of either library."""

    __slots__ = ("_port", "name", "send")

    def __init__(self, port: Any, name: str) -> None:
        self._port = port
        self.name = name
        self.send = port.send_message

    def close(self) -> None:
        _close(self._port)


def _close(port: Any) -> None:
    with quiet_stderr(), suppress(Exception):  # a port whose server has died may complain in any way
        port.close_port()
        if hasattr(port, "delete"):
            port.delete()


class LibrarySystem:
    """The machine's MIDI, by whichever of the two libraries is installed."""

    def __init__(self, name: str, library: Any, api: int) -> None:
        self.name = name
        self.makes_ports = name != "windows"
        # rtmidi2 crashes when it takes apart a JACK client whose server has died.
        self.outlives_server = not (library.__name__ == "rtmidi2" and name == "jack")
        self._library = library
        self._api = api
        self._lookers: dict[str, Any] = {}
        self._is_new = library.__name__ == "rtmidi2"

    def _make(self, kind: str, own_name: str) -> Any:
        maker = getattr(self._library, kind)
        with quiet_stderr():
            if self._is_new and self.name == "jack" and not is_server_running():
                raise PortError(
                    Problem("", "no MIDI: JACK server not running", remedy=_SYSTEM_REMEDY["jack"])
                )
            try:
                if kind == "MidiOut":
                    return maker(own_name, api=self._api) if self._is_new else maker(self._api, name=own_name)
                if self._is_new:
                    port = maker(own_name, queuesize=QUEUE_MESSAGES, api=self._api)
                else:
                    port = maker(self._api, name=own_name, queue_size_limit=QUEUE_MESSAGES)
            except Exception as error:  # each library has errors of its own
                raise PortError(Problem("", f"no MIDI: {error}", remedy=_SYSTEM_REMEDY[self.name])) from None
        port.ignore_types(False, False, False)  # what is ignored there takes its time with it
        return port

    def _names(self, kind: str) -> list[str]:
        looker = self._lookers.get(kind)
        if looker is None:  # kept, since making one takes longer than the stage may wait
            looker = self._lookers[kind] = self._make(kind, "Handgroove looks around")
        return [str(name) for name in (looker.ports if self._is_new else looker.get_ports())]

    def is_up(self) -> bool:
        """Return whether the system's server runs."""
        with quiet_stderr():
            return self.name != "jack" or is_server_running()

    def forget(self) -> None:
        """Let go of what is left of a server that has died."""
        while self._lookers:
            _close(self._lookers.popitem()[1])

    def inputs(self) -> list[str]:
        """Return the names of the ports that messages can be received from."""
        return self._names("MidiIn")

    def outputs(self) -> list[str]:
        """Return the names of the ports that messages can be sent to."""
        return self._names("MidiOut")

    def _open(self, kind: str, name: str, own_name: str) -> Any:
        port = self._make(kind, own_name)
        names = list(port.ports if self._is_new else port.get_ports())
        if name not in names:
            _close(port)
            raise PortError(
                Problem("", f"expected the MIDI port {name!r}, but it is gone", remedy=_LIST_REMEDY)
            )
        try:
            with quiet_stderr():
                if self._is_new:
                    port.open_port(names.index(name))
                else:
                    port.open_port(names.index(name), name=own_name)
        except Exception as error:  # each library has errors of its own
            _close(port)
            raise PortError(
                Problem("", f"the MIDI port {name!r} does not open: {error}", remedy=_BUSY)
            ) from None
        return port

    def _make_port(self, kind: str, own_name: str) -> Any:
        port = self._make(kind, own_name)
        try:
            port.open_virtual_port(own_name)
        except Exception as error:  # each library has errors of its own
            _close(port)
            remedy = _SYSTEM_REMEDY[self.name]
            raise PortError(
                Problem("", f"no virtual MIDI port {own_name!r}: {error}", remedy=remedy)
            ) from None
        return port

    def _input(self, port: Any, name: str) -> InPort:
        return _NewLibraryIn(port, name) if self._is_new else _LibraryIn(port, name)

    def open_input(self, port: str, own_name: str) -> InPort:
        """Open the port whose full name is *port*; we are called *own_name* to others."""
        return self._input(self._open("MidiIn", port, own_name), port)

    def open_output(self, port: str, own_name: str) -> OutPort:
        """Open the port whose full name is *port*; we are called *own_name* to others."""
        return _LibraryOut(self._open("MidiOut", port, own_name), port)

    def make_input(self, own_name: str) -> InPort:
        """Make a virtual port that others can send to."""
        return self._input(self._make_port("MidiIn", own_name), own_name)

    def make_output(self, own_name: str) -> OutPort:
        """Make a virtual port that others can receive from."""
        return _LibraryOut(self._make_port("MidiOut", own_name), own_name)


_BUSY = "another program may have it open; close it there, or choose another port"
_SYSTEM_REMEDY = {
    "alsa": "load the sequencer with 'sudo modprobe snd-seq', or start a JACK server",
    "jack": "start a JACK server, for instance 'jackd -d dummy', and try again",
    "core": "open Audio MIDI Setup and see whether MIDI works there",
    "windows": "plug in a MIDI device or install a loopback MIDI driver",
}
_API_NAMES = {
    "alsa": "API_LINUX_ALSA",
    "jack": "API_UNIX_JACK",
    "core": "API_MACOSX_CORE",
    "windows": "API_WINDOWS_MM",
}


def default_system() -> str:
    """Return the MIDI system that this machine is likeliest to have."""
    if sys.platform == "darwin":
        return "core"
    if sys.platform == "win32":
        return "windows"
    return "alsa" if Path("/dev/snd/seq").exists() else "jack"


def _load_library(system: str) -> Any:
    """Return python-rtmidi or rtmidi2, whichever is installed."""
    try:
        return import_module("rtmidi")
    except ImportError:
        pass
    if system == "jack":
        prefer_system_library()
    try:
        return import_module("rtmidi2")
    except ImportError:
        remedy = "'pip install python-rtmidi' (Python to 3.12) or 'pip install rtmidi2' (newer)"
        raise PortError(Problem("", "no MIDI library is installed", remedy=remedy)) from None


def open_system(name: str = "") -> MidiSystem:
    """Return the MIDI system called *name* (one of `SYSTEMS`), or the one this machine is likeliest to have."""
    name = name or default_system()
    if name not in SYSTEMS:
        raise PortError(Problem("", f"expected a MIDI system ({', '.join(SYSTEMS)}), got {name!r}"))
    if name == "jack":
        os.environ.setdefault("JACK_NO_START_SERVER", "1")  # a stage program must not start somebody's server
    library = _load_library(name)
    return LibrarySystem(name, library, getattr(library, _API_NAMES[name]))
