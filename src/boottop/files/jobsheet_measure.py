"""Where in the sheet a problem stands that the measuring room found: its names of places to keys and lines."""

from __future__ import annotations

import re
from collections.abc import Iterable

from boottop.base.errors import Problem
from boottop.files.jobsheet_lines import KeyPath
from boottop.files.jobsheet_table import Sheet
from boottop.measure.checks import problems_of
from boottop.measure.inputs import HullMeasure

_PLACE = re.compile(r"measure\.(\w+)(?:\.(\w+))?(?:\[(\d+)\])?(?: \(.*\))?(?:\.(\w+))?")
_SECTIONS = {"appendages": "appendages", "hidden": "hidden", "named_zones": "zones"}
_HULL_KEYS = {"substrate": "surface", "keel_material": "keel_material", "deadrise": "deadrise", "laminate": "thickness"}
_ON_MEASURE = {"tape_sd": ("measure", "tape_sd"), "waterline_length": ("boat", "waterline_length")}


def key_path(where: str) -> KeyPath:
    """Key path of a place that the measuring room names.

    >>> key_path("measure.girths.readings[3].half_girth")
    ('measure', 'girths', 2, 'half_girth')
    >>> key_path("measure.hidden[2] (stand pads).area_each")
    ('hidden', 1, 'area_each')
    """
    match = _PLACE.fullmatch(where)
    if match is None:
        return ("measure", "method")
    first, second, number, last = match.groups()
    index: KeyPath = () if number is None else (int(number) - 1,)
    if first in _HULL_KEYS:
        return ("hull", _HULL_KEYS[first])
    if first in _SECTIONS:
        return (_SECTIONS[first], *index, *([last] if last else []))
    name = last or (second if second != "readings" else None)
    if name in _ON_MEASURE:
        return _ON_MEASURE[name]
    if first == "girths":
        return ("measure", "girths", *index, *([last or "station"] if index else []))
    return ("measure", first, *([second] if second else []), *index)


def located(sheet: Sheet, problems: Iterable[Problem]) -> list[Problem]:
    """The same problems, each naming file, line and key instead of the measuring room's own place."""
    return [
        Problem(
            where=sheet.where(key_path(problem.where)) if problem.where.startswith("measure") else problem.where,
            found=problem.found,
            allowed=problem.allowed,
            advice=problem.advice,
        )
        for problem in problems
    ]


def check_measure(sheet: Sheet, measure: HullMeasure) -> None:
    """Add what the measuring room has against the measures, except where a key could not even be read."""
    readable = [problem for problem in problems_of(measure) if _readable(sheet, key_path(problem.where))]
    for problem in readable:
        sheet.add(key_path(problem.where), located(sheet, [problem]))


def _readable(sheet: Sheet, path: KeyPath) -> bool:
    """Whether everything that bears on a place could be read; the choice of method is told by the reader itself."""
    bearing = [path[:2], ("boat", "waterline_length"), *([("zones",)] if path[-1:] == ("zone",) else [])]
    return path != ("measure", "method") and all(sheet.ok(section) for section in bearing)
