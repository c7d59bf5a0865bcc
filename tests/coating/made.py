"""Invented sheets, hulls and crews for the coating tests. No number here is any maker's."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

from boottop.coating.facts import CrewFacts
from boottop.coating.sheet import Limits, Part, ProductSheet, Role, System, Times
from boottop.measure.hull import Hull, Layer, Patch, Side, Zone, ZoneKind

RESIN = Part(name="base", volume_parts=1.0, density_kg_l=1.10, solids_fraction=0.50)
HARDENER = Part(name="hardener", volume_parts=1.0, density_kg_l=1.05, solids_fraction=0.46)
COPPER = Part(name="copper powder", volume_parts=1.0, density_kg_l=8.96, solids_fraction=1.0, bulk_density_kg_l=5.0)
LIMITS = Limits(surface_min_c=8.0, surface_max_c=35.0, air_min_c=8.0, air_max_c=35.0, humidity_max=0.85)


def table(*hours: float) -> Times:
    """Times at 10, 20 and 30 degC."""
    return Times(temperature_c=(10.0, 20.0, 30.0), hours=hours)


COPPER_EPOXY = ProductSheet(
    name="Tern Copper",
    kind="copper_epoxy",
    parts=(RESIN, COPPER, HARDENER),
    dry_film_um=75.0,
    coats=4,
    pot_life=table(2.0, 1.0, 0.5),
    pot_life_mass_kg=1.0,
    tacky=table(1.6, 0.8, 0.45),
    overcoat_max=table(24.0, 12.0, 8.0),
    rain_safe=table(6.0, 3.0, 1.8),
    stands_safe=table(120.0, 72.0, 44.0),
    immersion=table(96.0, 48.0, 30.0),
    times_humidity=0.5,
    limits=LIMITS,
    grit=(80, 120),
    cleaner="isopropanol",
    forbidden_cleaners=("acetone", "white spirit"),
    kit_volume_l=2.0,
    kit_mass_kg=5.6,
    allowed_substrates=("grp",),
    needs_primer=("timber", "steel", "ferro_cement", "bronze"),
    forbidden=("aluminium",),
    water_based=True,
    one_day=True,
    part_kits=True,
    activation_grit=320,
)
BARRIER = ProductSheet(
    name="Tern Barrier",
    kind="barrier_epoxy",
    parts=(
        Part(name="A", volume_parts=3.0, density_kg_l=1.4, solids_fraction=0.6),
        Part(name="B", volume_parts=1.0, density_kg_l=1.0, solids_fraction=0.6),
    ),
    dry_film_um=100.0,
    coats=3,
    pot_life=table(3.0, 1.5, 0.8),
    pot_life_mass_kg=1.0,
    tacky=table(8.0, 4.0, 2.2),
    overcoat_max=table(96.0, 72.0, 48.0),
    rain_safe=table(12.0, 6.0, 3.5),
    stands_safe=table(72.0, 40.0, 24.0),
    immersion=table(200.0, 120.0, 72.0),
    times_humidity=0.5,
    limits=LIMITS,
    grit=(80, 120),
    cleaner="isopropanol",
    forbidden_cleaners=(),
    kit_volume_l=4.0,
    kit_mass_kg=5.2,
    allowed_substrates=("grp", "timber", "steel", "aluminium", "bronze", "ferro_cement"),
    needs_primer=(),
    forbidden=(),
    water_based=False,
    one_day=False,
    part_kits=True,
)


def system(sheet: ProductSheet = COPPER_EPOXY, *, role: Role = "antifouling", zones: Sequence[str] = ()) -> System:
    """One product as its sheet wants it, with a fifth lost."""
    return System(
        sheet=sheet, role=role, coats=sheet.coats, loss_fraction=0.2, kit_price_minor=25_000, zones=tuple(zones)
    )


def zone(name: str, area_m2: float, *, kind: ZoneKind = "side", side: Side = "port", substrate: str = "grp") -> Zone:
    """One zone of one patch, its area known to 3 %."""
    patch = Patch(
        name=name,
        area_m2=area_m2,
        from_bow_deg=270.0,
        tilt_deg=120.0,
        view="bilge",
        layers=(Layer(material=substrate, thickness_m=0.012),),
    )
    return Zone(
        name=name,
        kind=kind,
        side=side,
        area_m2=area_m2,
        area_sd_m2=0.03 * area_m2,
        substrate=substrate,
        patches=(patch,),
    )


def hull(*zones: Zone, shared: float = 0.5) -> Hull:
    """A hull whose zones share their errors with correlation `shared`."""
    alone = sum(each.area_sd_m2**2 for each in zones)
    together = sum(each.area_sd_m2 for each in zones) ** 2
    return Hull(
        zones=zones,
        total_m2=sum(each.area_m2 for each in zones),
        total_sd_m2=sqrt(alone + shared * (together - alone)),
        method="invented",
    )


def sloop(substrate: str = "grp", gear: str = "bronze") -> Hull:
    """Two sides of 14 m2, gear, and pads."""
    return hull(
        zone("port", 14.0, substrate=substrate),
        zone("starboard", 14.0, side="starboard", substrate=substrate),
        zone("running gear", 1.6, kind="gear", side="centre", substrate=gear),
        zone("pads 1", 0.8, kind="pads", side="centre", substrate=substrate),
    )


FACTS = CrewFacts(
    people=2,
    applicators=2,
    roll_m2_h=10.0,
    working_day_h=9.0,
    batch_c=20.0,
    surface_c=20.0,
    waterline_length_m=9.5,
)
