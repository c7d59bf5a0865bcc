"""Wetted surface from main dimensions alone: published regressions, where they hold, and how far they scatter."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import sqrt

from boottop.measure.inputs import Dimensions, Form


@dataclass(frozen=True, kw_only=True)
class Estimate:
    """One regression's wetted area of the bare hull, m2, its standard deviation, and where it left its range."""

    name: str
    area_m2: float
    sd_m2: float
    notes: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class DimensionArea:
    """Wetted area of the bare hull from main dimensions, m2: the mean of the form's regressions by their weights."""

    area_m2: float
    sd_m2: float
    waterplane_m2: float
    estimates: tuple[Estimate, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Coefficients:
    """Block, midship, prismatic and waterplane coefficient, dimensionless, with notes where one was assumed."""

    block: float
    midship: float
    prismatic: float
    waterplane: float
    assumed: bool
    notes: tuple[str, ...]


USUAL_MIDSHIP: Mapping[Form, float] = {"yacht": 0.72, "motor": 0.75, "ship": 0.98}
USUAL_WATERPLANE: Mapping[Form, float] = {"yacht": 0.68, "motor": 0.78, "ship": 0.80}
"""Common practice, no source."""

OUT_OF_RANGE_SD = 0.10
ASSUMED_SD = 0.03
HOLTROP_SD, DENNY_SD, DELFT_SD = 0.04, 0.05, 0.03
"""Relative scatter. Denny: within 5 % of three published ships (read); the others: common practice, no source."""


def holtrop_mennen(*, dimensions: Dimensions, coefficients: Coefficients, bulb_section_m2: float = 0.0) -> float:
    """Wetted area of the bare hull of a displacement ship, m2.

    S = L (2T+B) sqrt(CM) (0.453 + 0.4425 CB - 0.2862 CM - 0.003467 B/T + 0.3696 CWP) + 2.38 ABT/CB.
    Validity: prismatic 0.55-0.85, L/B 3.9-15, B/T 2.1-4.0 (from memory).
    Source: Holtrop and Mennen, An approximate power prediction method, Int. Shipbuilding Progress 29 (335), 1982,
    sec. 5 (formula read in a copy).
    """
    length, beam, draft = dimensions.waterline_length_m, dimensions.waterline_beam_m, dimensions.body_draft_m
    block, midship = coefficients.block, coefficients.midship
    shape = 0.453 + 0.4425 * block - 0.2862 * midship - 0.003467 * beam / draft + 0.3696 * coefficients.waterplane
    return length * (2 * draft + beam) * sqrt(midship) * shape + 2.38 * bulb_section_m2 / block


def denny_mumford(*, length_m: float, draft_m: float, volume_m3: float) -> float:
    """Wetted area of the bare hull, m2: S = 1.7 L T + V/T.

    Validity: displacement hulls of ordinary form; within 5 % of three published ships.
    Source: constant 1.7 as in Tupper, Introduction to Naval Architecture (from memory).

    >>> round(denny_mumford(length_m=230.0, draft_m=10.8, volume_m3=52030.0))
    9040
    """
    return 1.7 * length_m * draft_m + volume_m3 / draft_m


def delft_canoe_body(*, dimensions: Dimensions, midship_coefficient: float) -> float:
    """Wetted area of a sailing yacht's canoe body at rest, m2: (1.97 + 0.171 B/T) (0.65/CM)^(1/3) sqrt(V L).

    Validity: L/B 2.73-5.0, B/T 2.46-19.4, L/V^(1/3) 4.3-8.5, prismatic 0.52-0.60, midship 0.646-0.790 (from memory).
    Source: Gerritsma, Keuning and Onnink, Delft systematic yacht hull series (formula read, no worked example found).
    """
    beam_draft = dimensions.waterline_beam_m / dimensions.body_draft_m
    size = sqrt(dimensions.displaced_m3 * dimensions.waterline_length_m)
    midship_factor: float = (0.65 / midship_coefficient) ** (1.0 / 3.0)
    return (1.97 + 0.171 * beam_draft) * midship_factor * size


def coefficients_of(dimensions: Dimensions) -> Coefficients:
    """Form coefficients, dimensionless; the form's usual midship or waterplane coefficient where none is given.

    Valid for L, B, T and V above zero. Source: definitions; usual values are common practice, no source.
    """
    d = dimensions
    box = d.waterline_length_m * d.waterline_beam_m * d.body_draft_m
    midship, waterplane = d.midship_coefficient, d.waterplane_coefficient
    notes = [
        f"{name} coefficient not given: the usual {usual:.2f} of a {d.form} was used."
        for name, given, usual in (
            ("Midship", midship, USUAL_MIDSHIP[d.form]),
            ("Waterplane", waterplane, USUAL_WATERPLANE[d.form]),
        )
        if given is None
    ]
    midship = USUAL_MIDSHIP[d.form] if midship is None else midship
    block = d.displaced_m3 / box
    return Coefficients(
        block=block,
        midship=midship,
        prismatic=block / midship,
        waterplane=USUAL_WATERPLANE[d.form] if waterplane is None else waterplane,
        assumed=bool(notes),
        notes=tuple(notes),
    )


_Range = tuple[str, float, float, float]


def _ranges(name: str, dimensions: Dimensions, coefficients: Coefficients) -> tuple[_Range, ...]:
    d = dimensions
    slender = d.waterline_length_m / d.waterline_beam_m
    shallow = d.waterline_beam_m / d.body_draft_m
    prismatic = coefficients.prismatic
    if name == "Holtrop-Mennen":
        return (("prismatic", prismatic, 0.55, 0.85), ("L/B", slender, 3.9, 15.0), ("B/T", shallow, 2.1, 4.0))
    if name == "Delft":
        return (
            ("L/B", slender, 2.73, 5.0),
            ("B/T", shallow, 2.46, 19.4),
            ("L/V^(1/3)", d.waterline_length_m / d.displaced_m3 ** (1 / 3), 4.3, 8.5),
            ("prismatic", prismatic, 0.52, 0.60),
            ("midship", coefficients.midship, 0.646, 0.790),
        )
    return (("B/T", shallow, 2.0, 6.0), ("block", coefficients.block, 0.35, 0.90))


_FORM_METHODS: Mapping[Form, tuple[str, ...]] = {
    "yacht": ("Delft", "Denny-Mumford"),
    "motor": ("Holtrop-Mennen", "Denny-Mumford"),
    "ship": ("Holtrop-Mennen", "Denny-Mumford"),
}
_Method = tuple[float, Callable[[Dimensions, Coefficients], float]]
_METHODS: Mapping[str, _Method] = {
    "Holtrop-Mennen": (HOLTROP_SD, lambda d, c: holtrop_mennen(dimensions=d, coefficients=c)),
    "Denny-Mumford": (
        DENNY_SD,
        lambda d, c: denny_mumford(length_m=d.waterline_length_m, draft_m=d.body_draft_m, volume_m3=d.displaced_m3),
    ),
    "Delft": (DELFT_SD, lambda d, c: delft_canoe_body(dimensions=d, midship_coefficient=c.midship)),
}


def dimension_area(dimensions: Dimensions) -> DimensionArea:
    """Wetted area of the bare hull, m2, as the mean of the form's regressions weighted by 1/sd^2.

    Yachts: Delft and Denny-Mumford; motor craft and ships: Holtrop-Mennen and Denny-Mumford. A regression outside
    its range gets `OUT_OF_RANGE_SD` more doubt and a note. The mean keeps the doubt of its best regression (they share
    the same hull, so averaging does not halve it), joined by their disagreement and `ASSUMED_SD` where a coefficient
    was assumed. Sources: at each regression; the weighting is ours.
    """
    coefficients = coefficients_of(dimensions)
    estimates = tuple(_estimate(name, dimensions, coefficients) for name in _FORM_METHODS[dimensions.form])
    weights = [estimate.sd_m2**-2 for estimate in estimates]
    mean = sum(w * e.area_m2 for w, e in zip(weights, estimates, strict=True)) / sum(weights)
    spread = sqrt(sum(w * (e.area_m2 - mean) ** 2 for w, e in zip(weights, estimates, strict=True)) / sum(weights))
    best = min(estimate.sd_m2 for estimate in estimates)
    assumed = ASSUMED_SD * mean if coefficients.assumed else 0.0
    said = "; ".join(f"{e.name} {e.area_m2:.1f} m2 (sd {e.sd_m2:.1f})" for e in estimates)
    ranges = tuple(note for estimate in estimates for note in estimate.notes)
    return DimensionArea(
        area_m2=mean,
        sd_m2=sqrt(best**2 + spread**2 + assumed**2),
        waterplane_m2=coefficients.waterplane * dimensions.waterline_length_m * dimensions.waterline_beam_m,
        estimates=estimates,
        notes=(f"From main dimensions alone: {said}; taped girths are surer.", *coefficients.notes, *ranges),
    )


def _estimate(name: str, dimensions: Dimensions, coefficients: Coefficients) -> Estimate:
    scatter, formula = _METHODS[name]
    area = formula(dimensions, coefficients)
    outside = [
        f"{name}: {what} {value:.2f} lies outside {low:g} to {high:g}."
        for what, value, low, high in _ranges(name, dimensions, coefficients)
        if not low <= value <= high
    ]
    relative = sqrt(scatter**2 + (OUT_OF_RANGE_SD if outside else 0.0) ** 2)
    return Estimate(name=name, area_m2=area, sd_m2=relative * area, notes=tuple(outside))
