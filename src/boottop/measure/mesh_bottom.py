"""The bottom of a whole hull: cut at the boot top and the centreplane, and how far its area can be trusted."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from boottop.measure.mesh import Array, Facets
from boottop.measure.mesh_cut import below, cut
from boottop.measure.mesh_frame import Waterline, above_boot_top, afloat
from boottop.measure.mesh_overlap import hidden_facets
from boottop.measure.mesh_repair import open_rims, refuse
from boottop.measure.mesh_weld import Edges, edges_of, shells, without_slivers

MODEL_SD = 0.01
"""The hull as built and faired against her file: common practice, no source."""
WATERLINE_SD_M = 0.01
"""How well the boot top is struck: common practice, no source."""
SMOOTH_RAD = 0.5
"""Edges sharper than this are chines and corners, not a round drawn in flats."""
OPEN_SHARE = 0.05
HIDDEN_SHARE = 0.02
"""Holes up to this share of the area are doubted, larger ones refused; doubt of parts too many to look into: ours."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Bottom:
    """The wetted skin in the frame of `measure.mesh.HullMesh`, its size, and the parts of its doubt, m2.

    `facets_sd_m2`: a round drawn in flats; `waterline_sd_m2`: the boot top struck 1 cm off; `holes_sd_m2`: what is
    missing, or hidden where parts meet; `model_sd_m2`: as built against as drawn. `volume_m3` lies under the waterline,
    not the boot top.
    """

    surface: Facets
    area_m2: float
    sd_m2: float
    facets_sd_m2: float
    waterline_sd_m2: float
    holes_sd_m2: float
    model_sd_m2: float
    volume_m3: float
    waterplane_m2: float
    waterline_length_m: float
    waterline_beam_m: float
    draft_m: float
    closed: bool
    notes: tuple[str, ...]


def bottom_of(hull: Facets, water: Waterline) -> Bottom:
    """What is painted of a whole hull: everything under the boot top, on both sides.

    `hull` is upright in metres with y = 0 the centreplane; heights count from the file's own zero. Area, m2, is the
    sum of the facets (a smooth hull's is greater by about theta^2/24 for facets that meet at an angle theta, which
    goes into the doubt). Raises InputError where the waterline misses the hull or the skin has large holes.
    Source: geometry; sizes of the doubts: common practice, no source.
    """
    floating = afloat(hull, water)
    _check_reach(floating, water)
    wet = below(floating, above_boot_top(floating, water))
    wet = without_slivers(_halved(wet))[0]
    wet, length = _from_bow(wet)
    edges = edges_of(wet)
    holes, notes = _holes(wet, edges, water)
    closed = not notes
    rim_m2 = _waterline_doubt(wet, edges, water)
    flats = _flats(wet, edges)
    under = below(wet, wet.vertices_m[:, 2])
    wet, hidden_sd, hidden_notes = _without_hidden(wet, edges)
    area = wet.area_m2()
    parts = (flats, rim_m2, float(np.hypot(holes, hidden_sd)), MODEL_SD * area)
    lid = -0.5 * float(under.doubled_normals_m2[:, 2].sum())
    return Bottom(
        surface=wet,
        area_m2=area,
        sd_m2=float(np.linalg.norm(parts)),
        facets_sd_m2=parts[0],
        waterline_sd_m2=parts[1],
        holes_sd_m2=parts[2],
        model_sd_m2=parts[3],
        volume_m3=under.signed_volume_m3(),
        waterplane_m2=lid,
        waterline_length_m=length,
        waterline_beam_m=_beam(under),
        draft_m=-float(wet.vertices_m[:, 2].min()),
        closed=closed,
        notes=(*notes, *hidden_notes),
    )


def _without_hidden(wet: Facets, edges: Edges) -> tuple[Facets, float, tuple[str, ...]]:
    """Without the facets of one shell inside another; the doubt, m2, from facets that cross another shell."""
    hidden = hidden_facets(wet, shells(wet, edges))
    if hidden is None:
        note = "Too many parts or facets to see whether parts pass through each other: check the area."
        return wet, HIDDEN_SHARE * wet.area_m2(), (note,)
    if not hidden.any():
        return wet, 0.0, ()
    area = float(wet.areas_m2[hidden].sum())
    note = f"Parts pass through each other: {area:.2f} m2 inside others were left out."
    return wet.kept(np.logical_not(hidden)), 0.5 * area, (note,)


def _check_reach(floating: Facets, water: Waterline) -> None:
    z = above_boot_top(floating, water)
    low, high = float(z.min()), float(z.max())
    if low >= -1e-6:
        raise refuse(
            f"a waterline {-low:.2f} m under the hull's lowest point" if low > 0 else "a waterline at the lowest point",
            allowed="one that the hull reaches into",
            advice="Heights count from the file's own zero; a draft counts from the lowest point. Check unit and up.",
        )
    if high < -1e-3 * (high - low) - 0.02:
        raise refuse(
            f"a boot top {-high:.2f} m above the highest point of the file",
            allowed=f"at most {high - low:.2f} m above the lowest point",
            advice="The file ends lower: give the waterline that it reaches, or export more of the topsides.",
        )


def _halved(wet: Facets) -> Facets:
    """Cut along the centreplane, so that every facet lies on one side; nearly there counts as there."""
    v = wet.vertices_m.copy()
    v[np.abs(v[:, 1]) < 1e-6, 1] = 0.0
    flat = wet.moved(v)
    return cut(flat, v[:, 1]).surface


def _from_bow(wet: Facets) -> tuple[Facets, float]:
    """Moved so that x counts from the fore end of the waterline; and the waterline's length, m."""
    z, x = wet.vertices_m[:, 2], wet.vertices_m[:, 0]
    at = x[np.abs(z) < 1e-9 * max(float(np.ptp(x)), 1.0)]
    crossed = cut(wet, z).surface.vertices_m[len(z) :, 0]
    both = np.concatenate((at, crossed))
    if not len(both):  # a file that ends just under its waterline
        rim = x[z > z.max() - 0.02]
        both = rim if len(rim) else x
    fore = float(both.min())
    return wet.moved(wet.vertices_m - np.array([fore, 0.0, 0.0])), float(both.max()) - fore


def _beam(under: Facets) -> float:
    top = under.vertices_m[:, 2] > -0.02
    return 2.0 * float(np.abs(under.vertices_m[top, 1]).max(initial=0.0))


def _flats(wet: Facets, edges: Edges) -> float:
    """What the smooth hull has more than its facets, m2: over every soft edge theta^2/24 of both neighbours."""
    one, other, _ = edges.pairs()
    cosine = np.einsum("ij,ij->i", wet.normals[one], wet.normals[other])
    theta = np.arccos(np.clip(cosine, -1.0, 1.0))
    soft = theta < SMOOTH_RAD
    both = wet.areas_m2[one] + wet.areas_m2[other]
    return float((theta[soft] ** 2 / 24.0 * both[soft]).sum())


def _waterline_doubt(wet: Facets, edges: Edges, water: Waterline) -> float:
    """Area between two boot tops `WATERLINE_SD_M` apart, m2: rim length times height over the sine of the slope."""
    rims, chosen = open_rims(wet, edges)
    at_top = _at_boot_top(wet, edges, water)[chosen]
    side = np.zeros(len(edges.meets), dtype=np.int64)
    side[edges.number] = edges.facet
    steep = np.sqrt(np.maximum(1.0 - wet.normals[side[chosen], 2] ** 2, 0.04))
    return WATERLINE_SD_M * float((rims / steep)[at_top].sum())


def _at_boot_top(wet: Facets, edges: Edges, water: Waterline) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    height = above_boot_top(wet, water)
    near = height > min(-1e-4, float(height.max()) - 0.02)
    return np.asarray(near[edges.ends].all(axis=1))


def _holes(wet: Facets, edges: Edges, water: Waterline) -> tuple[float, tuple[str, ...]]:
    """Doubt from holes in the skin, m2 (each at most a round of its rim, or span times span), and a note."""
    rims, chosen = open_rims(wet, edges)
    at_top = _at_boot_top(wet, edges, water)[chosen]
    ends, lengths = edges.ends[chosen][~at_top], rims[~at_top]
    if not len(ends):
        return 0.0, ()
    corners, number = np.unique(ends, return_inverse=True)
    pairs = number.reshape(-1, 2)
    graph = coo_array((np.ones(len(pairs), dtype=np.int8), tuple(pairs.T)), shape=(len(corners), len(corners)))
    count, label = connected_components(graph, directed=False)
    around = np.bincount(label[pairs[:, 0]], weights=lengths, minlength=count)
    spans = np.asarray([np.sort(np.ptp(wet.vertices_m[corners[label == k]], axis=0)) for k in range(count)])
    areas: Array = np.minimum(around**2 / (4.0 * pi), spans[:, 1] * spans[:, 2])
    largest = int(np.argmax(areas))
    where = float(wet.vertices_m[corners[label == largest], 0].mean())
    found = f"{count} hole{'s' if count > 1 else ''} in the skin, the largest {around[largest]:.2f} m around"
    if areas.sum() > OPEN_SHARE * wet.area_m2():
        raise refuse(
            f"{found}, {where:.2f} m aft of the waterline's fore end (open)",
            allowed=f"holes of at most {100 * OPEN_SHARE:.0f} % of the area",
            advice="Close it in the program that made it, or say that the file holds half a hull.",
        )
    return 0.5 * float(areas.sum()), (f"{found}, {where:.2f} m aft; up to {areas.sum():.3f} m2 may be missing.",)
