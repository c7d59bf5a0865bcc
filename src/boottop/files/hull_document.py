"""The hull document: what turns a file of a hull into the boat, said once and kept beside the job sheet."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath
from typing import get_args

from boottop.base.errors import InputError, Problem
from boottop.files.hull_mesh import RawHull, load_mesh
from boottop.files.hull_offsets import UNITS, OffsetsFile, load_offsets
from boottop.files.jobsheet_table import Sheet, Span, Table
from boottop.files.jobsheet_text import read_toml
from boottop.measure.checks import offsets_problems
from boottop.measure.hull import Side
from boottop.measure.loft import lofted
from boottop.measure.mesh import PARTS, MeshHull
from boottop.measure.mesh_bottom import Bottom, bottom_of
from boottop.measure.mesh_frame import (
    AXES,
    UNIT_M,
    Guess,
    Pose,
    Told,
    Waterline,
    guess_pose,
    length_of,
    length_problem,
    upright,
)
from boottop.measure.mesh_repair import Halves, Repair
from boottop.measure.mesh_weld import welded
from boottop.measure.mesh_zones import ZoneCut, Zoning, keel_root, zoned
from boottop.measure.offsets import offsets_area
from boottop.measure.spots import Spot

FORMAT = 1
_HEIGHT = Span(low=-60.0, high=60.0)
_STATION = Span(low=-5.0, high=65.0)
_TILT = Span(low=0.0, high=180.0)


@dataclass(frozen=True, kw_only=True)
class Floats:
    """How the waterline is said: one height or two above the file's zero, or a draft; heel; the boot top above it."""

    height_m: float | None = None
    draft_m: float | None = None
    fore_m: float | None = None
    aft_m: float | None = None
    heel_deg: float = 0.0
    boot_top_m: float = 0.0

    def waterline(self, lowest_m: float) -> Waterline:
        """The waterline of a hull whose lowest point lies at that height above the file's zero."""
        fore, aft = self.fore_m, self.aft_m
        if fore is None or aft is None:
            fore = aft = self.height_m if self.height_m is not None else lowest_m + (self.draft_m or 0.0)
        return Waterline(fore_m=fore, aft_m=aft, heel_deg=self.heel_deg, boot_top_m=self.boot_top_m)


@dataclass(frozen=True, kw_only=True)
class OffsetsDocument:
    """A table of offsets named, with the unit and the draft where the table does not say them itself."""

    path: Path
    unit: str | None = None
    draft_m: float | None = None
    cuts: tuple[ZoneCut, ...] = ()
    digest: str = ""


@dataclass(frozen=True, kw_only=True)
class HullDocument:
    """A mesh named with all that it does not say itself. `keel_root_m` is negative, below the waterline."""

    path: Path
    pose: Pose
    floats: Floats
    halves: Halves = "guess"
    has_keel: bool = True
    keel_root_m: float | None = None
    cuts: tuple[ZoneCut, ...] = ()
    digest: str = ""


@dataclass(frozen=True, kw_only=True, eq=False)
class Imported:
    """A file made into a bottom: what was read and done to it, the bottom, and one standard deviation of its area."""

    source: str
    bottom: Bottom
    notes: tuple[str, ...]
    lowest_m: float
    keel_root_m: float | None
    area_sd_m2: float


def pose_of(raw: RawHull, told: Told) -> Guess:
    """The pose of a mesh from what the person says, what the file says, and a guess for the rest.

    A file's unit counts as said, unless a length to find it by is given. The axis that its kind calls up counts only
    where the hull looks upright along it: many programs write GLB and 3MF with the axes they happen to have.
    """
    unit = told.unit or (raw.unit if told.length_m is None else None)
    said = replace(told, unit=unit)
    free = guess_pose(raw.surface, said)
    if told.up is not None or raw.up is None:
        return free
    if free.pose.up == raw.up:
        return guess_pose(raw.surface, replace(said, up=raw.up))
    doubt = f"A {raw.kind.upper()} should have {raw.up} up, but she looks upright along {free.pose.up}."
    return replace(free, because=(*free.because, doubt))


def import_mesh(raw: RawHull, document: HullDocument) -> Imported:
    """The bottom in a mesh, in the pose and at the waterline of its document."""
    if problem := length_problem(length_of(raw.surface, document.pose), document.pose.unit):
        raise InputError(problem)
    repair = Repair(surface=upright(raw.surface, document.pose))
    hull = repair.whole_hull(document.halves)
    lowest = float(hull.vertices_m[:, 2].min())
    bottom = bottom_of(hull, document.floats.waterline(lowest))
    root = document.keel_root_m if document.keel_root_m is not None else keel_root(bottom)
    return Imported(
        source=f"mesh {document.path.name} ({raw.kind.upper()}, {raw.surface.count} facets)",
        bottom=bottom,
        notes=(*raw.notes, *repair.notes, *bottom.notes),
        lowest_m=lowest,
        keel_root_m=root if document.has_keel else None,
        area_sd_m2=bottom.sd_m2,
    )


def import_offsets(read: OffsetsFile, *, name: str) -> Imported:
    """The bottom lofted through a table of offsets; its doubt is the table's own."""
    if problems := offsets_problems(read.table):
        raise InputError(replace(problem, where=f"{name}, {problem.where}") for problem in problems)
    result = offsets_area(read.table)
    hull = Repair(surface=welded(lofted(read.table))).whole_hull("half")
    bottom = bottom_of(hull, Waterline(fore_m=read.table.draft_m, aft_m=read.table.draft_m))
    return Imported(
        source=f"table of offsets {name}, {len(read.table.stations_m)} stations, lofted",
        bottom=bottom,
        notes=result.notes,
        lowest_m=float(hull.vertices_m[:, 2].min()),
        keel_root_m=None,
        area_sd_m2=result.sd_m2,
    )


def mesh_hull(
    found: Imported, document: HullDocument | OffsetsDocument, spots: Sequence[tuple[int, str, Spot]] = ()
) -> MeshHull:
    """What the measuring room takes of an imported hull; `spots` are (number of the hidden thing, its zone, place)."""
    named = tuple((zone, spot) for _, zone, spot in spots)
    root = found.keel_root_m
    zoning = Zoning(keel_root_m=root, has_keel=root is not None, cuts=document.cuts, spots=named)
    return MeshHull(
        mesh=zoned(found.bottom, zoning),
        area_sd_m2=found.area_sd_m2,
        method=found.source,
        notes=found.notes,
        placed=frozenset(number for number, _, _ in spots),
    )


def load_document(path: Path, *, label: str | None = None) -> HullDocument | OffsetsDocument:
    """A hull document from the disk; InputError with every problem of it, file, line and key."""
    sheet = Sheet(file=read_toml(path, label=label or str(path)))
    root = sheet.root()
    root.whole("format", Span(low=FORMAT, high=FORMAT))
    document = _offsets(root, path) if root.choice("kind", ("mesh", "offsets")) == "offsets" else _mesh(root, path)
    root.close()
    sheet.raise_if_bad()
    return document


def _beside(root: Table, path: Path) -> Path:
    """The file named, beside the document or below it: a document brought in from elsewhere opens nothing else."""
    name = PurePosixPath(root.text("file"))
    if name.is_absolute() or ".." in name.parts or any(mark in str(name) for mark in "\\:"):
        allowed = "a file beside the document or in a folder below it"
        root.note(
            "file", found=repr(str(name))[:80], allowed=allowed, advice="Put the hull's file beside the document."
        )
        return path
    return path.parent / name


def _offsets(root: Table, path: Path) -> OffsetsDocument:
    return OffsetsDocument(
        path=_beside(root, path),
        digest=root.text("sha256", default=""),
        unit=root.choice("unit", UNITS, default=None),
        draft_m=root.quantity_or_none("draft", "length", Span(low=0.0, high=20.0, above=True)),
        cuts=tuple(_cut(table) for table in root.tables("cuts")),
    )


def _mesh(root: Table, path: Path) -> HullDocument:
    return HullDocument(
        path=_beside(root, path),
        digest=root.text("sha256", default=""),
        pose=Pose(
            unit=root.choice("unit", UNIT_M),
            bow=root.choice("bow", AXES),
            up=root.choice("up", AXES),
        ),
        halves=root.choice("halves", get_args(Halves), default="guess"),
        floats=_floats(root.table("waterline")),
        has_keel=root.flag("keel", default=True),
        keel_root_m=_negative(root.quantity_or_none("keel_root", "length", Span(low=0.0, high=20.0, above=True))),
        cuts=tuple(_cut(table) for table in root.tables("cuts")),
    )


def _negative(value: float | None) -> float | None:
    return None if value is None else -value


def _floats(table: Table) -> Floats:
    said = [key for key in ("height", "draft", "fore") if table.has(key)]
    if len(said) != 1 and table.ok("height", "draft", "fore"):
        table.note(
            "height",
            found=" and ".join(said) or "nothing",
            allowed="exactly one of height, draft, and fore with aft",
            advice='Write draft = "1.9 m" or height = "0.42 m".',
        )
    floats = Floats(
        height_m=table.quantity_or_none("height", "length", _HEIGHT),
        draft_m=table.quantity_or_none("draft", "length", Span(low=0.0, high=20.0, above=True)),
        fore_m=table.quantity_or_none("fore", "length", _HEIGHT),
        aft_m=table.quantity("aft", "length", _HEIGHT) if table.has("fore") else None,
        heel_deg=table.quantity("heel", "angle", Span(low=-30.0, high=30.0), default=0.0),
        boot_top_m=table.quantity("boot_top", "length", Span(low=-1.0, high=1.0), default=0.0),
    )
    table.close()
    return floats


def _cut(table: Table) -> ZoneCut:
    cut = ZoneCut(
        name=table.text("name") if table.has("name") else None,
        side=table.choice("side", get_args(Side), default="centre"),
        from_m=table.quantity_or_none("from", "length", _STATION),
        to_m=table.quantity_or_none("to", "length", _STATION),
        above_m=table.quantity_or_none("above", "length", _HEIGHT),
        below_m=table.quantity_or_none("below", "length", _HEIGHT),
        tilt_from_deg=table.quantity("tilt_from", "angle", _TILT, default=0.0),
        tilt_to_deg=table.quantity("tilt_to", "angle", _TILT, default=180.0),
        part=table.choice("part", PARTS, default=None),
    )
    if cut.name is None and cut.part is None:
        table.note("name", found="nothing", allowed="a name, or a part", advice='Write name = "bow, port".')
    table.close()
    return cut


def open_document(path: Path, *, label: str) -> tuple[HullDocument | OffsetsDocument, Imported]:
    """A document and the file that it names, imported; refused where that is no longer the same file."""
    document = load_document(path, label=label)
    read = None
    if isinstance(document, OffsetsDocument):
        read = load_offsets(document.path, unit=document.unit, draft_m=document.draft_m)
    raw = load_mesh(document.path) if isinstance(document, HullDocument) else None
    if document.digest and digest_of(document.path) != document.digest:
        raise InputError(
            Problem(
                where=f"{label}, sha256",
                found=f"{document.path.name} is another file than the one that was looked at",
                allowed="the same file, unit and axes having been checked on it",
                advice="Run boottop hull on it again, or take sha256 out if the change was meant.",
            )
        )
    if raw is not None and isinstance(document, HullDocument):
        return document, import_mesh(raw, document)
    assert read is not None
    return document, import_offsets(read, name=document.path.name)


def digest_of(path: Path) -> str:
    """SHA-256 of a file."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def document_text(document: HullDocument | OffsetsDocument, *, folder: Path) -> str:
    """The document as TOML, to be written into `folder`."""
    file = Path(os.path.relpath(document.path.resolve(), folder.resolve())).as_posix()
    if file.startswith("../"):
        raise InputError(
            Problem(
                where="--out",
                found=f"{folder}, which does not hold {document.path.name}",
                allowed="a document beside its file, or in a folder above it",
                advice="Write the document beside the hull's file.",
            )
        )
    if isinstance(document, OffsetsDocument):
        return _offsets_text(document, file)
    lines = [
        "# A hull document: which file, how its numbers become the boat, and where she floats (docs/hull-files.md).",
        f"format = {FORMAT}",
        'kind = "mesh"',
        f"file = {_quoted(file)}",
        *_digest_line(document.digest),
        f'unit = "{document.pose.unit}"',
        f'bow = "{document.pose.bow}"',
        f'up = "{document.pose.up}"',
        f'halves = "{document.halves}"',
        f"keel = {'true' if document.has_keel else 'false'}",
    ]
    if document.keel_root_m is not None and document.has_keel:
        lines.append(f'keel_root = "{-document.keel_root_m:.3f} m"')
    floats = document.floats
    lines += ["", "[waterline]"]
    for key, value in (
        ("height", floats.height_m),
        ("draft", floats.draft_m),
        ("fore", floats.fore_m),
        ("aft", floats.aft_m),
    ):
        if value is not None:
            lines.append(f'{key} = "{value:.4f} m"')
    lines += [f'heel = "{floats.heel_deg:g} deg"', f'boot_top = "{floats.boot_top_m:.3f} m"']
    return "\n".join([*lines, *_cuts_text(document.cuts)]) + "\n"


def _offsets_text(document: OffsetsDocument, file: str) -> str:
    lines = [
        "# A hull document: which table of offsets, and the draft that it is cut at (docs/hull-files.md).",
        f"format = {FORMAT}",
        'kind = "offsets"',
        f"file = {_quoted(file)}",
        *_digest_line(document.digest),
    ]
    lines += [f'unit = "{document.unit}"'] if document.unit else []
    lines += [f'draft = "{document.draft_m:.4f} m"'] if document.draft_m is not None else []
    return "\n".join([*lines, *_cuts_text(document.cuts)]) + "\n"


def _digest_line(digest: str) -> list[str]:
    return [f'sha256 = "{digest}"'] if digest else []


def _cuts_text(cuts: Sequence[ZoneCut]) -> list[str]:
    return [line for cut in cuts for line in ("", "[[cuts]]", *_cut_lines(cut))]


def _cut_lines(cut: ZoneCut) -> list[str]:
    lines = [f"name = {_quoted(cut.name)}"] if cut.name else []
    lines.append(f'side = "{cut.side}"')
    lengths = (("from", cut.from_m), ("to", cut.to_m), ("above", cut.above_m), ("below", cut.below_m))
    lines += [f'{key} = "{value:g} m"' for key, value in lengths if value is not None]
    lines += [f'tilt_from = "{cut.tilt_from_deg:g} deg"', f'tilt_to = "{cut.tilt_to_deg:g} deg"']
    return [*lines, *([f'part = "{cut.part}"'] if cut.part else [])]


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)
