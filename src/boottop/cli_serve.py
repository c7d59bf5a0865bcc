"""Commands around the board: serve it, back its store up, restore it."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from boottop.web.house import House

StorePlace = Annotated[
    str, typer.Option("--store", help="The store: a file, or postgresql://...; default: in your data folder.")
]


def register(app: typer.Typer) -> None:
    """Put the commands on the command line."""
    app.command()(serve)
    app.command()(backup)
    app.command()(restore)


def _place(store: str) -> str | Path:
    from boottop.web.serve import default_store

    if store:
        return store if "://" in store else Path(store)
    return default_store(os.environ, home=Path.home(), platform=sys.platform)


def _photos(store: str, photos: Path | None) -> Path | None:
    """Where photographs go: beside the file, or for a store on a server in the person's data folder."""
    from boottop.web.serve import default_store

    if photos is not None or "://" not in store:
        return photos
    return default_store(os.environ, home=Path.home(), platform=sys.platform).with_name("photos")


def serve(
    store: StorePlace = "",
    *,
    port: Annotated[int, typer.Option("--port", min=0, max=65535, help="0: any that is free.")] = 8460,
    lan: Annotated[bool, typer.Option("--lan", help="Let phones in the same network reach it.")] = False,
    name: Annotated[list[str] | None, typer.Option("--name", help="A name under which it is asked.")] = None,
    who: Annotated[str, typer.Option("--who", help="Your name, for the log.")] = "Skipper",
    photos: Annotated[Path | None, typer.Option("--photos", help="Folder of photographs, if not the usual.")] = None,
    open_browser: Annotated[bool, typer.Option("--open/--no-open", help="Open the page in the browser.")] = True,
) -> None:
    """Serve the board and the pages of your jobs, for this computer alone unless --lan is given."""
    import uvicorn

    from boottop.store.served import marked_as_served
    from boottop.web.app import create_app
    from boottop.web.doors import CountedProtocol
    from boottop.web.serve import Serving, house_on, listening, opened_store, own_names, phone_addresses

    serving = Serving(store=_place(store), port=port, lan=lan, keeper=who, names=tuple(name or ()))
    folder = _photos(store, photos)
    with (
        opened_store(serving.store, photo_folder=folder) as opened,
        listening(serving) as sock,
        house_on(opened, keeper=who) as house,
        marked_as_served(opened.database) as others,
    ):
        bound = int(sock.getsockname()[1])
        house.addresses = phone_addresses(serving, bound)
        entry = f"http://127.0.0.1:{bound}/enter?token={house.local.token()}"
        _say(house, serving.store, entry, others=others)
        if open_browser:
            _open(entry)
        config = uvicorn.Config(
            create_app(house, hosts=own_names(serving.names)),
            http=CountedProtocol,
            log_level="warning",
            access_log=False,
            timeout_graceful_shutdown=2,
            server_header=False,
            date_header=False,
        )
        uvicorn.Server(config).run(sockets=[sock])


def _say(house: House, place: str | Path, entry: str, *, others: bool) -> None:
    from boottop.console import say

    say(f"store: {house.store.database.place if '://' in str(place) else place}")
    if others:
        say("ANOTHER SERVER HAS THIS STORE OPEN. Both keep every entry, but what comes in at one is not shown at once")
        say("  by the other. Use the one that runs already, or stop it (Ctrl-C where it was started) and start again.")
    say(f"this computer: {entry}")
    say("  (good for one browser; start again for another. Stop with Ctrl-C.)")
    if not house.addresses:
        say("phones: not reached; start with --lan to let those in the same network in")
        return
    for address in house.addresses:
        say(f"phones in the same network: {address}")
    say("Scan it, then type the code from the page Crew & phones. What is sent can be read by others in the network.")
    _show_qr(house.addresses[0])


def _show_qr(address: str) -> None:
    import segno

    code = segno.make(address, error="m", micro=False)
    try:
        code.terminal(out=sys.stderr, compact=True)
    except UnicodeEncodeError:
        return


def _open(address: str) -> None:
    import webbrowser

    try:
        webbrowser.open(address)
    except webbrowser.Error:
        return


def backup(
    target: Annotated[Path, typer.Argument(help="The file to write; it must not be there yet.")],
    store: StorePlace = "",
) -> None:
    """Write log, documents and photographs to one file, checked, while the board may be in use."""
    from boottop.console import say
    from boottop.store.backup import backup as write
    from boottop.web.house import world_now
    from boottop.web.serve import opened_store

    with opened_store(_place(store), create=False) as opened:
        saved = write(opened, target, now=world_now())
    counts = ", ".join(f"{number} {what}" for what, number in saved.rows.items())
    say(f"wrote {target}: {counts}")


def restore(
    source: Annotated[Path, typer.Argument(help="A file that boottop backup wrote.")],
    target: Annotated[Path, typer.Argument(help="Where the store shall lie; nothing may be there yet.")],
) -> None:
    """Bring a backup back to a new place, checked before it counts."""
    from boottop.console import say
    from boottop.store.backup import restore as bring

    saved = bring(source, target)
    counts = ", ".join(f"{number} {what}" for what, number in saved.rows.items())
    say(f"restored {target}: {counts}. Serve it with: boottop serve --store {target}")
