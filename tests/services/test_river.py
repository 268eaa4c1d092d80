"""The alcohol river closes from reach to reach."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from caskward.planning.plan import Band
from caskward.planning.sizing import size
from caskward.services import plans, river
from caskward.services.river import Recorded

STARTS = ("rye", "pears", "wheat-panela")


@pytest.mark.parametrize("start", STARTS)
def test_what_leaves_a_reach_comes_to_the_next_or_is_named(start: str, monkeypatch) -> None:
    sized = size(plans.intent_text(f"worlds = 256\n{plans.starting_point(start)}"))

    def mean(values) -> Band:
        return Band(*(float(np.mean(values)),) * 3)

    # Of averages a sum is the average of sums; of middles it is not.
    monkeypatch.setattr(river, "band", mean)
    monkeypatch.setattr(river, "_WORTH_L", 0.0)
    found = river.river(sized.course, None, Recorded()).reaches
    assert [one.key for one in found] == [key for key, *_ in river._REACHES]
    for one, after in pairwise(found):
        out = sum(side.planned.mid for side in one.sides if side.kind != "in")
        came = sum(side.planned.mid for side in one.sides if side.kind == "in")
        assert after.planned.mid == pytest.approx(one.planned.mid - out + came, rel=1e-6, abs=1e-6), one.key
