"""Wetted areas of keels, rudders, struts, shafts and tunnels, and of the hull that they cover."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt

from scipy.special import elliprg

from boottop.measure.inputs import Appendage, AppendageKind

SECTION_FULLNESS = 0.7
"""Area of a foil section over chord times thickness: 0.685 for a NACA four-digit section, 0.785 for an ellipse."""
FOILS: tuple[AppendageKind, ...] = ("fin_keel", "skeg", "rudder", "fin", "strut")
_END_FACES = {"fin_keel": 1, "skeg": 1, "rudder": 2, "fin": 1, "strut": 0}
_ROOTS = {"fin_keel": 1, "skeg": 1, "rudder": 0, "fin": 1, "strut": 1}


@dataclass(frozen=True, kw_only=True)
class AppendageArea:
    """Wetted areas of all `count` of one appendage, m2.

    `faces_m2` look to the sides (or round), `sole_m2` looks down, `covered_m2` is hull that it hides (root or mouths).
    """

    faces_m2: float
    sole_m2: float
    covered_m2: float

    @property
    def total_m2(self) -> float:
        return self.faces_m2 + self.sole_m2


def foil_perimeter_m(chord_m: float, thickness_m: float) -> float:
    """Perimeter of a foil section, m, as that of the ellipse of its chord and thickness.

    P = pi (a+b) (1 + 3h / (10 + sqrt(4 - 3h))), a = chord/2, b = thickness/2, h = ((a-b)/(a+b))^2.
    Validity: thickness 0 to chord; within 1.5 % of a NACA four-digit section up to 25 % thick.
    Source: Ramanujan's second approximation, 1914 (from memory).

    >>> round(foil_perimeter_m(1.0, 0.12), 3), round(foil_perimeter_m(1.0, 1.0), 6)
    (2.043, 3.141593)
    """
    a, b = 0.5 * chord_m, 0.5 * thickness_m
    h = ((a - b) / (a + b)) ** 2
    return pi * (a + b) * (1.0 + 3.0 * h / (10.0 + sqrt(4.0 - 3.0 * h)))


def ellipsoid_area_m2(length_m: float, height_m: float, thickness_m: float) -> float:
    """Surface of an ellipsoid of those three axes, m2, exactly: 4 pi R_G(a^2 b^2, a^2 c^2, b^2 c^2).

    Valid for positive axes. Source: Carlson's symmetric elliptic integral R_G, NIST DLMF 19.33.1 (from memory).

    >>> round(ellipsoid_area_m2(2.0, 2.0, 2.0) / pi, 9)
    4.0
    """
    a, b, c = (0.5 * axis for axis in (length_m, height_m, thickness_m))
    return 4.0 * pi * float(elliprg((a * b) ** 2, (a * c) ** 2, (b * c) ** 2))


def appendage_area(appendage: Appendage, *, bulbed: bool = False) -> AppendageArea:
    """Wetted area of an appendage, all `count` of them, m2.

    Foils: perimeter times span on both sides, plus the free end faces (0.7 chord times thickness: one under a keel,
    skeg or fin, two at a rudder, none at a strut, which ends in its bearing), less the root on the hull (keel, skeg,
    fin, strut). `bulbed`: a bulb sits under the fin keel, so it has no sole, and the bulb loses the same patch.
    Shaft: pi d L, ends left out. Thruster tunnel: wall pi d L; its two mouths are taken off the hull as circles (on a
    slanting side they are somewhat larger). Source: geometry; end-face share: common practice, no source.
    """
    a = appendage
    if a.kind == "bulb":
        return AppendageArea(
            faces_m2=a.count * ellipsoid_area_m2(a.length_m, a.height_m, a.thickness_m), sole_m2=0.0, covered_m2=0.0
        )
    if a.kind in FOILS:
        section = SECTION_FULLNESS * a.length_m * a.thickness_m
        ends = 0 if bulbed and a.kind == "fin_keel" else _END_FACES[a.kind]
        return AppendageArea(
            faces_m2=a.count * foil_perimeter_m(a.length_m, a.thickness_m) * a.height_m,
            sole_m2=a.count * ends * section,
            covered_m2=a.count * _ROOTS[a.kind] * section,
        )
    wall = pi * a.thickness_m * a.length_m
    mouths = 2.0 * pi / 4.0 * a.thickness_m**2 if a.kind == "thruster_tunnel" else 0.0
    return AppendageArea(faces_m2=a.count * wall, sole_m2=0.0, covered_m2=a.count * mouths)
