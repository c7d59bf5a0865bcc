"""The bare hull's area by whichever of the ways was measured, and whether it is plausible."""

from __future__ import annotations

from dataclasses import dataclass

from boottop.measure.girths import GirthArea, girth_area
from boottop.measure.inputs import Girths, HullMeasure
from boottop.measure.mesh import MeshHull
from boottop.measure.offsets import OffsetsArea, offsets_area
from boottop.measure.regressions import denny_mumford, dimension_area

REGRESSION_LIMIT = 0.25
USUAL_FLATNESS = (0.45, 0.99)
USUAL_GIRTH_SHARE = 0.35
"""Limits beyond which a note asks for the readings to be checked: common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Body:
    """Wetted area of the bare hull, both sides, m2; `flatness_ratio` is waterplane over it without end faces."""

    area_m2: float
    sd_m2: float
    end_faces_m2: tuple[float, float]
    flatness_ratio: float | None
    method: str
    notes: tuple[str, ...]


def body_of(measure: HullMeasure) -> Body:
    """The bare hull from girths, offsets, dimensions or a mesh, whichever is given (exactly one, already checked)."""
    if measure.girths is not None:
        return _from_girths(measure.girths, girth_area(measure.girths))
    if measure.offsets is not None:
        return _from_offsets(offsets_area(measure.offsets))
    if measure.mesh is not None:
        return _from_mesh(measure.mesh)
    assert measure.dimensions is not None
    result = dimension_area(measure.dimensions)
    return Body(
        area_m2=result.area_m2,
        sd_m2=result.sd_m2,
        end_faces_m2=(0.0, 0.0),
        flatness_ratio=min(1.0, result.waterplane_m2 / result.area_m2),
        method=f"main dimensions ({', '.join(estimate.name for estimate in result.estimates)})",
        notes=result.notes,
    )


def _from_mesh(hull: MeshHull) -> Body:
    return Body(
        area_m2=float(hull.mesh.areas_m2.sum()),
        sd_m2=hull.area_sd_m2,
        end_faces_m2=(0.0, 0.0),
        flatness_ratio=None,
        method=hull.method,
        notes=hull.notes,
    )


def _from_girths(girths: Girths, result: GirthArea) -> Body:
    notes = list(result.notes)
    bare = result.area_m2 - sum(result.end_faces_m2)
    flatness_ratio = None if result.waterplane_m2 is None else result.waterplane_m2 / bare
    if flatness_ratio is not None and not USUAL_FLATNESS[0] <= flatness_ratio <= USUAL_FLATNESS[1]:
        notes.append(
            f"Half-beams are {flatness_ratio:.2f} of the half-girths on average, usually {USUAL_FLATNESS[0]} to "
            f"{USUAL_FLATNESS[1]}: were whole girths taped, or half-beams elsewhere than at the waterline?"
        )
    longest = max(reading.half_girth_m for reading in girths.readings)
    if longest > USUAL_GIRTH_SHARE * girths.waterline_length_m:
        notes.append(
            f"The longest half-girth, {longest:.2f} m, is over {100 * USUAL_GIRTH_SHARE:.0f} % of the waterline "
            f"length, {girths.waterline_length_m:.2f} m: were whole girths taped?"
        )
    if result.draft_m and result.volume_m3:
        notes += regression_notes(
            bare, length_m=girths.waterline_length_m, draft_m=result.draft_m, volume_m3=result.volume_m3
        )
    return Body(
        area_m2=result.area_m2,
        sd_m2=result.sd_m2,
        end_faces_m2=result.end_faces_m2,
        flatness_ratio=flatness_ratio,
        method="half-girths at stations (spline, obliquity corrected)",
        notes=tuple(notes),
    )


def _from_offsets(result: OffsetsArea) -> Body:
    bare = result.area_m2 - sum(result.end_faces_m2)
    return Body(
        area_m2=result.area_m2,
        sd_m2=result.sd_m2,
        end_faces_m2=result.end_faces_m2,
        flatness_ratio=min(1.0, result.waterplane_m2 / bare),
        method="table of offsets (lofted surface)",
        notes=result.notes
        + regression_notes(bare, length_m=result.length_m, draft_m=result.draft_m, volume_m3=result.volume_m3),
    )


def regression_notes(area_m2: float, *, length_m: float, draft_m: float, volume_m3: float) -> tuple[str, ...]:
    """A note when the area and Denny-Mumford's estimate for the same length, draft and volume lie far apart."""
    expected = denny_mumford(length_m=length_m, draft_m=draft_m, volume_m3=volume_m3)
    if abs(area_m2 - expected) <= REGRESSION_LIMIT * expected:
        return ()
    return (
        f"The hull comes to {area_m2:.1f} m2 but Denny-Mumford expects about {expected:.1f} m2 for this length, "
        f"draft and volume, more than {100 * REGRESSION_LIMIT:.0f} % apart: check the readings.",
    )
