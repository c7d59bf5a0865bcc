"""Writing files whole or not at all."""

from __future__ import annotations

from pathlib import Path

from boottop.base.errors import InputError, Problem


def write_bytes(path: Path, content: bytes) -> None:
    """Write a file whole, by way of a new one beside it; InputError naming the place when that cannot be done."""
    beside = path.with_name(f".{path.name}.part")
    try:
        beside.write_bytes(content)
        beside.replace(path)
    except OSError as error:
        beside.unlink(missing_ok=True)
        raise InputError(
            Problem(
                where=str(path),
                found=f"it cannot be written ({error.strerror or error})",
                allowed="a file in a folder that exists and may be written to",
                advice="Make the folder, or give another place.",
            )
        ) from None
