"""Whether what must stay covered, an element or a thermometer, does so while a charge boils down."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from caskward.errors.still import NothingCovers
from caskward.planning.strengths import said
from caskward.services.still_gear import Gear
from caskward.services.still_mend import amount, rounded
from caskward.stages.charges import PotLimits, most_per_charge
from caskward.stages.distil import Profile, Stop, distil
from caskward.stages.stream import Worlds
from caskward.units.types import UnitSystem

_PCT_VOL_STEP = 0.5
_TRIES = 8
_A_LITTLE_L = 1e-3
_NOTHING_MENDS_IT = "no stop, charge or water mends that in this pot, which has too little room over it"
_WATER_KG_L = 0.99820


@dataclass(frozen=True)
class Bared:
    """A charge that boils down under what covers the element before its stop.

    what, when: which charge, in words. left_l: least that is left in the pot. chance: share of worlds in
    which it is bared. What keeps the element covered, None where it does not: keeps_pct_vol, a sooner stop by
    the strength at the spout; keeps_collected_l, one by the litres collected; keeps_charge_l, a larger charge
    of the same strength; keeps_water_l, water put to it; keeps_full_pct_vol, the stop for the fullest charge
    that the pot takes, full_l, None where nothing was said of what it takes.
    """

    what: str
    when: str
    charge_l: float
    left_l: float
    least_l: float
    chance: float
    keeps_pct_vol: float | None
    keeps_collected_l: float | None
    keeps_charge_l: float | None
    keeps_water_l: float | None
    full_l: float | None
    keeps_full_pct_vol: float | None


def bared(what: str, profile: Profile, pot: PotLimits, stop: Stop, when: str = "") -> Bared | None:
    """A charge that boils down too far before its stop in any world, with what keeps the element covered."""
    least, left = pot.minimum_charge_l, profile.pot_volume_l[-1]
    bare = left < least * (1.0 - 1e-9)
    if not np.any(bare):
        return None
    charge_l = profile.charge.volume_l
    enough_l = least / float(np.min(left / charge_l))
    full_l = float(np.min(most_per_charge(profile.charge, pot)))
    endless = np.isinf(full_l)
    return Bared(
        what=what,
        when=when,
        charge_l=float(np.min(charge_l)),
        left_l=float(np.min(left)),
        least_l=least,
        chance=float(np.mean(bare)),
        keeps_pct_vol=bares_at(profile, least),
        keeps_collected_l=_covered_until_l(profile, least),
        keeps_charge_l=enough_l if enough_l <= full_l else None,
        keeps_water_l=_water_that_covers(profile, stop, pot),
        full_l=None if endless else full_l,
        keeps_full_pct_vol=None if endless else bares_at(profile, least * float(np.max(charge_l)) / full_l),
    )


def _covered_until_l(profile: Profile, least_l: float) -> float | None:
    """Litres collected until which so much is left in the pot in every world; None where not at first."""
    left, over = (_by_world(v) for v in np.broadcast_arrays(profile.pot_volume_l, profile.volume_l))
    ends = [
        float(np.interp(-least_l, -in_pot, so_far)) for in_pot, so_far in zip(left.T, over.T, strict=True)
    ]
    return min(ends) if min(ends) > _A_LITTLE_L else None


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


def bared_words(one: Bared, gear: Gear, system: UnitSystem, *, by_litres: bool = False) -> str:
    """The caution, with what mends it: the stop, the charge or the water that keeps the element covered.

    by_litres: the sooner stop is told as litres collected, as one run ends; otherwise by strength.

    Raises:
        NothingCovers: nothing mends it in this pot, and it is an element. A bared thermometer burns nothing.
    """
    over = "the heating element" if gear.element else "what --least must cover"
    down = amount(rounded(one.left_l, system, "down"), system)
    often = "boils" if one.chance > 0.5 else "may boil"
    begin = (
        f"{one.what} of {amount(rounded(one.charge_l, system, 'down', 4), system)}{one.when} {often} down to "
        f"{down} before the stop and bares {over}, which needs {amount(one.least_l, system)} over it"
    )
    ways = [*_sooner(one, system, by_litres=by_litres), *_more(one, system)]
    if not ways and one.keeps_full_pct_vol is not None and one.full_l is not None:
        full = amount(rounded(one.full_l, system, "down", 4), system)
        ways.append(
            f"charge {full} and stop while the spout still shows {said(one.keeps_full_pct_vol, system)}"
        )
    if not ways and gear.element:
        raise NothingCovers(begin)
    return f"{begin}: {', or '.join(ways) or _NOTHING_MENDS_IT}."


def _sooner(one: Bared, system: UnitSystem, *, by_litres: bool) -> list[str]:
    """A stop that keeps the element covered, where there is one."""
    if by_litres and one.keeps_collected_l is not None:
        stop = amount(rounded(one.keeps_collected_l, system, "down"), system)
        return [f'end it by {stop} collected (--stop "{stop}")']
    if not by_litres and one.keeps_pct_vol is not None:
        return [f"stop while the spout still shows {said(one.keeps_pct_vol, system)}"]
    return []


def _more(one: Bared, system: UnitSystem) -> list[str]:
    """A charge and water that keep the element covered, where the pot has room for them."""
    ways = []
    if one.keeps_charge_l is not None:
        ways.append(f"charge at least {amount(rounded(one.keeps_charge_l, system, 'up'), system)}")
    if one.keeps_water_l is not None:
        ways.append(f"add {amount(rounded(one.keeps_water_l, system, 'up'), system)} of water to it")
    return ways
