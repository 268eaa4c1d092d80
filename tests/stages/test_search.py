"""The small numerical tools of a run: a root in every world, Simpson on uneven nodes, cubics between them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from caskward.stages.quadrature import cumulative, hermite, interval_of, weights
from caskward.stages.search import crossing


@given(st.lists(st.floats(-5.0, 5.0), min_size=1, max_size=6), st.floats(0.2, 9.0))
def test_a_root_in_every_world(targets: list[float], steep: float) -> None:
    """As `scipy.optimize.brentq` finds it, one world after the other, over a four-hundredfold function."""
    wanted = np.sinh(np.array(targets))
    found = crossing(lambda z: np.sinh(steep * z) - wanted, np.full(len(targets), -6.0 / steep), 6.0 / steep)
    alone = [brentq(lambda z, w=w: np.sinh(steep * z) - w, -6.0 / steep, 6.0 / steep) for w in wanted]
    assert found == pytest.approx(alone, abs=1e-8)


def test_the_nearest_end_where_there_is_no_root() -> None:
    low, high = np.zeros(2), np.ones(2)
    assert crossing(lambda z: z + np.array([0.5, -3.0]), low, high).tolist() == [0.0, 1.0]


@given(st.floats(0.05, 0.95), st.floats(0.01, 3.0))
def test_simpson_is_exact_for_a_parabola_wherever_the_middle_lies(middle: float, width: float) -> None:
    at = np.array([1.0, 1.0 + middle * width, 1.0 + width])
    first, mid, last = weights(at)
    for power in range(3):
        exact = ((1.0 + width) ** (power + 1) - 1.0) / (power + 1)
        values = at**power
        assert first[0] * values[0] + mid[0] * values[1] + last[0] * values[2] == pytest.approx(
            exact, rel=1e-9
        )


def test_an_empty_interval_weighs_nothing() -> None:
    assert cumulative(np.full(5, 7.0), np.array([2.0, 2.0, 2.0, 2.5, 3.0])) == pytest.approx([0.0, 0.0, 7.0])


def test_a_cubic_between_nodes() -> None:
    nodes = np.array([3.0, 2.2, 0.5, -1.0])[:, None]
    where = np.array([1.3])
    k, along, width = interval_of(nodes, where)
    assert (k[0], width[0]) == (1, pytest.approx(-1.7))
    assert hermite(nodes**3, 3.0 * nodes**2, k, along, width) == pytest.approx(where**3)
    for outside, end in ((5.0, 3.0), (-4.0, -1.0)):
        place = interval_of(nodes, np.array([outside]))
        assert hermite(nodes**3, 3.0 * nodes**2, *place) == pytest.approx([end**3])
