"""A forecast breathes between its steps, so that a page can go first, and comes out the same."""

from __future__ import annotations

import threading

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


def test_what_stands_still_in_a_stage_holds_no_other_forecast_up() -> None:
    sized = sized_of("rye", 128)
    worlds = draw(begin(sized).unknowns, 128, 1)
    stands, goes_on, ended = threading.Event(), threading.Event(), threading.Event()

    def stand() -> None:
        stands.set()
        goes_on.wait(60.0)

    def think() -> None:
        with pace.giving_way(stand):
            forecast(sized.intent, sized.method, worlds)

    def look() -> None:
        forecast(sized.intent, sized.method, worlds)
        ended.set()

    threads = [threading.Thread(target=work, daemon=True) for work in (think, look)]
    threads[0].start()
    assert stands.wait(60.0)
    threads[1].start()
    try:
        assert ended.wait(60.0)
    finally:
        goes_on.set()
        for thread in threads:
            thread.join(60.0)


def test_once_is_worked_out_once_for_each() -> None:
    class Squared:
        """Counts how often it is asked."""

        def __init__(self, of: int) -> None:
            self.of, self.asked = of, 0

        @pace.once
        def value(self) -> int:
            """Its square."""
            self.asked += 1
            return self.of**2

    two, three = Squared(2), Squared(3)
    assert [two.value, three.value, two.value, three.value] == [4, 9, 4, 9]
    assert (two.asked, three.asked) == (1, 1)
    assert Squared.value.__doc__ == "Its square."
