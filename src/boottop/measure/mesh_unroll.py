"""The bottom laid flat: how far each corner lies round the skin from the bottom of the centreline."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.spatial import cKDTree

from boottop.measure.mesh import Array, Facets
from boottop.measure.mesh_sections import Section, chains, nearest_on, sections

STATIONS = 49
_SPACING_SHARE = 1.0 / 400.0


def unrolled(surface: Facets) -> Array:
    """Girth from the bottom of the centreline (port negative, starboard positive) and length x of each corner of each
    facet, m; shape (facet, 3, 2).

    At `STATIONS` sections the skin is measured from below upwards, keel and rudder first where there are such; a corner
    takes the girth of the nearest point of the sections before and behind it, in proportion. Areas in the flat view are
    short by the slant of the skin along the boat (a few per cent), and flat ends are seen on edge. Needs facets that do
    not cross the centreplane. Source: ours.
    """
    x = surface.vertices_m[:, 0]
    flat = np.stack((np.zeros_like(x), x), axis=1)[surface.facets]
    low, high = float(x.min()), float(x.max())
    stations = low + (high - low) * (0.5 - 0.4999 * np.cos(np.linspace(0.0, np.pi, STATIONS)))
    cuts = sections(surface, stations)
    starboard_facets = surface.centres_m[:, 1] > 0.0
    for starboard in (False, True):
        chosen = np.flatnonzero(starboard_facets == starboard)
        corners, number = np.unique(surface.facets[chosen], return_inverse=True)
        girths = _girths_at(surface.vertices_m[corners], cuts, starboard=starboard)
        flat[chosen, :, 0] = (girths if starboard else -girths)[number.reshape(-1, 3)]
    return flat


def _girths_at(points: Array, cuts: Sequence[Section], *, starboard: bool) -> Array:
    """Girth at points of one side, m: between the two sections that a point lies between."""
    lines = [(cut.station_m, chains(cut, starboard=starboard)) for cut in cuts]
    spacing = _SPACING_SHARE * (cuts[-1].station_m - cuts[0].station_m)
    tables = [(at, *nearest_on(found, spacing_m=spacing)) for at, found in lines if found]
    if not tables:
        return np.zeros(len(points))
    stations = np.asarray([at for at, _, _ in tables])
    trees = [cKDTree(places) for _, places, _ in tables]
    bay = np.clip(np.searchsorted(stations, points[:, 0]) - 1, 0, max(len(stations) - 2, 0))
    result = np.zeros(len(points))
    for number in np.unique(bay).tolist():
        inside, after = np.flatnonzero(bay == number), min(number + 1, len(stations) - 1)
        width = max(float(stations[after] - stations[number]), 1e-9)
        share = np.clip((points[inside, 0] - stations[number]) / width, 0.0, 1.0)
        fore, aft = (tables[k][2][trees[k].query(points[inside, 1:])[1]] for k in (number, after))
        result[inside] = (1.0 - share) * fore + share * aft
    return result
