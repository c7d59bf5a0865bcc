"""Weather, place and hull to climate: the one function that later rooms call."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from boottop.base.clock import SLOT_S, SLOTS_PER_HOUR, Grid
from boottop.climate.climate import Climate
from boottop.climate.cover import Shelter, shelter_of
from boottop.climate.draws import Draws
from boottop.climate.forcing import GRASS_DRY_HEAT_FRACTION, Around, around, cabin_c
from boottop.climate.light import Light, light_on
from boottop.climate.moist import relative_humidity, saturation_pa, standard_pressure_pa
from boottop.climate.rain import CAUTION, ensemble_note, rain_of_members
from boottop.climate.slots import Span, span_of
from boottop.climate.sun import Sun, solar_day, sun_on
from boottop.climate.views import Facing, facing_of
from boottop.climate.wall import GROUND_DEPTH_M, GROUNDS, MARCH_STEP_RATIO, Wall, pack_walls, wall_of
from boottop.climate.weather import Site, Weather
from boottop.measure.hull import Layer, Patch, Zone
from boottop.measure.materials import MATERIALS

if TYPE_CHECKING:
    from boottop.climate.kernel import Bodies, Drive, Out

Floats = NDArray[np.float64]
F32 = NDArray[np.float32]

PAINT_EMISSIVITY = 0.92
GROUND_EMISSIVITY = 0.94
INSIDE_W_M2K = 6.0
FORCED_W_M2K, FORCED_EXPONENT = 3.26, 0.89
STILL_W_M2K, RISE_W_M2K = 0.72, 0.655
CLINGING_KG_M2 = 0.080
_LANE_BLOCK = 16
_METALS = frozenset({"steel", "aluminium", "lead", "bronze", "stainless"})
_CASTING_M, _FACE_W_M2K, _ON_EDGE_DEG = 0.025, 15.0, (45.0, 135.0)
_TABLE_C = (-70.0, 0.25)


@dataclass(frozen=True, kw_only=True)
class Backing:
    """What lies behind a patch: the `layers` from its face to the cabin, or to the middle of a solid thing through
    which no heat flows (`inside_w_m2k` 0). `own_sun_share`: how much of the difference between the sun on its two
    faces stays on its own one."""

    layers: tuple[Layer, ...]
    inside_w_m2k: float
    own_sun_share: float = 1.0


def backing_of(zone: Zone, patch: Patch) -> Backing:
    """Whether a patch has the cabin behind it or is one face of something solid.

    Solid are keel views, all gear, and castings (a first layer of metal from 25 mm up). Metal layers are given with
    their whole thickness: a plate on edge has another face like it, so half belongs to each, and the warmth of the
    sunlit face is shared through the metal: of the difference between both faces h / (h + k/L) stays, with
    h = 15 W/m2K. Other solids (timber, moulded fins) come with half their thickness and share nothing.
    Source: steady conduction in a symmetric plate; limits are common practice, no source.
    """
    first = patch.layers[0]
    metal = first.material in MATERIALS and MATERIALS[first.material].family in _METALS
    solid = patch.view == "keel" or zone.kind == "gear" or (metal and first.thickness_m >= _CASTING_M)
    if not solid or not metal or not _ON_EDGE_DEG[0] <= patch.tilt_deg <= _ON_EDGE_DEG[1]:
        return Backing(layers=patch.layers, inside_w_m2k=0.0 if solid else INSIDE_W_M2K)
    half = tuple(replace(layer, thickness_m=0.5 * layer.thickness_m) for layer in patch.layers)
    through_w_m2k = MATERIALS[first.material].conductivity_w_mk / max(half[0].thickness_m, 1e-4)
    share = _FACE_W_M2K / (_FACE_W_M2K + through_w_m2k)
    return Backing(layers=half, inside_w_m2k=0.0, own_sun_share=share)


def _facing(scene: _Scene, patch: Patch, backing: Backing) -> Facing:
    """The patch's view, with the sun on both faces of a metal plate shared as far as the metal shares it."""
    own = facing_of(patch, scene.site, scene.sun)
    if backing.own_sun_share >= 1.0:
        return own
    other = facing_of(replace(patch, from_bow_deg=-patch.from_bow_deg), scene.site, scene.sun)
    keep = 0.5 * (1.0 + backing.own_sun_share)
    return replace(
        own,
        beam=keep * own.beam + (1.0 - keep) * other.beam,
        ground_beam=keep * own.ground_beam + (1.0 - keep) * other.ground_beam,
    )


@dataclass(frozen=True, kw_only=True)
class _Scene:
    """All that is known before the marches: the span, its sun and light, the surroundings and the draws."""

    span: Span
    site: Site
    sun: Sun
    light: Light
    near: Around
    draws: Draws
    shelter: Shelter
    caution: float


def hull_climate(
    weather: Weather, site: Site, zones: Sequence[Zone], *, grid: Grid, draws: Draws, tent: bool = False,
    caution: float = CAUTION,
) -> Climate:  # fmt: skip
    """What the weather makes of the hull: surface temperature, dew margin's parts, sun and water, slot by slot.

    Every value stands for its slot and holds at the slot's middle. `surface_c` is the *dry* hull in every lane (wet
    paint and a film of water are colder); water is followed on the central lane. What lies behind a patch, cabin or
    solid metal, is told by `backing_of`.
    Of an ensemble, lane 0 has air, wind and sun of the first member; rain is that which a share of `caution` of the
    members does not exceed in a slot (`rain_of_members`), and water on the hull follows that rain.
    The march starts from a run-in of two days before the grid, or of the grid's first day twice over.
    Range: hulls on land; -60..110 degC; no snow cover and no ice (frost counts as dew).
    Source: heat balance of docs/the-physics section 2: sun (pvlib), long-wave exchange, wind convection 3.26 V^0.89
    and still-air convection (Yazdanian & Klems 1994, coefficients from memory), conduction through the layers.
    """
    scene = _scene(weather, site, grid=grid, draws=draws, tent=tent, caution=caution)
    patches = [(zone, patch) for zone in zones for patch in zone.patches]
    drive, bodies, out = _march(scene, patches)
    film, dry_after = _wetness(scene, (drive, bodies, out))
    return _climate(scene, patches, out, film=film, dry_after=dry_after, grid=grid)


def _scene(weather: Weather, site: Site, *, grid: Grid, draws: Draws, tent: bool, caution: float) -> _Scene:
    span = span_of(weather, grid)
    shelter = shelter_of(site, tent=tent)
    sun = sun_on(span.grid, site)
    light = light_on(span, sun, day=solar_day(span.grid, site), elevation_m=site.elevation_m)
    near = around(span, site, draws, light=light, sun=sun, shelter=shelter)
    return _Scene(
        span=span, site=site, sun=sun, light=light, near=near, draws=draws, shelter=shelter,
        caution=caution,
    )  # fmt: skip


def _march(scene: _Scene, patches: Sequence[tuple[Zone, Patch]]) -> tuple[Drive, Bodies, Out]:
    """March the yard, then the dry hull; gives back the case for the film march (walls packed for its steps)."""
    from boottop.climate.kernel import CABIN, GROUND, march

    drive = _drive(scene)
    ground, soil = _ground(scene, drive)
    ground_out = _empty_out(1, drive, ground.walls.shape[2])
    march(soil, ground, ground_out)
    drive.forcing[: ground_out.surface_c.shape[1], GROUND] = ground_out.surface_c[0]
    drive.forcing[:, CABIN] = _padded(cabin_c(scene.near, scene.draws, closed=scene.site.cabin_closed))
    backings = [backing_of(zone, patch) for zone, patch in patches]
    walls = [wall_of(backing.layers, step_s=SLOT_S) for backing in backings]
    inside = [backing.inside_w_m2k for backing in backings]
    facings = [_facing(scene, patch, backing) for (_, patch), backing in zip(patches, backings, strict=True)]
    bodies = _bodies(facings, walls, inside)
    out = _empty_out(len(patches), drive, bodies.walls.shape[2])
    march(drive, bodies, out)
    return drive, bodies._replace(walls=pack_walls(walls, inside, step_s=SLOT_S)), out


def _padded(values: Floats) -> F32:
    """Lanes filled up to a multiple of 16 with the last one (a single lane stays single)."""
    lanes = values.shape[-1]
    padded = lanes if lanes == 1 else -(-lanes // _LANE_BLOCK) * _LANE_BLOCK
    return values[..., np.minimum(np.arange(padded), lanes - 1)].astype(np.float32, order="C")


def _drive(scene: _Scene) -> Drive:
    from boottop.climate import kernel

    near = scene.near
    lanes = np.stack([near.hull_absorptance, near.ground_albedo, scene.draws.convection_factor])
    rows = np.zeros((scene.span.grid.count, kernel.FORCING_ROWS, scene.draws.lanes))
    rows[:, kernel.AIR] = near.air_c
    rows[:, kernel.FORCED] = FORCED_W_M2K * near.wind_m_s**FORCED_EXPONENT
    rows[:, kernel.SKY] = near.sky_w_m2
    rows[:, kernel.DNI] = near.direct_w_m2
    rows[:, kernel.DHI] = near.diffuse_w_m2
    rows[:, kernel.GHI] = near.global_w_m2
    return kernel.Drive(_padded(rows), _padded(lanes), scene.span.order())


def _empty_out(bodies: int, drive: Drive, nodes: int) -> Out:
    from boottop.climate.kernel import Out

    slots, lanes = int(drive.order[-1]) + 1, drive.lanes.shape[1]
    light = np.zeros((bodies, slots, lanes), np.float32)
    return Out(np.zeros_like(light), light, np.zeros((bodies, slots, nodes), np.float32))


def _ground(scene: _Scene, drive: Drive) -> tuple[Bodies, Drive]:
    """The yard's surface by the same march: facing up, sunlit, over soil whose depth keeps the span's mean air.

    Reflects by the drawn albedo and takes up the rest; grass spends half of that on evaporation (assumed).
    """
    from boottop.climate import kernel

    material = GROUNDS[scene.site.ground]
    layers = (Layer(material=material.name, thickness_m=GROUND_DEPTH_M),)
    wall = wall_of(layers, step_s=SLOT_S, materials={material.name: material})
    deep_w_m2k = material.conductivity_w_mk / GROUND_DEPTH_M
    scalars = np.array([[GROUND_EMISSIVITY, 1, 0, 0, 0, 0, STILL_W_M2K, RISE_W_M2K, deep_w_m2k]], np.float32)
    beam = scene.sun.height[None].astype(np.float32)
    bodies = kernel.Bodies(
        scalars,
        pack_walls([wall], [deep_w_m2k], step_s=MARCH_STEP_RATIO * SLOT_S),
        np.array([len(wall.store_j_m2k)], np.int32),
        beam,
        np.zeros_like(beam),
    )
    kept = GRASS_DRY_HEAT_FRACTION if scene.site.ground == "grass" else 1.0
    lanes = drive.lanes.copy()
    lanes[kernel.ABSORPTANCE] = kept * (1.0 - lanes[kernel.ALBEDO])
    drive.forcing[:, kernel.CABIN] = drive.forcing[:, kernel.AIR].mean(axis=0)
    return bodies, drive._replace(lanes=lanes)


def _bodies(facings: Sequence[Facing], walls: Sequence[Wall], inside: Sequence[float]) -> Bodies:
    from boottop.climate import kernel

    scalars = np.array(
        [
            (
                PAINT_EMISSIVITY, facing.f_sky_fraction, facing.f_ground_fraction, facing.f_hull_fraction,
                facing.diffuse_share, facing.ground_share, STILL_W_M2K, RISE_W_M2K, behind,
            )
            for facing, behind in zip(facings, inside, strict=True)
        ],
        np.float32,
    )  # fmt: skip
    return kernel.Bodies(
        scalars,
        pack_walls(walls, inside, step_s=MARCH_STEP_RATIO * SLOT_S),
        np.array([len(wall.store_j_m2k) for wall in walls], np.int32),
        np.array([facing.beam for facing in facings], np.float32),
        np.array([facing.ground_beam for facing in facings], np.float32),
    )


def _rain_mm(scene: _Scene) -> Floats:
    """Rain that counts in each slot of the span, a quarter of its hour's, none under a roof; (slot,)."""
    rain = rain_of_members(scene.span.over_hours(scene.span.weather.rain_mm), scene.caution) / SLOTS_PER_HOUR
    return np.zeros_like(rain) if scene.shelter.roofed else rain


def _wetness(scene: _Scene, case: tuple[Drive, Bodies, Out]) -> tuple[Floats, NDArray[np.int32]]:
    """Film of water in kg/m2 (patch, slot), and the mark at which a wetted surface is dry (patch, mark), of the span.

    Rain on an open boat reaches the whole underwater hull, undersides too: it runs down from deck and topsides and
    clings, at most 80 g/m2 (assumed; the cautious side). Dew falls where the surface is below the dew point. Water
    leaves by evaporation alone, as fast as the Lewis relation between heat and vapour allows, and cools the wall.
    """
    from boottop.climate import kernel

    slots, count = case[2].surface_c.shape[1], case[2].surface_c.shape[0]
    air = scene.near.air_c[:slots, 0]
    pressure = scene.span.at_stamps(scene.span.weather.pressure_pa)[0, :slots]
    pressure = np.where(np.isnan(pressure), standard_pressure_pa(scene.site.elevation_m), pressure)
    table = saturation_pa(_TABLE_C[0] + _TABLE_C[1] * np.arange(760))
    water = kernel.Water(
        _rain_mm(scene)[:slots].copy(),
        saturation_pa(scene.near.dew_c[:slots, 0]),
        pressure / (287.05 * (air + kernel.KELVIN)),
        table,
        _TABLE_C,
        CLINGING_KG_M2,
        float(SLOT_S),
        scene.span.first,
    )
    nodes = np.zeros((count, slots, case[1].walls.shape[2]))
    wetted = kernel.Wetted(np.zeros((count, slots)), nodes, np.zeros((count, slots + 1), np.int32))
    kernel.march_film(case, water, wetted)
    return wetted.film_kg_m2, wetted.dry_after


def _climate(
    scene: _Scene, patches: Sequence[tuple[Zone, Patch]], out: Out, *, film: Floats, dry_after: NDArray[np.int32],
    grid: Grid,
) -> Climate:  # fmt: skip
    from boottop.climate.kernel import DRY_KG_M2, RAIN_KG_M2

    first, lanes = scene.span.first, scene.draws.lanes
    here = slice(first, first + grid.count)
    near, rain = scene.near, _rain_mm(scene)[here]
    before = np.concatenate([film[:, :1], film[:, :-1]], axis=1)
    wet = (np.maximum(film, before)[:, here] > DRY_KG_M2) | (rain > RAIN_KG_M2)
    return Climate(
        grid=grid,
        patches=tuple((zone.name, patch.name) for zone, patch in patches),
        surface_c=np.ascontiguousarray(out.surface_c[:, here, :lanes].transpose(0, 2, 1)),
        air_c=near.air_c[here].T.astype(np.float32, order="C"),
        dew_c=near.dew_c[here].T.astype(np.float32, order="C"),
        wind_m_s=near.wind_m_s[here].T.astype(np.float32, order="C"),
        absorbed_w_m2=np.ascontiguousarray(out.absorbed_w_m2[:, here, :lanes].transpose(0, 2, 1)),
        rain_mm=rain,
        rh=relative_humidity(near.air_c[here, 0], near.dew_c[here, 0]),
        wet=wet,
        dry_after=dry_after[:, first:] - np.int32(first),
        sun_elevation_deg=scene.sun.elevation_deg[here],
        time_factor=scene.draws.time_factor,
        energy_shift_j_mol=scene.draws.energy_shift_j_mol,
        convection_factor=scene.draws.convection_factor,
        estimated=_estimated(scene)[here],
        notes=_notes(scene),
    )


_OF_THE_HOUR = ("rain_mm", "ghi_w_m2", "dni_w_m2", "dhi_w_m2", "longwave_w_m2")


def _estimated(scene: _Scene) -> NDArray[np.bool_]:
    """Slots that rest on a filled value, or on daylight that had to be estimated; shape (slot,) of the span."""
    marked = scene.light.guessed.copy()
    for name, hours in scene.span.weather.filled.items():
        marked |= hours[scene.span.hour]
        if name not in _OF_THE_HOUR:
            marked |= hours[scene.span.hour - 1]
    return marked


def _notes(scene: _Scene) -> tuple[str, ...]:
    weather, lanes = scene.span.weather, scene.draws.lanes
    notes = list(scene.light.notes + scene.near.notes)
    if scene.shelter.note:
        notes.append(scene.shelter.note)
    if weather.members > 1:
        notes.append(ensemble_note(weather.members, scene.caution))
    if weather.members > lanes:
        notes.append(f"only the first {lanes} of {weather.members} forecast members used: one lane each")
    return tuple(notes)
