"""The US Gauging Manual's own arithmetic, for those who have its tables at hand and must use them.

Wine gallons are US gallons of 231 cubic inches at 60 °F, proof gallons wine gallons times proof over 100,
pounds are weighed in air. `caskward.properties` gives the same from physics; where a printed figure of the
law is given, that figure decides. Sections are those of 27 CFR Part 30.
"""

from __future__ import annotations

import math

from caskward.errors import OutOfRange


def rounded_proof(proof: float) -> float:
    """Proof to the tenth, half up.

    Source: 27-cfr-30, 30.23 and 30.31.
    """
    return math.floor(proof * 10.0 + 0.5 + 1e-9) / 10.0


def cut_to_tenth(pct_vol: float) -> float:
    """Strength cut, never rounded up, to a tenth of a %vol, as the UK does for duty.

    Source: uk-alcohol-guide.
    """
    return math.floor(pct_vol * 10.0 + 1e-9) / 10.0


def interpolated_proof(
    reading: float, temp_f: float, at: float, next_reading: float, next_temp: float
) -> float:
    """True proof between the rows and columns of Table 1, not yet rounded [proof].

    The tabled proof at the whole reading and temperature below, plus the part of a degree of reading times
    the step to the next reading, plus the part of a degree Fahrenheit times the step to the next temperature.

    reading: corrected hydrometer reading [proof]. temp_f: corrected temperature [°F].
    at, next_reading, next_temp: Table 1 at (whole reading, whole temperature), one reading up, one °F up.
    Source: 27-cfr-30, 30.23.
    """
    part_reading, part_temp = reading % 1.0, temp_f % 1.0
    return at + part_reading * (next_reading - at) + part_temp * (next_temp - at)


def proof_gallons(wine_gallons: float, proof: float) -> float:
    """Proof gallons in so many wine gallons [gal at 60 °F] of this proof. Source: 27-cfr-30, 30.51."""
    return wine_gallons * proof / 100.0


def wine_gallons_at_60f(gallons: float, factor: float) -> float:
    """Wine gallons at 60 °F from gallons at another temperature, by Table 7's factor.

    Source: 27-cfr-30, 30.51.
    """
    return gallons * factor


def gallons_by_weight(pounds: float, gallons_per_pound: float) -> float:
    """Wine or proof gallons from pounds in air by Table 4's figure. Source: 27-cfr-30, 30.64."""
    return pounds * gallons_per_pound


def weight_after_reduction_lb(proof_gallons_there: float, proof_gallons_per_pound: float) -> float:
    """Pounds that spirit weighs once it is reduced: its proof gallons by Table 4's figure at the goal.

    Source: 27-cfr-30, 30.64.
    """
    _check_positive("Proof gallons per pound", proof_gallons_per_pound)
    return proof_gallons_there / proof_gallons_per_pound


def water_by_volume(
    alcohol_parts: float, water_parts: float, goal_alcohol_parts: float, goal_water_parts: float
) -> float:
    """Gallons of water for 100 wine gallons, by Table 6's parts with contraction.

    W = a/a' w' - w, with the quotient unrounded.

    Parts of alcohol and of water in 100 parts of the spirit, and of the goal. Source: 27-cfr-30, 30.66.
    The manual's two examples come out at 1.89 (it prints 1.84, having rounded the quotient to 1.01) and 12.43
    (it prints 12.42, having cut the last digit).
    """
    _check_positive("Parts of alcohol", goal_alcohol_parts)
    return alcohol_parts / goal_alcohol_parts * goal_water_parts - water_parts


def _check_positive(name: str, value: float) -> None:
    if not value > 0.0:
        raise OutOfRange(name, value, "", 1e-9, 1e9)
