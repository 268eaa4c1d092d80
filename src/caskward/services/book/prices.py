"""What something cost, as typed: `31.50 EUR`, `$12`; and costs with a name, `energy 4.20 EUR`."""

from __future__ import annotations

import re
from decimal import ROUND_HALF_UP, Decimal

from caskward.book.deeds import Cost
from caskward.errors import NotUnderstood
from caskward.errors.book_typed import NoCurrency
from caskward.units import parse

_NUMBER = re.compile(r"[\d.,' ]*\d[\d.,']*")
_SIGNS = {"€": "EUR", "$": "USD", "£": "GBP", "¥": "JPY", "₹": "INR"}
_WITHOUT_MINOR = frozenset({"JPY", "KRW", "VND", "CLP", "ISK"})
_MONEY_AT_THE_END = re.compile(
    r"(.+?)\s+([^\d\s.,]{1,4}\s?\d[\d.,']*|\d[\d.,' ]*\s?[^\d\s.,]{1,4})", re.IGNORECASE
)


def price(text: str, what: str, account: str = "") -> Cost:
    """A price; `what` it is for. Raises `NoCurrency`."""
    value = parse.money(text, what=f"the price of {what}")
    sign = _NUMBER.sub("", text.strip(), count=1).strip()
    currency = _SIGNS.get(sign, sign.upper())
    if not currency:
        raise NoCurrency(text)
    minor = Decimal(str(value)) * (1 if currency in _WITHOUT_MINOR else 100)
    return Cost(what, int(minor.quantize(Decimal(1), ROUND_HALF_UP)), currency, account)


def named(text: str) -> Cost:
    """A cost with its name: `energy 4.20 EUR`, `cask $180`."""
    matched = _MONEY_AT_THE_END.fullmatch(" ".join(text.split()))
    if not matched:
        raise NotUnderstood("a cost with its name", text, "energy 4.20 EUR")
    return price(matched[2], matched[1])
