"""Options that deeds have in common, and what was typed made into what the services are asked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from caskward.cli.answers import system_for
from caskward.cli.loose import JSON, SHOW, Given, Option

if TYPE_CHECKING:
    from caskward.services.book.acting import Doing
    from caskward.services.book.asked import Asked
    from caskward.units.types import UnitSystem

AT = Option("--at", "TIME", "When it was done: 14:30, yesterday 9:00, 2026-03-01 14:30; otherwise now.")
BY = Option("--by", "NAME", "Who did it; otherwise CASKWARD_BY, or your login name.")
BATCH = Option("--batch", "NAME", "For which batch.")
NOTE = Option("--note", "WORDS", "Anything else to keep.")
KEY = Option("--key", "KEY", "A key of your own: sent twice with the same, it is entered once.")
COMMON = (AT, BY, BATCH, NOTE)
LAST = (KEY, SHOW, JSON)
TOOLS = (
    Option("--meter", "KEY", "What the strength was read on, as in gauge --list."),
    Option("--measured-by", "KEY", "The dipstick, meter or scale of the amount."),
    Option("--thermometer", "X", "Your thermometer is good to so much, 0.2C."),
    Option("--calibrated", "T", "What the meter's scale is made for, otherwise 20C, for proof 60F."),
)
COST = Option("--cost", "WORDS", "What it cost besides: energy 4.20 EUR.", several=True)
PRICE = Option("--price", "MONEY", "What it cost: 31.50 EUR.")
_OURS = ("--at", "--by", "--note", "--key", "--show", "--json", "--cost", "--price")


def system_of(given: Given) -> UnitSystem:
    """The units of the answer: those asked for, else those typed."""
    return system_for(given.text("--show"), given.everything("--note", "--by", "--key", "--why"))


def doing(given: Given, price_of: str = "") -> Doing:
    """Who, when, for which batch, at what cost."""
    from caskward.services.book import prices
    from caskward.services.book.acting import Doing

    costs = [prices.named(text) for text in given.texts("--cost")]
    if given.text("--price"):
        costs.insert(0, prices.price(given.text("--price"), price_of or "price"))
    return Doing(
        by=given.text("--by"),
        at=given.text("--at"),
        batch=given.text("--batch"),
        key=given.text("--key"),
        note=given.text("--note"),
        costs=tuple(costs),
        system=system_of(given),
    )


def asked(given: Given, verb: str, parts: tuple[str, ...] | None = None) -> Asked:
    """The words of a deed, and the options that say more of it."""
    from caskward.services.book.asked import Asked

    own = {name[2:]: tuple(values) or ("",) for name, values in given.values.items() if name not in _OURS}
    priced = {name[2:]: tuple(given.values[name]) for name in ("--cost", "--price") if name in given.values}
    return Asked(verb, given.parts if parts is None else parts, {**own, **priced})
