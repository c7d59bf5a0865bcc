"""Runs of slots that look alike: nothing lost, nothing doubled, every rule with its look."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from boottop.report.bands import LOOK_OF, LOOKS, OPEN, runs, spans
from boottop.windows.windows import Rule


def test_every_rule_has_a_look_and_only_open_looks_open() -> None:
    assert set(LOOK_OF) == set(Rule)
    assert set(LOOK_OF.values()) == set(LOOKS)
    assert [rule for rule, look in LOOK_OF.items() if look is OPEN] == [Rule.OPEN]


@pytest.mark.parametrize("rule", [*Rule])
def test_one_rule_alone_is_one_span(rule: Rule) -> None:
    (span,) = spans(np.full(7, rule, dtype=np.int8))
    assert (span.first, span.end, span.look) == (0, 7, LOOK_OF[rule])


@given(st.lists(st.sampled_from([*Rule]), max_size=60))
def test_spans_cover_every_slot_once_in_its_look(rules: list[Rule]) -> None:
    found = [*spans(np.array(rules, dtype=np.int8))]
    drawn = [span.look for span in found for _ in range(span.first, span.end)]
    assert drawn == [LOOK_OF[rule] for rule in rules]
    assert all(before.end == after.first and before.look != after.look for before, after in pairwise(found))


@given(st.lists(st.booleans(), max_size=60))
def test_runs_hold_every_true_slot_and_no_other(true: list[bool]) -> None:
    found = runs(np.array(true, dtype=np.bool_))
    held = {slot for first, end in found for slot in range(first, end)}
    assert held == {slot for slot, value in enumerate(true) if value}
    assert all(before < after for (_, before), (after, _) in pairwise(found))
