"""A cable between phones and a server: it can be pulled, plugged in again, and it can lose answers."""

from __future__ import annotations

import contextlib
import socket
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field

BLOCK = 65_536


@dataclass(eq=False, kw_only=True)
class Cable:
    """Passes bytes on to a port of this computer. `lose`: of so many coming posts of events the answer is lost, after
    the server gave it; `lost` counts them."""

    to_port: int
    port: int = 0
    lose: int = 0
    lost: int = 0
    _server: socket.socket | None = None
    _open: set[socket.socket] = field(default_factory=set)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def plug(self) -> None:
        """Listen, on the same port as before."""
        server = socket.socket()
        server.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        server.bind(("127.0.0.1", self.port))
        server.listen(64)
        self.port, self._server = server.getsockname()[1], server
        threading.Thread(target=self._accept, args=(server,), daemon=True).start()

    def pull(self) -> None:
        """Refuse what comes and break what is open."""
        with self._lock:
            server, self._server = self._server, None
            broken, self._open = self._open, set()
        for one in ([server] if server else []) + list(broken):
            _end(one)

    def _accept(self, server: socket.socket) -> None:
        while True:
            try:
                near, _ = server.accept()
                far = socket.create_connection(("127.0.0.1", self.to_port))
            except OSError:
                return
            with self._lock:
                if self._server is not server:
                    _end(near)
                    _end(far)
                    return
                self._open |= {near, far}
            losing = threading.Event()
            threading.Thread(target=self._asked, args=(near, far, losing), daemon=True).start()
            threading.Thread(target=self._answered, args=(far, near, losing), daemon=True).start()

    def _asked(self, near: socket.socket, far: socket.socket, losing: threading.Event) -> None:
        for block in _blocks(near):
            with self._lock:
                if self.lose and block.startswith(b"POST /api/jobs/") and b"/events " in block[:200]:
                    self.lose -= 1
                    losing.set()
            with contextlib.suppress(OSError):
                far.sendall(block)
        _end(far)

    def _answered(self, far: socket.socket, near: socket.socket, losing: threading.Event) -> None:
        for block in _blocks(far):
            if losing.is_set():
                with self._lock:
                    self.lost += 1
                break
            with contextlib.suppress(OSError):
                near.sendall(block)
        _end(near)
        _end(far)


def _blocks(whence: socket.socket) -> Iterator[bytes]:
    with contextlib.suppress(OSError):
        while block := whence.recv(BLOCK):
            yield block


def _end(one: socket.socket) -> None:
    """Close for both sides at once, also under a thread that reads."""
    with contextlib.suppress(OSError):
        one.shutdown(socket.SHUT_RDWR)
    one.close()


@contextlib.contextmanager
def cable_to(port: int) -> Iterator[Cable]:
    """A cable that is plugged in, and pulled at the end."""
    made = Cable(to_port=port)
    made.plug()
    try:
        yield made
    finally:
        made.pull()
