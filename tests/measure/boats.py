"""Invented measures to vary in tests."""

from __future__ import annotations

from dataclasses import replace

from boottop.measure.hull import Hull, Layer, Zone
from boottop.measure.inputs import Appendage, Dimensions, Girth, Girths, Hidden, HullMeasure, NamedZone

FIN = Appendage(
    name="fin keel", kind="fin_keel", length_m=1.6, height_m=1.1, thickness_m=0.18, zone="sides", material="grp"
)
RUDDER = Appendage(name="rudder", kind="rudder", length_m=0.5, height_m=1.2, thickness_m=0.08)
SHAFT = Appendage(name="shaft", kind="shaft", length_m=1.2, thickness_m=0.035, material="stainless")
STRUT = Appendage(name="strut", kind="strut", length_m=0.12, height_m=0.35, thickness_m=0.03, material="bronze")
PADS = Hidden(name="stand pads", kind="pads", area_each_m2=0.09, count=6)
BLOCKS = Hidden(name="keel blocks", kind="blocks", area_each_m2=0.04, count=2)
ANODE = Hidden(name="hull anode", kind="anode", area_each_m2=0.02, count=2)
BOOT_TOP = NamedZone(name="boot top", side="centre", area_m2=2.0, tilt_deg=95.0)

TAPED = (
    (0.0, 0.0, 0.0), (1.15, 0.78, 0.52), (2.3, 1.32, 1.02), (3.45, 1.66, 1.36), (4.6, 1.80, 1.52),
    (5.75, 1.78, 1.55), (6.9, 1.62, 1.46), (8.05, 1.30, 1.22), (9.2, 0.62, 0.60),
)  # fmt: skip


def girths(*, beams: bool = True, tape_sd_m: float = 0.01) -> Girths:
    readings = tuple(Girth(station_m=x, half_girth_m=g, half_beam_m=b if beams else None) for x, g, b in TAPED)
    return Girths(waterline_length_m=9.2, readings=readings, tape_sd_m=tape_sd_m)


def plain() -> HullMeasure:
    """A bare hull from girths."""
    return HullMeasure(
        laminate=(Layer(material="grp", thickness_m=0.012),),
        substrate="grp",
        keel_material="lead",
        deadrise_deg=18.0,
        girths=girths(),
    )


def sloop() -> HullMeasure:
    """The same hull with all her fittings."""
    return replace(
        plain(),
        appendages=(FIN, RUDDER, SHAFT, STRUT),
        hidden=(PADS, BLOCKS, ANODE),
        named_zones=(BOOT_TOP,),
    )


def by_dimensions(**changes: object) -> HullMeasure:
    main = Dimensions(
        form="yacht",
        waterline_length_m=10.02,
        waterline_beam_m=3.17,
        body_draft_m=0.57,
        displaced_m3=7.63,
        midship_coefficient=0.72,
        waterplane_coefficient=0.68,
    )
    return replace(plain(), girths=None, dimensions=replace(main, **changes))  # type: ignore[arg-type]


def zone(hull: Hull, name: str) -> Zone:
    return next(z for z in hull.zones if z.name == name)
