"""Readings of film thickness: every one an interval, with the instrument that made it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Literal

Method = Literal["comb", "magnetic", "eddy_current", "ultrasonic", "destructive"]
Layer = Literal["wet", "dry"]

COMB_STEPS_UM: tuple[tuple[float, float], ...] = ((150.0, 13.0), (250.0, 25.0), (750.0, 50.0), (float("inf"), 125.0))
"""Below the first number the teeth of a notch gauge stand the second apart: ASTM D4414-95(2020) section 7 (read in a
copy): 13 um to 150 um, 25 to 250, 50 to 750, 125 above."""


@dataclass(frozen=True, kw_only=True)
class Instrument:
    """How a film is read: its words, what it reads, on what it works, its doubt as a share of the value and at least.

    The doubts: common practice, no source (a gauge's own certificate wins).
    """

    words: str
    layer: Layer
    works_on: str
    sd_share: float
    sd_least_um: float


INSTRUMENTS: Mapping[Method, Instrument] = {
    "comb": Instrument(
        words="notch gauge", layer="wet", works_on="any surface, at once after rolling", sd_share=0.05, sd_least_um=0.0
    ),
    "magnetic": Instrument(
        words="magnetic gauge", layer="dry", works_on="steel and iron only", sd_share=0.03, sd_least_um=2.0
    ),
    "eddy_current": Instrument(
        words="eddy-current gauge",
        layer="dry",
        works_on="non-magnetic metal; a copper-loaded film may upset it",
        sd_share=0.03,
        sd_least_um=3.0,
    ),
    "ultrasonic": Instrument(
        words="ultrasonic gauge", layer="dry", works_on="GRP, timber, metal", sd_share=0.05, sd_least_um=5.0
    ),
    "destructive": Instrument(
        words="cut or chip", layer="dry", works_on="any surface; the spot is repaired", sd_share=0.05, sd_least_um=5.0
    ),
}
"""Which gauge reads on what: magnetic and eddy-current on metal only (ASTM D7091, from memory); the rest is inference
and common practice."""


@dataclass(frozen=True, kw_only=True)
class FilmReading:
    """One reading. The truth lies between `low_um` and `high_um`, which are the same for a gauge with one number.

    `spot`: readings with one spot number and area belong together (SSPC-PA 2 averages them). `station_m` from the fore
    end of the waterline, `girth_m` down from the waterline: where it was read, None where that was not written down.
    `coat` 0: the whole film.
    """

    method: Method
    zone: str
    low_um: float
    high_um: float
    at_s: int | None = None
    product: str | None = None
    coat: int = 0
    area: str = ""
    spot: str = ""
    station_m: float | None = None
    girth_m: float | None = None
    who: str = ""
    as_written: str = ""

    @property
    def layer(self) -> Layer:
        """Wet or dry."""
        return INSTRUMENTS[self.method].layer

    @property
    def middle_um(self) -> float:
        """The middle of the interval."""
        return 0.5 * (self.low_um + self.high_um)

    @property
    def sd_um(self) -> float:
        """Standard deviation of one reading: of an even spread over the interval, and of the instrument."""
        tool = INSTRUMENTS[self.method]
        return sqrt(
            (self.high_um - self.low_um) ** 2 / 12.0 + max(tool.sd_share * self.middle_um, tool.sd_least_um) ** 2
        )


def comb_step_um(last_wet_um: float) -> float:
    """Distance from a wetted tooth to the next one, um.

    Valid for 0 and more. Source: ASTM D4414-95(2020) section 7 (read in a copy).

    >>> [comb_step_um(um) for um in (100.0, 150.0, 300.0, 800.0)]
    [13.0, 25.0, 50.0, 125.0]
    """
    return next(step for below, step in COMB_STEPS_UM if last_wet_um < below)


def comb_reading(last_wet_um: float, first_dry_um: float | None = None, **rest: object) -> FilmReading:
    """A notch-gauge reading: the truth lies between the last wetted and the first dry tooth (ASTM D4414).

    Without the dry tooth the next one of the standard's steps stands in. `rest`: other fields of FilmReading.

    >>> comb_reading(100.0, zone="port side").high_um
    113.0
    """
    high_um = last_wet_um + comb_step_um(last_wet_um) if first_dry_um is None else first_dry_um
    fields: dict[str, object] = {"method": "comb", "low_um": last_wet_um, "high_um": high_um} | rest
    return FilmReading(**fields)  # type: ignore[arg-type]  # fields of the class by their names


@dataclass(frozen=True, kw_only=True)
class Mean:
    """A mean of readings: its standard error holds the scatter between spots and the instrument's own doubt."""

    mean_um: float
    sd_um: float
    count: int
    least_um: float
    most_um: float


def spots(readings: Iterable[FilmReading]) -> dict[tuple[str, str, str], list[FilmReading]]:
    """Readings by (zone, area, spot); one without a spot is a spot of its own."""
    found: dict[tuple[str, str, str], list[FilmReading]] = {}
    for number, one in enumerate(readings):
        found.setdefault((one.zone, one.area, one.spot or f"#{number + 1}"), []).append(one)
    return found


def spot_um(spot: Sequence[FilmReading]) -> float:
    """Film of one spot: the mean of its readings, each in the middle of its interval, um."""
    return sum(one.middle_um for one in spot) / len(spot)


def mean_of(readings: Sequence[FilmReading]) -> Mean | None:
    """Mean over spots (each the mean of its readings) with its standard error, um; None without any.

    The instrument's doubt is shared by all its readings (one calibration) and is not divided by their number; the
    width of the comb's step is. With one spot, the scatter between spots is taken as a fifth of the value (common
    practice, no source).
    """
    if not readings:
        return None
    groups = list(spots(readings).values())
    values = [spot_um(group) for group in groups]
    mean_um, count = sum(values) / len(values), len(values)
    spread = sum((value - mean_um) ** 2 for value in values) / (count - 1) if count > 1 else (0.2 * mean_um) ** 2
    width = sum((one.high_um - one.low_um) ** 2 / 12.0 for one in readings) / len(readings)
    own_um = max(
        max(INSTRUMENTS[one.method].sd_share * mean_um, INSTRUMENTS[one.method].sd_least_um) for one in readings
    )
    sd_um = sqrt((spread + width) / count + own_um**2)
    return Mean(mean_um=mean_um, sd_um=sd_um, count=count, least_um=min(values), most_um=max(values))
