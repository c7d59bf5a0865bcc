"""A mesh set upright in metres: unit and axes said or guessed, and her waterline."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import cos, radians, sin
from typing import Literal

import numpy as np

from boottop.base.errors import Problem
from boottop.measure.mesh import Array, Facets

Unit = Literal["m", "mm", "cm", "ft", "in"]
Axis = Literal["+x", "-x", "+y", "-y", "+z", "-z"]
UNIT_M: Mapping[Unit, float] = {"m": 1.0, "mm": 0.001, "cm": 0.01, "ft": 0.3048, "in": 0.0254}
AXES: tuple[Axis, ...] = ("+x", "-x", "+y", "-y", "+z", "-z")
LIKELY_LENGTH_M = (4.0, 25.0)
POSSIBLE_LENGTH_M = (1.5, 80.0)
"""Lengths over all of boats that owners bring through a bottom job: common practice, no source."""
LENGTH_SLACK = 0.12
"""Part by which the length of a mesh may differ from the boat's length over all (pulpits, half a stem left off)."""
_EVEN = 0.12
_BINS = 24


@dataclass(frozen=True, kw_only=True)
class Pose:
    """How a file's numbers become a boat: its unit, the axis the bow points along, and the axis that is up."""

    unit: Unit
    bow: Axis
    up: Axis


@dataclass(frozen=True, kw_only=True)
class Told:
    """What the person or the file says; None is to be guessed. `length_m` is the boat's length over all."""

    unit: Unit | None = None
    bow: Axis | None = None
    up: Axis | None = None
    length_m: float | None = None


@dataclass(frozen=True, kw_only=True)
class Guess:
    """The pose, what of it was guessed (unit, bow, up), and why, one sentence each."""

    pose: Pose
    guessed: tuple[str, ...]
    because: tuple[str, ...]


def guess_pose(surface: Facets, told: Told) -> Guess:
    """Unit and axes of a hull. The bow lies along the longest axis; of the other two the one about which the facets
    lie evenly is athwartships; a hull is wider above than below; and finer forward than aft.

    All four are guesses that fit nearly every hull and fail on some (a double-ender, a half model, a barge): they are
    shown, and asked for before anything is built on them. Source: ours.
    """
    because: list[str] = []
    bow_axis = "xyz".index(told.bow[1]) if told.bow else _longest(surface, told)
    up = told.up or _up(surface, bow_axis, because)
    bow = told.bow or _bow(surface, (bow_axis, 3 - bow_axis - "xyz".index(up[1])), because)
    extent = float(np.ptp(surface.vertices_m[:, bow_axis]))
    unit = told.unit or _unit(extent, told.length_m, because)
    given = {"unit": told.unit, "bow": told.bow, "up": told.up}
    guessed = tuple(name for name, value in given.items() if value is None)
    return Guess(pose=Pose(unit=unit, bow=bow, up=up), guessed=guessed, because=tuple(because))


def _longest(surface: Facets, told: Told) -> int:
    extents = np.ptp(surface.vertices_m, axis=0)
    if told.up:
        extents["xyz".index(told.up[1])] = 0.0
    return int(np.argmax(extents))


def _up(surface: Facets, bow_axis: int, because: list[str]) -> Axis:
    others = [axis for axis in range(3) if axis != bow_axis]
    uneven = {axis: _unevenness(surface, axis) for axis in others}
    level = min(others, key=lambda axis: uneven[axis])
    if uneven[level] > _EVEN:
        upright = 2 if bow_axis != 2 else 1
        level = next(axis for axis in others if axis != upright)
        because.append(f"Neither side mirrors the other (half a hull?): {'xyz'[upright]} is taken as upright.")
    upright = next(axis for axis in others if axis != level)
    sign = "+" if _wider_at_the_high_end(surface, upright, level) else "-"
    because.append(f"She is wider towards {sign}{'xyz'[upright]}: that is taken as up.")
    return _axis(sign, upright)


def _unevenness(surface: Facets, axis: int) -> float:
    """How unlike the two halves along an axis are, by area, 0 (mirror images) to 1."""
    at = surface.centres_m[:, axis]
    low, high = surface.vertices_m[:, axis].min(), surface.vertices_m[:, axis].max()
    area, _ = np.histogram(at, bins=_BINS, range=(low, high), weights=surface.areas_m2)
    return float(0.5 * np.abs(area - area[::-1]).sum() / max(area.sum(), 1e-300))


def _wider_at_the_high_end(surface: Facets, upright: int, level: int) -> bool:
    z, y = surface.vertices_m[:, upright], surface.vertices_m[:, level]
    low, high = np.quantile(z, [0.25, 0.75])
    return bool(np.ptp(y[z >= high]) >= np.ptp(y[z <= low]))


def _bow(surface: Facets, axes: tuple[int, int], because: list[str]) -> Axis:
    bow_axis, level = axes
    x, y = surface.vertices_m[:, bow_axis], surface.vertices_m[:, level]
    low, high = float(x.min()), float(x.max())
    share = 0.12 * (high - low)
    first, last = np.ptp(y[x <= low + share]), np.ptp(y[x >= high - share])
    sign = "+" if last < first else "-"
    because.append(f"She is finer towards {sign}{'xyz'[bow_axis]}: the bow is taken to point there.")
    return _axis(sign, bow_axis)


def _axis(sign: str, number: int) -> Axis:
    return next(axis for axis in AXES if axis == sign + "xyz"[number])


def _unit(extent: float, length_m: float | None, because: list[str]) -> Unit:
    if length_m is not None:
        unit = min(UNIT_M, key=lambda name: abs(np.log(max(extent * UNIT_M[name], 1e-12) / length_m)))
        because.append(f"In {unit} she is {extent * UNIT_M[unit]:.2f} m long, nearest to the boat's {length_m:.2f} m.")
        return unit
    lengths = {name: extent * scale for name, scale in UNIT_M.items()}
    likely = [n for n, length in lengths.items() if LIKELY_LENGTH_M[0] <= length <= LIKELY_LENGTH_M[1]]
    possible = [n for n, length in lengths.items() if POSSIBLE_LENGTH_M[0] <= length <= POSSIBLE_LENGTH_M[1]]
    ranked = [*likely, *(n for n in possible if n not in likely)] or ["m"]
    also = ", ".join(f"{lengths[n]:.2f} m in {n}" for n in ranked[1:])
    other = f"; she could also be {also}" if also else ""
    because.append(f"She is {lengths[ranked[0]]:.2f} m long if the numbers are {ranked[0]}{other}.")
    return ranked[0]


def length_of(surface: Facets, pose: Pose) -> float:
    """Length over all in that pose, m."""
    return float(np.ptp(surface.vertices_m[:, "xyz".index(pose.bow[1])]) * UNIT_M[pose.unit])


def length_problem(length_m: float, unit: Unit, *, expected_m: float | None = None) -> Problem | None:
    """What is wrong with a boat of that length in that unit: metres or millimetres? None where it may be.

    Against the boat's own length, if that is known, a factor of 1.5 is too much: the nearest wrong unit is 2.5 away.

    >>> length_problem(11.5, "m") is None, length_problem(11500.0, "m") is None
    (True, False)
    """
    low, high = (expected_m / 1.5, expected_m * 1.5) if expected_m else POSSIBLE_LENGTH_M
    if low <= length_m <= high:
        return None
    drawn = length_m / UNIT_M[unit]
    fitting = [name for name, scale in UNIT_M.items() if low <= drawn * scale <= high]
    advice = f"Is the unit {' or '.join(fitting)}?" if fitting else "Check the unit, and that the file holds the boat."
    return Problem(
        where="unit",
        found=f"{unit}, which makes her {length_m:,.2f} m long",
        allowed=f"a boat of {low:.3g} to {high:.3g} m",
        advice=advice,
    )


def upright(surface: Facets, pose: Pose) -> Facets:
    """The same surface in metres with x aft, y to starboard and z up; heights count from the file's own zero."""
    bow, up = _direction(pose.bow), _direction(pose.up)
    turn = np.stack((-bow, np.cross(bow, up), up))
    return surface.moved(UNIT_M[pose.unit] * surface.vertices_m @ turn.T)


def _direction(axis: Axis) -> Array:
    direction = np.zeros(3)
    direction["xyz".index(axis[1])] = 1.0 if axis[0] == "+" else -1.0
    return direction


@dataclass(frozen=True, kw_only=True)
class Waterline:
    """Where she floats: heights above the file's zero at her fore and aft ends, heel to starboard, and how far the boot
    top (the upper edge of the paint) lies above the water."""

    fore_m: float
    aft_m: float
    heel_deg: float = 0.0
    boot_top_m: float = 0.0


def afloat(surface: Facets, water: Waterline) -> Facets:
    """An upright surface turned and lowered so that z = 0 is the waterline on the centreplane; trim is turned out of
    her, heel is not (it only slants the cut)."""
    x = surface.vertices_m[:, 0]
    fore = float(x.min())
    slope = (water.aft_m - water.fore_m) / max(float(np.ptp(x)), 1e-9)
    c, s = 1.0 / np.hypot(1.0, slope), slope / np.hypot(1.0, slope)
    dx, dz = x - fore, surface.vertices_m[:, 2] - water.fore_m
    moved = np.stack((fore + c * dx + s * dz, surface.vertices_m[:, 1], -s * dx + c * dz), axis=1)
    return surface.moved(moved)


def above_boot_top(surface: Facets, water: Waterline) -> Array:
    """Distance of every vertex from the plane of the boot top, m, positive above it; of a surface set afloat."""
    heel = radians(water.heel_deg)
    y, z = surface.vertices_m[:, 1], surface.vertices_m[:, 2]
    return np.asarray(z * cos(heel) - y * sin(heel) - water.boot_top_m)
