"""What a pot takes over many charges."""

from __future__ import annotations

import numpy as np

from caskward.errors import MissingValue
from caskward.errors.batches import LeastOverMost, OverTheBrim
from caskward.services.still_charge import strongest_of
from caskward.services.still_gear import Gear
from caskward.services.still_mend import amount, rounded
from caskward.stages.charges import PotLimits, most_per_charge
from caskward.stages.stream import Stream
from caskward.units.types import UnitSystem


def pot_of(gear: Gear, where: str, system: UnitSystem) -> PotLimits:
    """What the pot takes at once, for batches that are parted by it.

    Raises:
        MissingValue: neither a charge limit nor a working volume. OverTheBrim: more than the pot holds.
    """
    if gear.limit_l is None and gear.working_l is None:
        raise MissingValue(where, "the most that the still is charged with", '--limit "110 L"')
    for name, room_l in (("charge limit", gear.limit_l), ("working volume", gear.working_l)):
        if room_l is not None and gear.brimful_l is not None and room_l > gear.brimful_l:
            raise OverTheBrim(name, amount(room_l, system), amount(gear.brimful_l, system))
    return PotLimits(
        charge_limit_l=np.inf if gear.limit_l is None else gear.limit_l,
        minimum_charge_l=gear.least_l,
        brimful_l=gear.brimful_l,
        immersed_element=gear.element,
        strongest_pct_vol=strongest_of(gear),
        working_l=gear.working_l,
    )


def most_l(charge: Stream, pot: PotLimits, system: UnitSystem) -> float:
    """Most of a liquid that the pot takes at once, whatever the world [L at 20 °C].

    Raises:
        LeastOverMost: less than what must be charged.
    """
    most = float(np.min(most_per_charge(charge, pot)))
    if pot.minimum_charge_l > most:
        swells = most < float(np.min(pot.charge_limit_l)) * (1.0 - 1e-6)
        why = "may be, since it swells on the way to the boil" if swells else "may be (--limit)"
        down = amount(rounded(most, system, "down", 4), system)
        raise LeastOverMost(amount(pot.minimum_charge_l, system), down, why)
    return most
