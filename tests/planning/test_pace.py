"""A forecast breathes between its steps, so that a page can go first, and comes out the same."""

from __future__ import annotations

import numpy as np
import pytest

from caskward import pace
from caskward.planning.forecast import forecast
from caskward.planning.unknowns import draw
from caskward.planning.update import begin, update
from tests.support.simulated import Asked, read, sized_of, truth_of

MASH: Asked = ("mash", "gravity", 1.0, 0.0)
FERMENT: Asked = ("ferment", "gravity", 0.0, 30.0)


def test_a_forecast_breathes_in_every_long_stage_and_stays_what_it_is() -> None:
    sized = sized_of("rye", 128)
    worlds = draw(begin(sized).unknowns, 128, 1)
    without = forecast(sized.intent, sized.method, worlds).available_l
    breaths: list[int] = []
    with pace.giving_way(lambda: breaths.append(1)):
        found = forecast(sized.intent, sized.method, worlds).available_l
    assert len(breaths) > 20
    assert np.array_equal(found, without)


@pytest.mark.parametrize("asked", [MASH, FERMENT])
def test_an_update_breathes_in_every_run(asked: Asked) -> None:
    sized, rng = sized_of("rye", 128), np.random.default_rng(1)
    readings = read(sized, truth_of(sized, rng), (asked,), rng)
    breaths: list[int] = []
    with pace.giving_way(lambda: breaths.append(1)):
        believed = update(begin(sized), readings)
    assert believed.particles is not None
    assert len(breaths) > 3 * believed.particles.evaluations
