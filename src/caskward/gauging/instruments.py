"""Instruments and how far each may be off, from `data/instruments.toml`."""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Literal

from caskward.errors import OptionsClash, UnknownName
from caskward.gauging.figure import standard_of_limits

Kind = Literal[
    "alcoholmeter", "hydrometer", "density meter", "refractometer", "thermometer", "scale", "volume"
]
_FAMILIES: tuple[dict[str, float], ...] = (
    {"%vol": 1.0, "proof": 0.5, "%mass": 1.1},
    {"SG": 1.0, "kg/m3": 0.001, "Brix": 0.0043},
)
"""What a unit is worth in the first of its family, near enough for a doubt."""
GLASS: frozenset[Kind] = frozenset({"alcoholmeter", "hydrometer"})


@dataclass(frozen=True, slots=True)
class Instrument:
    """One class of instrument: limits of error are plus or minus, in the unit of its reading."""

    key: str
    name: str
    kind: Kind
    unit: str
    division: float
    error: float
    source: str
    own_temp: float | None = None
    grows: bool = True

    @property
    def is_glass(self) -> bool:
        """Whether it floats and its glass grows with warmth; `grows` is false for one of another material."""
        return self.kind in GLASS and self.grows

    @property
    def standard(self) -> float:
        """Standard uncertainty of one reading: the instrument's own error and half a division of reading."""
        return standard_of_limits(self.error, self.division / 2.0)

    def standard_at(self, value: float, unit: str = "") -> float:
        """Standard uncertainty of one reading of this value, in this unit; a share grows with it.

        Raises:
            OptionsClash: the instrument does not show such a unit.
        """
        if self.unit == "share":
            return self.standard * abs(value)
        return self.standard * self.worth(unit)

    def worth(self, unit: str = "") -> float:
        """What one of the instrument's own units is worth in this one [-].

        Raises:
            OptionsClash: the instrument does not show such a unit.
        """
        if not unit or unit == self.unit:
            return 1.0
        for family in _FAMILIES:
            if unit in family and self.unit in family:
                return family[self.unit] / family[unit]
        raise OptionsClash(f"A reading in {unit}", self.name, "Name the instrument it was read on.")

    def with_error(self, error: float) -> Instrument:
        """The same instrument with the maker's own limit for error and reading together."""
        return replace(self, error=error, division=0.0, source="maker")


@cache
def instruments() -> Mapping[str, Instrument]:
    """Every instrument by key."""
    text = resources.files("caskward.gauging").joinpath("data/instruments.toml").read_text(encoding="utf-8")
    return MappingProxyType({key: Instrument(key=key, **row) for key, row in tomllib.loads(text).items()})


def instrument(key: str, *kinds: Kind) -> Instrument:
    """The instrument with this key, which has to be one of these kinds.

    Raises:
        UnknownName: there is none; names the nearest.
    """
    fitting = {name: each for name, each in instruments().items() if not kinds or each.kind in kinds}
    if key in fitting:
        return fitting[key]
    nearest = difflib.get_close_matches(key, fitting, n=1)
    what = " or ".join(kinds) if kinds else "instrument"
    raise UnknownName(what, key, nearest[0] if nearest else None, tuple(fitting))
