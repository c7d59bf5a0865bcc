"""Is the film thick enough, by a rule that is named: SSPC-PA 2 and ISO 19840."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from boottop.record.readings import FilmReading, spot_um, spots

PA2 = "SSPC-PA 2, default level (counts: paintsquare and naylornetwork articles, read; limits: slides, read)"
ISO = "ISO 19840 (from memory: the standard was not seen)"
PA2_AREA_M2 = 10.0
PA2_SPOTS, PA2_READINGS = 5, 3
PA2_LOW, PA2_HIGH = 0.8, 1.2
HAIR = 1e-9


@dataclass(frozen=True, kw_only=True)
class Verdict:
    """What a rule says of a film. `passed` None: too few readings to say; `reasons` what failed or is missing.

    `wanted`, `had`: readings that the rule asks for on this area, and readings that there are.
    """

    rule: str
    source: str
    passed: bool | None
    reasons: tuple[str, ...]
    wanted: int
    had: int


def pa2_areas(area_m2: float) -> int:
    """How many areas of 10 m2 (100 ft2) are read: all below 30 m2, 3 to 100 m2, one more for each further 100 or part.

    Valid for areas above 0. Source: SSPC-PA 2 counts (read in trade articles); the metric areas are the rule's own.

    >>> [pa2_areas(m2) for m2 in (4.0, 25.0, 30.0, 100.0, 1250.0)]
    [1, 3, 3, 3, 15]
    """
    if area_m2 < 3 * PA2_AREA_M2:
        return max(1, ceil(area_m2 / PA2_AREA_M2 - HAIR))
    return 3 + max(0, ceil(area_m2 / 100.0 - 1.0 - HAIR))


def pa2_verdict(readings: Sequence[FilmReading], *, area_m2: float, low_um: float, high_um: float) -> Verdict:
    """SSPC-PA 2: every spot (the mean of three readings or more) from 80 % of the least to 120 % of the most, every
    area's mean inside the range; single readings are free.

    Readings without an area name make one area, those without a spot a spot of their own. Valid for a dry film;
    written for magnetic and eddy-current gauges on metal, used here by analogy for others.
    """
    areas = pa2_areas(area_m2)
    wanted = areas * PA2_SPOTS * PA2_READINGS
    by_area: dict[str, list[float]] = {}
    thin_spots = 0
    for (_, area, _), group in spots(readings).items():
        by_area.setdefault(area, []).append(spot_um(group))
        thin_spots += len(group) < PA2_READINGS
    failed = list(_pa2_failures(by_area, low_um=low_um, high_um=high_um))
    missing = list(_pa2_missing(by_area, areas, thin_spots))
    passed = False if failed else None if missing else True
    return Verdict(
        rule="SSPC-PA 2",
        source=PA2,
        passed=passed,
        reasons=(*failed, *missing),
        wanted=wanted,
        had=len(readings),
    )


def _pa2_failures(by_area: dict[str, list[float]], *, low_um: float, high_um: float) -> list[str]:
    failed = []
    for area, values in by_area.items():
        name = f"area {area}: " if area else ""
        mean_um = sum(values) / len(values)
        if not low_um - HAIR <= mean_um <= high_um + HAIR:
            failed.append(f"{name}mean {mean_um:.0f} um is outside {low_um:.0f} to {high_um:.0f} um")
        thin = sum(value < PA2_LOW * low_um - HAIR for value in values)
        thick = sum(value > PA2_HIGH * high_um + HAIR for value in values)
        if thin:
            failed.append(f"{name}{_spots(thin)} below 80 % of the least, {PA2_LOW * low_um:.0f} um")
        if thick:
            failed.append(f"{name}{_spots(thick)} above 120 % of the most, {PA2_HIGH * high_um:.0f} um")
    return failed


def _spots(count: int) -> str:
    return "1 spot is" if count == 1 else f"{count} spots are"


def _pa2_missing(by_area: dict[str, list[float]], areas: int, thin_spots: int) -> list[str]:
    missing = []
    if len(by_area) < areas:
        missing.append(f"{len(by_area)} of {areas} areas were read")
    short = sum(len(values) < PA2_SPOTS for values in by_area.values())
    if short:
        missing.append(f"{short} with fewer than {PA2_SPOTS} spots")
    if thin_spots:
        missing.append(f"{thin_spots} spots with fewer than {PA2_READINGS} readings")
    return missing


def iso19840_readings(area_m2: float) -> int:
    """Readings that ISO 19840 asks for on an inspection area (from memory: not seen).

    >>> [iso19840_readings(m2) for m2 in (1.0, 2.0, 10.0, 25.0, 100.0, 250.0)]
    [5, 10, 15, 20, 30, 50]
    """
    for to_m2, count in ((1.0, 5), (3.0, 10), (10.0, 15), (30.0, 20), (100.0, 30)):
        if area_m2 <= to_m2:
            return count
    return 30 + 10 * ceil((area_m2 - 100.0) / 100.0)


def iso19840_verdict(readings: Sequence[FilmReading], *, area_m2: float, nominal_um: float) -> Verdict:
    """ISO 19840: mean at or above nominal, none below 80 %, fewer than a fifth between 80 and 100 %, none above three
    times nominal; all from memory. The correction for a blasted profile is not made: GRP has none.
    """
    wanted, values = iso19840_readings(area_m2), [one.middle_um for one in readings]
    failed = []
    if values:
        mean_um, between = sum(values) / len(values), sum(0.8 <= value / nominal_um < 1.0 for value in values)
        if mean_um < nominal_um - HAIR:
            failed.append(f"mean {mean_um:.0f} um is below the nominal {nominal_um:.0f} um")
        if low := sum(value < 0.8 * nominal_um - HAIR for value in values):
            failed.append(f"{low} of {len(values)} readings below 80 % of nominal, {0.8 * nominal_um:.0f} um")
        if between >= 0.2 * len(values):
            failed.append(f"{between} of {len(values)} readings between 80 and 100 %: a fifth or more")
        if high := sum(value > 3.0 * nominal_um for value in values):
            failed.append(f"{high} of {len(values)} readings above three times nominal")
    missing = [f"{len(values)} of {wanted} readings"] if len(values) < wanted else []
    passed = False if failed else None if missing else True
    return Verdict(
        rule="ISO 19840", source=ISO, passed=passed, reasons=(*failed, *missing), wanted=wanted, had=len(values)
    )
