"""A small invented job as objects: boat, yard, crew, products, and weather that does as it is told."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from boottop.base.clock import Grid
from boottop.climate.climate import Climate
from boottop.coating.sheet import Limits, Part, ProductSheet, Role, System, Times
from boottop.measure.hull import Hull, Layer, Patch, Side, Zone, ZoneKind
from boottop.plan.inputs import Crew, Hire, Hours, PlanInput, WindowKey, Wishes, Yard
from boottop.windows.windows import Band, Rule, ZoneWindows

PLACE = ZoneInfo("Europe/Lisbon")
DAYS = 14
FIRST_DAY = date(2026, 6, 1)
"""A Monday."""


def local(day: int, clock: str = "00:00") -> datetime:
    """Aware UTC of a local clock on day 0, 1, ... of the job."""
    hour, minute = clock.split(":")
    wall = datetime.combine(FIRST_DAY, time(int(hour), int(minute)), tzinfo=PLACE) + timedelta(days=day)
    return wall.astimezone(UTC)


def grid(days: int = DAYS) -> Grid:
    """`days` local days from the first midnight on."""
    return Grid(start=local(0), count=96 * days)


def slots(day: int, first: str, last: str) -> slice:
    """Slots of a day from one local clock to another."""
    whole = grid()
    return slice(whole.mark_at_or_after(local(day, first)), whole.mark_at_or_after(local(day, last)))


def zone(name: str, kind: ZoneKind, *, side: Side, area_m2: float, stand_set: int | None = None) -> Zone:
    """A zone of one patch."""
    patch = Patch(
        name="skin",
        area_m2=area_m2,
        from_bow_deg=270.0 if side == "port" else 90.0,
        tilt_deg=120.0,
        view="bilge",
        layers=(Layer(material="grp", thickness_m=0.012),),
    )
    return Zone(
        name=name, kind=kind, side=side, area_m2=area_m2, area_sd_m2=0.02 * area_m2, substrate="grp", patches=(patch,),
        stand_set=stand_set, coated=kind != "sole",
    )  # fmt: skip


def hull(*, pads: bool = True) -> Hull:
    """Two sides of 14 m2, running gear, pad spots, and the sole that stays bare."""
    zones = [
        zone("port side", "side", side="port", area_m2=14.0),
        zone("starboard side", "side", side="starboard", area_m2=14.0),
        zone("running gear", "gear", side="centre", area_m2=2.0),
    ]
    if pads:
        zones += [zone("pads 1", "pads", side="centre", area_m2=0.8, stand_set=1)]
    zones += [zone("keel sole", "sole", side="centre", area_m2=0.5)]
    total_m2 = sum(one.area_m2 for one in zones)
    return Hull(zones=tuple(zones), total_m2=total_m2, total_sd_m2=0.6, method="invented")


def sheet(name: str = "invented copper epoxy", *, one_day: bool = True, activation: bool = True) -> ProductSheet:
    """A water-based copper epoxy as nobody sells it."""
    steady = Times(temperature_c=(20.0,), hours=(1.0,))
    return ProductSheet(
        name=name,
        kind="copper_epoxy",
        parts=(Part(name="resin", volume_parts=1.0, density_kg_l=1.1, solids_fraction=0.5),),
        dry_film_um=75.0,
        coats=4,
        pot_life=steady,
        pot_life_mass_kg=1.0,
        tacky=steady,
        overcoat_max=steady,
        rain_safe=steady,
        stands_safe=steady,
        immersion=steady,
        times_humidity=0.5,
        limits=Limits(
            surface_min_c=8.0, surface_max_c=35.0, air_min_c=8.0, air_max_c=35.0, humidity_max=0.85, dew_margin_k=3.0
        ),
        grit=(80, 120),
        cleaner="isopropanol",
        forbidden_cleaners=("acetone",),
        kit_volume_l=4.0,
        kit_mass_kg=9.0,
        allowed_substrates=("grp",),
        needs_primer=(),
        forbidden=("aluminium",),
        water_based=True,
        one_day=one_day,
        part_kits=True,
        activation_grit=320 if activation else None,
        activation_before_launch_h=48.0 if activation else None,
        invented=True,
    )


def system(role: Role = "antifouling", coats: int = 4, zones: tuple[str, ...] = ()) -> System:
    """The invented antifouling, or an undercoat of the same maker."""
    if role == "antifouling":
        return System(sheet=sheet(), role=role, coats=coats, loss_fraction=0.1, zones=zones)
    plain = sheet(f"invented {role}", one_day=False, activation=False)
    return System(sheet=plain, role=role, coats=coats, loss_fraction=0.1, zones=zones)


def every_day(opens: str, closes: str, weekdays: Iterable[int] = range(7)) -> tuple[Hours, ...]:
    """The same hours on several weekdays."""
    first, last = time.fromisoformat(opens), time.fromisoformat(closes)
    return tuple(Hours(weekday=day, opens=first, closes=last) for day in weekdays)


def inputs(*, people: int = 2, days: int = DAYS) -> PlanInput:
    """Two people who work 08:00-18:00 every day; a yard with two lifts each weekday and Saturday."""
    workdays = [day for day in range(days) if local(day, "12:00").astimezone(PLACE).weekday() != 6]
    return PlanInput(
        job_name="small invented job",
        currency="EUR",
        yard=Yard(
            name="invented yard",
            zone_name=PLACE.key,
            hours=every_day("08:00", "17:00", range(6)),
            closed=(),
            lift_slots=tuple(local(day, clock) for day in workdays for clock in ("09:00", "14:00")),
            lift_h=1.0,
            lift_charge_minor=20_000,
            stand_move_h=1.5,
            stand_lead_h=24.0,
            day_charge_minor=4_000,
            wash_h=1.0,
        ),
        crew=Crew(
            people=people,
            hours=every_day("08:00", "18:00"),
            rates_m2_h={"strip": 1.5, "abrade": 6.0, "mask": 30.0, "wipe": 20.0, "roll": 12.0, "activate": 10.0},
            fixed_h={"roll": 0.25},
            hour_cost_minor=0,
        ),
        hire=Hire(),
        wishes=Wishes(
            earliest_haul=local(0), wanted_launch=None, late_day_minor=0, strip=False, dry_h=0.0, sides="either"
        ),
        systems=(system(),),
    )


def lag(count: int, hours: float) -> NDArray[np.int32]:
    """Marks that lie `hours` after each mark."""
    return np.minimum(np.arange(count + 1) + round(4 * hours), count + 1).astype(np.int32)


def band(count: int, hours: float) -> Band:
    """A state reached after so many hours, without doubt."""
    marks = lag(count, hours)
    return Band(early=marks, middle=marks, late=marks)


@dataclass(kw_only=True)
class Sky:
    """Weather that does as it is told: `closed` and `rain` (slot,), and how long the film takes for each state."""

    days: int = DAYS
    tacky_h: float = 0.75
    overcoat_h: float = 4.0
    rain_safe_h: float = 2.0
    stands_h: float = 72.0
    immersion_h: float = 48.0
    dry_h: float = 2.0
    rule: NDArray[np.int8] = field(default_factory=lambda: np.zeros(grid().count, dtype=np.int8))

    def rains(self, day: int, first: str = "00:00", last: str = "23:45") -> Sky:
        """It rains on that day from one local clock to another."""
        self.rule[slots(day, first, last)] = Rule.RAIN
        return self

    def closes(self, rule: Rule, day: int, *, first: str = "00:00", last: str = "23:45") -> Sky:
        """One rule closes that day from one local clock to another."""
        self.rule[slots(day, first, last)] = rule
        return self

    def windows(self, zone_name: str, product: str, *, under_tent: bool) -> ZoneWindows:
        """Windows of one product on one zone; the tent keeps every rule open."""
        count = grid(self.days).count
        rule = np.zeros(count, dtype=np.int8) if under_tent else self.rule[:count]
        numbers = {Rule.DEW_MARGIN: (3.0, 2.1), Rule.HUMIDITY: (0.85, 0.91), Rule.RAIN: (0.0, 0.4)}
        return ZoneWindows(
            zone=zone_name,
            product=product,
            under_tent=under_tent,
            grid=grid(self.days),
            rule=rule,
            needed=np.array([numbers.get(Rule(int(one)), (0.0, 0.0))[0] for one in rule]),
            had=np.array([numbers.get(Rule(int(one)), (0.0, 0.0))[1] for one in rule]),
            surface_c=np.full(count, 19.0),
            margin_k=np.full(count, 8.0),
            ready=band(count, self.tacky_h),
            overcoat_until=band(count, self.overcoat_h),
            rain_safe=band(count, self.rain_safe_h),
            stands_safe=band(count, self.stands_h),
            immersion=band(count, self.immersion_h),
            rain=np.asarray(rule == Rule.RAIN),
            dewy=np.zeros(count, dtype=np.bool_),
            drying_decides=np.zeros(count + 1, dtype=np.bool_),
        )

    def all_windows(self, job: PlanInput, boat: Hull) -> dict[WindowKey, ZoneWindows]:
        """Windows of every product on every zone, in the open and under a tent."""
        keys = [
            WindowKey(one.name, used.sheet.name, tent)
            for one in boat.zones
            for used in job.systems
            for tent in (False, True)
        ]
        return {key: self.windows(key.zone, key.product, under_tent=key.under_tent) for key in keys}

    def climate(self, boat: Hull) -> Climate:
        """The climate behind it: midsummer light from 06:00 to 21:00, everything washed dry in `dry_h`."""
        count = grid(self.days).count
        _, minute = grid(self.days).local(PLACE)
        patches = tuple((one.name, patch.name) for one in boat.zones for patch in one.patches)
        flat = np.zeros((len(patches), 1, count), dtype=np.float32)
        return Climate(
            grid=grid(self.days),
            patches=patches,
            surface_c=flat + np.float32(19.0),
            air_c=flat[0] + np.float32(19.0),
            dew_c=flat[0] + np.float32(11.0),
            wind_m_s=flat[0] + np.float32(2.0),
            absorbed_w_m2=flat,
            rain_mm=np.where(self.rule[:count] == Rule.RAIN, 0.4, 0.0),
            rh=np.full(count, 0.6),
            wet=np.tile(self.rule[:count] == Rule.RAIN, (len(patches), 1)),
            dry_after=np.tile(lag(count, self.dry_h), (len(patches), 1)),
            sun_elevation_deg=np.where((minute >= 360) & (minute < 1260), 30.0, -20.0),
            time_factor=np.ones(1),
            energy_shift_j_mol=np.zeros(1),
            convection_factor=np.ones(1),
            estimated=np.zeros(count, dtype=np.bool_),
        )


def with_wishes(job: PlanInput, **changes: object) -> PlanInput:
    """The job with other wishes."""
    return replace(job, wishes=replace(job.wishes, **changes))  # type: ignore[arg-type]


def with_crew(job: PlanInput, **changes: object) -> PlanInput:
    """The job with another crew."""
    return replace(job, crew=replace(job.crew, **changes))  # type: ignore[arg-type]


def with_yard(job: PlanInput, **changes: object) -> PlanInput:
    """The job in another yard."""
    return replace(job, yard=replace(job.yard, **changes))  # type: ignore[arg-type]


def with_tent(job: PlanInput, first: datetime, last: datetime, *, cost_minor: int = 30_000) -> PlanInput:
    """The job with a tent on offer."""
    return replace(job, hire=replace(job.hire, tent_from=first, tent_to=last, tent_cost_minor=cost_minor))
