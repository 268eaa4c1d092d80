"""What a pot takes over many charges, and whether its element stays covered while each boils down."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from caskward.errors import MissingValue
from caskward.errors.batches import LeastOverMost, OverTheBrim
from caskward.planning.strengths import said
from caskward.services.still_charge import strongest_of
from caskward.services.still_gear import Gear
from caskward.services.still_mend import amount, rounded
from caskward.stages.charges import PotLimits, most_per_charge
from caskward.stages.distil import Profile, Stop, distil
from caskward.stages.stream import Stream, Worlds
from caskward.units.types import UnitSystem

_PCT_VOL_STEP = 0.5
_TRIES = 8
_NOTHING_MENDS_IT = (
    "no stop, charge or water mends that in this pot, which has too little room over it, so do not light it"
)
_A_LITTLE_L = 1e-3
_WATER_KG_L = 0.99820


@dataclass(frozen=True)
class Bared:
    """A charge that boils down under what covers the element before its stop.

    what, when: which charge, in words. left_l: least that is left in the pot. chance: share of worlds in
    which it is bared. What keeps the element covered, None where it does not: keeps_pct_vol, a sooner stop by
    the strength at the spout; keeps_charge_l, a larger charge of the same strength; keeps_water_l, water put
    to it; keeps_full_pct_vol, the stop for the fullest charge that the pot takes, full_l.
    """

    what: str
    when: str
    charge_l: float
    left_l: float
    least_l: float
    chance: float
    keeps_pct_vol: float | None
    keeps_charge_l: float | None
    keeps_water_l: float | None
    full_l: float
    keeps_full_pct_vol: float | None


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


def bared(
    what: str, profile: Profile, pot: PotLimits, stop: Stop | None = None, when: str = ""
) -> Bared | None:
    """Whether a charge boils down too far before its stop, and what keeps the element covered.

    stop: without it no water is looked for.
    """
    least, left = pot.minimum_charge_l, profile.pot_volume_l[-1]
    bare = left < least * (1.0 - 1e-9)
    if not np.any(bare):
        return None
    charge_l = profile.charge.volume_l
    enough_l = least / float(np.min(left / charge_l))
    full_l = float(np.min(most_per_charge(profile.charge, pot)))
    return Bared(
        what=what,
        when=when,
        charge_l=float(np.min(charge_l)),
        left_l=float(np.min(left)),
        least_l=least,
        chance=float(np.mean(bare)),
        keeps_pct_vol=bares_at(profile, least),
        keeps_charge_l=enough_l if enough_l <= full_l else None,
        keeps_water_l=None if stop is None else _water_that_covers(profile, stop, pot),
        full_l=full_l,
        keeps_full_pct_vol=bares_at(profile, least * float(np.max(charge_l)) / full_l),
    )


def _water_that_covers(profile: Profile, stop: Stop, pot: PotLimits) -> float | None:
    """Water that keeps the element covered to the same stop [L]; None where the pot has no room for it."""
    charge, water_l, left = replace(profile.charge, traces_mg=None), 0.0, profile.pot_volume_l[-1]
    for _ in range(_TRIES):
        water_l += 1.02 * (pot.minimum_charge_l - float(np.min(left))) + _A_LITTLE_L
        more = charge.with_masses(water_kg=charge.water_kg + water_l * _WATER_KG_L)
        if np.any(more.volume_l > most_per_charge(more, pot)):
            return None
        left = distil(more, profile.still, stop, profile.unknowns).pot_volume_l[-1]
        if np.all(left >= pot.minimum_charge_l):
            return water_l
    return None


def bares_at(profile: Profile, least_l: float) -> float | None:
    """Strength at the spout down to which so much is left in the pot in every world [%vol], rounded up.

    0 where it is left to the end; None where it is not left at the first drop.
    """
    left, spout = (_by_world(a) for a in np.broadcast_arrays(profile.pot_volume_l, profile.spout_pct_vol))
    found = [
        float(np.interp(least_l, in_pot[::-1], pct_vol[::-1]))
        for in_pot, pct_vol in zip(left.T, spout.T, strict=True)
        if in_pot[-1] < least_l
    ]
    if not found:
        return 0.0
    steps = float(np.ceil(max(found) / _PCT_VOL_STEP)) * _PCT_VOL_STEP
    return steps if steps < float(np.min(spout[0])) else None


def _by_world(of_run: Worlds) -> Worlds:
    """A run's figures as (moments, worlds)."""
    return np.asarray(of_run.reshape(len(of_run), -1))


def bared_words(one: Bared, gear: Gear, system: UnitSystem) -> str:
    """The caution, with what mends it: the stop or the charge that keeps the element covered."""
    over = "the heating element" if gear.element else "what --least must cover"
    down = amount(rounded(one.left_l, system, "down"), system)
    often = "boils" if one.chance > 0.5 else "may boil"
    begin = (
        f"{one.what} of {amount(rounded(one.charge_l, system, 'down', 4), system)}{one.when} {often} down to "
        f"{down} before the stop and bares {over}, which needs {amount(one.least_l, system)} over it"
    )
    ways = []
    if one.keeps_pct_vol is not None:
        ways.append(f"stop while the spout still shows {said(one.keeps_pct_vol, system)}")
    if one.keeps_charge_l is not None:
        ways.append(f"charge at least {amount(rounded(one.keeps_charge_l, system, 'up'), system)}")
    if one.keeps_water_l is not None:
        ways.append(f"add {amount(rounded(one.keeps_water_l, system, 'up'), system)} of water to it")
    if not ways and one.keeps_full_pct_vol is not None:
        full = amount(rounded(one.full_l, system, "down", 4), system)
        ways.append(
            f"charge {full} and stop while the spout still shows {said(one.keeps_full_pct_vol, system)}"
        )
    return f"{begin}: {', or '.join(ways) or _NOTHING_MENDS_IT}."
