"""Weather, places, hulls and lone walls made up for the climate tests."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from boottop.climate import kernel
from boottop.climate.moist import saturation_pa
from boottop.climate.wall import MARCH_STEP_RATIO, Wall, pack_walls, wall_of_spans
from boottop.climate.weather import Site, Weather
from boottop.measure.hull import Layer, Patch, View, Zone
from boottop.measure.materials import MATERIALS, Material

Floats = NDArray[np.float64]
START = datetime(2023, 4, 10, tzinfo=UTC)
SITE = Site(
    latitude_deg=45.0, longitude_deg=-1.0, elevation_m=3.0, zone_name="Europe/Paris", bow_deg=0.0, cabin_closed=True
)
GRP_STUFF = MATERIALS["grp"]
GRP = (Layer(material="grp", thickness_m=0.012),)


def weather(days: int = 4, **columns: ArrayLike) -> Weather:
    """A mild spring: 10..20 degC, dew point 8 degC, 3 m/s, dry. Columns given by name replace the made-up ones."""
    hour = np.arange(days * 24 + 1)
    made: dict[str, ArrayLike] = {
        "air_c": 15.0 + 5.0 * np.sin((hour - 9.0) / 24.0 * 2.0 * np.pi),
        "dew_c": 8.0,
        "wind_m_s": 3.0,
        "rain_mm": 0.0,
        "pressure_pa": 101325.0,
        "ghi_w_m2": np.nan,
        "dni_w_m2": np.nan,
        "dhi_w_m2": np.nan,
        "longwave_w_m2": np.nan,
        "cloud": np.nan,
    }
    laid = {name: _member_rows({**made, **columns}[name], hour.size) for name in made}
    members = max(column.shape[0] for column in laid.values())
    laid = {name: np.repeat(column, members // column.shape[0], axis=0) for name, column in laid.items()}
    blank = np.zeros((members, hour.size))
    empty = Weather(
        start=START, filled={}, station="made up", source="made up", licence="none needed", air_c=blank, dew_c=blank,
        wind_m_s=blank, rain_mm=blank, pressure_pa=blank, ghi_w_m2=blank, dni_w_m2=blank, dhi_w_m2=blank,
        longwave_w_m2=blank, cloud=blank,
    )  # fmt: skip
    changes: dict[str, Any] = dict(laid)
    return replace(empty, **changes)


def _member_rows(column: ArrayLike, hours: int) -> Floats:
    values = np.asarray(column, dtype=np.float64)
    return np.array(np.broadcast_to(values, (values.shape[0] if values.ndim == 2 else 1, hours)))


def marked(table: Weather, name: str, hours: Sequence[int]) -> Weather:
    """The same weather with some hours of one column marked as filled."""
    mask = np.zeros(table.hours, dtype=np.bool_)
    mask[list(hours)] = True
    return replace(table, filled={**table.filled, name: mask})


def patch(view: View, *, side: str = "port", tilt_deg: float | None = None, layers: tuple[Layer, ...] = GRP) -> Patch:
    """A patch of the usual tilt for its view, on one side."""
    tilts: Mapping[str, float] = {"topsides": 93.0, "bilge": 145.0, "bottom": 167.0, "keel": 90.0, "open": 90.0}
    return Patch(
        name=view,
        area_m2=4.0,
        from_bow_deg=270.0 if side == "port" else 90.0,
        tilt_deg=tilts[view] if tilt_deg is None else tilt_deg,
        view=view,
        layers=layers,
    )


def zone(side: str, *patches: Patch) -> Zone:
    """A side zone of the given patches."""
    return Zone(
        name=side,
        kind="side",
        side="port" if side == "port" else "starboard",
        area_m2=sum(one.area_m2 for one in patches),
        area_sd_m2=0.2,
        substrate="grp",
        patches=patches,
    )


def two_sides() -> list[Zone]:
    """Port and starboard, each with topsides, bilge and keel side of lead."""
    lead = (Layer(material="lead", thickness_m=0.15),)
    return [
        zone(side, patch("topsides", side=side), patch("bilge", side=side), patch("keel", side=side, layers=lead))
        for side in ("port", "starboard")
    ]


@dataclass(frozen=True, kw_only=True)
class Bath:
    """Constant surroundings of a lone wall: air with a fixed coefficient, absorbed flux, still or no inner face."""

    air_c: float
    start_c: float
    film_w_m2k: float
    flux_w_m2: float = 0.0
    inside_w_m2k: float = 0.0
    inside_c: float = 0.0
    emissivity: float = 0.0
    sky_w_m2: float = 0.0


def lone_wall(wall: Wall, bath: Bath, *, step_s: float, steps: int) -> Floats:
    """Run the hull's own kernel on one wall in constant surroundings; node temperatures, shape (step + 1, node)."""
    forcing = np.zeros((steps + 1, kernel.FORCING_ROWS, 1), np.float32)
    forcing[:, kernel.AIR], forcing[:, kernel.FORCED] = bath.air_c, bath.film_w_m2k
    forcing[:, kernel.SKY], forcing[:, kernel.CABIN] = bath.sky_w_m2, bath.inside_c
    forcing[:, kernel.DHI] = bath.flux_w_m2
    forcing[0] = 0.0
    forcing[0, kernel.AIR] = forcing[0, kernel.CABIN] = bath.start_c
    drive = kernel.Drive(forcing, np.ones((3, 1), np.float32), np.arange(steps + 1, dtype=np.int32))
    nodes = len(wall.store_j_m2k)
    scalars = np.array([[bath.emissivity, 1, 0, 0, 0, 0, 0, 0, bath.inside_w_m2k]], np.float32)
    if bath.emissivity > 0.0:
        forcing[0, kernel.SKY] = 5.670374e-8 * (bath.start_c + 273.15) ** 4
    dark = np.zeros((1, steps + 1), np.float32)
    packed = pack_walls([wall], [bath.inside_w_m2k], step_s=MARCH_STEP_RATIO * step_s)
    bodies = kernel.Bodies(scalars, packed, np.array([nodes], np.int32), dark, dark)
    light = np.zeros((1, steps + 1, 1), np.float32)
    out = kernel.Out(np.zeros_like(light), light, np.zeros((1, steps + 1, nodes), np.float32))
    kernel.march(drive, bodies, out)
    return np.asarray(out.nodes_c[0], dtype=np.float64)


def graded_wall(material: Material, depth_m: float, *, first_m: float, growth_ratio: float) -> tuple[Wall, Floats]:
    """A thick wall in spans that widen inwards, and the depths of its nodes in metres."""
    spans = [first_m]
    while sum(spans) < depth_m:
        spans.append(spans[-1] * growth_ratio)
    return wall_of_spans([(span_m, material) for span_m in spans]), np.concatenate([[0.0], np.cumsum(spans)])


def even_wall(material: Material, thickness_m: float, count: int) -> Wall:
    """A wall in equal spans."""
    return wall_of_spans([(thickness_m / count, material)] * count)


def stuff(conductivity_w_mk: float, diffusivity_m2_s: float) -> Material:
    """A material of given conductivity and diffusivity."""
    return Material(
        name="stuff", conductivity_w_mk=conductivity_w_mk, density_kg_m3=1000.0,
        specific_heat_j_kgk=conductivity_w_mk / diffusivity_m2_s / 1000.0, family="test", source="the test",
    )  # fmt: skip


def film_case(
    bath: Bath, wall: Wall, *, steps: int, step_s: float = 900.0
) -> tuple[kernel.Drive, kernel.Bodies, kernel.Out]:
    """The dry march of one wall in constant surroundings, ready for the film march; cabin at `inside_c`.

    Still-air convection is that of a hull where the wall radiates, none where it does not.
    """
    forcing = np.zeros((steps, kernel.FORCING_ROWS, 1), np.float32)
    forcing[:, kernel.AIR], forcing[:, kernel.FORCED] = bath.air_c, bath.film_w_m2k
    forcing[:, kernel.SKY], forcing[:, kernel.CABIN] = bath.sky_w_m2, bath.inside_c
    forcing[:, kernel.DHI] = bath.flux_w_m2
    drive = kernel.Drive(forcing, np.ones((3, 1), np.float32), np.arange(steps, dtype=np.int32))
    still = (0.72, 0.655) if bath.emissivity > 0.0 else (0.0, 0.0)
    scalars = np.array([[bath.emissivity, 1, 0, 0, 0, 0, *still, bath.inside_w_m2k]], np.float32)
    dark = np.zeros((1, steps), np.float32)
    nodes = len(wall.store_j_m2k)
    packed = pack_walls([wall], [bath.inside_w_m2k], step_s=MARCH_STEP_RATIO * step_s)
    bodies = kernel.Bodies(scalars, packed, np.array([nodes], np.int32), dark, dark)
    light = np.zeros((1, steps, 1), np.float32)
    out = kernel.Out(np.zeros_like(light), light, np.zeros((1, steps, nodes), np.float32))
    kernel.march(drive, bodies, out)
    return drive, bodies._replace(walls=pack_walls([wall], [bath.inside_w_m2k], step_s=step_s)), out


def film_left(
    case: tuple[kernel.Drive, kernel.Bodies, kernel.Out],
    vapour_pa: float,
    *,
    full_kg_m2: float = 0.08,
    rain_kg_m2: Floats | None = None,
    step_s: float = 900.0,
) -> tuple[Floats, NDArray[np.int32]]:
    """Film on the wall at the end of every step, (step,), and the mark at which a film put on at each mark is gone."""
    steps = case[0].order.size
    air_k = float(case[0].forcing[0, kernel.AIR, 0]) + 273.15
    water = kernel.Water(
        np.zeros(steps) if rain_kg_m2 is None else rain_kg_m2, np.full(steps, vapour_pa),
        np.full(steps, 101325.0 / (287.05 * air_k)), saturation_pa(-70.0 + 0.25 * np.arange(760)), (-70.0, 0.25),
        full_kg_m2, step_s, 0,
    )  # fmt: skip
    nodes = case[1].walls.shape[2]
    wetted = kernel.Wetted(np.zeros((1, steps)), np.zeros((1, steps, nodes)), np.zeros((1, steps + 1), np.int32))
    kernel.march_film(case, water, wetted)
    return wetted.film_kg_m2[0], wetted.dry_after[0]


def wet_rate_kg_m2_s(air_c: float, vapour_pa: float, film_w_m2k: float) -> float:
    """Steady evaporation from a wall that gets heat from the air alone, by the film march."""
    bath = Bath(air_c=air_c, start_c=air_c, film_w_m2k=film_w_m2k, inside_c=air_c)
    case = film_case(bath, even_wall(GRP_STUFF, 0.012, 1), steps=200)
    flood = np.zeros(200)
    flood[0] = 1e4
    film, _ = film_left(case, vapour_pa, full_kg_m2=1e4, rain_kg_m2=flood)
    return float((film[-2] - film[-1]) / 900.0)
