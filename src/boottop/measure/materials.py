"""The registry of hull materials: names that a job sheet may use, and their thermal properties."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Material:
    """Conductivity W/(m K), density kg/m3, specific heat J/(kg K), what it is to a coating, and the source."""

    name: str
    conductivity_w_mk: float
    density_kg_m3: float
    specific_heat_j_kgk: float
    family: str
    source: str


_FROM_MEMORY = "from memory"
MATERIALS: Mapping[str, Material] = {
    name: Material(
        name=name, conductivity_w_mk=k, density_kg_m3=rho, specific_heat_j_kgk=c, family=family, source=source
    )
    for name, k, rho, c, family, source in (
        ("grp", 0.25, 1650.0, 1150.0, "grp", f"{_FROM_MEMORY}; secondary hits give k 0.3-0.5, rho 1700-2200"),
        ("foam", 0.035, 80.0, 1300.0, "core", _FROM_MEMORY),
        ("balsa", 0.05, 150.0, 1600.0, "core", _FROM_MEMORY),
        ("timber", 0.13, 500.0, 1600.0, "timber", "softwood, ISO 10456 (read second-hand)"),
        ("plywood", 0.12, 540.0, 1210.0, "timber", "Modelica Buildings library, Data/Solids"),
        ("steel", 63.9, 7832.0, 434.0, "steel", "Incropera Ex 5.4"),
        ("cast_iron", 50.0, 7200.0, 470.0, "steel", _FROM_MEMORY),
        ("aluminium", 130.0, 2700.0, 900.0, "aluminium", _FROM_MEMORY),
        ("lead", 35.0, 11340.0, 129.0, "lead", _FROM_MEMORY),
        ("bronze", 50.0, 8800.0, 380.0, "bronze", _FROM_MEMORY),
        ("stainless", 16.0, 8000.0, 500.0, "stainless", _FROM_MEMORY),
        ("ferro_cement", 1.7, 2400.0, 900.0, "ferro_cement", _FROM_MEMORY),
    )
}
