"""What the checker reads for itself: raw weather between stamps, and the printed sheet's clocks, in plain arithmetic.

Shares no code with the windows or the model: it is slower and cruder on purpose.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from boottop.climate.climate import Climate
from boottop.climate.weather import Weather
from boottop.coating.sheet import Times
from boottop.plan.inputs import Hours
from boottop.plan.plan import PlannedTask

QUARTER = timedelta(minutes=15)
KELVIN = 273.15
RainedOn = Callable[[PlannedTask, datetime], bool]
Ahead = Callable[[PlannedTask], bool]
_DEFAULT_ENERGY_OVER_R_K = 50_000.0 / 8.314


@dataclass(frozen=True, kw_only=True)
class Sky:
    """The raw weather, read at any time inside its span: the first member's, and the rain that enough members have.

    `caution`: rain counts when more than so large a share of the members does not stay below it.
    """

    weather: Weather
    caution: float = 0.8

    def _hour(self, when: datetime) -> float:
        return (when - self.weather.start) / timedelta(hours=1)

    def knows(self, when: datetime) -> bool:
        """The weather file covers this time."""
        return 0.0 <= self._hour(when) <= self.weather.hours - 1

    def _between(self, values: Sequence[float], when: datetime) -> float:
        hour = min(max(self._hour(when), 0.0), self.weather.hours - 1.0)
        first = min(int(hour), self.weather.hours - 2)
        share = hour - first
        return float(values[first]) * (1.0 - share) + float(values[first + 1]) * share

    def air_c(self, when: datetime) -> float:
        """Air temperature, linear between the stamps."""
        return self._between(self.weather.air_c[0], when)

    def dew_c(self, when: datetime) -> float:
        """Dew point, linear between the stamps."""
        return self._between(self.weather.dew_c[0], when)

    def humidity(self, when: datetime) -> float:
        """Relative humidity as a fraction, by the Magnus formula (WMO No. 8, from memory)."""
        air, dew = self.air_c(when), self.dew_c(when)
        return math.exp(17.62 * dew / (243.12 + dew) - 17.62 * air / (243.12 + air))

    def rain_mm(self, start: datetime, end: datetime) -> float:
        """Rain between two times; the sum at a stamp is spread over the hour before it."""
        total = 0.0
        first, last = math.floor(self._hour(start)), math.ceil(self._hour(end))
        for hour in range(max(first, 0), min(last, self.weather.hours - 1)):
            share = min(self._hour(end), hour + 1) - max(self._hour(start), hour)
            total += max(share, 0.0) * self._counting_mm(hour + 1)
        return total

    def _counting_mm(self, hour: int) -> float:
        """Rain of one hour: members from dry to wet, the one that the caution reaches."""
        wetter = sorted(float(member[hour]) for member in self.weather.rain_mm)
        return wetter[math.ceil(round(self.caution * (len(wetter) - 1), 6))]


@dataclass(frozen=True, kw_only=True)
class Skin:
    """Hull surface temperature of one zone: the central lane of the climate, patch by patch."""

    climate: Climate
    rows: tuple[int, ...]

    def surface_c(self, row: int, when: datetime) -> float:
        """Temperature of one patch in the quarter of an hour that holds this time."""
        slot = self.climate.grid.mark_at_or_before(when)
        return float(self.climate.surface_c[row, 0, min(max(slot, 0), self.climate.grid.count - 1)])


def quarters(start: datetime, end: datetime) -> Iterator[datetime]:
    """Middle of every quarter of an hour from start to end."""
    when = start
    while when < end:
        yield when + QUARTER / 2
        when += QUARTER


def inside(hours: tuple[Hours, ...], local: datetime) -> bool:
    """A local time lies within the hours of its weekday."""
    minute = local.hour * 60 + local.minute
    for span in hours:
        closes = span.closes.hour * 60 + span.closes.minute or 24 * 60
        if span.weekday == local.weekday() and span.opens.hour * 60 + span.opens.minute <= minute < closes:
            return True
    return False


def hours_at(times: Times, temperature_c: float) -> float:
    """Hours a sheet's clock takes at a steady temperature: straight lines in ln(hours) over 1/K through the print.

    >>> round(hours_at(Times(temperature_c=(10.0, 20.0), hours=(2.0, 1.0)), 20.0), 6)
    1.0
    """
    inverse = [1.0 / (temperature + KELVIN) for temperature in times.temperature_c]
    logs = [math.log(hours) for hours in times.hours]
    here = 1.0 / (temperature_c + KELVIN)
    if len(inverse) == 1:
        return math.exp(logs[0] + _DEFAULT_ENERGY_OVER_R_K * (here - inverse[0]))
    pair = 0
    while pair < len(inverse) - 2 and here < inverse[pair + 1]:
        pair += 1
    slope = (logs[pair + 1] - logs[pair]) / (inverse[pair + 1] - inverse[pair])
    return math.exp(logs[pair] + slope * (here - inverse[pair]))


@dataclass(frozen=True, kw_only=True)
class Reached:
    """When a clock ran out; None: not before the known weather ends. `printed`: it never left the sheet's range."""

    when: datetime | None
    printed: bool


def clock(times: Times, skin: Skin, *, row: int, finished: datetime) -> Reached:
    """Run one clock of the sheet on one patch from the end of a coat, a quarter of an hour at a time."""
    done, when, printed = 0.0, finished, True
    while done < 1.0:
        if when >= skin.climate.grid.end:
            return Reached(when=None, printed=printed)
        surface_c = skin.surface_c(row, when + QUARTER / 2)
        printed = printed and times.temperature_c[0] <= surface_c <= times.temperature_c[-1]
        step = 0.25 / hours_at(times, surface_c)
        if done + step >= 1.0:
            when += QUARTER * ((1.0 - done) / step)
            return Reached(when=when, printed=printed)
        done += step
        when += QUARTER
    return Reached(when=when, printed=printed)
