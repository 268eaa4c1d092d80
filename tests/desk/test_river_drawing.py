"""The alcohol river is drawn as it is: recorded ends hard, expected fades, planned is an outline."""

from __future__ import annotations

from dataclasses import replace

import pytest

from caskward.desk import river_drawing
from caskward.planning.plan import Band
from caskward.services import river
from caskward.services.river import Reach, Recorded, River, Side


def reach(
    recorded_l: float | None, now: Band | None, key: str = "wash", sides: tuple[Side, ...] = ()
) -> Reach:
    return Reach(key, key, "separate", "wash", Band(20.0, 25.0, 30.0), now, recorded_l, sides)  # type: ignore[arg-type]


NOW = Band(22.0, 24.0, 26.0)


def test_expected_fades_over_its_band_and_recorded_ends_hard() -> None:
    expected, recorded = river_drawing.drawn(
        River((reach(None, NOW), reach(25.0, NOW, "cask"))), "metric"
    ).reaches
    scale = 1000.0 / 30.0
    assert expected.solid is None
    assert expected.soft == pytest.approx((22.0 * scale, 26.0 * scale))
    assert expected.tick == pytest.approx(24.0 * scale)
    assert expected.outline == pytest.approx(25.0 * scale)
    assert recorded.solid == pytest.approx(25.0 * scale)
    assert recorded.soft is None
    assert (expected.how, recorded.how) == ("expected", "recorded")


def test_what_still_fills_shows_both_and_what_is_over_only_what_was() -> None:
    filling = river_drawing.drawn(River((reach(10.0, NOW),)), "metric").reaches[0]
    assert filling.solid is not None
    assert filling.soft is not None
    assert filling.said == "10.0 L so far"
    over = river_drawing.drawn(River((reach(10.0, NOW), reach(9.0, NOW, "cask"))), "metric").reaches[0]
    assert over.soft is None
    assert over.said == "10.0 L"


def test_a_part_is_told_from_the_whole_that_flows_on() -> None:
    left = Side("left in the still", "lost", None, Band(0.4, 0.5, 0.6), 0.25, so_far=True)
    wash = reach(25.0, NOW, sides=(left,))
    low_wines = replace(reach(12.0, Band(23.0, 24.5, 25.0), "low wines"), so_far=True)
    first, second = river_drawing.drawn(River((wash, low_wines)), "metric").reaches
    assert (first.said, second.said) == ("25.0 L", "12.0 L so far of about 24.5 L")
    assert second.soft is not None
    flow = [float(corner.split(",")[0]) for corner in first.ribbon.split()]
    assert flow[1:3] == pytest.approx([1000 * 24.5 / 30, 1000 * 24.5 / 30], abs=0.1), "what flows on is whole"
    assert (first.sides[0].amount, first.sides[0].how) == ("500 mL", "expected")
    drawn = river_drawing.drawn(River((wash, low_wines)), "metric")
    assert drawn.rows[-1][-1] == "12.0 L so far"
    assert "24.5 L of which 12.0 L is recorded so far" in drawn.sentence


def test_the_ribbon_narrows_by_what_leaves() -> None:
    lost = Side("spilt", "lost", None, None, 5.0)
    first = river_drawing.drawn(River((reach(30.0, None, sides=(lost,)), reach(25.0, None, "cask"))), "us")
    flow = [corner.split(",")[0] for corner in first.reaches[0].ribbon.split()]
    assert [float(x) for x in flow] == pytest.approx([0.0, 1000 * 25 / 30, 1000 * 25 / 30, 0.0], abs=0.1)
    assert first.reaches[0].sides[0].amount == "1.32 gal"
    assert first.rows[1][0] == "lost: spilt"


def test_a_river_of_nothing_has_no_reach() -> None:
    assert river_drawing.drawn(river.river(None, None, Recorded()), "metric").reaches == ()
