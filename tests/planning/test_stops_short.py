"""A ferment that stops short: one tub for the plan, for its readings and for the question about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from caskward.planning.doubts import STOPS_SHORT, TURNS_AGAIN, doubts
from caskward.planning.forecast import forecast
from caskward.planning.observing import moved_on_h
from caskward.planning.readings import Reading, reading_of
from caskward.planning.tub.explain import with_changes
from caskward.planning.tub.ferment_model import FermentModel, ferment_model
from caskward.planning.unknowns import Draw, draw
from tests.support.simulated import sized_of

MONTH_H = 24.0 * 30.0


def stopped(sized_worlds: Draw, left: float, again: float = 0.0) -> Draw:
    """The same worlds, in all of which the ferment stops with so much left."""
    count = sized_worlds.count
    values = {
        **sized_worlds.values,
        STOPS_SHORT: np.full(count, left),
        TURNS_AGAIN: np.full(count, again),
    }
    return replace(sized_worlds, values=values)


def left_by(model: FermentModel, key: str) -> np.ndarray:
    """Share of the sugar left after a month in worlds of one cause."""
    cause = next(c for c in model.causes if c.key == key)
    unknowns = with_changes(model.base, cause)
    worlds = draw(unknowns, 64, 1)
    return np.asarray(1.0 - model.follow(worlds.values, (), MONTH_H).course.gone[-1])


def test_a_plan_leaves_what_the_causes_of_a_question_leave() -> None:
    """The middle of each cause that stops a ferment lies in the plan's own band of one that stopped."""
    sized = sized_of("rye", 512)
    stops = next(u for u in doubts(sized.intent) if u.name == STOPS_SHORT)
    values = draw([stops], 65_536, 1)[STOPS_SHORT]
    low, high = np.quantile(values[values > 0.0], [0.1, 0.9])
    model = ferment_model(sized.intent, sized.method)
    middles = [float(np.median(left_by(model, key))) for key in ("nitrogen", "sour", "infection")]
    assert all(low < middle < high for middle in middles)
    assert float(np.median(left_by(model, "time"))) < 0.02


def test_half_of_the_sugar_left_is_half_of_the_alcohol() -> None:
    """By hand. Tolerance: less gas and fewer by-products leave a little more liquid."""
    sized = sized_of("rye", 512)
    sound, short = (
        forecast(sized.intent, sized.method, stopped(sized.worlds, left)).fermented.ethanol_kg
        for left in (0.0, 0.5)
    )
    np.testing.assert_allclose(short, 0.5 * sound, rtol=0.01)


def test_one_that_goes_on_ends_as_if_it_had_never_stopped() -> None:
    sized = sized_of("rye", 512)
    never, again = (
        forecast(sized.intent, sized.method, stopped(sized.worlds, *left)).available_l
        for left in ((0.0, 0.0), (0.6, 1.0))
    )
    np.testing.assert_allclose(again, never, rtol=1e-9)
    read_on = replace(sized.method, ferment_moved_on_h=240.0)
    np.testing.assert_allclose(
        forecast(sized.intent, read_on, stopped(sized.worlds, 0.6)).available_l, never, rtol=1e-9
    )


def gravities(*rows: tuple[float, float]) -> Sequence[Reading]:
    return [reading_of("ferment", "gravity", sg, 24.0 * days) for days, sg in rows]


@pytest.mark.parametrize(
    ("rows", "moved_d"),
    [
        (((2, 1.030), (4, 1.030), (6, 1.030)), None),
        (((1, 1.045), (2, 1.030), (3, 1.015)), None),
        (((4, 1.030), (6, 1.031), (8, 1.010)), 6.0),
        (((4, 1.030), (6, 1.030), (7, 1.010), (9, 1.011), (11, 1.000)), 9.0),
        (((6, 1.030), (6.2, 1.030), (8, 1.010)), None),
        (((6, 1.030), (8, 1.030)), None),
    ],
)
def test_a_ferment_moved_on_where_it_stood_and_fell(
    rows: Sequence[tuple[float, float]], moved_d: float | None
) -> None:
    assert moved_on_h(gravities(*rows)) == (None if moved_d is None else 24.0 * moved_d)
