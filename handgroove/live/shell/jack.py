"""The little that is asked of the JACK library itself.

rtmidi2's wheel carries a JACK client library of its own that speaks an older protocol than today's servers, and it
aborts the process where no server answers. So the system's own library is put before it, and a server is
asked for before a port is made.
"""

from __future__ import annotations

import ctypes
from functools import cache

_NO_START_SERVER = 0x01  # JackNoStartServer, jack/types.h


@cache
def _library() -> ctypes.CDLL | None:
    """Return the system's JACK client library, made visible to libraries that are loaded after it."""
    for name in ("libjack.so.0", "libjack.so", "libjack.dylib"):
        try:
            library = ctypes.CDLL(name, mode=ctypes.RTLD_GLOBAL)
        except OSError:
            continue
        library.jack_client_open.restype = ctypes.c_void_p
        library.jack_client_open.argtypes = [ctypes.c_char_p, ctypes.c_int, ctypes.POINTER(ctypes.c_int)]
        library.jack_client_close.argtypes = [ctypes.c_void_p]
        return library
    return None


def prefer_system_library() -> bool:
    """Load the system's JACK client library ahead of any other; return whether there is one."""
    return _library() is not None


def is_server_running() -> bool:
    """Return whether a JACK server answers; none is started."""
    library = _library()
    if library is None:
        return False
    status = ctypes.c_int()
    client = library.jack_client_open(b"Handgroove asks", _NO_START_SERVER, ctypes.byref(status))
    if not client:
        return False
    library.jack_client_close(client)
    return True
