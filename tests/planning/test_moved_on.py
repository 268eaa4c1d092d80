"""A ferment that stood and went on again is known by its gravities, however often they are read."""

from __future__ import annotations

import pytest

from caskward.planning.observing import moved_on_h
from caskward.planning.readings import Reading, reading_of


def _read(*rows: tuple[float, float]) -> list[Reading]:
    return [reading_of("ferment", "gravity", sg, at_h) for at_h, sg in rows]


STOOD = ((24.0, 1.045), (48.0, 1.030), (72.0, 1.030))


@pytest.mark.parametrize(
    ("after", "found_h"),
    [
        ([(120.0, 1.015)], 72.0),
        ([(84.0, 1.027), (96.0, 1.023), (108.0, 1.019), (120.0, 1.015)], 72.0),
        ([(84.0, 1.030), (96.0, 1.0305), (108.0, 1.028), (120.0, 1.024), (132.0, 1.019)], 96.0),
        ([(84.0, 1.0295), (96.0, 1.030)], None),
    ],
)
def test_the_hour_it_moved_on_is_that_of_the_last_row_that_stood(
    after: list[tuple[float, float]], found_h: float | None
) -> None:
    assert moved_on_h(_read(*STOOD, *after)) == found_h


def test_rows_every_six_hours_are_a_stand_too() -> None:
    stood = [(48.0 + 6.0 * k, 1.030) for k in range(5)]
    found_h = moved_on_h(_read((24.0, 1.045), *stood, (78.0, 1.028), (84.0, 1.025), (96.0, 1.019)))
    assert found_h in (72.0, 78.0)  # 1.028 is within the hydrometer's errors of 1.030


def test_a_slow_ferment_that_is_read_often_did_not_stand() -> None:
    """Twelve-hourly rows lie within each other's errors all the way down."""
    falling = [(24.0 + 12.0 * k, 1.045 - 0.004 * k) for k in range(12)]
    assert moved_on_h(_read(*falling)) is None
    slowing = [(24.0 + 12.0 * k, 1.000 + 0.045 * 0.85**k) for k in range(20)]
    assert moved_on_h(_read(*slowing)) is None
