"""Which product goes on which zone, and what lies between it and the hull."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches

from boottop.base.errors import InputError, Problem
from boottop.coating.sheet import ProductSheet, System
from boottop.measure.hull import Hull, Zone
from boottop.measure.materials import MATERIALS

METAL_FAMILIES = ("aluminium", "bronze", "lead", "stainless", "steel")


def family_of(material: str) -> str:
    """What a material is to a coating: "grp", "timber", "steel", ... of measure.materials."""
    return MATERIALS[material].family


def zones_for(system: System, hull: Hull) -> tuple[Zone, ...]:
    """Zones that a system goes on, in the hull's order; InputError when it names one the hull has not.

    Named zones as named; otherwise every coated zone, for a primer only the running gear of metal. A zone that
    stays bare this time (`coated` False) is never taken, even when named.
    """
    known = {zone.name for zone in hull.zones}
    unknown = [name for name in system.zones if name not in known]
    if unknown:
        raise InputError(_unknown_zone(system, name, sorted(known)) for name in unknown)
    coated = tuple(zone for zone in hull.zones if zone.coated)
    if system.zones:
        return tuple(zone for zone in coated if zone.name in system.zones)
    if system.role == "primer":
        return tuple(z for z in coated if z.kind == "gear" and family_of(z.substrate) in METAL_FAMILIES)
    return coated


def _unknown_zone(system: System, name: str, known: Sequence[str]) -> Problem:
    near = get_close_matches(name, known, n=1)
    return Problem(
        where=f"zones of {system.sheet.name}",
        found=repr(name),
        allowed=", ".join(known),
        advice=f"Did you mean {near[0]!r}?" if near else "Name a zone of this hull, or leave the list out.",
    )


def bears_copper(sheet: ProductSheet) -> bool:
    """True for a copper epoxy and for any product with a part that is called after copper."""
    return sheet.kind == "copper_epoxy" or any("copper" in part.name.lower() for part in sheet.parts)


def insulates(system: System) -> bool:
    """True for what parts a hull from its antifouling: a barrier or primer that bears no copper itself."""
    return system.sheet.kind in ("barrier_epoxy", "primer") and not bears_copper(system.sheet)


def session_of(zone: Zone) -> str:
    """The part of the hull rolled in one go with this zone: a side with its named zones and sole, or pads and gear."""
    if zone.kind in ("gear", "pads"):
        return "gear and pads"
    return zone.side
