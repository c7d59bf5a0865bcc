"""The checker passes a sound plan, and every one of its rules notices a plan that breaks it."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta

import pytest

from boottop.plan.checker import RULES, check_plan
from tests.demo_job import DemoJob
from tests.plan.mutants import (
    A_DAY,
    COAT,
    COPPER,
    HOUR,
    LAST,
    SHORT,
    Mutant,
    at_three_in_the_morning,
    before_rain,
    billed,
    cheaper_than_hire,
    cold,
    cold_air,
    crowded,
    dropped,
    halfway,
    humid,
    in_a_shed,
    into,
    kind_shifted,
    launched,
    left_out_though_done,
    near_dew,
    no_time_at_all,
    put_at,
    rains,
    sheet_changed,
    shifted,
    straight_after,
    task_of,
    tented,
    unnamed_primer,
    unsaid,
    without,
    yard_closed_on,
)

DAY = timedelta(days=1)
COATED = r"coat/port side/1: "

MUTANTS: dict[str, tuple[Mutant, ...]] = {
    "every task lies inside the known weather": (
        Mutant(name="a coat next year", spoil=shifted(COAT, 365 * DAY), says=COATED + "2023-.* outside the weather"),
        Mutant(name="a launch long ago", spoil=shifted("launch", -60 * DAY), says="launch: .* outside the weather"),
    ),
    "every zone has all its coats, in order": (
        Mutant(
            name="coat 3 forgotten",
            spoil=without(lambda task: task.key == "coat/port side/3"),
            says=r"port side: coats of Demo copper epoxy A are \[1, 2, 4\], wanted 1 to 4",
        ),
        Mutant(
            name="coat 4 before coat 3",
            spoil=straight_after(LAST, "coat/port side/1"),
            says=r"port side: coats .* wanted 1 to 4 in order",
        ),
        Mutant(
            name="no pads",
            spoil=without(lambda task: task.zone == "pads 1"),
            says=r"pads 1: coats of Demo copper epoxy A are \[\], wanted 1 to 4",
        ),
        Mutant(
            name="gear without primer",
            spoil=without(lambda task: task.kind == "primer_coat"),
            says=r"running gear: coats of Demo metal primer D are \[\], wanted 1 to 1",
        ),
    ),
    "no raw rain from the start of a coat until it is rain-safe": (
        Mutant(name="in the rain", spoil=into(rains), says=COATED + r"\d+\.\d\d mm of rain"),
        Mutant(name="rain on the wet film", spoil=before_rain, says=COATED + r"\d+\.\d\d mm of rain .* rain-safe"),
    ),
    "under the tent only while it is hired": (
        Mutant(name="a tent nobody hired", spoil=tented(hired=False), says=COATED + "under a tent that is not hired"),
        Mutant(name="after the tent has gone", spoil=tented(hired=True), says=COATED + "outside the hire of the tent"),
    ),
    "surface, air, humidity and dew margin within the sheet in every quarter of an hour of a coat": (
        Mutant(name="cold hull", spoil=into(cold), says=COATED + r"surface -?\d.*limits 8 to 35 degC"),
        Mutant(name="near the dew point", spoil=into(near_dew), says=COATED + r".* K above the dew point.*limit 3 K"),
        Mutant(name="humid air", spoil=into(humid), says=COATED + r"humidity \d+%, limit 85%"),
        Mutant(name="cold air", spoil=into(cold_air), says=COATED + r"air \d.*limits 8 to 35 degC"),
    ),
    "each coat after the last is tacky and before its longest overcoat": (
        Mutant(
            name="on the wet coat",
            spoil=straight_after("coat/port side/2", COAT),
            says="coat/port side/2: starts at .* before coat 1 is tacky",
        ),
        Mutant(
            name="a sheet with a shorter overcoat",
            spoil=sheet_changed(COPPER, overcoat_max=SHORT),
            says="coat/port side/2: .* past the longest overcoat of coat 1",
        ),
        Mutant(
            name="antifouling on a primer not yet sanded",
            spoil=lambda evidence: sheet_changed("Demo metal primer D", overcoat_max=A_DAY)(
                dropped(evidence, lambda task: task.key == "abrade/running gear/primer")
            ),
            says="coat/running gear/1: .* past the longest overcoat of coat 1",
        ),
    ),
    "stands moved and boat launched only onto cured film": (
        Mutant(
            name="stands moved early",
            spoil=straight_after("move_stands", LAST),
            says=f"move_stands: starts before {LAST} may carry a stand",
        ),
        Mutant(
            name="slings on a soft side",
            spoil=launched(30.0, LAST),
            says=f"launch: starts before {LAST} may carry a stand",
        ),
        Mutant(
            name="launched soft",
            spoil=launched(30.0, "coat/pads 1/4"),
            says=r"launch: starts before coat/pads 1/4 may be launched \(\d\d May",
        ),
        Mutant(
            name="a sheet that never cures in this weather",
            spoil=sheet_changed(COPPER, immersion=replace(SHORT, hours=(5000.0, 4000.0))),
            says=r"launch: .* \(the weather file ends first\)",
        ),
    ),
    "pad spots only after the stands have moved": (
        Mutant(
            name="pads wiped under the pads",
            spoil=straight_after("wipe/pads 1", LAST),
            says="wipe/pads 1: before the stands were moved off pads 1",
        ),
        Mutant(
            name="no move of the stands",
            spoil=without(lambda task: task.kind == "move_stands"),
            says="coat/pads 1/1: before the stands were moved off pads 1",
        ),
    ),
    "all coats of a zone in one day where the sheet says so": (
        Mutant(
            name="last coat the next day",
            spoil=shifted(LAST, DAY),
            says="port side: coats of Demo copper epoxy A fall on 2 days, the sheet wants one",
        ),
    ),
    "copper laid bare, and not too long before the launch": (
        Mutant(
            name="sanded days before",
            spoil=kind_shifted("activate", -4 * DAY),
            says="activate/pads 1: ends more than 48 h before the launch",
        ),
        Mutant(
            name="sanded days before, and the sheet is silent on how long it holds",
            spoil=lambda evidence: kind_shifted("activate", -4 * DAY)(
                sheet_changed("Demo copper epoxy A", activation_before_launch_h=None)(evidence)
            ),
            says="activate/pads 1: ends more than 48 h before the launch",
        ),
        Mutant(
            name="never sanded",
            spoil=without(lambda task: task.kind == "activate"),
            says="port side: the copper is never laid bare",
        ),
        Mutant(
            name="one side forgotten",
            spoil=without(lambda task: task.key == "activate/starboard side"),
            says="starboard side: the copper is never laid bare",
        ),
        Mutant(
            name="coated over again",
            spoil=straight_after("activate/port side", "coat/port side/3"),
            says=f"port side: the copper is never laid bare after {LAST}",
        ),
    ),
    "hands, hours and the time the work takes": (
        Mutant(name="three hands of two", spoil=crowded("coat", 3), says=r"3 people at work at .*, there are 2"),
        Mutant(
            name="at three in the morning", spoil=shifted(COAT, -6 * HOUR), says=COATED + ".*outside the crew's hours"
        ),
        Mutant(name="no time to roll it", spoil=no_time_at_all(COAT), says=COATED + r"0\.25 h of work for 15\.\d m2"),
        Mutant(name="no time to strip", spoil=no_time_at_all("strip/port side"), says=r"strip/port side: 0\.25 h"),
    ),
    "washed, stripped, dried, abraded, masked and wiped before the first coat": (
        Mutant(name="never washed", spoil=without(lambda task: task.kind == "wash"), says="the hull is never washed"),
        Mutant(
            name="washed in the end",
            spoil=shifted("wash", 10 * DAY),
            says="strip/port side: starts before the wash is done",
        ),
        Mutant(
            name="old paint left on",
            spoil=without(lambda task: task.key == "strip/port side"),
            says=COATED + "no strip of port side",
        ),
        Mutant(
            name="not abraded",
            spoil=without(lambda task: task.key == "abrade/port side"),
            says=COATED + "no abrade of port side",
        ),
        Mutant(
            name="not masked",
            spoil=without(lambda task: task.key == "mask/port"),
            says=COATED + "no mask of port side",
        ),
        Mutant(
            name="wiped the day before",
            spoil=shifted("wipe/port side", -DAY),
            says=COATED + "not wiped within 6 h",
        ),
        Mutant(
            name="primer abraded and never wiped",
            spoil=without(lambda task: task.key == "wipe/running gear"),
            says="coat/running gear/1: not wiped within 6 h",
        ),
    ),
    "the owner's own jobs, in full and in their order": (
        Mutant(
            name="anodes forgotten",
            spoil=without(lambda task: task.key == "extra/new anodes"),
            says="extra/new anodes: planned 0 times, wanted once",
        ),
        Mutant(
            name="polish before the coats",
            spoil=straight_after("extra/polish topsides", "strip/port side"),
            says="extra/polish topsides: starts before coat is done",
        ),
        Mutant(
            name="seacocks afloat",
            spoil=straight_after("extra/service seacocks", "launch"),
            says="extra/service seacocks: ends after launch has begun",
        ),
        Mutant(
            name="half the time",
            spoil=no_time_at_all("extra/service seacocks"),
            says=r"extra/service seacocks: 0\.25 h of work, it needs 3 h",
        ),
        Mutant(name="one hand for two", spoil=crowded("extra", 1), says="extra/polish topsides: 1 at work, it needs 2"),
    ),
    "yard hours, crane slots, and haul-out first, launch last": (
        Mutant(name="crane an hour later", spoil=shifted("launch", HOUR), says="launch: .* is no lift slot"),
        Mutant(
            name="stands on a Sunday",
            spoil=lambda evidence: shifted("move_stands", (6 - task_of(evidence, "move_stands").start.weekday()) * DAY)(
                evidence
            ),
            says="move_stands: at Sun .* the yard is shut",
        ),
        Mutant(
            name="stands on a holiday", spoil=yard_closed_on("move_stands"), says="move_stands: at .* the yard is shut"
        ),
        Mutant(
            name="coated afloat", spoil=shifted(COAT, -40 * DAY), says=COATED + "starts before the haul-out is done"
        ),
        Mutant(
            name="coated after launching", spoil=straight_after(LAST, "launch"), says=f"{LAST}: ends after the launch"
        ),
        Mutant(
            name="washed in the slings",
            spoil=shifted("wash", -HOUR),
            says="wash: starts before the haul-out is done",
        ),
        Mutant(
            name="no launch at all",
            spoil=without(lambda task: task.kind == "launch"),
            says=r"launch: tasks at \[\], the plan says 2022-05",
        ),
        Mutant(
            name="hauled out before she was ready",
            spoil=lambda evidence: replace(
                evidence,
                inputs=replace(
                    evidence.inputs,
                    wishes=replace(evidence.inputs.wishes, earliest_haul=task_of(evidence, "wash").start + DAY),
                ),
            ),
            says="hauled out before the earliest date",
        ),
    ),
    "what was done stands as it was written down, and nothing else lies behind": (
        Mutant(name="a coat nobody wrote down", spoil=unsaid(LAST), says="coat/port side/4: .* nothing was written"),
        Mutant(name="a coat left out", spoil=left_out_though_done(LAST), says="coat 4 on port side: written down, and"),
        Mutant(
            name="a coat at another time",
            spoil=lambda evidence: shifted(LAST, -2 * HOUR)(halfway(evidence)),
            says="coat 4 on port side: written down, and not in the plan at its time",
        ),
        Mutant(
            name="work put into the past",
            spoil=lambda evidence: kind_shifted("activate", timedelta(days=-17))(halfway(evidence)),
            says="activate/port side: lies before now",
        ),
        Mutant(
            name="coats in the wrong order",
            spoil=lambda evidence: put_at(
                halfway(evidence), "coat/starboard side/4", task_of(evidence, "coat/starboard side/2").start
            ),
            says="coat/starboard side/3: comes after coat 4",
        ),
    ),
    "the bill adds up": (
        Mutant(
            name="a line that lies", spoil=billed(-100, cost_too=False), says=r"sum to \d+, the cost is \d+ \(minor"
        ),
        Mutant(name="too cheap", spoil=billed(-250_000, cost_too=True), says=r"below \d+ days ashore, two lifts"),
        Mutant(name="a tent for nothing", spoil=cheaper_than_hire, says="and the hire"),
        Mutant(
            name="no cost at all",
            spoil=lambda evidence: replace(evidence, plan=replace(evidence.plan, cost_minor=None)),
            says="no cost, haul-out or launch",
        ),
    ),
}


def test_every_rule_has_a_plan_that_breaks_it() -> None:
    assert set(MUTANTS) == set(RULES)


def test_the_sound_plan_passes_every_rule(demo: DemoJob) -> None:
    assert demo.plan.status == "optimal"
    report = check_plan(demo.evidence())
    assert report.faults == ()
    assert report.checked == tuple(RULES)


@pytest.mark.parametrize(
    ("rule", "mutant"),
    [(rule, mutant) for rule, mutants in MUTANTS.items() for mutant in mutants],
    ids=lambda value: value.name.replace(" ", "_") if isinstance(value, Mutant) else value[:18].replace(" ", "_"),
)
def test_a_spoilt_plan_is_caught_by_its_rule(demo: DemoJob, rule: str, mutant: Mutant) -> None:
    spoilt = mutant.spoil(demo.evidence())
    faults = [*RULES[rule](spoilt)]
    assert any(re.search(mutant.says, fault) for fault in faults), faults


def test_the_report_carries_the_faults_of_every_rule(demo: DemoJob) -> None:
    two = launched(30.0, "coat/pads 1/4")(at_three_in_the_morning(COAT)(demo.evidence()))
    faults = " | ".join(check_plan(two).faults)
    for words in ("may be launched", "outside the crew's hours", "is no lift slot"):
        assert words in faults


def test_a_primer_without_named_zones_is_asked_for_on_metal_gear_alone(demo: DemoJob) -> None:
    assert check_plan(unnamed_primer(demo.evidence())).faults == ()


def test_rain_does_not_reach_into_a_shed(demo: DemoJob) -> None:
    rule = "no raw rain from the start of a coat until it is rain-safe"
    assert [fault for fault in RULES[rule](in_a_shed(demo.evidence())) if COAT in fault] == []


def test_a_plan_without_tasks_has_nothing_to_check(demo: DemoJob) -> None:
    nothing = replace(demo.evidence(), plan=replace(demo.plan, tasks=()))
    assert check_plan(nothing).checked == ()
