"""What a hull file may be before a library reads it: its kind by its content, its size, and what it would unfold to."""

from __future__ import annotations

import io
import json
import re
import struct
import zipfile
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from boottop.base.errors import InputError, Problem

LARGEST_BYTES = 250_000_000
LARGEST_TEXT_BYTES = 60_000_000
LARGEST_XML_BYTES = 120_000_000
LARGEST_RATIO = 60
MOST_FACETS = 2_000_000
MOST_ENTRIES = 500
MOST_INSTANCES = 2_000
DEEPEST = 16
KINDS = ("stl", "obj", "ply", "glb", "3mf")
_WHAT = "a hull as STL, OBJ, PLY, GLB or 3MF"
_ITEM = re.compile(rb"<(?:\w+:)?(object|component|item)\b([^>]*)>")
_ID = re.compile(rb"""\b(?:id|objectid)\s*=\s*["']([^"']{1,40})["']""")


def refused(where: str, found: str, *, allowed: str = _WHAT, advice: str) -> InputError:
    """The InputError of one file."""
    return InputError(Problem(where=where, found=found, allowed=allowed, advice=advice))


def read_bytes(path: Path, *, largest: int = LARGEST_BYTES) -> bytes:
    """The bytes of a file; InputError when it is missing, no file, empty or too large (it is then not read)."""
    name = str(path)
    try:
        if not path.is_file():
            found = "a folder" if path.is_dir() else "no such file" if not path.exists() else "no regular file"
            raise refused(name, found, advice="Check the path.")
        size = path.stat().st_size
        if size > largest:
            allowed = f"at most {largest / 1e6:.0f} MB"
            advice = "Export the underwater hull alone, with fewer facets: 100,000 are plenty."
            raise refused(name, f"{size / 1e6:.0f} MB", allowed=allowed, advice=advice)
        content = path.read_bytes()
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise refused(name, f"a file that cannot be read ({reason})", advice="Check its name and rights.") from None
    if not content:
        raise refused(name, "an empty file", advice="Export the hull again.")
    return content


def kind_of(content: bytes, *, name: str) -> str:
    """Kind of a mesh by its content; its ending only helps where the content does not tell (OBJ).

    >>> kind_of(b"solid hull facet normal", name="hull.stl"), kind_of(b"glTF....", name="x.stl")
    ('stl', 'glb')
    """
    head = content[:512].lstrip()
    if content[:4] == b"glTF":
        return "glb"
    if content[:4] == b"PK\x03\x04":
        return "3mf"
    if content[:3] == b"ply":
        return "ply"
    ending = name.lower().rsplit(".", 1)[-1]
    if ending == "stl" or (head[:5].lower() == b"solid" and b"facet" in content[:2048].lower()):
        return "stl"
    if ending == "obj" and re.search(rb"^\s*v\s", content[:200_000], re.M):
        return "obj"
    if ending in KINDS:
        raise refused(
            name, f"a file that ends in .{ending} and is none inside", advice="Export it again, or give its right name."
        )
    raise refused(name, "a file of another kind", advice="Export the hull as STL or GLB; offsets as CSV.")


def check(content: bytes, kind: str, *, where: str) -> None:
    """InputError when a file of that kind is cut short, lies about its size, or would unfold beyond bounds."""
    _CHECKS[kind](content, where)


def too_many(where: str, count: int, what: str = "facets") -> InputError:
    """The InputError of a mesh that is finer than anyone needs."""
    allowed = f"at most {MOST_FACETS:,} facets"
    return refused(where, f"{count:,} {what}", allowed=allowed, advice="Export with fewer facets: 100,000 are plenty.")


def _cut_short(where: str, found: str) -> InputError:
    return refused(where, found, allowed="a whole file", advice="It was cut short or garbled: copy or export it again.")


def _stl(content: bytes, where: str) -> None:
    if is_text_stl(content):
        _text(content, where)
        if b"vertex" not in content[:4096].lower():
            raise _cut_short(where, "an STL text without a facet")
        return
    if len(content) < 84:
        raise _cut_short(where, f"{len(content)} bytes, less than an STL's header")
    (count,) = struct.unpack_from("<I", content, 80)
    if count > MOST_FACETS:
        raise too_many(where, count)
    if len(content) - 84 < 50 * count or count == 0:
        raise _cut_short(where, f"{count} facets promised, {(len(content) - 84) // 50} there")


def is_text_stl(content: bytes) -> bool:
    """Whether an STL is of the text kind; some binary ones begin with the same word."""
    if content[:80].lstrip()[:5].lower() != b"solid":
        return False
    return not (len(content) >= 84 and struct.unpack_from("<I", content, 80)[0] * 50 + 84 == len(content))


def _text(content: bytes, where: str) -> None:
    if len(content) > LARGEST_TEXT_BYTES:
        allowed = f"at most {LARGEST_TEXT_BYTES / 1e6:.0f} MB of text"
        raise refused(
            where, f"{len(content) / 1e6:.0f} MB of text", allowed=allowed, advice="Export it as binary STL or GLB."
        )
    if b"\0" in content:
        raise refused(where, "a binary file with a text file's name", advice="Export it again.")


def _ply(content: bytes, where: str) -> None:
    end = content[:65536].find(b"end_header")
    if end < 0:
        raise _cut_short(where, "a PLY without the end of its header")
    header = content[:end].decode("latin-1")
    counts = [int(number) for number in re.findall(r"^element\s+\S+\s+(\d{1,18})\s*$", header, re.M)]
    if max(counts, default=0) > 3 * MOST_FACETS:
        raise too_many(where, max(counts), "elements")
    if sum(counts) * 3 > len(content) - end:
        raise _cut_short(where, f"{sum(counts)} elements promised in {len(content)} bytes")
    if "format ascii" in header:
        _text(content, where)


def _obj(content: bytes, where: str) -> None:
    _text(content, where)
    if not re.search(rb"^\s*f\s", content, re.M):
        raise refused(where, "points without facets", advice="Export a mesh, not a cloud of points.")


def _glb(content: bytes, where: str) -> None:
    if len(content) < 20 or struct.unpack_from("<I", content, 8)[0] > len(content):
        raise _cut_short(where, f"{len(content)} bytes, less than its header says")
    length, word = struct.unpack_from("<I4s", content, 12)
    if word != b"JSON" or 20 + length > len(content) or length > 20_000_000:
        raise _cut_short(where, "no description where a GLB has it")
    try:
        tree = json.loads(content[20 : 20 + length])
        _gltf(tree, len(content), where)
    except (ValueError, RecursionError, TypeError, AttributeError, KeyError, IndexError):
        raise _cut_short(where, "a description that cannot be read") from None


def _gltf(tree: Mapping[str, Any], size: int, where: str) -> None:
    packed = sorted({"KHR_draco_mesh_compression", "EXT_meshopt_compression"} & set(tree.get("extensionsRequired", ())))
    if packed:
        raise refused(where, f"a compressed mesh ({packed[0]})", advice="Export it without compression.")
    if any("uri" in part for part in tree.get("buffers", ())):
        raise refused(where, "a GLB that keeps its mesh in another file", advice="Export one GLB with all in it.")
    accessors = tree.get("accessors", ())
    if any(int(a["count"]) > 3 * MOST_FACETS for a in accessors):
        raise too_many(where, max(int(a["count"]) for a in accessors), "corners")
    if any("bufferView" not in a for a in accessors) or sum(int(a["count"]) for a in accessors) > size:
        raise _cut_short(where, "more corners promised than the file can hold")
    nodes = tree.get("nodes", ())
    children = {str(n): [str(c) for c in node.get("children", ())] for n, node in enumerate(nodes)}
    scenes = [str(n) for scene in tree.get("scenes", ()) for n in scene.get("nodes", ())]
    _instances(children, scenes or list(children), where)


def _instances(children: Mapping[str, list[str]], roots: list[str], where: str) -> None:
    """Refuse a scene whose parts within parts unfold to too many, or go round in circles."""
    known: dict[str, int] = {}

    def count(name: str, depth: int) -> int:
        if depth > DEEPEST:
            raise refused(where, f"parts within parts, over {DEEPEST} deep", advice="Export one joined mesh.")
        if name not in known:
            known[name] = 1 + sum(count(child, depth + 1) for child in children.get(name, ()))
        return known[name]

    total = sum(count(name, 0) for name in roots)
    if total > MOST_INSTANCES:
        allowed = f"at most {MOST_INSTANCES} parts"
        raise refused(where, f"{total:.3g} parts once unfolded", allowed=allowed, advice="Export one joined mesh.")


def _3mf(content: bytes, where: str) -> None:
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            entries = archive.infolist()
            _zip(entries, len(content), where)
            models = [entry for entry in entries if entry.filename.lower().endswith(".model")]
            texts = [archive.read(entry) for entry in models]
    except (zipfile.BadZipFile, OSError, EOFError, RuntimeError, NotImplementedError, ValueError, struct.error):
        raise _cut_short(where, "a 3MF package that cannot be unpacked") from None
    except Exception as error:  # zlib, lzma and bz2 each raise their own type for spoilt data
        if isinstance(error, InputError):
            raise
        raise _cut_short(where, "a 3MF package that cannot be unpacked") from None
    if not texts:
        raise refused(where, "a ZIP package without a 3-D model", advice="Export the hull as 3MF, STL or GLB.")
    children: dict[str, list[str]] = {}
    roots: list[str] = []
    for text in texts:
        _model(text, children, roots, where=where)
    _instances(children, roots or list(children), where)


def _zip(entries: list[zipfile.ZipInfo], packed: int, where: str) -> None:
    unpacked = sum(entry.file_size for entry in entries)
    if len(entries) > MOST_ENTRIES or unpacked > LARGEST_XML_BYTES or unpacked > LARGEST_RATIO * packed + 1_000_000:
        found = f"{len(entries)} files that unpack from {packed / 1e6:.2f} to {unpacked / 1e6:.0f} MB"
        allowed = f"at most {MOST_ENTRIES} files, {LARGEST_XML_BYTES / 1e6:.0f} MB, {LARGEST_RATIO} times its size"
        raise refused(where, found, allowed=allowed, advice="Export the hull as binary STL or GLB.")


def _model(text: bytes, children: dict[str, list[str]], roots: list[str], *, where: str) -> None:
    if b"\0" in text or b"<!DOCTYPE" in text or b"<!ENTITY" in text:
        raise refused(where, "a 3MF model with entities or not in UTF-8", advice="Export it again as STL or GLB.")
    if text.count(b"<triangle ") + text.count(b":triangle ") > MOST_FACETS:
        raise too_many(where, text.count(b"triangle "))
    owner = ""
    for what, attributes in _ITEM.findall(text):
        match = _ID.search(attributes)
        name = match[1].decode("latin-1") if match else ""
        if what == b"object":
            owner = name
            children.setdefault(owner, [])
        elif what == b"component":
            children.setdefault(owner, []).append(name)
        else:
            roots.append(name)


_CHECKS: Mapping[str, Callable[[bytes, str], None]] = {
    "stl": _stl,
    "obj": _obj,
    "ply": _ply,
    "glb": _glb,
    "3mf": _3mf,
}
