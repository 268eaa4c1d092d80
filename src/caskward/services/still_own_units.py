"""Figures of many charges in the maker's own units, pure alcohol as proof gallons for a US maker."""

from __future__ import annotations

from collections.abc import Callable

from caskward.planning.plan import Band
from caskward.planning.strengths import said
from caskward.properties import alcohol
from caskward.services.still_words import litre_unit, litres
from caskward.units import show
from caskward.units.types import UnitSystem

PROOF_GALLONS_PER_LPA = 0.525817
"""US proof gallons (wine gallons at 60 °F times proof over 100) in a litre of pure alcohol at 20 °C, the same
at every strength. Source: 27-cfr-30.
"""
NONE = "–"
"""What stands where there is nothing to show a strength of."""


def plain(b: Band, digits: int, *, banded_too: bool = True) -> str:
    """A band's numbers without a unit, `77.8 (76.2–80.2)`; one number where they look alike; no -0."""
    low, mid, high = (fixed(v, digits) for v in (b.low, b.mid, b.high))
    return mid if low == high or not banded_too else f"{mid} ({low}–{high})"


def fixed(value: float, digits: int) -> str:
    """A number with so many decimals; a zero has no sign."""
    text = f"{value:.{digits}f}"
    return text.removeprefix("-") if float(text) == 0.0 else text


def digits_for(largest: float, most: int = 2) -> int:
    """Decimals for a column whose largest number this is: more for small ones, fewer for large ones."""
    return max(most + (largest < 1.0) + (largest < 0.1) - (largest >= 1000.0), 0)


def each(b: Band, change: Callable[[float], float]) -> Band:
    """A band whose three numbers are changed alike."""
    return Band(change(b.low), change(b.mid), change(b.high))


def volumes(b: Band, system: UnitSystem) -> Band:
    """Litres as the maker's own number."""
    return each(b, lambda value: litres(value, system))


def pure_unit(system: UnitSystem) -> str:
    """`pure L`, or `PG` for US proof gallons."""
    return "pure L" if system == "metric" else "PG"


def pure(lpa: Band, system: UnitSystem) -> Band:
    """Litres of pure alcohol, or US proof gallons."""
    return lpa if system == "metric" else each(lpa, lambda value: value * PROOF_GALLONS_PER_LPA)


def per_pure(cost: Band, system: UnitSystem) -> Band:
    """A cost per litre of pure alcohol, or per US proof gallon."""
    return cost if system == "metric" else each(cost, lambda value: value / PROOF_GALLONS_PER_LPA)


def pure_words(lpa: Band, system: UnitSystem) -> str:
    """Pure alcohol with its band: `29.21 L (29.20–29.23)`, `15.36 PG (15.35–15.37)`."""
    unit = "L" if system == "metric" else "PG"
    b = pure(lpa, system)
    digits = digits_for(b.mid)
    if fixed(b.low, digits) == fixed(b.high, digits):
        return f"{fixed(b.mid, digits)} {unit}"
    return show.band(b.low, b.mid, b.high, lambda value: f"{fixed(value, digits)} {unit}")


def strength_unit(system: UnitSystem) -> str:
    """`%vol`, or `proof` at 60 °F."""
    return "%vol" if system == "metric" else "proof"


def strengths(b: Band, system: UnitSystem) -> Band:
    """Strengths in %vol at 20 °C, or as US proof at 60 °F."""
    return b if system == "metric" else each(b, lambda value: float(alcohol.proof_60f(value)))


def limit_words(pct_vol: float, system: UnitSystem) -> str:
    """A limit on a charge's strength: as it is written, and as proof beside it for a US maker."""
    return f"{pct_vol:g} %vol" if system == "metric" else f"{pct_vol:g} %vol ({said(pct_vol, system)})"


def rate_words(litres_h: Band, system: UnitSystem) -> str:
    """How fast something runs: `8.9 L/h (7.8–9.6)`."""
    unit = f"{litre_unit(system)}/h"
    b = volumes(litres_h, system)
    digits = 1 if b.mid >= 10.0 else 2
    if fixed(b.low, digits) == fixed(b.high, digits):
        return f"{fixed(b.mid, digits)} {unit}"
    return show.band(b.low, b.mid, b.high, lambda value: f"{fixed(value, digits)} {unit}")
