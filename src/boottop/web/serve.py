"""`boottop serve`, `backup` and `restore`: the web application on a store, started and stopped."""

from __future__ import annotations

import socket
import tempfile
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from boottop.base.errors import InputError, Problem
from boottop.climate.weather import Weather
from boottop.files.job import Job
from boottop.store.open import open_store
from boottop.store.store import Store
from boottop.web.codes import Codes
from boottop.web.desk import Desk, WeatherFor
from boottop.web.house import House, world_now
from boottop.web.ledger import Ledger
from boottop.web.live import Hub
from boottop.web.papers import Cabinet

PORT = 8460
ALONE, EVERYWHERE = "127.0.0.1", "0.0.0.0"
STORE_NAME = "boottop.db"


@dataclass(frozen=True, kw_only=True)
class Serving:
    """How the person wants it served. `port` 0: any that is free. `names`: under which the computer is asked too."""

    store: Path | str
    port: int = PORT
    lan: bool = False
    keeper: str = "Skipper"
    names: tuple[str, ...] = ()


def default_store(environ: Mapping[str, str], *, home: Path, platform: str) -> Path:
    """Where the store lies when nothing is said: the person's own data folder."""
    if platform == "win32":
        base = Path(environ.get("LOCALAPPDATA") or home / "AppData" / "Local")
    elif platform == "darwin":
        base = home / "Library" / "Application Support"
    else:
        base = Path(environ.get("XDG_DATA_HOME") or home / ".local" / "share")
    return base / "boottop" / STORE_NAME


def weather_now(job: Job, now: datetime) -> Weather:
    """The weather of a job as the command line gets it: the sheet's file, else the open services."""
    from boottop.begun import days_for
    from boottop.weather_source import WeatherWish, weather_for

    return weather_for(job, WeatherWish(days=days_for(job, now)), now=now)


@contextmanager
def house_on(store: Store, *, weather: WeatherFor = weather_now, **rest: object) -> Iterator[House]:
    """A house on an open store, with a folder of its own for the files of its jobs, taken away at the end."""
    with tempfile.TemporaryDirectory(prefix="boottop-", ignore_cleanup_errors=True) as folder:
        cabinet, ledger, hub = Cabinet(store, Path(folder)), Ledger(store), Hub()
        desk = Desk(store, cabinet, ledger=ledger, hub=hub, weather=weather)
        house = House(
            store=store,
            cabinet=cabinet,
            ledger=ledger,
            hub=hub,
            desk=desk,
            codes=Codes(store.people),
            now=world_now,
            steady_s=time.monotonic,
        )
        for name, value in rest.items():
            setattr(house, name, value)
        try:
            yield house
        finally:
            desk.close()


def listening(serving: Serving) -> socket.socket:
    """A socket that listens; InputError when the port is taken.

    It names its protocol: only then does asyncio send small answers at once. Without, each waits 40 ms for the
    other side's delayed acknowledgement (measured).
    """
    host = EVERYWHERE if serving.lan else ALONE
    sock = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    sock.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        sock.bind((host, serving.port))
    except OSError as error:
        sock.close()
        raise InputError(
            Problem(
                where=f"port {serving.port}",
                found=f"it cannot be had ({error.strerror or error})",
                allowed="a free port from 1024 to 65535, or 0 for any",
                advice="Stop the other program, or give another one with --port.",
            )
        ) from None
    return sock


def lan_addresses() -> list[str]:
    """Addresses of this computer in its networks, the one that the way out goes through first; no packet is sent."""
    found: dict[str, None] = {}
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # TEST-NET-1 (RFC 5737): routes nowhere
            found[probe.getsockname()[0]] = None
        except OSError:
            pass
    try:
        for info in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET):
            found[str(info[4][0])] = None
    except OSError:
        pass
    return [address for address in found if not address.startswith("127.")]


def phone_addresses(serving: Serving, port: int) -> list[str]:
    """Under which addresses phones reach the server, none when it answers to this computer alone."""
    return [f"http://{address}:{port}" for address in lan_addresses()] if serving.lan else []


def own_names(names: Sequence[str]) -> list[str]:
    """Names under which the server may be asked: those given, and the computer's own."""
    own = socket.gethostname().lower()
    return [*names, own, f"{own}.local"]


@contextmanager
def opened_store(place: Path | str, *, create: bool = True, photo_folder: Path | None = None) -> Iterator[Store]:
    """The store at a place; its folder is made when it is the usual one. `photo_folder`: for a store on a server,
    which keeps no photographs itself."""
    if create and not (isinstance(place, str) and "://" in place):
        path = Path(place)
        if path.parent.name == "boottop":
            try:
                path.parent.mkdir(parents=True, exist_ok=True)
            except OSError as error:
                raise InputError(
                    Problem(
                        where=str(path.parent),
                        found=f"the folder cannot be made ({error.strerror or error})",
                        allowed="a folder that may be written to",
                        advice="Give another place with --store.",
                    )
                ) from None
    with open_store(place, create=create, photo_folder=photo_folder) as store:
        yield store
