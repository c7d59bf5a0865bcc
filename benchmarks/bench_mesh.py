"""A hull of a million facets: import to the area under the boot top, peak memory, and the area's sum against trimesh.

Run alone: `python benchmarks/bench_mesh.py`. Prints wall and processor seconds, since other work on the machine
lengthens the first. Limits: import 5 s and 1.5 GB; area within twice trimesh's own sum on the same facets.
"""

from __future__ import annotations

import resource
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

ROWS, COLUMNS = 1001, 501
LIMIT_S, LIMIT_GB = 5.0, 1.5


def write_hull(path: Path) -> int:
    """A round-bilged hull of 10 m with topsides, both sides, as a binary STL; the number of its facets."""
    x, around = np.linspace(0.0, 10.0, ROWS), np.linspace(-1.2, 1.2, COLUMNS)
    grid_x, t = np.meshgrid(x, around, indexing="ij")
    side = np.abs(t)
    half_beam = 1.6 * (1.0 - (2.0 * grid_x / 10.0 - 1.0) ** 2) + 1e-6
    z = np.where(side < 1.0, -0.9 * (1.0 - side**1.5), side - 1.0)
    y = np.sign(t) * half_beam * np.where(side < 1.0, np.minimum(side, 1.0) ** 0.6, 1.0)
    points = np.stack((grid_x, y, z), axis=-1).reshape(-1, 3)
    number = np.arange(ROWS * COLUMNS).reshape(ROWS, COLUMNS)
    a, b, c, d = number[:-1, :-1].ravel(), number[1:, :-1].ravel(), number[1:, 1:].ravel(), number[:-1, 1:].ravel()
    facets = np.concatenate((np.stack((a, c, b), axis=1), np.stack((a, d, c), axis=1)))
    record = np.zeros(len(facets), dtype=np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("rest", "<u2")]))
    record["corners"] = points[facets]
    path.write_bytes(bytes(80) + len(facets).to_bytes(4, "little") + record.tobytes())
    return len(facets)


def timed(name: str, work: Callable[[], object]) -> tuple[object, float]:
    """The result and the processor seconds; prints both clocks and the peak memory so far."""
    wall, cpu = time.perf_counter(), time.process_time()
    result = work()
    wall, cpu = time.perf_counter() - wall, time.process_time() - cpu
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
    say(f"{name:<46} {wall:7.2f} s wall {cpu:7.2f} s processor   peak {peak:.2f} GB")
    return result, cpu


def say(text: str) -> None:
    sys.stdout.write(text + "\n")


def imported(path: Path) -> object:
    """Everything from the file to area and doubt under the boot top."""
    from boottop.files.hull_document import Floats, HullDocument, import_mesh
    from boottop.files.hull_mesh import load_mesh
    from boottop.measure.mesh_frame import Told, guess_pose

    raw = load_mesh(path)
    pose = guess_pose(raw.surface, Told()).pose
    return import_mesh(raw, HullDocument(path=path, pose=pose, floats=Floats(draft_m=0.9)))


def main() -> None:
    from boottop.files.hull_document import Floats, HullDocument, Imported, mesh_hull
    from boottop.measure.mesh_frame import Pose

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "million.stl"
        count = write_hull(path)
        say(f"{count:,} facets, {path.stat().st_size / 1e6:.0f} MB; before the import: "
            f"{resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6:.2f} GB (making the file)")  # fmt: skip
        found, cpu = timed("import, unit and axes, mending, waterline, area", lambda: imported(path))
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
        assert isinstance(found, Imported)
        say(f"  against the limits: {cpu / LIMIT_S:.2f} of {LIMIT_S:g} s, {peak / LIMIT_GB:.2f} of {LIMIT_GB} GB")
        pose = Pose(unit="m", bow="-x", up="+z")
        document = HullDocument(path=path, pose=pose, floats=Floats(draft_m=0.9))
        timed("zones, sections and flat coordinates besides", lambda: mesh_hull(found, document))
        compare_area(found)


def compare_area(found: object) -> None:
    """The area's sum over the facets under the boot top, ours and trimesh's, best of five, in this same run."""
    import trimesh

    from boottop.files.hull_document import Imported
    from boottop.measure.mesh import Facets

    assert isinstance(found, Imported)
    v, f = found.bottom.surface.vertices_m, found.bottom.surface.facets
    f64 = f.astype(np.int64)
    area: Callable[..., Any] = trimesh.triangles.area

    def summed() -> float:
        return float(area(v[f64]).sum())

    ours = min(_seconds(lambda: Facets(vertices_m=v, facets=f).area_m2()) for _ in range(5))
    theirs = min(_seconds(summed) for _ in range(5))
    both = f"ours {1000 * ours:.0f} ms, trimesh {1000 * theirs:.0f} ms"
    say(f"area of {len(f):,} facets: {both}: {ours / theirs:.2f} of it")
    apart = Facets(vertices_m=v, facets=f).area_m2() / summed() - 1.0
    say(f"  and they differ by {apart:.1e}")


def _seconds(work: Callable[[], float]) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start


if __name__ == "__main__":
    main()
