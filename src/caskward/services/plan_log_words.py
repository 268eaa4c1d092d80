"""Words for rows of a log that may be wrong: what is hard to believe of them, and what to check."""

from __future__ import annotations

import re
from typing import Final

from caskward.services.plan_judged import Taken
from caskward.units import show

DOUBTFUL: Final = 0.1
"""Chance of being wrong from which a row that is followed is said to be doubtful."""
_NEAR_K: Final = 6.0
"""How near a figure in the other unit must come to what is expected to be asked about [K]."""
_FAHRENHEIT: Final = re.compile(r"\d\s*°?\s*F\b", re.IGNORECASE)


def hard_to_follow(of: Taken, named: str, fits: str) -> str:
    """A row that is rather not followed: what to check, and what is taken in its place.

    named: the reading and its value; fits: what would fit, "" where that is not known.
    """
    chance = show.in_ten(of.wrong or 0.0)
    return (
        f"Hard to believe: {named} in {of.said!r}{fits}. {_check(of)}. It is taken to be wrong {chance}, and "
        f"the {'mash' if of.stage == 'mash' else 'tub'} to be as its plan and the other rows have it."
    )


def may_be_wrong(of: Taken, named: str) -> str:
    """A row that is followed, and may well be wrong."""
    chance = show.in_ten(of.wrong or 0.0)
    return f"Followed, but it may be wrong ({chance}): {named} in {of.said!r}. {_check(of)}."


def is_doubtful(of: Taken) -> bool:
    """True for a row that is followed and may well be wrong."""
    return not of.hard and of.wrong is not None and of.wrong >= DOUBTFUL


def likelier(first: Taken, second: Taken) -> str:
    """Which of two rows of a log is followed rather."""
    rather = "first" if (first.wrong or 0.0) <= (second.wrong or 0.0) else "second"
    return f"The {rather} is likelier right, and is followed rather"


def _check(of: Taken) -> str:
    """What a wrong row may come of."""
    if of.unit != "C":
        return "Check the pH meter in a buffer, and read again with a strip (`pH strip 5.4`)"
    meant = _meant(of)
    unit = f", or whether it was {meant}" if meant else ""
    example = "62 C" if of.stage == "mash" else "25 C"
    return f"Check the thermometer{unit}, and read again with another one (`second thermometer {example}`)"


def _meant(of: Taken) -> str:
    """The same figure in the other unit, where that would fit; "" where it would not."""
    if of.fits is None:
        return ""
    in_f = _FAHRENHEIT.search(of.said) is not None
    number = 1.8 * of.value + 32.0 if in_f else of.value
    meant_c = number if in_f else (of.value - 32.0) / 1.8
    near = of.fits.low - _NEAR_K <= meant_c <= of.fits.high + _NEAR_K
    return f"{number:.0f} {'°C' if in_f else '°F'}" if near else ""
