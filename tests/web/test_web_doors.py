"""A stray device that opens connections and says nothing keeps nobody else out."""

from __future__ import annotations

import socket
import time
from urllib.parse import urlsplit

import pytest

from boottop.web import doors
from boottop.web.doors import CountedProtocol
from tests.web.serving import Running


def _closed(sock: socket.socket) -> bool:
    sock.settimeout(5.0)
    try:
        return sock.recv(1) == b""
    except ConnectionError:
        return True


def test_connections_of_one_address_beyond_the_limit_are_closed(
    server: Running, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(doors, "OPEN_MAX", 8)
    place = urlsplit(server.base)
    assert place.hostname is not None
    assert place.port is not None
    silent = [socket.create_connection((place.hostname, place.port), timeout=5.0) for _ in range(8)]
    try:
        for one in silent:
            one.sendall(b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n")
        with socket.create_connection((place.hostname, place.port), timeout=5.0) as ninth:
            assert _closed(ninth)
    finally:
        for one in silent:
            one.close()
    until = time.monotonic() + 5.0
    while CountedProtocol.held["127.0.0.1"] and time.monotonic() < until:
        time.sleep(0.02)
    assert server.client().get("/join").status_code == 200


def test_the_count_goes_down_again(server: Running) -> None:
    before = CountedProtocol.held["127.0.0.1"]
    for _ in range(5):
        client = server.client()
        assert client.get("/api/version").status_code == 200
        client.close()
    until = time.monotonic() + 5.0
    while CountedProtocol.held["127.0.0.1"] > before and time.monotonic() < until:
        time.sleep(0.02)
    assert CountedProtocol.held["127.0.0.1"] <= before
