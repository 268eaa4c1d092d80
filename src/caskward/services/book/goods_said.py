"""So much of a material or of dry goods, from its words: `35 kg rye`, `rye 35 kg`, `200 corks`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from caskward.book.amounts import mg, ul
from caskward.errors import InputError
from caskward.errors.book_typed import NoUnit
from caskward.services.book.kept_readings import rounded
from caskward.units import parse

MOST_WORDS = 4
EXAMPLE = '25 kg "rye"'


@dataclass(frozen=True, slots=True)
class Weighed:
    """So much of something: mg of `mass`, µL of `volume`, pieces of `piece`; its name; as typed."""

    family: str
    amount: int
    name: str
    typed: str


def weighed(text: str, family: str = "") -> Weighed:
    """`35 kg rye`, `rye 35 kg`, `200 corks`; `family`: what it has to be, where that is known.

    Raises:
        NoUnit: there is no amount, or a bare number where a unit is needed.
    """
    words = text.split()
    for count in range(min(MOST_WORDS, len(words)), 0, -1):
        found = _amount(" ".join(words[:count]))
        if found:
            return _of_family(Weighed(*found, _name(words[count:]), " ".join(words[:count])), family, text)
    if words and words[0].isdigit() and family in ("", "piece"):
        return _of_family(Weighed("piece", int(words[0]), _name(words[1:]), words[0]), family, text)
    for count in range(1, min(MOST_WORDS, len(words)) + 1):
        found = _amount(" ".join(words[-count:]))
        if found:
            return _of_family(Weighed(*found, _name(words[:-count]), " ".join(words[-count:])), family, text)
    raise NoUnit(text, EXAMPLE)


def _amount(text: str) -> tuple[str, int] | None:
    """Family and amount of a text that is an amount with its unit, and nothing else."""
    if text[-1:].isdigit() or not text[:1].isdigit():
        return None
    try:
        return "mass", mg(rounded(parse.mass_kg(text)))
    except InputError:
        pass
    try:
        return "volume", ul(rounded(parse.volume_l(text)))
    except InputError:
        return None


def _of_family(part: Weighed, family: str, text: str) -> Weighed:
    if family and part.family != family:
        raise NoUnit(text, {"mass": "12.5 kg", "piece": "180", "volume": "0.5 L"}[family])
    return part


def _name(words: Sequence[str]) -> str:
    """The words without those that only join, and without the `pieces` of a count."""
    return " ".join(word for word in words if word.casefold() not in ("of", "pieces", "piece", "x", "×"))
