"""The Duisburg Test Case, a container-ship hull, from its published geometry as a mesh.

S 6.243 m2 and V 0.827 m3 at model scale 1 : 59.407 and T = 0.244 m: el Moctar, Shigunov and Zorn, Duisburg Test Case:
Post-Panamax container ship for benchmarking, Ship Technology Research 59 (2012) (quoted from memory).
"""

from __future__ import annotations

import gzip
from pathlib import Path

import numpy as np
import pytest

from boottop.files.hull_document import Floats, HullDocument, Imported, import_mesh
from boottop.files.hull_mesh import read_mesh
from boottop.measure.girths import girth_area
from boottop.measure.mesh_frame import Pose, Told, guess_pose
from boottop.measure.mesh_sections import girths_of

FILE = Path(__file__).parents[3] / "shared" / "data" / "hulls" / "dtc-1to59.407.stl.gz"


@pytest.fixture(scope="module")
def bottom() -> Imported:
    if not FILE.is_file():
        pytest.skip("the Duisburg hull is under a licence that keeps it out of this repository; it lies beside it")
    raw = read_mesh(gzip.decompress(FILE.read_bytes()), name="dtc.stl")
    guess = guess_pose(raw.surface, Told())
    assert guess.pose == Pose(unit="m", bow="+x", up="+z")
    return import_mesh(raw, HullDocument(path=FILE, pose=guess.pose, floats=Floats(draft_m=0.244)))


def test_wetted_surface_and_volume(bottom: Imported) -> None:
    assert bottom.bottom.area_m2 == pytest.approx(6.243, rel=0.005)
    assert bottom.bottom.area_m2 == pytest.approx(6.2448, abs=5e-5)  # the same mesh, computed independently
    assert bottom.bottom.volume_m3 == pytest.approx(0.827, rel=0.005)
    assert bottom.bottom.volume_m3 == pytest.approx(0.82671, abs=5e-6)
    assert bottom.bottom.closed


def test_girths_taped_on_it_converge(bottom: Imported) -> None:
    """A ship's bulb and immersed stern are harder than any yacht: still within 2 % with 21 stations."""
    surface, length = bottom.bottom.surface, bottom.bottom.waterline_length_m
    errors = []
    for count in (5, 7, 11, 21):
        taped = girth_area(girths_of(surface, count, length_m=length))
        errors.append(abs(taped.area_m2 / bottom.bottom.area_m2 - 1.0))
    assert errors[-1] < 0.02
    assert errors[-1] < errors[0]
    assert np.all(np.isfinite(errors))
