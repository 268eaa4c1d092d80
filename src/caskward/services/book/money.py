"""Money in the book as a person reads it: whole minor units of a currency."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

_NO_MINOR = frozenset({"JPY", "KRW", "VND", "CLP", "ISK"})
"""Currencies without a minor unit, as in `prices`."""


def shown(minor: int | Fraction | Decimal, currency: str) -> str:
    """An amount, rounded half up to a minor unit: `1,234.50 EUR`."""
    exact = Fraction(minor)
    value = Decimal(exact.numerator) / Decimal(exact.denominator)
    digits = 0 if currency in _NO_MINOR else 2
    whole = value.to_integral_value(rounding=ROUND_HALF_UP).scaleb(-digits)
    return f"{whole:,.{digits}f} {currency}".strip()
