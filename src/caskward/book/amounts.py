"""Litres and kilograms to whole numbers, and parts that add up to their whole.

What is rounded here is the last digit: 1 µL, 1 mg. Strengths and volumes come in as they are at 20 °C.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal

from caskward.errors.book import BelowNothing, MoreAlcoholThanLiquid, StrongerThanAlcohol

UL_PER_L = 1_000_000
MG_PER_KG = 1_000_000
_UL_OF_ALCOHOL = Decimal(UL_PER_L) / 100

Number = float | Decimal | str
"""A number as measured; text is read as a decimal, exactly as it was typed."""


@dataclass(frozen=True, slots=True)
class Liquid:
    """Pure alcohol and liquid [µL at 20 °C], neither below nothing, the alcohol not over the liquid."""

    alcohol_ul: int
    bulk_ul: int

    def __post_init__(self) -> None:
        for what, amount_ul in (("alcohol", self.alcohol_ul), ("liquid", self.bulk_ul)):
            if amount_ul < 0:
                raise BelowNothing(what, f"{amount_ul / UL_PER_L:g} L")
        if self.alcohol_ul > self.bulk_ul:
            alcohol, bulk = (f"{ul / UL_PER_L:g} L" for ul in (self.alcohol_ul, self.bulk_ul))
            raise MoreAlcoholThanLiquid("It", alcohol, bulk)

    @property
    def pct_vol(self) -> float:
        """Its strength [%vol at 20 °C]; 0 if there is none of it."""
        return 100.0 * self.alcohol_ul / self.bulk_ul if self.bulk_ul else 0.0

    def part(self, bulk_ul: int) -> Liquid:
        """So much of it [µL of liquid], at its strength; all of it has all its alcohol."""
        return Liquid(self.alcohol_ul * bulk_ul // self.bulk_ul if self.bulk_ul else 0, bulk_ul)


NONE = Liquid(0, 0)


def liquid(volume_l: Number, pct_vol: Number) -> Liquid:
    """A volume [L at 20 °C] of a strength [0–100 %vol at 20 °C].

    alcohol = volume · strength / 100, worked in decimals and rounded once, half to even. Raises
    `StrongerThanAlcohol`, `BelowNothing`.
    """
    volume, strength = Decimal(str(volume_l)), Decimal(str(pct_vol))
    if strength > 100:
        raise StrongerThanAlcohol(float(strength))
    if strength < 0:
        raise BelowNothing("strength", f"{strength} %vol")
    return Liquid(min(_whole(volume * strength * _UL_OF_ALCOHOL), _volume(volume)), _volume(volume))


def ul(volume_l: Number) -> int:
    """A volume [L] in µL."""
    return _volume(Decimal(str(volume_l)))


def mg(mass_kg: Number) -> int:
    """A mass [kg] in mg; raises `BelowNothing`."""
    mass = Decimal(str(mass_kg))
    if mass < 0:
        raise BelowNothing("mass", f"{mass} kg")
    return _whole(mass * MG_PER_KG)


def shared_out(total: int, weights: Sequence[int]) -> tuple[int, ...]:
    """The total in whole parts as the weights [0 or more], which add up to it: largest remainders first.

    Among equal remainders the earlier part gets the unit, so that the same question has one answer. With no
    weight at all everything goes to the first. A negative total is shared as its opposite.
    """
    if total < 0:
        return tuple(-part for part in shared_out(-total, weights))
    whole = sum(weights)
    if not whole:
        return (total, *(0 for _ in weights[1:]))
    parts = [total * weight // whole for weight in weights]
    left = total - sum(parts)
    by_remainder = sorted(range(len(weights)), key=lambda place: (-(total * weights[place] % whole), place))
    for place in by_remainder[:left]:
        parts[place] += 1
    return tuple(parts)


def _volume(volume: Decimal) -> int:
    if volume < 0:
        raise BelowNothing("volume", f"{volume} L")
    return _whole(volume * UL_PER_L)


def _whole(value: Decimal) -> int:
    return int(value.to_integral_value(rounding=ROUND_HALF_EVEN))
