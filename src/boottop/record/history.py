"""The years: visits with their fouling and film, how fast the film wears, and when it is due again."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import inf, isfinite, sqrt
from statistics import NormalDist
from typing import Literal

from boottop.base.errors import InputError, Problem

VisitKind = Literal["coated", "haul_out", "wash", "diver", "activation", "launch", "film"]
VISIT_WORDS: dict[VisitKind, str] = {
    "coated": "coated",
    "haul_out": "hauled out",
    "wash": "washed only",
    "diver": "diver",
    "activation": "sanded to bare copper again",
    "launch": "launched",
    "film": "film measured",
}
FOULING_SOURCE = (
    "Fouling rating 0 to 100 after the US Navy's Naval Ships' Technical Manual, chapter 081, in the steps that "
    "Schultz (Biofouling 23(5), 2007, Table 1) uses; both from memory"
)
FOULING_SCALE: tuple[tuple[int, str], ...] = (
    (0, "clean, smooth"),
    (10, "light slime, the paint shows through"),
    (20, "slime, the paint is dulled"),
    (30, "heavy slime, wiped off by hand"),
    (40, "weed or small shells (to about 6 mm) here and there"),
    (60, "weed or small shells over most of it"),
    (70, "shells to about 25 mm here and there"),
    (80, "shells over most of it"),
    (90, "dense shells, larger ones on top"),
    (100, "shells, weed and soft growth everywhere"),
)
YEAR_S = 365.25 * 86_400.0


@dataclass(frozen=True, kw_only=True)
class Visit:
    """One thing that happened to the bottom in the years: `zone` None for the whole boat.

    `fouling`: 0 to 100, see FOULING_SCALE. `film_um` +- `film_sd_um`: film left. `job`: the job it was written down in.
    """

    at_s: int
    kind: VisitKind
    zone: str | None = None
    fouling: int | None = None
    film_um: float | None = None
    film_sd_um: float | None = None
    note: str = ""
    job: str = ""


@dataclass(frozen=True, kw_only=True)
class Wear:
    """Film over the years as a straight line, and when it is down to `least_um`.

    `due_early_s`, `due_late_s`: where the band of the line (90 %) meets the least film; `due_late_s` None: the band
    never meets it, so that no end is seen. `stretch_ratio`: by how much the points scatter more than their own doubts.
    """

    zone: str
    points: int
    rate_um: float
    rate_sd_um: float
    film_now_um: float
    least_um: float
    due_s: int | None
    due_early_s: int | None
    due_late_s: int | None
    stretch_ratio: float
    words: str


def fouling_words(rating: int) -> str:
    """What a fouling rating looks like: the words of the highest step that it reaches.

    >>> fouling_words(35)
    'heavy slime, wiped off by hand'
    """
    if not 0 <= rating <= 100:
        raise InputError(
            Problem(
                where="fouling rating",
                found=str(rating),
                allowed="0 (clean) to 100 (shells everywhere)",
                advice="Compare with the scale and rate again.",
            )
        )
    return next(words for step, words in reversed(FOULING_SCALE) if rating >= step)


def wear(visits: Iterable[Visit], *, zone: str, least_um: float, now_s: int, level: float = 0.90) -> Wear | None:
    """Wear of the film of one zone since it was last coated, um a year; None with fewer than two measured films.

    Weighted least squares of film against time, weights 1/sd^2; where the points scatter more than their doubts
    (chi^2 per degree of freedom above 1), all doubts are stretched by its root. The due date is where the line meets
    `least_um`, its range where the edges of the line's confidence band do (Fieller's method for a ratio; quantile of
    the normal distribution). A zone's own films are used, else those of the whole boat.
    Valid for wear that is even over the years: sanding to bare copper takes film at once and is not told apart.
    Source: weighted regression and Fieller, J. R. Stat. Soc. B 16 (1954) 175 (from memory).
    """
    films = _films(list(visits), zone)
    if len(films) < 2 or films[0].at_s == films[-1].at_s:
        return None
    line = _line(films)
    quantile = NormalDist().inv_cdf(0.5 + level / 2.0)
    due = _meets(line, least_um, quantile=0.0)
    early, late = _meets(line, least_um, quantile=-quantile), _meets(line, least_um, quantile=quantile)
    now_years = (now_s - line.middle_s) / YEAR_S
    return Wear(
        zone=zone,
        points=len(films),
        rate_um=-line.slope_um,
        rate_sd_um=line.slope_sd_um,
        film_now_um=line.level_um + line.slope_um * now_years,
        least_um=least_um,
        due_s=_epoch(due),
        due_early_s=_epoch(early),
        due_late_s=_epoch(late),
        stretch_ratio=line.stretch_ratio,
        words=_wear_words(line, due),
    )


@dataclass(frozen=True, kw_only=True)
class _Line:
    """Film = level + slope * (time - middle) in years: level and slope are then independent."""

    middle_s: float
    level_um: float
    level_sd_um: float
    slope_um: float
    slope_sd_um: float
    stretch_ratio: float


def _films(visits: Sequence[Visit], zone: str) -> list[Visit]:
    coated_s = max((one.at_s for one in visits if one.kind == "coated" and one.zone in (zone, None)), default=0)
    measured = [one for one in visits if one.film_um is not None and one.film_sd_um and one.at_s >= coated_s]
    own = [one for one in measured if one.zone == zone]
    return sorted(own or [one for one in measured if one.zone is None], key=lambda one: one.at_s)


def _line(films: Sequence[Visit]) -> _Line:
    years = [one.at_s / YEAR_S for one in films]
    values = [one.film_um or 0.0 for one in films]
    weights = [1.0 / (one.film_sd_um or 1.0) ** 2 for one in films]
    total = sum(weights)
    middle = sum(w * x for w, x in zip(weights, years, strict=True)) / total
    level = sum(w * y for w, y in zip(weights, values, strict=True)) / total
    spread = sum(w * (x - middle) ** 2 for w, x in zip(weights, years, strict=True))
    slope = sum(w * (x - middle) * y for w, x, y in zip(weights, years, values, strict=True)) / spread
    chi2 = sum(w * (y - level - slope * (x - middle)) ** 2 for w, x, y in zip(weights, years, values, strict=True))
    freedom = len(films) - 2
    stretch = sqrt(max(1.0, chi2 / freedom)) if freedom > 0 else 1.0
    return _Line(
        middle_s=middle * YEAR_S,
        level_um=level,
        level_sd_um=stretch / sqrt(total),
        slope_um=slope,
        slope_sd_um=stretch / sqrt(spread),
        stretch_ratio=stretch,
    )


def _meets(line: _Line, least_um: float, *, quantile: float) -> float | None:
    """Years at which line + quantile * its sd comes down to the least film, by halving; None if not in 100 years.

    The band's lower edge (quantile < 0) is met first. It is searched from the middle of the readings on.
    """

    def above(after_years: float) -> float:
        sd_um = sqrt(line.level_sd_um**2 + (line.slope_sd_um * after_years) ** 2)
        return line.level_um + line.slope_um * after_years + quantile * sd_um - least_um

    low, high = 0.0, next((float(year) for year in range(1, 101) if above(float(year)) <= 0.0), inf)
    if above(0.0) <= 0.0:
        return line.middle_s / YEAR_S
    if not isfinite(high):
        return None
    for _ in range(60):
        half = 0.5 * (low + high)
        low, high = (half, high) if above(half) > 0.0 else (low, half)
    return line.middle_s / YEAR_S + high


def _epoch(years: float | None) -> int | None:
    return None if years is None else int(years * YEAR_S)


def _wear_words(line: _Line, due: float | None) -> str:
    if line.slope_um >= 0.0 or due is None:
        return "no wear can be told from the readings"
    if line.slope_um + 1.645 * line.slope_sd_um >= 0.0:
        return "the wear is within the doubt of the readings: the late end is open"
    return "weighted straight line through the films measured"
