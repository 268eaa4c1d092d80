"""Charging a still: how many charges, what water they need, what is wrong with one before it is lit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from caskward.stages.blend import blend
from caskward.stages.reduce import reduce, water_to_reach
from caskward.stages.stream import Stream, Worlds

Charging = Literal["equal", "full then rest", "full only"]

STRONGEST_CHARGE_PCT_VOL = 40.0
"""Strongest charge that makers put in a pot; *common practice, no source*: local codes decide."""
SCORCHING_SOLIDS_SHARE = 0.01
"""Share of undissolved solids from which an immersed element scorches; *common practice, no source*."""
FOAM_HEADSPACE_SHARE = 0.2
"""Share of the pot left empty over a boiling wash with solids or yeast; *common practice, no source*."""
FOAMING_SOLIDS_SHARE = 0.001
"""Share of undissolved or dissolved solids under which low wines lie and a wash does not."""
_BOILING_C = 95.0
"""Temperature for the room that a boiling charge takes."""


@dataclass(frozen=True)
class Charges:
    """A batch as charges: `runs` of `each`, then `last_runs` (0 or 1) of `last`; `carried` is not run now."""

    each: Stream
    runs: Worlds
    last: Stream
    last_runs: Worlds
    carried: Stream

    @property
    def count(self) -> Worlds:
        """All charges together."""
        return np.asarray(self.runs + self.last_runs)


@dataclass(frozen=True)
class PotLimits:
    """What a pot can take, and how it is heated.

    charge_limit_l, minimum_charge_l: most and least it is charged with [L at 20 °C]; the least covers an
        element or a thermometer. brimful_l: what it holds to the brim [L], where known. working_l: most it
        holds while it boils [L], where known.
    """

    charge_limit_l: float | Worlds
    minimum_charge_l: float = 0.0
    brimful_l: float | None = None
    immersed_element: bool = False
    strongest_pct_vol: float = STRONGEST_CHARGE_PCT_VOL
    working_l: float | None = None


@dataclass(frozen=True)
class Fitted:
    """A batch with the water that its charges need, run as `runs` equal charges; per world.

    for_strength_kg: water that brings it down to the strongest charge. to_cover_kg: further water that fills
    every charge up to the least that the pot takes.
    """

    batch: Stream
    runs: Worlds
    for_strength_kg: Worlds
    to_cover_kg: Worlds

    @property
    def water_kg(self) -> Worlds:
        """All water that is added."""
        return np.asarray(self.for_strength_kg + self.to_cover_kg)

    @property
    def each(self) -> Stream:
        """One of the charges."""
        return self.batch.scaled(1.0 / self.runs)


@dataclass(frozen=True)
class ChargeFlags:
    """What is wrong with a charge, per world.

    scorches: solids that settle on an immersed element. foams: too little room over a boiling wash.
    over_limit, under_minimum: more or less than the pot takes. too_strong: over the charge's strength limit;
    `water_kg` brings it down to that, `diluted_l` is the volume it makes, `diluted_over_limit` is True where
    that is more than one charge. All false and 0 kg for a charge in order.
    """

    scorches: NDArray[np.bool_]
    foams: NDArray[np.bool_]
    over_limit: NDArray[np.bool_]
    under_minimum: NDArray[np.bool_]
    too_strong: NDArray[np.bool_]
    water_kg: Worlds
    diluted_l: Worlds
    diluted_over_limit: NDArray[np.bool_]

    @property
    def any(self) -> NDArray[np.bool_]:
        """True where something must change before this charge is lit."""
        return self.scorches | self.foams | self.over_limit | self.under_minimum | self.too_strong


def charges_of(
    batch: Stream, charge_limit_l: float | Worlds, charging: Charging = "equal", minimum_charge_l: float = 0.0
) -> Charges:
    """Part a batch into charges, each world by its own count.

    "equal": as few equal charges as the limit allows. "full then rest": charges at the limit, then what is
    left as one smaller charge, which is carried over where it is under the least the pot takes. "full only":
    charges at the limit, and what is left is carried over to the next batch.
    """
    fills = batch.volume_l / charge_limit_l
    none = np.zeros_like(fills)
    if charging == "equal":
        runs = np.maximum(np.ceil(fills - 1e-9), 1.0)
        each = batch.scaled(1.0 / runs)
        return Charges(each, runs, each, none, batch.scaled(none))
    runs = np.floor(fills + 1e-9)
    rest_share = np.where(fills - runs <= 1e-9, 0.0, 1.0 - runs / fills)
    runs_it = (rest_share * batch.volume_l > minimum_charge_l) & (charging == "full then rest")
    each = batch.scaled(1.0 / np.where(rest_share > 0.0, fills, runs))
    last = batch.scaled(np.where(rest_share > 0.0, rest_share, 1.0))
    carried = batch.scaled(np.where(runs_it, 0.0, rest_share))
    return Charges(each, runs, last, (runs_it & (rest_share > 0.0)).astype(float), carried)


def most_per_charge(charge: Stream, pot: PotLimits) -> Worlds:
    """Most of a liquid that the pot takes at once [L at 20 °C], by its limit and by its room at the boil.

    Liquids swell by 4 to 7 % on the way to the boil, so this depends on what is charged.
    """
    hot_l = min(np.inf if most is None else most for most in (pot.working_l, pot.brimful_l))
    swells = charge.volume_at(_BOILING_C) / charge.volume_l
    return np.asarray(np.minimum(pot.charge_limit_l, hot_l * (1.0 - 1e-8) / swells))


def runs_of(batch: Stream, pot: PotLimits) -> Worlds:
    """In how many equal charges the pot takes a batch; a whole number in each world."""
    fills = batch.volume_l / most_per_charge(batch, pot)
    return np.asarray(np.maximum(np.ceil(fills - 1e-9), 1.0))


def fitted(batch: Stream, pot: PotLimits) -> Fitted:
    """A batch let down to the strongest charge and filled up, so that every equal charge suits the pot.

    Where the least is over the most that the pot takes, no water mends it: `most_per_charge` tells.
    """
    let_down, for_strength = reduce(batch, pot.strongest_pct_vol)
    runs = runs_of(let_down, pot)
    if pot.minimum_charge_l <= 0.0:
        return Fitted(let_down, runs, for_strength.water_kg, np.zeros_like(for_strength.water_kg))
    filled, to_cover = blend((let_down,), 100.0, runs * pot.minimum_charge_l)
    return Fitted(filled, runs_of(filled, pot), for_strength.water_kg, to_cover.water_kg)


def check_charge(charge: Stream, pot: PotLimits) -> ChargeFlags:
    """What is wrong with one charge in this pot, as data for each world; nothing is refused here."""
    volume_l, strength_pct_vol = charge.volume_l, charge.strength_pct_vol
    hot_l = charge.volume_at(_BOILING_C)
    whole_kg = np.maximum(charge.total_kg, 1e-12)
    solids_share = charge.solids_kg / whole_kg
    is_wash = (charge.solids_kg + charge.dissolved_kg) / whole_kg > FOAMING_SOLIDS_SHARE
    brimful_l = np.inf if pot.brimful_l is None else pot.brimful_l
    water_kg = water_to_reach(charge, pot.strongest_pct_vol)
    diluted_l = charge.with_masses(water_kg=charge.water_kg + water_kg).volume_l
    return ChargeFlags(
        scorches=(solids_share > SCORCHING_SOLIDS_SHARE) & pot.immersed_element,
        foams=is_wash & (hot_l > (1.0 - FOAM_HEADSPACE_SHARE) * brimful_l),
        over_limit=volume_l > pot.charge_limit_l * (1.0 + 1e-9),
        under_minimum=volume_l < pot.minimum_charge_l * (1.0 - 1e-9),
        too_strong=strength_pct_vol > pot.strongest_pct_vol + 1e-9,
        water_kg=water_kg,
        diluted_l=diluted_l,
        diluted_over_limit=diluted_l > pot.charge_limit_l * (1.0 + 1e-9),
    )
