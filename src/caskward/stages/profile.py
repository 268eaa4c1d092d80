"""A run from first drop to stop: what is left, what has come over, what it took, at any moment.

A moment is named by the pot's log ratio u = ln(E/W), which only falls. Nodes hold the run; between them
ln of what is left is a cubic with known slopes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from caskward.pace import once
from caskward.properties import heat
from caskward.stages.amounts import LEAVES_AT_C, Amounts, Pot, latent_kwh
from caskward.stages.columns import VapourPath
from caskward.stages.holdup import Held
from caskward.stages.quadrature import hermite, interval_of, picked
from caskward.stages.still import Still, StillUnknowns
from caskward.stages.stream import Stream, Worlds
from caskward.stages.traces import TraceCourse
from caskward.stages.vapour import ETHANOL_KG_PER_MOL, strength_pct_vol


@dataclass(frozen=True)
class Profile:
    """A run; arrays are (steps + 1, worlds...), masses and volumes are cumulative from the first drop.

    `pot_u` and `top_u` are log ratios in the pot and of the vapour that leaves column and head; `ln_left` is
    ln(E/E0) and `slope` its derivative in u. `held` is what stands between pot and spout, None where
    nothing does. `reached` is False where the charge ran out before the stop was met.
    """

    charge: Stream
    still: Still
    unknowns: StillUnknowns
    path: VapourPath
    pot_u: Worlds
    top_u: Worlds
    ln_left: Worlds
    slope: Worlds
    traces: TraceCourse | None
    held: Held | None
    reached: NDArray[np.bool_]

    @once
    def ln_ethanol(self) -> Worlds:
        """ln of the moles of ethanol left in the pot."""
        return np.asarray(self.ln_left + np.log(self.charge.ethanol_kg / ETHANOL_KG_PER_MOL))

    @once
    def ln_water(self) -> Worlds:
        """ln of the moles of water left in the pot."""
        return np.asarray(self.ln_ethanol - self.pot_u)

    @once
    def over_top(self) -> Amounts:
        """What has left the still's top at each node."""
        traces = self.traces
        return _gone(self, self.ln_left, self.pot_u, None if traces is None else traces.ln_left)

    @once
    def collected(self) -> Amounts:
        """What has left the spout at each node."""
        if self.held is None:
            return self.over_top
        return self.over_top.less(Amounts.split(self.held.amounts, 1))

    @property
    def ethanol_kg(self) -> Worlds:
        """Ethanol collected so far [kg]."""
        return self.collected.ethanol_kg

    @property
    def water_kg(self) -> Worlds:
        """Water collected so far [kg]."""
        return self.collected.water_kg

    @property
    def traces_mg(self) -> Worlds | None:
        """Congeners collected so far [mg], (steps + 1, 16, worlds...); None where not tracked."""
        return self.collected.traces_mg

    @once
    def volume_l(self) -> Worlds:
        """Distillate collected so far [L at 20 °C]."""
        return self.collected.volume_l

    @once
    def top_pct_vol(self) -> Worlds:
        """Strength of what leaves head and column [%vol]."""
        return strength_pct_vol(self.top_u)

    @once
    def spout_pct_vol(self) -> Worlds:
        """Strength at the spout [%vol]; before a hold-up is full, that of what it will give first."""
        if self.held is None:
            return self.top_pct_vol
        held = Amounts.split(self.held.amounts, 1)
        return np.where(held.ethanol_kg > 0.0, held.strength_pct_vol, self.top_pct_vol)

    @once
    def pot_pct_vol(self) -> Worlds:
        """Strength of the water and alcohol in the pot [%vol]."""
        return strength_pct_vol(self.pot_u)

    @once
    def pot_c(self) -> Worlds:
        """Boiling temperature in the pot [°C]; dissolved solids, which add tenths, are left out."""
        return self.path.curve.boiling_c(self.pot_u)

    @once
    def vapour_c(self) -> Worlds:
        """Temperature of the vapour that goes to the condenser [°C]."""
        return self.path.curve.boiling_c(self.path.curve.liquid_under(self.top_u))

    @once
    def pot_volume_l(self) -> Worlds:
        """What is left in the pot with all its solids [L at 20 °C]."""
        return self.pot_left.volume_l

    @once
    def pot_left(self) -> Stream:
        """What is left in the pot at each node; congeners are in `traces`."""
        charge, gone = replace(self.charge, traces_mg=None), self.over_top
        return charge.with_masses(
            ethanol_kg=np.maximum(charge.ethanol_kg - gone.ethanol_kg, 0.0),
            water_kg=np.maximum(charge.water_kg - gone.water_kg, 0.0),
        )

    @once
    def warming_kwh(self) -> Worlds:
        """Heat that the pot took so far to keep boiling hotter [kWh]; what is left in it, solids too."""
        left, pot_c = self.pot_left, self.pot_c
        capacity_kj_k = np.asarray(left.heat_capacity_kj_k)
        steps = 0.5 * (capacity_kj_k[1:] + capacity_kj_k[:-1]) * np.diff(pot_c, axis=0) / 3600.0
        return np.concatenate([np.zeros_like(steps[:1]), np.cumsum(steps, axis=0)])

    @once
    def boiling_kwh(self) -> Worlds:
        """Heat into the pot since it boils [kWh]: vapour, reflux and all, and warming."""
        return np.asarray(latent_kwh(self.over_top) / self.path.through_share + self.warming_kwh)

    @property
    def heat_up_kwh(self) -> Worlds:
        """Heat into the charge before it boils [kWh]."""
        rise_k = np.maximum(self.pot_c[0] - self.charge.temp_c, 0.0)
        return np.asarray(self.charge.heat_capacity_kj_k * rise_k / 3600.0)

    @property
    def useful_kw(self) -> Worlds:
        """Heat that reaches the pot [kW]."""
        return np.asarray(self.still.power_kw * (1.0 - np.asarray(self.unknowns.heat_lost_share)))

    @property
    def heat_up_h(self) -> Worlds:
        """Hours from cold to boiling."""
        return np.asarray(self.heat_up_kwh / self.useful_kw)

    @once
    def delay_h(self) -> Worlds:
        """Hours between boiling and the first drop at the spout, while dead volume fills."""
        if self.held is None:
            return np.zeros_like(self.boiling_kwh[0])
        k, along = self.held.filled_at()
        start, end = picked(self.boiling_kwh, k), picked(self.boiling_kwh, k + 1)
        return np.asarray((start + (end - start) * along) / self.useful_kw)

    @once
    def hours(self) -> Worlds:
        """Hours since the first drop; below zero while dead volume fills."""
        return np.asarray(self.boiling_kwh / self.useful_kw - self.delay_h)

    @once
    def condenser_kwh(self) -> Worlds:
        """Heat that the condenser has carried off [kWh]: latent, its reflux too, and cooling to 20 °C."""
        latent = latent_kwh(self.over_top) * (1.0 + np.asarray(self.path.column.reflux_ratio))
        return np.asarray(latent + self._cooled_kwh())

    @once
    def dephlegmator_kwh(self) -> Worlds:
        """Heat that the dephlegmator has carried off [kWh]."""
        share = np.asarray(self.path.column.dephlegmator_share)
        passing = latent_kwh(self.over_top) * (1.0 + np.asarray(self.path.column.reflux_ratio))
        return np.asarray(passing * share / (1.0 - share))

    def cooling_water_l_h(self, rise_k: float | Worlds) -> Worlds:
        """Cooling water that condenser and dephlegmator ask for in each interval [L/h], (steps, worlds...).

        rise_k: how much warmer it leaves than it comes [K], above 0.
        """
        carried_kwh = np.diff(self.condenser_kwh + self.dephlegmator_kwh, axis=0)
        hours = np.diff(self.hours, axis=0)
        litres = heat.cooling_water_l(np.maximum(carried_kwh, 0.0), rise_k)
        return np.asarray(litres / np.where(hours > 0.0, hours, np.inf))

    def _cooled_kwh(self) -> Worlds:
        """Heat of what runs, from its vapour's temperature to the spout's [kWh]."""
        over = self.over_top
        kj_k = np.asarray(
            heat.mash_heat_capacity_kj_k(over.water_kg, over.ethanol_kg, np.asarray(0.0), np.asarray(0.0))
        )
        hot_c = 0.5 * (self.vapour_c[1:] + self.vapour_c[:-1])
        steps = np.diff(kj_k, axis=0) * np.maximum(hot_c - LEAVES_AT_C, 0.0) / 3600.0
        return np.concatenate([np.zeros_like(steps[:1]), np.cumsum(steps, axis=0)])


def over_top_at(profile: Profile, u: Worlds, *, traced: bool = True) -> Amounts:
    """What has left the still's top when the pot has reached u; without congeners where not `traced`."""
    place = interval_of(profile.pot_u, u)
    ln_left = hermite(profile.ln_left, profile.slope, *place)
    traces = profile.traces if traced else None
    ln_traces = None if traces is None else hermite(traces.ln_left, traces.slope, *place)
    return _gone(profile, ln_left, u, ln_traces)


def collected_at(profile: Profile, u: Worlds, *, traced: bool = True) -> Amounts:
    """What has left the spout when the pot has reached u; without congeners where not `traced`."""
    over = over_top_at(profile, u, traced=traced)
    return over if profile.held is None else over.less(_held_at(profile, profile.held, u, over))


def left_at(profile: Profile, u: Worlds) -> Pot:
    """What is left in the pot when it has reached u."""
    place = interval_of(profile.pot_u, u)
    ethanol_kg = profile.charge.ethanol_kg * np.exp(hermite(profile.ln_left, profile.slope, *place))
    ethanol_mol = ethanol_kg / ETHANOL_KG_PER_MOL
    return Pot(u, ethanol_mol, np.asarray(ethanol_mol * np.exp(-u)))


def spout_at(profile: Profile, u: Worlds) -> Worlds:
    """Strength at the spout when the pot has reached u [%vol]."""
    if profile.held is None:
        return strength_pct_vol(profile.path.spout_over(u))
    held = _held_at(profile, profile.held, u, over_top_at(profile, u, traced=False))
    return np.where(held.ethanol_kg > 0.0, held.strength_pct_vol, profile.top_pct_vol[0])


def boiling_kwh_at(profile: Profile, u: Worlds) -> Worlds:
    """Heat into the pot since it boils when it has reached u [kWh]."""
    k, along, _ = interval_of(profile.pot_u, u)
    before, after = picked(profile.warming_kwh, k), picked(profile.warming_kwh, k + 1)
    latent = latent_kwh(over_top_at(profile, u, traced=False)) / profile.path.through_share
    return np.asarray(latent + before + (after - before) * along)


def hours_at(profile: Profile, u: Worlds) -> Worlds:
    """Hours since the first drop when the pot has reached u."""
    return np.asarray(boiling_kwh_at(profile, u) / profile.useful_kw - profile.delay_h)


def _gone(profile: Profile, ln_left: Worlds, u: Worlds, ln_traces: Worlds | None) -> Amounts:
    """What came over, from what is left: -E0 expm1(ln(E/E0)), good for the first millilitre too."""
    charge = profile.charge
    ln_water = ln_left - (u - profile.pot_u[0])
    traces_mg = None
    if ln_traces is not None and charge.traces_mg is not None:
        traces_mg = np.asarray(-charge.traces_mg * np.expm1(ln_traces))
    return Amounts(
        np.asarray(-charge.ethanol_kg * np.expm1(ln_left)),
        np.asarray(-charge.water_kg * np.expm1(ln_water)),
        traces_mg,
    )


def _held_at(profile: Profile, held: Held, u: Worlds, over: Amounts) -> Amounts:
    """What stands between pot and spout at a moment: all that came, until it is full."""
    k, _, _ = interval_of(profile.pot_u, u)
    nodes = profile.over_top
    start = Amounts(picked(nodes.ethanol_kg, k), picked(nodes.water_kg, k), None)
    start_l, end_l = picked(held.run_l, k), picked(held.run_l, k + 1)
    run_l = over.untraced.less(start).volume_l
    along = np.clip(run_l / np.where(end_l > start_l, end_l - start_l, np.inf), 0.0, 1.0)
    parts = over.joined(0)
    full = start_l + run_l > held.litres
    return Amounts.split(np.where(full, held.within(k, along, len(parts)), parts), 0)
