"""Reducing over several days: a little water at a time, with rests between."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from caskward.errors import OutOfRange
from caskward.gauging.liquids import WATER, Liquid, Portion
from caskward.gauging.mixing import SAME_PCT_VOL, Mixture, bring, doubt, mix

REST_DAYS = 3.0
"""Days between large additions, 1 to 14. Source: common-practice."""
MOST_STEPS = 20


@dataclass(frozen=True, slots=True)
class Step:
    """One addition: what to add now, the strength it then rests at, and how long [d]; the last rests 0."""

    number: int
    mixture: Mixture
    rests_at_pct_vol: float
    rest_days: float


def staged(
    portions: Sequence[Portion],
    to_pct_vol: float,
    steps: int,
    add: Liquid = WATER,
    temp_c: float = 20.0,
    rest_days: float = REST_DAYS,
    add_standard_share: float = 0.0,
) -> tuple[Step, ...]:
    """Additions that bring all of what is there to a strength in equal steps of %vol.

    What all the additions bring together is what one addition would; none where it stands there already.

    steps: 1 to 20. rest_days: between two additions [d], 0 to 60. Others and refusals as `mixing.bring`.
    """
    if not 1 <= steps <= MOST_STEPS:
        raise OutOfRange("Number of steps", steps, "", 1, MOST_STEPS)
    if not 0.0 <= rest_days <= 60.0:
        raise OutOfRange("Rest between two additions", rest_days, "d", 0.0, 60.0)
    start_pct_vol = mix(portions, temp_c).makes.pct_vol
    if abs(start_pct_vol - to_pct_vol) <= SAME_PCT_VOL:
        return ()
    here, done, added_kg = list(portions), [], 0.0
    for number in range(1, steps + 1):
        goal = start_pct_vol + (to_pct_vol - start_pct_vol) * number / steps
        goal = to_pct_vol if number == steps else goal
        mixture = bring(here, goal, add, temp_c, add_standard_share)
        added_kg += mixture.add.mass_kg if mixture.add else 0.0
        # One scale weighs every addition, and its error repeats: all of them are one portion in the doubt.
        known, shares = doubt([*portions, Portion(add, added_kg, add_standard_share)])
        strength, lpa, proof_gallons = known
        mixture = replace(mixture, strength=strength, lpa=lpa, proof_gallons=proof_gallons, shares=shares)
        done.append(Step(number, mixture, goal, 0.0 if number == steps else rest_days))
        here = [_so_far(mixture, temp_c)]
    return tuple(done)


def _so_far(mixture: Mixture, temp_c: float) -> Portion:
    """What is in the vessel after an addition, as one liquid with its doubt."""
    liquid = Liquid("mixture so far", mixture.makes.pct_vol, temp_c, mixture.strength.standard)
    return Portion(liquid, mixture.makes.mass_kg)
