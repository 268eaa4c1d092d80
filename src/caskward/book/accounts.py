"""Accounts and what each may do.

An account is a path; its first part, the root, says what it is. A *place* holds things. Alcohol comes into
the book only from `made/<how>/<batch>` and `received/<from whom>` and leaves it only to a named end.
`changed` takes up what is not conserved (two liquids mixed fill less than both), so for liquid volume alone.
`unaccounted` holds what a gauge found too much or too little, until somebody says why.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from caskward.book.frozen import text
from caskward.errors.book import BadAccountName, BadField, UnknownRoot

ALCOHOL = "alcohol"
"""Pure alcohol [µL at 20 °C]."""
BULK = "bulk"
"""Liquid of any strength [µL at 20 °C]."""

FAMILIES = (ALCOHOL, BULK, "mass", "volume", "piece")
"""Whole: alcohol, bulk; with a name behind a slash: `mass/rye` [mg], `volume/enzyme` [µL], `piece/cork`."""

_LIQUID = frozenset({ALCOHOL, BULK})
_GOODS = frozenset({"mass", "volume", "piece"})
_ALL = _LIQUID | _GOODS
_NOTHING: frozenset[str] = frozenset()

Nature = Literal["place", "source", "end", "either"]


@dataclass(frozen=True, slots=True)
class Root:
    """What accounts of one root may do.

    A place and an end never fall below nothing, a source never rises above it, *either* may do both. `gives`
    and `takes` are families of commodities; a correction may send each of them back. `parts` is how many
    parts a name has, at least and at most.
    """

    name: str
    nature: Nature
    gives: frozenset[str]
    takes: frozenset[str]
    parts: tuple[int, int]
    pattern: str
    declared: bool = False

    @property
    def holds(self) -> bool:
        """Whether things can be there."""
        return self.nature == "place"

    @property
    def liquid(self) -> bool:
        """Whether liquid can be there."""
        return self.holds and BULK in self.takes


ROOTS: dict[str, Root] = {
    root.name: root
    for root in (
        Root("vessel", "place", _LIQUID, _LIQUID, (2, 2), "vessel/mash tub", declared=True),
        Root("jar", "place", _LIQUID, _LIQUID, (2, 2), "jar/7"),
        Root("cask", "place", _LIQUID, _LIQUID, (2, 2), "cask/12", declared=True),
        Root("lot", "place", _GOODS, _GOODS, (2, 2), "lot/rye 2026-3"),
        Root("bottles", "place", _LIQUID | {"piece"}, _LIQUID | {"piece"}, (2, 2), "bottles/L26-1"),
        Root("goods", "place", _GOODS, _GOODS, (2, 2), "goods/corks"),
        Root("made", "source", frozenset({ALCOHOL}), _NOTHING, (3, 3), "made/fermentation/rye 5"),
        Root("received", "source", _ALL, _NOTHING, (2, 3), "received/Hill Farm"),
        Root("used", "end", _NOTHING, _GOODS, (2, 2), "used/rye 5"),
        Root("lost", "end", _NOTHING, _ALL, (2, 3), "lost/stillage/rye 5"),
        Root("sold", "end", _NOTHING, _ALL, (2, 3), "sold/farm shop"),
        Root("destroyed", "end", _NOTHING, _ALL, (2, 3), "destroyed/foreshots/rye 5"),
        Root("sampled", "end", _NOTHING, _ALL, (2, 3), "sampled/tasting"),
        Root("changed", "either", frozenset({BULK}), frozenset({BULK}), (2, 3), "changed/contraction"),
        Root("unaccounted", "either", _ALL, _ALL, (2, 3), "unaccounted/open/12"),
    )
}
"""The one table of roots."""


@lru_cache(maxsize=4096)
def root_of(account: str) -> Root:
    """The root of an account, whose name is known to be whole."""
    return ROOTS[account.partition("/")[0]]


def family_of(commodity: str) -> str:
    """`mass` of `mass/rye`; `alcohol` and `bulk` are families of their own."""
    return commodity.partition("/")[0]


def name_of(path: str) -> str:
    """What stands behind the first slash: `rye` of `mass/rye`, `12` of `cask/12`."""
    return path.partition("/")[2]


@lru_cache(maxsize=4096)
def checked_account(account: object) -> str:
    """The account in its normal form; raises `UnknownRoot` or `BadAccountName`."""
    path = text(account, "account", empty=False, longest=400)
    first, *rest = path.split("/")
    root = ROOTS.get(first)
    if root is None:
        raise UnknownRoot(path, tuple(ROOTS))
    least, most = root.parts
    if not least <= 1 + len(rest) <= most or any(not part or part != part.strip() for part in rest):
        raise BadAccountName(path, root.pattern)
    return path


@lru_cache(maxsize=1024)
def checked_commodity(commodity: object) -> str:
    """The commodity in its normal form; raises `BadField`."""
    path = text(commodity, "commodity", empty=False, longest=200)
    family, slash, name = path.partition("/")
    named = family in _GOODS and name and name == name.strip()
    if not (named or (path in _LIQUID and not slash)):
        raise BadField("commodity", commodity, "alcohol, bulk, or like mass/rye, volume/enzyme, piece/cork")
    return path
