"""What a reader of the windows may ask: starts, slack, reasons, spans, dew on the film."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from boottop.base.clock import Grid
from boottop.windows.windows import RULE_TEXT, RULE_UNIT, Band, Closed, Rule, ZoneWindows
from tests.windows.windows_made import START

COUNT = 24


def _band(lag: int) -> Band:
    marks = np.arange(COUNT + 1) + lag
    capped = np.where(marks > COUNT, COUNT + 1, marks).astype(np.int32)
    return Band(early=capped, middle=capped, late=capped)


def _windows(closed: dict[int, Rule] | None = None, *, rain_safe: int = 3, under_tent: bool = False) -> ZoneWindows:
    rule = np.zeros(COUNT, dtype=np.int8)
    for slot, why in (closed or {}).items():
        rule[slot] = why
    return ZoneWindows(
        zone="port",
        product="Tern Copper",
        under_tent=under_tent,
        grid=Grid(start=START, count=COUNT),
        rule=rule,
        needed=np.full(COUNT, 3.0),
        had=np.full(COUNT, 1.5),
        surface_c=np.full(COUNT, 18.0),
        margin_k=np.full(COUNT, 5.0),
        ready=_band(2),
        overcoat_until=_band(8),
        rain_safe=_band(rain_safe),
        stands_safe=_band(12),
        immersion=_band(16),
        rain=np.asarray(rule == Rule.RAIN),
        dewy=np.zeros(COUNT, dtype=np.bool_),
        drying_decides=np.zeros(COUNT + 1, dtype=np.bool_),
    )


def _starts(windows: ZoneWindows, duration: int) -> list[int]:
    return [int(slot) for slot in np.flatnonzero(windows.may_apply(duration))]


def test_every_rule_has_text_and_unit() -> None:
    assert set(RULE_TEXT) == set(Rule) == set(RULE_UNIT)


def test_a_coat_needs_all_its_slots_and_dry_weather_until_rain_safe() -> None:
    """Closed at 5, rain at 12: a coat of 2 may not lie on 5, nor end later than 9, three slots before the rain."""
    windows = _windows({5: Rule.HUMIDITY, 12: Rule.RAIN})
    assert _starts(windows, 2) == [0, 1, 2, 3, 6, 7, *range(13, 20)]
    assert _starts(windows, 1) == [0, 1, 2, 3, 4, 6, 7, 8, *range(13, 21)]


def test_a_film_not_rain_safe_within_the_known_weather_may_not_be_begun() -> None:
    """Mark 24 is the last known: a film finished at 21 is rain-safe just then, one finished at 22 nobody knows."""
    windows = _windows()
    assert _starts(windows, 1)[-1] == 20
    assert windows.why_not(20, 1) is None
    assert windows.why_not(21, 1) == Closed(rule=Rule.NO_WEATHER, needed=0.75, had=0.5, unit="h")
    assert windows.why_not(22, 4) == Closed(rule=Rule.NO_WEATHER, needed=1.0, had=0.5, unit="h")
    assert windows.why_not(-1, 1) == Closed(rule=Rule.NO_WEATHER, needed=0.25, had=0.0, unit="h")


def test_under_the_tent_the_weather_after_the_coat_does_not_matter() -> None:
    windows = _windows(under_tent=True)
    assert _starts(windows, 2)[-1] == 22
    assert windows.slack(2).tolist() == [*range(22, -1, -1), 0]


def test_why_not_names_the_first_thing() -> None:
    windows = _windows({5: Rule.HUMIDITY, 12: Rule.RAIN})
    assert windows.why_not(4, 2) == Closed(rule=Rule.HUMIDITY, needed=3.0, had=1.5, unit="fraction")
    late = windows.why_not(8, 2)
    assert late == Closed(rule=Rule.RAIN_BEFORE_SAFE, needed=0.75, had=0.5, unit="h")
    assert late is not None
    assert late.text == "rain before the film is rain-safe"


@pytest.mark.parametrize("duration", [1, 2, 5])
def test_why_not_and_may_apply_agree(duration: int) -> None:
    windows = _windows({3: Rule.DARK, 9: Rule.RAIN, 17: Rule.DEW_MARGIN})
    may = windows.may_apply(duration)
    assert [windows.why_not(slot, duration) is None for slot in range(COUNT)] == may.tolist()


def test_slack_counts_to_the_next_closing_by_weather() -> None:
    """Coats of 2; rain at 12, rain-safe in 3: the start at 0 (film safe at 5) could take rain 7 slots earlier."""
    slack = _windows({12: Rule.RAIN}).slack(2)
    assert slack[:9].tolist() == [7, 6, 5, 4, 3, 2, 1, 0, 0]
    assert _windows({6: Rule.HUMIDITY, 12: Rule.RAIN}).slack(2)[:6].tolist() == [4, 3, 2, 1, 0, 0]


def test_dusk_is_not_weather() -> None:
    dark = _windows({6: Rule.DARK, 12: Rule.RAIN})
    assert dark.slack(2)[:5].tolist() == [7, 6, 5, 4, 3]
    assert dark.slack(2)[5] == 0


def test_slack_never_exceeds_what_the_coat_survives() -> None:
    """Bring the first rain forward by the slack: the start still stands; by one slot more: it falls."""
    rain_at, duration = 14, 2
    slack = _windows({rain_at: Rule.RAIN}).slack(duration)
    for start in _starts(_windows({rain_at: Rule.RAIN}), duration):
        if start >= rain_at:
            continue
        kept = _windows({rain_at - int(slack[start]): Rule.RAIN})
        lost = _windows({rain_at - int(slack[start]) - 1: Rule.RAIN})
        assert kept.may_apply(duration)[start]
        assert not lost.may_apply(duration)[start]


def test_open_spans() -> None:
    windows = _windows({0: Rule.RAIN, 5: Rule.HUMIDITY, 6: Rule.HUMIDITY, 23: Rule.DARK})
    assert windows.open_spans() == ((1, 5), (7, 23))
    assert windows.open_spans(at_least=5) == ((7, 23),)
    assert _windows(dict.fromkeys(range(COUNT), Rule.RAIN)).open_spans() == ()


def test_closed_at_an_open_slot_gives_its_dew_margin() -> None:
    assert _windows().closed_at(4) == Closed(rule=Rule.OPEN, needed=3.0, had=1.5, unit="K")


def test_dew_on_a_film_that_is_not_yet_rain_safe() -> None:
    dewy = np.zeros(COUNT, dtype=np.bool_)
    dewy[10] = True
    windows = replace(_windows(), dewy=dewy)
    assert [windows.dew_before_safe(finish) for finish in (6, 7, 8, 10, 11, 23)] == [None, None, 10, 10, None, None]


def test_a_coat_of_no_length_is_a_mistake() -> None:
    with pytest.raises(ValueError, match="a coat takes at least one slot, not 0"):
        _windows().may_apply(0)
