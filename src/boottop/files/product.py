"""A coating's product sheet: one TOML file, or one of the invented sheets that come with boottop."""

from __future__ import annotations

from functools import partial
from importlib import resources
from pathlib import Path
from typing import Any, get_args

from boottop.base.quantities import shown
from boottop.coating.sheet import CoatingKind, Limits, Part, ProductSheet, Times
from boottop.files.jobsheet_table import REQUIRED, Sheet, Span, Table, in_span, nearest, refuse
from boottop.files.jobsheet_text import TomlFile, parse_toml, read_toml
from boottop.measure.materials import MATERIALS

FORMAT = 1
FAMILIES = tuple(sorted({material.family for material in MATERIALS.values()}))
BUILT_IN = ("demo-copper-epoxy-a", "demo-barrier-epoxy-b", "demo-eroding-antifouling-c", "demo-metal-primer-d")
TIME_KEYS = ("pot_life", "tacky", "longest_overcoat", "rain_safe", "stands_safe", "immersion")
_PARTS = Span(low=0.0, high=1000.0, above=True)
_DENSITY = Span(low=0.5, high=25.0)
_FRACTION = Span(low=0.0, high=1.0)
_FILM = Span(low=1.0, high=2000.0)
_TEMPERATURE = Span(low=-20.0, high=60.0)
_HUMIDITY = Span(low=0.1, high=1.0)
_TIME = Span(low=0.01, high=20000.0)
_GRIT = Span(low=12, high=3000)


def load_sheet(name: str | Path, *, label: str | None = None) -> ProductSheet:
    """The product sheet in a file (a path ending in .toml) or built in under a name of BUILT_IN.

    Raises InputError with every problem of the sheet; `label` is what its errors call the file.
    """
    sheet = Sheet(file=_file(name, label))
    product = _product(sheet.root())
    sheet.raise_if_bad()
    return product


def builtin_text(name: str) -> str:
    """The TOML text of a built-in sheet."""
    return (resources.files("boottop.demo") / f"{name}.toml").read_text(encoding="utf-8")


def _file(name: str | Path, label: str | None) -> TomlFile:
    text = str(name)
    if text in BUILT_IN:
        return parse_toml(builtin_text(text), path=Path(f"{text}.toml"), label=text)
    if not text.endswith(".toml"):
        hint = nearest(text, BUILT_IN) or "A file must end in .toml."
        allowed = "a product sheet ending in .toml, or one of " + ", ".join(f'"{sheet}"' for sheet in BUILT_IN)
        raise refuse(label or "product sheet", text, allowed=allowed, advice=hint)
    return read_toml(Path(name), label=label)


def check_format(root: Table) -> None:
    """Note a missing or foreign `format`."""
    if not root.has("format"):
        root.note("format", found="nothing", allowed=f"format = {FORMAT}", advice=f"Add format = {FORMAT} on top.")
    elif root.data["format"] != FORMAT or isinstance(root.data["format"], bool):
        found = shown(root.data["format"])
        root.note("format", found=found, allowed=f"format = {FORMAT}", advice="Use the boottop that this was made for.")


def _product(root: Table) -> ProductSheet:
    check_format(root)
    fields: dict[str, Any] = {
        "name": root.text("name"),
        "kind": root.choice("kind", get_args(CoatingKind)),
        "water_based": root.flag("water_based"),
        "invented": root.flag("invented", default=False),
        "parts": _parts(root),
        **_film(root.table("film")),
        **_kit(root.table("kit")),
        **_times(root.table("times")),
        **_surface(root.table("surface")),
        **_activation(root.table_or_none("activation")),
        "limits": _limits(root.table("limits")),
    }
    root.close()
    return ProductSheet(**fields)


def _parts(root: Table) -> tuple[Part, ...]:
    tables = root.tables("parts")
    if not tables and root.ok("parts"):
        root.note("parts", found="nothing", allowed="at least one [[parts]]", advice="Add the parts of the mix.")
    return tuple(_part(table) for table in tables)


def _part(table: Table) -> Part:
    part = Part(
        name=table.text("name"),
        volume_parts=table.read("volume_parts", partial(_number, span=_PARTS), REQUIRED, fallback=1.0),
        density_kg_l=table.quantity("density", "density", _DENSITY),
        bulk_density_kg_l=table.quantity_or_none("bulk_density", "density", Span(low=0.1, high=25.0)),
        solids_fraction=table.quantity("solids", "fraction", _FRACTION),
    )
    bulk = part.bulk_density_kg_l
    if bulk is not None and table.ok("density", "bulk_density") and bulk > part.density_kg_l:
        table.note(
            "bulk_density",
            found=f"{bulk:g} kg/L, heavier than the grain",
            allowed=f"at most the density of the grain, {part.density_kg_l:g} kg/L",
            advice="density is that of the solid grain, bulk_density that of the powder as poured, with its air.",
        )
    table.close()
    return part


def _number(value: Any, where: str, *, span: Span) -> float:
    """A plain number (parts by volume have no unit)."""
    try:
        number = float("nan") if isinstance(value, bool | str) else float(value)
    except (TypeError, ValueError, OverflowError):
        number = float("nan")
    if span.holds(number):
        return number
    raise refuse(where, value, allowed=f"a number {span.text()}", advice="Write a number without quotes or unit.")


def _film(table: Table) -> dict[str, Any]:
    fields = {
        "dry_film_um": table.quantity("dry_film", "film", _FILM),
        "coats": table.whole("coats", Span(low=1, high=12)),
        "one_day": table.flag("one_day"),
        "grain_um": table.quantity_or_none("grain", "film", Span(low=0.1, high=500.0)),
        "viscosity_pa_s": table.quantity_or_none("viscosity", "viscosity", Span(low=1e-4, high=1000.0)),
    }
    table.close()
    return fields


def _kit(table: Table) -> dict[str, Any]:
    fields = {
        "kit_volume_l": table.quantity("volume", "volume", Span(low=0.05, high=1000.0)),
        "kit_mass_kg": table.quantity("mass", "mass", Span(low=0.02, high=5000.0)),
        "part_kits": table.flag("part_kits"),
    }
    table.close()
    return fields


def _times(table: Table) -> dict[str, Any]:
    common = _temperatures(table, "temperatures") if table.has("temperatures") else ()
    tables = {key: _time_row(table, key, common) for key in TIME_KEYS}
    tables["overcoat_max"] = tables.pop("longest_overcoat")
    fields = {
        **tables,
        "times_humidity": table.quantity("humidity", "fraction", Span(low=0.05, high=0.94)),
        "pot_life_mass_kg": table.quantity("pot_life_mass", "mass", Span(low=0.01, high=200.0)),
        "activation_energy_j_mol": table.quantity_or_none(
            "activation_energy", "activation energy", Span(low=10_000.0, high=150_000.0)
        ),
    }
    table.close()
    return fields


_ANY_TIMES = Times(temperature_c=(20.0,), hours=(1.0,))


def _time_row(table: Table, key: str, common: tuple[float, ...]) -> Times:
    """Times at the common temperatures (a list), or at temperatures of their own (a section with `at` and `time`)."""
    value = table.read(key, lambda found, _: found, REQUIRED, fallback=None)
    if value is None:
        return _ANY_TIMES
    if isinstance(value, dict):
        own = table.table(key)
        hours = tuple(own.each("time", own.required_list("time"), _hours))
        temperatures = _temperatures(own, "at")
        own.close()
    else:
        hours, temperatures = tuple(table.each(key, value, _hours)), common
    if not table.ok(key, "temperatures"):
        return _ANY_TIMES
    if len(hours) != len(temperatures) or not hours:
        table.note(
            key,
            found=f"{len(hours)} times for {len(temperatures)} temperatures",
            allowed="one time for each temperature",
            advice=f'Write one time for each, or {key} = {{ at = ["20 degC"], time = ["72 h"] }}.',
        )
        return _ANY_TIMES
    return Times(temperature_c=temperatures, hours=hours)


def _hours(value: Any, where: str) -> float:
    return in_span(value, "duration", _TIME, where=where)


def _temperatures(table: Table, key: str) -> tuple[float, ...]:
    """Temperatures, coldest first."""
    values = table.each(key, table.required_list(key), partial(_temperature))
    if table.ok(key) and (sorted(set(values)) != values or not values):
        table.note(
            key,
            found=", ".join(f"{value:g} degC" for value in values) or "an empty list",
            allowed="temperatures in order, coldest first, none twice",
            advice="Sort them, and the times with them.",
        )
    return tuple(values)


def _temperature(value: Any, where: str) -> float:
    return in_span(value, "temperature", _TEMPERATURE, where=where)


def _limits(table: Table) -> Limits:
    limits = Limits(
        surface_min_c=table.quantity("surface_min", "temperature", _TEMPERATURE),
        surface_max_c=table.quantity("surface_max", "temperature", Span(low=-20.0, high=90.0)),
        air_min_c=table.quantity("air_min", "temperature", _TEMPERATURE),
        air_max_c=table.quantity("air_max", "temperature", _TEMPERATURE),
        humidity_max=table.quantity("humidity_max", "fraction", _HUMIDITY),
        dew_margin_k=table.quantity("dew_margin", "difference", Span(low=0.0, high=15.0), default=Limits.dew_margin_k),
    )
    for what, low, high in (
        ("surface", limits.surface_min_c, limits.surface_max_c),
        ("air", limits.air_min_c, limits.air_max_c),
    ):
        if table.ok(f"{what}_min", f"{what}_max") and high <= low:
            table.note(
                f"{what}_max",
                found=f"{high:g} degC",
                allowed=f"more than {what}_min, {low:g} degC",
                advice="Swap them?",
            )
    table.close()
    return limits


def _surface(table: Table) -> dict[str, Any]:
    substrates = tuple(dict.fromkeys((*FAMILIES, *MATERIALS)))
    fields = {
        "grit": table.read("grit", _grit, REQUIRED, fallback=(80, 120)),
        "cleaner": table.text("cleaner"),
        "forbidden_cleaners": table.names("forbidden_cleaners"),
        "allowed_substrates": table.names("allowed_substrates", substrates),
        "needs_primer": table.names("needs_primer", FAMILIES),
        "forbidden": table.names("forbidden", substrates),
    }
    both = set(fields["allowed_substrates"]) & set(fields["forbidden"])
    if both:
        found, allowed = ", ".join(sorted(both)), "a material either allowed or forbidden, not both"
        table.note("forbidden", found=found, allowed=allowed, advice="Take it out of one of the two lists.")
    if not table.has("allowed_substrates"):
        table.note("allowed_substrates", found="nothing", allowed="this key is required", advice="List the materials.")
    table.close()
    return fields


def _grit(value: Any, where: str) -> tuple[int, int]:
    pair = value if isinstance(value, list) else [value, value]
    whole = [number for number in pair if isinstance(number, int) and not isinstance(number, bool)]
    if len(pair) == 2 and whole == pair and all(_GRIT.holds(number) for number in whole) and whole[0] <= whole[1]:
        return whole[0], whole[1]
    raise refuse(where, value, allowed="a grit or two, coarse first, such as [80, 120]", advice="Write whole numbers.")


def _activation(table: Table | None) -> dict[str, Any]:
    if table is None:
        return {}
    fields = {
        "activation_grit": table.whole("grit", _GRIT),
        "activation_before_launch_h": table.quantity("before_launch", "duration", Span(low=0.5, high=2000.0)),
    }
    table.close()
    return fields
