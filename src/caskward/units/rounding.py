"""Amounts rounded up to what a scale or a jug can show; too little would not fill the cask.

The steps are common practice, no source. From 1 g or 1 mL up, a step is at most a tenth of the amount, so
that a dose of enzyme stays one.
"""

from __future__ import annotations

import math

from caskward.errors import NotShowable
from caskward.units import convert
from caskward.units.types import UnitSystem

# Below each limit [kg or L; lb; US gal], the steps that make one whole.
_METRIC_STEPS = ((0.01, 10_000), (0.05, 1000), (0.5, 200), (5, 20), (20, 10), (math.inf, 2))
_POUND_STEPS = ((1 / 16, 1600), (10 / 16, 160), (10, 16), (40, 4), (math.inf, 1))
_GALLON_STEPS = ((1 / 128, 12_800), (10 / 128, 1280), (1, 128), (5, 20), (20, 10), (math.inf, 2))


def round_to_weigh(mass_kg: float, system: UnitSystem = "metric") -> float:
    """A mass [kg, not negative], rounded up to one that can be weighed [kg].

    To 0.05 kg below 5 kg, 0.1 kg below 20 kg, 0.5 kg above; for a US maker to 1 oz below 10 lb, 0.25 lb below
    40 lb, 1 lb above. Finer below 0.5 kg (10 oz): 5 g, 1 g below 50 g, 0.1 g below 10 g (0.1 oz, 0.01 oz).
    """
    if system == "us":
        return convert.kg_from_pounds(_rounded_up(convert.pounds_from_kg(mass_kg), _POUND_STEPS))
    return _rounded_up(mass_kg, _METRIC_STEPS)


def nice_volume(volume_l: float, system: UnitSystem = "metric") -> float:
    """A volume [L, not negative], rounded up to one that can be measured [L].

    To 0.05 L below 5 L, 0.1 L below 20 L, 0.5 L above, and for a US maker the same in gallons, with fluid
    ounces below 1 gal. Finer below 0.5 L (10 fl oz), as for masses.
    """
    if system == "us":
        return convert.litres_from_us_gallons(
            _rounded_up(convert.us_gallons_from_litres(volume_l), _GALLON_STEPS)
        )
    return _rounded_up(volume_l, _METRIC_STEPS)


def _rounded_up(value: float, steps: tuple[tuple[float, int], ...]) -> float:
    """The next multiple of the step for this size; what only floating point keeps above one is on it."""
    if not 0 <= value < math.inf:
        raise NotShowable("an amount to weigh or measure", value)
    per = next(part for limit, part in steps if value < limit)
    return math.ceil(value * per * (1 - 1e-12) - 1e-9) / per
