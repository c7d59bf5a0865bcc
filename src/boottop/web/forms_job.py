"""The form of the job sheet: every key of docs/job-sheet.md, held to it by a test."""

from __future__ import annotations

from collections.abc import Sequence
from typing import get_args

from boottop.climate.weather import Cover, Ground
from boottop.coating.sheet import Role
from boottop.files.jobsheet_boat import GIRTHS_TO, METHODS
from boottop.measure.hull import Side
from boottop.measure.inputs import AppendageKind, Form, Hiding
from boottop.measure.materials import MATERIALS
from boottop.plan.inputs import FirstSide, SidesRule
from boottop.web.forms_fields import Section, section

_WORK = ("strip", "abrade", "wipe", "mask", "roll", "activate")


def _one(kind: object) -> str:
    return " ".join(str(name) for name in get_args(kind))


_MATERIALS = " ".join(MATERIALS)

BOAT: tuple[Section, ...] = (
    section("job", "The job", f"""
name* | text | what to call it
currency* | text | three capital letters, for all money of the sheet
earliest_haul_out* | instant | from when the boat can be at the crane
wanted_launch | date | every day of launching after it costs
late_day_cost | money | what a day late is worth to you
strip* | flag | the old paint comes off
dry_time | duration | the laminate dries after stripping
sides | choice: {_one(SidesRule)} | both sides in one day, or one a day
first_side | choice: {_one(FirstSide)} | which side goes first
caution | fraction | how sure the windows must be, 50 % to 95 %
weather | file | hourly weather, a file of this job; without one the open services are asked
weather_station | text | which station, where that file holds several: the one nearest to the yard
weather_dry | flag | rain that the file lacks is taken as none; said in the result
notes | lines | shown with the plan"""),
    section("boat", "The boat", """
name* | text |
length* | length | over all
waterline_length* | length | along which the stations are measured
beam | length |
draft | length | needed with a tide
displacement | mass | as she floats, keel included"""),
    section("hull", "The hull", f"""
material* | choice: {_MATERIALS} |
thickness* | length | of the skin; with a core, of the outer skin
core | choice: {_MATERIALS} | makes her a sandwich
core_thickness | length |
inner_thickness | length | default: as the outer skin
surface | choice: {_MATERIALS} | what the coating goes on, where that is not the material
keel_material* | choice: {_MATERIALS} |
deadrise* | angle | slope of the bottom amidships from the horizontal
colour | text | while she stands ashore: white, copper, dark, black, or a number 0.05 to 1
barrier_sound | flag | a sound old barrier coat covers the whole hull
keel_sole_coated | flag | what stands on the keel blocks is coated too"""),
    section("measure", "Measured by", f"""
method* | choice: {" ".join(METHODS)} | fill in that one below and leave the others empty
girths | rows: station half_girth half_beam | one station a line: from the fore end aft, half-girth, half-beam
tape_sd | length | doubt of one reading of the tape
hull_file | file | a hull document of this job, made from a mesh or a table of offsets
girths_to | choice: {" ".join(GIRTHS_TO)} | where the tape stopped"""),
    section("measure.offsets", "The designer's offsets", """
stations | lines | from forward aft, one a line
waterlines | lines | from the bottom up, one a line
half_breadths | rows: | one station a line, one value a waterline, - where there is no hull
draft | length | of the bare body""", optional=True),
    section("measure.dimensions", "Main dimensions", f"""
form | choice: {_one(Form)} |
waterline_beam | length |
body_draft | length | of the bare body, without keel
displaced | displacement | by the bare body
midship_coefficient | fraction |
waterplane_coefficient | fraction |""", optional=True),
    section("appendages", "What hangs under the hull", f"""
name* | text |
kind* | choice: {_one(AppendageKind)} |
length* | length | mean chord; of a shaft or tunnel its length
height | length | span from root to tip
thickness | length | greatest; of a shaft or tunnel its diameter
count | whole | how many alike
side | choice: {_one(Side)} |
zone | text | coated with: sides, running gear, or a zone of your own
material | choice: {_MATERIALS} |""", many=True,
            new={"name": "rudder", "kind": "rudder", "length": "0.5 m", "height": "1.2 m", "thickness": "8 cm"}),
    section("hidden", "What hides hull or stays bare", f"""
name* | text |
kind* | choice: {_one(Hiding)} |
size | text | of one, such as 30 cm x 30 cm; or the area
area_each | area | of one
count | whole | how many alike
side | choice: {_one(Side)} |
stand_set | whole | pads of one set come free together
spots | lines | where each stands, one a line: both, 2.4 m, 0.9 m (side, station, height above the sole)
zone | text | where it sits, if not on the sides""", many=True,
            new={"name": "anode", "kind": "anode", "area_each": "0.02 m2"}),
    section("zones", "Zones of your own", f"""
name* | text |
side* | choice: {_one(Side)} | the side it is taken out of
area* | area |
tilt | angle | 90 upright, 180 faces down""", many=True,
            new={"name": "boot top, port", "side": "port", "area": "1 m2"}),
)  # fmt: skip

YARD: tuple[Section, ...] = (
    section("yard", "The yard", f"""
name* | text |
latitude* | coordinate | such as 41 deg 9 min N
longitude* | coordinate | such as 8 deg 38 min W
elevation | length | above the sea
time_zone | text | continent/city; found from the coordinates where left out
bow* | heading | true heading the bow points to ashore, such as NE
ground | choice: {_one(Ground)} |
cover | choice: {_one(Cover)} |
shelter | fraction | wind at the hull as a share of the open wind
cabin_closed | flag | hatches shut
hours* | hours | such as Mon-Fri 08:00-18:00, one line or more
closed | lines | holidays, one date a line
lift_slots | lines | times the crane can take this boat, one a line
lift_time | duration |
lift_charge* | money | for each lift
day_charge* | money | for each day ashore begun
stand_move_time | duration | for all stands
stand_notice | duration | how long before the yard wants to know
wash_time | duration |
sanding_allowed | flag |"""),
    section("yard.lift_pattern", "Lift slots that come back weekly", """
days* | text | such as Mon-Fri
times* | lines | one a line, on the quarter of an hour
from* | date |
to* | date |""", many=True,
            new={"days": "Mon-Fri", "times": ["08:00"], "from": "2026-04-27", "to": "2026-06-12"}),
    section("yard.tide", "Lifts that go with the tide", """
station | file | a tide station's JSON, a file of this job
sill | length | above the datum; below it with a minus
datum | text | such as LAT
clearance | length | water under the keel
lifts | text | as listed, or high water""", optional=True),
)  # fmt: skip

WORK: tuple[Section, ...] = (
    section("crew", "The crew", """
people* | whole |
hours* | hours | when you are willing to work
hour_cost | money | of a person's hour; nothing is a choice, and shown
applicators | whole | how many of them roll
cleaner | text | what you wipe with"""),
    section("crew.rates", "How fast one person works",
            "\n".join(f"{key} | rate | area per hour and person" for key in _WORK)),
    section("crew.set_up", "Time that it takes besides",
            "\n".join(f"{key} | duration | whatever the area" for key in _WORK), optional=True),
    section("hire.tent", "A tent on offer", """
from | instant |
to | instant |
cost | money | for the whole time""", optional=True),
    section("hire.helper", "A helper on offer", """
people | whole |
cost | money | for the whole job""", optional=True),
    section("order", "What the order is reckoned with", """
material_temperature | temperature | of the paint in the pot
surface_temperature | temperature | of the hull while coating
usable_pot_life | fraction | share of the pot life in which a batch is used up
confidence | fraction | how sure to be that the kits are enough""", optional=True),
    section("coatings", "Coatings", f"""
sheet* | file | a product sheet of this job, or a demonstration sheet by name
role | choice: {_one(Role)} | default: by the kind of product
coats | whole | default: as the sheet says
loss* | fraction | what stays in roller, pan and pot: your own figure
kit_price | money |
zones | lines | one a line; default the whole hull""", many=True,
            new={"sheet": "demo-copper-epoxy-a", "loss": "12 %"}),
    section("extra_jobs", "Jobs of your own", """
name* | text |
duration* | duration |
people | whole |
after | lines | other jobs of yours or wash, strip, coat, launch ..., one a line
before | lines | the same
dry_weather | flag | not while it rains""", many=True, new={"name": "own job", "duration": "2 h"}),
)  # fmt: skip

SECTIONS: Sequence[Section] = (*BOAT, *WORK[-2:-1], *WORK[-1:], *YARD, *WORK[:-2])
