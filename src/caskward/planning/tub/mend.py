"""What to do about a cause, solved in the worlds that it and the readings leave: litres, doses and hours.

Nothing here is done: a mend is a proposal with its figures, found by carrying the cause's worlds on with the
change made.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from caskward.planning.intent import EnzymeLabel
from caskward.planning.tub import mash_causes as known
from caskward.planning.tub.explain import Cause, Weighed
from caskward.planning.tub.mash import MALT, Truth, product_dose
from caskward.planning.tub.mash_model import FollowedMash, MashModel
from caskward.properties import alcohol
from caskward.stages.enzymes import Dose
from caskward.stages.iodine import starch_test_positive
from caskward.stages.mashing import MashCourse, mash_course
from caskward.stages.stream import ETHANOL_KG_PER_KG_HEXOSE, HEXOSE_KG_PER_KG_GLUCAN, Stream, Worlds
from caskward.stages.tub_heat import cold_water_l, hot_water_l, ice_kg

Way = Literal["hold", "warm", "cool", "dose", "sour", "boil again", "add sugar", "read again"]

PART_C: Final = 90.0
"""How hot a part of the mash is made in the pot before it goes back; *common practice, no source*."""
SURE: Final = 0.8
"""Chance at which a hold is called long enough."""
BOILING_C: Final = 98.0
"""Water as hot as a kettle brings it to the tub; *common practice, no source*."""
_WORLDS: Final = 96
_LONGEST_H, _STEP_H = 10.0, 1.0 / 6.0
_NEAR_K = 1.5
LPA_PER_KG_SUGAR: Final = 0.682 * 0.9
"""Pure alcohol that a kilogram of cane sugar brings at nine tenths of theory [L/kg]."""


@dataclass(frozen=True)
class Mend:
    """One way to mend: what to change, by how much, and how long to hold after it.

    to_c: temperature to bring the tub to; hot_water_l, cold_water_l, ice_kg do it, each alone. fits: whether
    the tub takes the hot (or cold) water; where not, part_l of mash heated in the pot to 90 °C and stirred
    back in warms it too. doses: product and amount of its own unit [mL or g]. ph: the window
    to bring it into. hold_h: hours until the test is clear 8 in 10 times, None where it never is.
    sugar_kg: cane sugar that makes good what is missing. lpa: pure alcohol at stake [L].
    """

    way: Way
    to_c: float | None = None
    hot_water_l: float | None = None
    part_l: float | None = None
    cold_water_l: float | None = None
    ice_kg: float | None = None
    fits: bool = True
    doses: tuple[tuple[str, float, str], ...] = ()
    ph: tuple[float, float] | None = None
    hold_h: float | None = None
    sugar_kg: float | None = None
    lpa: float | None = None


@dataclass(frozen=True)
class Scene:
    """The tub as one cause leaves it now: a few of its worlds, by their weight."""

    model: MashModel
    followed: FollowedMash
    at_h: float
    spare_l: float

    @property
    def i(self) -> int:
        """The grid's point of now."""
        return self.followed.at(self.at_h)

    @property
    def course(self) -> MashCourse:
        """The course up to now."""
        return self.followed.course

    @property
    def stream(self) -> Stream:
        """The tub now."""
        return self.course.stream(self.i)


def scene(weighed: Weighed, cause: int) -> Scene:
    """A few worlds of one cause, as the readings leave them."""
    model = weighed.model
    assert isinstance(model, MashModel)
    weights = weighed.of(cause)
    each = weights.size
    # Evenly along the cumulated weights: no chance in it, the same question has the same answer.
    picks = np.searchsorted(np.cumsum(weights), (np.arange(_WORLDS) + 0.5) / _WORLDS)
    at = cause * each + np.minimum(picks, each - 1)
    worlds = {name: values[at] for name, values in weighed.worlds.items()}
    followed = model.follow(worlds, weighed.readings, weighed.at_h)
    volume_l = followed.course.stream(followed.at(weighed.at_h)).volume_l
    spare_l = model.intent.gear.tub.working_l - float(np.median(volume_l))
    return Scene(model, followed, weighed.at_h, max(spare_l, 0.0))


def mends(weighed: Weighed, cause: int) -> tuple[Mend, ...]:
    """What to do if a cause is the one, best first."""
    what = weighed.model.causes[cause]
    tub = scene(weighed, cause)
    kind, _, product = what.key.partition("/")
    ways: dict[str, Callable[[], tuple[Mend, ...]]] = {
        "time": lambda: (_hold(tub),),
        "cold": lambda: (_warm(tub, _target_c(tub)), _hold(tub)),
        "thermometer": lambda: (_warm(tub, _target_c(tub)),),
        "hot": lambda: (_cool(tub, _target_c(tub)), _dose_again(tub, _due(tub))),
        "window": lambda: (_warm(tub, _true_best_c(tub, product)), _dose_again(tub, _labels(tub, product))),
        "weak": lambda: (_dose_again(tub, _labels(tub, product)),),
        "weak malt": lambda: (_dose_again(tub, _due(tub)), _hold(tub)),
        "alkaline": lambda: (_into_ph(tub),),
        "sour": lambda: (_into_ph(tub),),
        "raw": lambda: (_boil_again(tub), _make_up(tub)),
        "less starch": lambda: (_make_up(tub),),
        "more water": lambda: (_make_up(tub),),
        "hydrometer": lambda: (Mend("read again"),),
    }
    return ways[kind]()
