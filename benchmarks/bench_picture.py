"""Picture of the hull: drawing a likeness, thinning a scan of a million facets, writing glTF; ratios in one run.

python -m benchmarks.bench_picture
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

import numpy as np
import trimesh

from boottop.cli import DEMO_JOB
from boottop.files.gltf import glb
from boottop.files.jobsheet import load_job
from boottop.measure.build import build_hull
from boottop.measure.mesh import Facets, HullMesh
from boottop.measure.shell import draw_shell
from boottop.measure.shell_outline import zone_outlines
from boottop.measure.shell_thin import thinned

ROUNDS = 5


def best_s(work: Callable[[], object], rounds: int = ROUNDS) -> float:
    """Shortest of some runs, s."""
    times = []
    for _ in range(rounds):
        begin = time.perf_counter()
        work()
        times.append(time.perf_counter() - begin)
    return min(times)


def sheet(count: int) -> HullMesh:
    """A bulging half-and-half surface of `count` facets or a little fewer, port and starboard."""
    side = int(np.sqrt(count / 4))
    u, v = np.meshgrid(np.linspace(0.0, 1.0, side + 1), np.linspace(-1.0, 1.0, 2 * side + 1), indexing="ij")
    points = np.stack((10.0 * u, 1.6 * v * np.sin(np.pi * u), -0.7 * (1.0 - v**2) * np.sin(np.pi * u)), axis=-1)
    at = np.arange(u.size, dtype=np.int32).reshape(u.shape)
    a, b, c, d = (at[:-1, :-1].ravel(), at[1:, :-1].ravel(), at[1:, 1:].ravel(), at[:-1, 1:].ravel())
    surface = Facets(
        vertices_m=points.reshape(-1, 3), facets=np.concatenate((np.stack((a, c, b), 1), np.stack((a, d, c), 1)))
    )
    flat = np.stack((1.75 * v * np.sin(np.pi * u), 10.0 * u), axis=-1).reshape(-1, 2)
    return HullMesh(
        surface=surface,
        zone_names=("port side", "starboard side"),
        zone_of=(surface.centres_m[:, 1] > 0.0).astype(np.int16),
        part_of=np.zeros(surface.count, dtype=np.int8),
        unrolled_m=flat[surface.facets],
        closed=False,
    )


def main() -> None:
    """Print one line a figure."""
    job = load_job(DEMO_JOB)
    hull = build_hull(job.hull)
    area_s = best_s(lambda: build_hull(job.hull))
    drawn_s = best_s(lambda: draw_shell(job.hull, hull))
    mesh = draw_shell(job.hull, hull).mesh
    own_s = best_s(lambda: glb(mesh, {}, name="boat", extras={}))
    plain = trimesh.Trimesh(mesh.vertices_m, mesh.facets, process=False)
    theirs_s = best_s(lambda: plain.export(file_type="glb"))
    scan = sheet(1_000_000)
    thin_s = best_s(lambda: thinned(scan), rounds=1)
    sum_s = best_s(lambda: trimesh.Trimesh(scan.vertices_m, scan.facets, process=False).area, rounds=1)
    outline_s = best_s(lambda: zone_outlines(mesh))
    lines = (
        f"likeness, {mesh.surface.count} facets: {1e3 * drawn_s:.0f} ms, {drawn_s / area_s:.0f} times the area itself",
        f"glTF: {1e3 * own_s:.1f} ms, {own_s / theirs_s:.1f} times trimesh's of the same facets in one zone",
        f"outlines of the flat view: {1e3 * outline_s:.0f} ms",
        f"thinning {scan.surface.count} facets to {thinned(scan).surface.count}: {thin_s:.2f} s, "
        f"{thin_s / sum_s:.0f} times trimesh's sum of their area",
    )
    sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
