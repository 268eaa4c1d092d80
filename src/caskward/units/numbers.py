"""How a number may be written: `5.3`, `5,3`, `1,200.5`, `1 200`, `1/2`, `1 1/2`, `1e3`.

A comma is a decimal comma wherever only that makes sense. `1,200 ft` is 1200 ft to one maker and 1.2 ft to
the next, so it is not guessed at.
"""

from __future__ import annotations

import re

# What a phone, a spreadsheet or a label prints in place of the plain sign.
_PLAIN = str.maketrans(
    {
        "\u00ba": "°",  # masculine ordinal
        "\u02da": "°",  # ring above
        "\u2218": "°",  # ring operator
        "\u2103": "°C",
        "\u2109": "°F",
        "\u00b5": "u",  # micro sign
        "\u03bc": "u",  # Greek mu
        "\u2113": "l",  # script small l
        "\u00b2": "2",
        "\u00b3": "3",
        "\u2212": "-",  # minus sign
        "\u2010": "-",  # hyphen
        "\u2011": "-",  # non-breaking hyphen
        "\u2013": "-",  # en dash
        "\u2032": "'",  # prime
        "\u2018": "'",
        "\u2019": "'",
        "\u2033": '"',  # double prime
        "\u201c": '"',
        "\u201d": '"',
        "\u00bc": " 1/4",
        "\u00bd": " 1/2",
        "\u00be": " 3/4",
        "\u2153": " 1/3",
        "\u2154": " 2/3",
        "\u215b": " 1/8",
        "\u2044": "/",  # fraction slash
        "\u2215": "/",  # division slash
        "\uff05": "%",
        "\u00b7": " ",  # middle dot between units
        "\u200b": None,  # zero-width and direction marks carry nothing
        "\u200e": None,
        "\u200f": None,
        "\ufeff": None,
    }
)

# A separator counts only where digits follow: three of them after a space or an apostrophe.
_WRITTEN = r"(?:(?:\d+ )?\d+/\d+|(?:\d|[.,](?=\d)|[ '](?=\d{3}(?!\d)))+(?:[eE][+-]?\d+)?)"
_NUMBER_THEN_UNIT = re.compile(rf"([+-]?) ?({_WRITTEN})\s*(.*)", re.ASCII)
_COMPONENT = re.compile(r"\s*((?:\d+ )?\d+/\d+|(?:\d|[.,](?=\d))+)\s*([^\d]*)", re.ASCII)
_SPACED = re.compile(r"\d{1,3}(?:[ ']\d{3})+(?:[.,]\d+)?", re.ASCII)
_GROUPED = re.compile(r"\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d{1,3}(?:\.\d{3})+(?:,\d+)?", re.ASCII)
_TWO_WAYS = re.compile(r"[1-9]\d{0,2},\d{3}", re.ASCII)


class TwoWays(ValueError):
    """A text that can be read in two ways; `writings` are the plain ways to say either."""

    def __init__(self, *writings: str) -> None:
        super().__init__(" or ".join(writings))
        self.writings = writings


def tidied(text: str) -> str:
    """The text with plain signs and single spaces."""
    if not text.isascii():
        text = text.translate(_PLAIN)
    return " ".join(text.split())


def split_number(text: str) -> tuple[str, str, str] | None:
    """Sign, number as written and what follows it, or nothing if the text starts with no number."""
    found = _NUMBER_THEN_UNIT.fullmatch(text)
    return (found[1], found[2], found[3]) if found else None


def components(text: str) -> list[tuple[str, str]]:
    """The numbers and units of `1 lb 4 oz` or `1 h 30 min`; an empty list if it is not written like that."""
    parts: list[tuple[str, str]] = []
    place = 0
    while place < len(text):
        found = _COMPONENT.match(text, place)
        if not found:
            return []
        unit = found[2].strip(" ,+").removesuffix(" and").removesuffix("and ").strip(" ,")
        parts.append((found[1], unit))
        place = found.end()
    return parts


def number(written: str, comma_may_group: bool) -> float:
    """The value of a number as written.

    `comma_may_group`: whether the quantity can reach thousands, so that `1,200` can be read two ways.
    Raises `TwoWays` for such a number and `ValueError` for one that is put together wrongly.
    """
    if "/" in written:
        return _fraction(written)
    mantissa, _, power = written.lower().partition("e")
    value = _with_point(mantissa, comma_may_group)
    return float(f"{value}e{power}") if power else float(value)


def _with_point(digits: str, comma_may_group: bool) -> str:
    """The same number with a decimal point and no other separator."""
    if " " in digits or "'" in digits:
        if not _SPACED.fullmatch(digits):
            raise ValueError(digits)
        digits = digits.replace(" ", "").replace("'", "")
    dots, commas = digits.count("."), digits.count(",")
    if commas == 0 and dots <= 1:
        return digits
    if commas == 1 and dots == 0:
        if comma_may_group and _TWO_WAYS.fullmatch(digits):
            raise TwoWays(digits.replace(",", ""), digits.replace(",", "."))
        return digits.replace(",", ".")
    if not _GROUPED.fullmatch(digits):
        raise ValueError(digits)
    mark = "," if dots > 1 or 0 < digits.find(".") < digits.find(",") else "."
    return digits.replace("." if mark == "," else ",", "").replace(",", ".")


def _fraction(written: str) -> float:
    """The value of `1/2` or `1 1/2`."""
    whole, _, part = written.rpartition(" ")
    above, below = part.split("/")
    if int(below) == 0 or (whole and int(above) >= int(below)):
        raise ValueError(written)
    return int(whole or 0) + int(above) / int(below)
