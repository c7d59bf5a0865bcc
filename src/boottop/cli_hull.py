"""`boottop hull`: a file of a hull, how it was understood, and the hull document that a job sheet can name."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from boottop.base.errors import InputError, Problem

if TYPE_CHECKING:
    from boottop.files.hull_document import Floats, HullDocument, OffsetsDocument
    from boottop.files.hull_mesh import RawHull
    from boottop.measure.mesh_frame import Guess, Told
    from boottop.measure.mesh_zones import ZoneCut

HullFile = Annotated[
    Path,
    typer.Argument(help="STL, OBJ, PLY, GLB or 3MF; a table of offsets (CSV, TSV, TXT); or a hull document (TOML)."),
]
Unit = Annotated[str | None, typer.Option("--unit", help="m, mm, cm, ft or in; of a table of offsets also ft-in-8.")]
Bow = Annotated[str | None, typer.Option("--bow", help="Axis that the bow points along: +x, -x, +y, -y, +z, -z.")]
Up = Annotated[str | None, typer.Option("--up", help="Axis that is up: +x, -x, +y, -y, +z, -z.")]
Length = Annotated[str | None, typer.Option("--length", help='Length over all, to find the unit by: "38 ft".')]
Half = Annotated[bool | None, typer.Option("--half/--whole", help="The file holds half a hull, or a whole one.")]
Draft = Annotated[str | None, typer.Option("--draft", help='Waterline as a draft over the lowest point: "1.9 m".')]
Height = Annotated[str | None, typer.Option("--height", help="Waterline as a height over the file's own zero.")]
Fore = Annotated[str | None, typer.Option("--fore", help="Waterline's height at the fore end of the hull, with --aft.")]
Aft = Annotated[str | None, typer.Option("--aft", help="Waterline's height at the aft end of the hull, with --fore.")]
Heel = Annotated[str, typer.Option("--heel", help='Heel to starboard that she is painted at: "0 deg".')]
BootTop = Annotated[str, typer.Option("--boot-top", help="Upper edge of the paint over the waterline.")]
KeelRoot = Annotated[str | None, typer.Option("--keel-root", help="Where the keel begins, under the waterline.")]
Keel = Annotated[bool, typer.Option("--keel/--no-keel", help="She has a keel to be told from the hull, or none.")]
Cut = Annotated[
    list[str] | None,
    typer.Option(
        "--cut", help='A zone of your own: "bow; side port; from 0 m; to 2 m; above -0.4 m; tilt_to 120 deg".'
    ),
]
Out = Annotated[Path | None, typer.Option("--out", help="Write the hull document, for measure.hull_file.")]
Yes = Annotated[bool, typer.Option("--yes", help="Take what was guessed (unit, bow, up) as it is shown.")]


def hull(  # noqa: PLR0913 - one parameter an option of the command
    file: HullFile,
    unit: Unit = None,
    bow: Bow = None,
    *,
    up: Up = None,
    length: Length = None,
    half: Half = None,
    draft: Draft = None,
    height: Height = None,
    fore: Fore = None,
    aft: Aft = None,
    heel: Heel = "0 deg",
    boot_top: BootTop = "0 m",
    keel_root: KeelRoot = None,
    keel: Keel = True,
    cut: Cut = None,
    out: Out = None,
    yes: Yes = False,
) -> None:
    """What a file of a hull holds: unit and axes as guessed, size at the waterline, zones, and which way they face."""
    from boottop.files.save import check_places

    check_places({"--out": out}, read=[file])
    kind = file.suffix.lower()
    if kind == ".toml":
        _show_document(file)
        return
    options = {"draft": draft, "height": height, "fore": fore, "aft": aft, "heel": heel, "boot_top": boot_top}
    cuts = _cuts(cut or ())
    if kind in (".csv", ".tsv", ".txt"):
        _table(file, unit, _quantity(draft, "--draft", "length"), cuts=cuts, out=out)
        return
    told = _told(unit, bow, up=up, length=length)
    halves = {None: "guess", True: "half", False: "whole"}[half]
    root = _quantity(keel_root, "--keel-root", "length")
    rest = {"halves": halves, "has_keel": keel, "keel_root_m": None if root is None else -root, "cuts": cuts}
    _mesh(file, told, options, rest=rest, write=(out, yes))


def _show_document(path: Path) -> None:
    from boottop.files.hull_document import mesh_hull, open_document
    from boottop.terminal_hull import show_hull

    document, found = open_document(path, label=str(path))
    show_hull(found, mesh_hull(found, document))


def _table(path: Path, unit: str | None, draft_m: float | None, *, cuts: tuple[ZoneCut, ...], out: Path | None) -> None:
    from boottop.files.hull_document import OffsetsDocument, digest_of, import_offsets, mesh_hull
    from boottop.files.hull_offsets import load_offsets
    from boottop.terminal_hull import show_hull, show_offsets

    read = load_offsets(path, unit=unit, draft_m=draft_m)
    document = OffsetsDocument(path=path, unit=unit, draft_m=draft_m, cuts=cuts, digest=digest_of(path))
    found = import_offsets(read, name=path.name)
    show_hull(found, mesh_hull(found, document))
    show_offsets(read, found)
    _write(document, out)


def _mesh(
    path: Path, told: Told, options: dict[str, str | None], *, rest: dict[str, Any], write: tuple[Path | None, bool]
) -> None:
    from boottop.files.hull_document import HullDocument, digest_of, import_mesh, mesh_hull, pose_of
    from boottop.files.hull_mesh import load_mesh
    from boottop.terminal_hull import show_hull, show_pose

    out, yes = write
    raw = load_mesh(path)
    guess = pose_of(raw, told)
    show_pose(raw, guess)
    if out is not None and guess.guessed and not yes:
        raise InputError(_not_said(guess))
    floats = _floats(options, raw, guess)
    document = HullDocument(path=path, pose=guess.pose, floats=floats, digest=digest_of(path), **rest)
    found = import_mesh(raw, document)
    show_hull(found, mesh_hull(found, document))
    _write(document, out)


def _not_said(guess: Guess) -> list[Problem]:
    values = {"unit": guess.pose.unit, "bow": guess.pose.bow, "up": guess.pose.up}
    return [
        Problem(
            where=f"--{name}",
            found=f"nothing; guessed {values[name]}",
            allowed="said by you before it is written down",
            advice=f"Add --{name}={values[name]} (or the right one), or --yes to take all guesses.",
        )
        for name in guess.guessed
    ]


def _told(unit: str | None, bow: str | None, *, up: str | None, length: str | None) -> Told:
    from boottop.measure.mesh_frame import AXES, UNIT_M, Told

    problems = []
    for option, value, names in (("--unit", unit, [*UNIT_M]), ("--bow", bow, AXES), ("--up", up, AXES)):
        if value is not None and value not in names:
            problems.append(_choice(option, value, names))
    if bow and up and bow[-1:] == up[-1:]:
        found = f"{up}, the axis of --bow {bow}"
        problems.append(Problem(where="--up", found=found, allowed="another axis", advice="Bow and up differ."))
    if problems:
        raise InputError(problems)
    return Told(unit=unit, bow=bow, up=up, length_m=_quantity(length, "--length", "length"))  # type: ignore[arg-type]


def _choice(option: str, value: str, names: Sequence[str]) -> Problem:
    return Problem(where=option, found=repr(value), allowed=", ".join(names), advice="Choose one of these.")


def _quantity(text: str | None, option: str, kind: str) -> float | None:
    from boottop.base.quantities import parse

    return None if text is None else parse(text, kind, where=option)


def _floats(options: dict[str, str | None], raw: RawHull, guess: Guess) -> Floats:
    from boottop.files.hull_document import Floats
    from boottop.measure.mesh_frame import upright

    given = [name for name in ("draft", "height", "fore") if options[name] is not None]
    if len(given) != 1 or (options["fore"] is None) != (options["aft"] is None):
        z = upright(raw.surface, guess.pose).vertices_m[:, 2]
        low, high = float(z.min()), float(z.max())
        raise InputError(
            Problem(
                where="waterline",
                found=" and ".join(f"--{name}" for name in given) or "nothing",
                allowed=f"one of --draft (0 to {high - low:.2f} m), --height ({low:.2f} to {high:.2f} m), "
                "or --fore with --aft",
                advice='Say where she floats, such as --draft "1.9 m"; heights count from the zero of the file.',
            )
        )
    lengths = {
        f"{name}_m": _quantity(options[name], f"--{name.replace('_', '-')}", "length")
        for name in ("draft", "height", "fore", "aft", "boot_top")
    }
    return Floats(heel_deg=_quantity(options["heel"], "--heel", "angle") or 0.0, **lengths)  # type: ignore[arg-type]


_CUT_KEYS = {"from": "from_m", "to": "to_m", "above": "above_m", "below": "below_m"}
_CUT_EXAMPLE = '"bow; side port; from 0 m; to 2 m; above -0.4 m; below 0 m; tilt_from 90 deg; tilt_to 120 deg"'


def _cuts(texts: Sequence[str]) -> tuple[ZoneCut, ...]:
    return tuple(_cut(text) for text in texts)


def _cut(text: str) -> ZoneCut:
    """A zone drawn on the command line: its name, then what bounds it."""
    from boottop.measure.mesh_zones import ZoneCut

    name, *parts = [part.strip() for part in text.split(";")]
    values: dict[str, Any] = {}
    for part in parts:
        key, _, value = part.partition(" ")
        if key == "side" and value.strip() in ("port", "starboard", "centre"):
            values["side"] = value.strip()
        elif key in _CUT_KEYS:
            values[_CUT_KEYS[key]] = _quantity(value.strip(), f"--cut {name}, {key}", "length")
        elif key in ("tilt_from", "tilt_to"):
            values[f"{key}_deg"] = _quantity(value.strip(), f"--cut {name}, {key}", "angle")
        else:
            advice = "Write the name first, then what bounds the zone, with semicolons between."
            raise InputError(Problem(where=f"--cut {name}", found=repr(part), allowed=_CUT_EXAMPLE, advice=advice))
    if not name or not values:
        raise InputError(Problem(where="--cut", found=repr(text), allowed=_CUT_EXAMPLE, advice="Name and bound it."))
    return ZoneCut(name=name, **values)


def _write(document: HullDocument | OffsetsDocument, out: Path | None) -> None:
    """The document, and the lines of the job sheet that name it."""
    from boottop.console import say
    from boottop.files.hull_document import document_text
    from boottop.files.save import write_bytes

    if out is None:
        say("Nothing was written. With --out hull.toml this becomes a hull document that a job sheet can name.")
        return
    write_bytes(out, document_text(document, folder=out.resolve().parent).encode())
    say(f"wrote {out}")
    say(f'For the job sheet:\n[measure]\nmethod = "hull_file"\nhull_file = "{out.name}"')


def register(app: typer.Typer) -> None:
    """Add the commands to the command line."""
    app.command()(hull)
