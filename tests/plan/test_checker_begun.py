"""The checker on a job that has begun: what is still to come is held to every rule, what was done is a fact."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from boottop.plan.checker import Evidence, check_plan
from boottop.plan.progress import Deed
from tests.demo_job import DemoJob
from tests.plan.carried_out import carried_out
from tests.plan.mutants import LAST, Mutant, at_three_in_the_morning, halfway, shifted, task_of
from tests.plan.test_checker import MUTANTS

FACTS = {"hauled out before she was ready"}
"""A haul-out that was done is no choice of the plan any more."""


def ashore(evidence: Evidence) -> Evidence:
    """The plan when she stands ashore and nothing else was done."""
    return replace(evidence, progress=carried_out(evidence.plan, task_of(evidence, "haul_out").end))


def told(evidence: Evidence, **fields: object) -> Evidence:
    """Another thing is known of coat 3 of the port side, the plan as it was."""
    begun = replace(evidence, progress=carried_out(evidence.plan, task_of(evidence, "coat/port side/3").end))
    assert begun.progress is not None

    def other(deed: Deed) -> Deed:
        here = deed.place == ("coat", "port side", 3)
        return replace(deed, **fields) if here else deed  # type: ignore[arg-type]  # fields by name

    deeds = tuple(other(deed) for deed in begun.progress.deeds)
    return replace(begun, progress=replace(begun.progress, deeds=deeds))


@pytest.mark.parametrize("made", [ashore, halfway], ids=["ashore", "halfway"])
def test_the_plan_as_it_is_carried_out_passes(demo: DemoJob, made: object) -> None:
    assert callable(made)
    assert check_plan(made(demo.evidence())).faults == ()


@pytest.mark.parametrize(
    "mutant",
    [mutant for mutants in MUTANTS.values() for mutant in mutants if mutant.name not in FACTS],
    ids=lambda mutant: mutant.name.replace(" ", "_"),
)
def test_every_spoilt_plan_is_still_caught_once_she_is_ashore(demo: DemoJob, mutant: Mutant) -> None:
    assert check_plan(mutant.spoil(ashore(demo.evidence()))).faults


def test_a_coat_that_was_rolled_at_night_is_a_fact_and_one_that_will_be_is_a_fault(demo: DemoJob) -> None:
    evidence = demo.evidence()
    night = at_three_in_the_morning("coat/starboard side/1")(halfway(evidence))
    assert any("coat/starboard side/1: at" in fault for fault in check_plan(night).faults)
    done = at_three_in_the_morning(LAST)(evidence)
    begun = replace(done, progress=carried_out(done.plan, task_of(evidence, LAST).end + timedelta(hours=1)))
    assert not [fault for fault in check_plan(begun).faults if "outside the crew's hours" in fault]


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"rained": True}, "coat/port side/4: not sanded before it, though rain fell on coat 3"),
        ({"touch": "past tacky"}, "coat/port side/4: not sanded before it, though coat 3 was past tacky"),
    ],
)
def test_a_film_that_is_spoilt_must_be_sanded(demo: DemoJob, fields: dict[str, object], says: str) -> None:
    found = told(demo.evidence(), **fields)
    assert found.progress is not None
    if "touch" in fields:
        found = told(demo.evidence(), **fields, touched=found.progress.at)
    assert any(fault.startswith(says) for fault in check_plan(found).faults)


def test_a_touch_test_goes_before_the_clock(demo: DemoJob) -> None:
    """Tacky now: the next coat may follow at once; wet: not for ten minutes."""
    evidence = demo.evidence()
    before, after = task_of(evidence, "coat/port side/3"), task_of(evidence, LAST)
    sooner = before.end + timedelta(minutes=15) - after.start
    early = shifted(LAST, sooner)
    assert any("before coat 3 is tacky" in fault for fault in check_plan(early(halfway_of(evidence))).faults)
    tacky = told(evidence, touch="tacky", touched=before.end + timedelta(minutes=10))
    assert not [fault for fault in check_plan(early(tacky)).faults if "is tacky" in fault]


def halfway_of(evidence: Evidence) -> Evidence:
    """The plan when coat 3 of the port side is on."""
    return replace(evidence, progress=carried_out(evidence.plan, task_of(evidence, "coat/port side/3").end))
