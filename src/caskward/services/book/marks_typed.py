"""Marks as a maker types them: `evaporated 4 %`, `rye 50 kg`, `13.50 EUR`."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from decimal import Decimal

from caskward.book.amounts import UL_PER_L, mg, ul
from caskward.errors import InputError
from caskward.errors.book_read import BadMark
from caskward.services.book.marks import CASKS_A_YEAR, Duty, Marks
from caskward.services.book.prices import price
from caskward.services.book.shares_shown import proof_gallon
from caskward.units import parse

_LOSS = re.compile(r"(.+?)\s+(\d+(?:[.,]\d+)?)\s*%")
_A_YEAR = re.compile(
    r"((?:a |each )?casks?)(?: a year| yearly)?\s+(\d+(?:[.,]\d+)?)\s*%(?:\s*(?:a|per) year)?", re.IGNORECASE
)
_BY = re.compile(r"(.*?)(?:\s*(\bper\b|/|\beach\b|\ba\b)\s*(.+))?$", re.IGNORECASE)
_PROOF_GALLON = re.compile(r"(?:us )?(?:proof|pf)[ -]?gal(?:lon)?s?\.?|pg", re.IGNORECASE)
_LITRE = re.compile(r"(?:lit(?:re|er)|l)(?: of)?(?: pure)?(?: alcohol)?|lpa|l ?pa", re.IGNORECASE)
_FINE = Decimal("1e-9")
_STOCK = re.compile(r"(.+?)\s+(\d[\d.,]*\s*(?:\S+)?)")
_PIECES = re.compile(r"(\d+)(?:\s*(?:pieces?|pcs?))?", re.IGNORECASE)
_DUTY_EXAMPLE = "13.50 EUR, or 13.50 USD per proof gallon"
_LOSS_EXAMPLE, _STOCK_EXAMPLE = "evaporated 4 %, or casks 6 % a year", "rye 50 kg, or cork 100"


def marks(losses: Sequence[str], stocks: Sequence[str], duty: str, known: Iterable[str] = ()) -> Marks:
    """The marks meant. `known` are commodities of the book, to find `mass/rye` by `rye`.

    Raises:
        BadMark: one that cannot be read.
    """
    return Marks(
        dict(_loss(text) for text in losses),
        dict(_stock(text, tuple(known)) for text in stocks),
        _duty(duty) if duty.strip() else None,
    )


def _duty(text: str) -> Duty:
    """`13.50 EUR`, `13.50 EUR per litre`, `13.50 USD per proof gallon`."""
    alone, by, unit = (part.strip() for part in _BY.match(text.strip()).groups(""))  # type: ignore[union-attr]
    if not by:
        rate = price(alone, "a litre of pure alcohol")
        return Duty(Decimal(rate.minor), rate.currency)
    if _PROOF_GALLON.fullmatch(unit):
        rate = price(alone, "a proof gallon")
        litres = Decimal(proof_gallon().ul.numerator) / proof_gallon().ul.denominator / UL_PER_L
        by_litre = (Decimal(rate.minor) / litres).quantize(_FINE)
        return Duty(by_litre, rate.currency, Decimal(rate.minor))
    if not _LITRE.fullmatch(unit):
        raise BadMark(text, _DUTY_EXAMPLE)
    rate = price(alone, "a litre of pure alcohol")
    return Duty(Decimal(rate.minor), rate.currency)


def _loss(text: str) -> tuple[str, Decimal]:
    a_year = _A_YEAR.fullmatch(text.strip())
    found = a_year or _LOSS.fullmatch(text.strip())
    limit = Decimal(found[2].replace(",", ".")) if found else Decimal(-1)
    if not found or not 0 <= limit <= 100:
        raise BadMark(text, _LOSS_EXAMPLE)
    return CASKS_A_YEAR if a_year else found[1].strip(), limit


def _stock(text: str, known: Sequence[str]) -> tuple[str, int]:
    found = _STOCK.fullmatch(text.strip())
    if not found:
        raise BadMark(text, _STOCK_EXAMPLE)
    name, amount = found[1].strip(), found[2].strip()
    pieces = _PIECES.fullmatch(amount)
    if pieces:
        return _commodity("piece", name, known), int(pieces[1])
    for family, read in (("mass", _mass), ("volume", _volume)):
        least = read(amount)
        if least is not None:
            return _commodity(family, name, known), least
    raise BadMark(text, _STOCK_EXAMPLE)


def _commodity(family: str, name: str, known: Sequence[str]) -> str:
    """The commodity of the book with this name; a new one is named as it was typed."""
    wanted = f"{family}/{name}"
    return next((one for one in known if one.casefold() == wanted.casefold()), wanted)


def _mass(amount: str) -> int | None:
    try:
        return mg(parse.mass_kg(amount))
    except InputError:
        return None


def _volume(amount: str) -> int | None:
    try:
        return ul(parse.volume_l(amount))
    except InputError:
        return None
