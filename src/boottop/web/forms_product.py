"""The form of a product sheet: every key of docs/job-sheet.md's second part, held to it by a test."""

from __future__ import annotations

from collections.abc import Sequence
from typing import get_args

from boottop.coating.sheet import CoatingKind
from boottop.web.forms_fields import Section, section

_KINDS = " ".join(get_args(CoatingKind))

SECTIONS: Sequence[Section] = (
    section("", "The product", f"""
name* | text | each product of a job has its own
kind* | choice: {_KINDS} |
water_based* | flag | a drying clock runs beside the cure clock
invented | flag | not a real product"""),
    section("parts", "Parts of the mix", """
name* | text |
volume_parts* | number | parts by volume as poured, a powder with its air
density* | density | of the liquid; of a powder's solid grain
bulk_density | density | of a powder as poured; empty for a liquid
solids* | fraction | share of the part's volume that stays in the film""", many=True,
            new={"name": "part", "volume_parts": 1, "density": "1.2 kg/L", "solids": "50 %"}),
    section("film", "The film", """
dry_film* | film | of one coat
coats* | whole |
one_day* | flag | all coats of one area in one working day
grain | film | size of the powder's grain
viscosity | viscosity | of the mix"""),
    section("kit", "One kit", """
volume* | volume | once mixed, a powder with its grain alone
mass* | mass | contents without tins
part_kits* | flag | a part of a kit may be mixed by mass"""),
    section("times", "Times", """
humidity* | fraction | relative humidity the times were printed for
temperatures | lines | that the times are for, coldest first
pot_life* | times | one a line; or temperature: time
pot_life_mass* | mass | of the batch that the pot life was printed for
tacky* | times | from when the next coat may go on
longest_overcoat* | times | until when, without sanding
rain_safe* | times | rain may fall on it
stands_safe* | times | stands may be moved onto it
immersion* | times | she may be launched
activation_energy | activation energy | where the maker prints it"""),
    section("limits", "Limits", """
surface_min* | temperature |
surface_max* | temperature |
air_min* | temperature |
air_max* | temperature |
humidity_max* | fraction |
dew_margin | difference | surface above dew point"""),
    section("surface", "Surface", """
grit* | lines | one or two, coarse first
cleaner* | text |
forbidden_cleaners | lines |
allowed_substrates* | lines | materials, one a line
needs_primer | lines | materials that carry a barrier or primer first
forbidden | lines | materials that it must not touch"""),
    section("activation", "Laying the copper bare", """
grit | whole |
before_launch | duration | at most so long before""", optional=True),
)  # fmt: skip
