"""What each part of a hull sees of sky, ground and hull, and what the sun sees of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boottop.climate.sun import Sun
from boottop.climate.weather import Site
from boottop.measure.hull import Patch, View

Floats = NDArray[np.float64]

_PROFILE_DEG = np.array([20.0, 40.0, 60.0, 80.0, 100.0, 120.0, 140.0, 160.0])
_KEEL_LIT_DEG = (15.0, 62.5)


@dataclass(frozen=True, kw_only=True)
class Row:
    """One row of the table of a hull standing on the ground (2-D section, beam 3.5 m, V-bottom, fin keel of 1 m).

    `hull_share` of its view is other parts of the hull; `diffuse_share` and `sunlit` (at profile angles 20, 40, 60, 80
    deg on this side, then 80, 60, 40, 20 on the other) tell how brightly lit the ground that it sees is, against open
    ground, by the sky and by the sun. `ground_share`: how much of the yard's warmth over the air reaches the ground
    that it sees, most of which the boat shades.
    """

    hull_share: float
    diffuse_share: float
    sunlit: tuple[float, ...]
    ground_share: float
    sky_share: float | None = None


ROWS: Mapping[View, Row] = {
    "topsides": Row(
        hull_share=0.0, diffuse_share=0.86, sunlit=(1, 1, 1, 1, 0.97, 0.79, 0.52, 0.24), ground_share=0.6
    ),
    "bilge": Row(
        hull_share=0.016, diffuse_share=0.60, sunlit=(1, 1, 0.94, 0.76, 0.49, 0.27, 0.15, 0.09), ground_share=0.35
    ),
    "bottom": Row(
        hull_share=0.231, diffuse_share=0.42, sunlit=(1, 1, 0.71, 0.37, 0.18, 0.10, 0.10, 0.18), ground_share=0.35
    ),
    "keel": Row(
        hull_share=0.195, diffuse_share=0.47, sunlit=(1, 1, 0.77, 0.44, 0.27, 0.18, 0.12, 0.14), ground_share=0.35,
        sky_share=0.304,
    ),
    "open": Row(hull_share=0.0, diffuse_share=1.0, sunlit=(1, 1, 1, 1, 1, 1, 1, 1), ground_share=0.6),
}  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Facing:
    """A patch's view factors, and per slot how squarely the sun meets it (`beam`) and lights its ground."""

    f_sky_fraction: float
    f_ground_fraction: float
    f_hull_fraction: float
    diffuse_share: float
    ground_share: float
    beam: Floats
    ground_beam: Floats


def facing_of(patch: Patch, site: Site, sun: Sun) -> Facing:
    """View factors of a patch and its sun, slot by slot; fractions, `beam` and `ground_beam` of shape (slot,).

    A convex hull does not shade itself: topsides, bilge and bottom see (1 + cos tilt)/2 of the sky by their own tilt,
    and take direct sun whenever it stands before them. The fin keel stands under the hull: its share of sky is the
    table's, and direct sun fades from all of it at a profile angle of 15 deg to none at 62.5 deg (the ramp whose
    integral over the sky is the table's share). The profile angle is the sun's elevation in the cross-section plane.
    A patch facing the bow or the stern takes the mean of both sides.
    Source: the table was computed for one section (docs/the-physics); other hulls differ. No published source.
    """
    row = ROWS[patch.view]
    upward = np.cos(np.radians(patch.tilt_deg))
    sky = row.sky_share if row.sky_share is not None else 0.5 * (1.0 + upward)
    hull = min(row.hull_share, 1.0 - sky)
    profile = profile_deg(patch, site, sun)
    beam = incidence(patch, site, sun)
    if row.sky_share is not None:
        beam = beam * np.interp(profile, _KEEL_LIT_DEG, (1.0, 0.0))
    return Facing(
        f_sky_fraction=float(sky),
        f_ground_fraction=float(1.0 - sky - hull),
        f_hull_fraction=float(hull),
        diffuse_share=row.diffuse_share,
        ground_share=row.ground_share,
        beam=beam,
        ground_beam=np.interp(profile, _PROFILE_DEG, row.sunlit),
    )


def incidence(patch: Patch, site: Site, sun: Sun) -> Floats:
    """Cosine of the angle between sun and the patch's outward normal, 0 where the sun is behind it or down; (slot,)."""
    normal_rad = np.radians(site.bow_deg + patch.from_bow_deg)
    tilt_rad = np.radians(patch.tilt_deg)
    elevation_rad = np.radians(sun.elevation_deg)
    level = np.cos(elevation_rad) * np.cos(np.radians(sun.azimuth_deg) - normal_rad)
    cosine = np.sin(tilt_rad) * level + np.cos(tilt_rad) * np.sin(elevation_rad)
    return np.where(sun.height > 0.0, np.maximum(cosine, 0.0), 0.0)


def profile_deg(patch: Patch, site: Site, sun: Sun) -> Floats:
    """Sun's elevation in the hull's cross-section, counted from the patch's own side: under 90 deg when it stands on
    that side, over 90 on the other; (slot,)."""
    side = np.sin(np.radians(patch.from_bow_deg))
    elevation_rad = np.radians(sun.elevation_deg)
    across = np.cos(elevation_rad) * np.sin(np.radians(sun.azimuth_deg - site.bow_deg)) * side
    return np.asarray(np.degrees(np.arctan2(np.maximum(np.sin(elevation_rad), 0.0), across)))
