"""Distilling a charge in a pot: one profile, and receivers cut from it.

As long as the vapour leaves in step with the pot, ethanol E and water W left in the pot obey
d ln W / d ln E = 1/α, with α the spout's ethanol ratio over the pot's. In u = ln(E/W) both become
plain integrals, d ln E = α/(α-1) du and d ln W = 1/(α-1) du, so a stop at a strength is a known u and
nothing is stepped past it. Receivers are differences of what is left, so the balance is exact.
Source: Rayleigh (1902) for the balance; head reflux as one partial condenser.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from caskward.errors import OutOfRange
from caskward.properties import alcohol, vle
from caskward.stages.stream import Stream, Worlds
from caskward.stages.vapour import (
    ETHANOL_KG_PER_MOL,
    HIGHEST,
    WATER_KG_PER_MOL,
    EquilibriumCurve,
    equilibrium_curve,
    fraction,
    pot_under,
    ratio,
    spout_over,
)


@dataclass(frozen=True)
class Still:
    """A pot still: heat of its burner or element [kW] and the pressure where it stands [kPa]."""

    power_kw: float
    kpa: float = 101.325


@dataclass(frozen=True)
class StillUnknowns:
    """Share of the vapour that head and lyne arm send back; share of the heat that is lost."""

    reflux: Worlds
    heat_lost_share: Worlds


@dataclass(frozen=True)
class Profile:
    """A run from first drop to stop; arrays are (steps + 1, worlds...), masses are cumulative."""

    pot_u: Worlds
    ln_ethanol: Worlds
    ln_water: Worlds
    ethanol_slope: Worlds
    water_slope: Worlds
    spout_pct_vol: Worlds
    pot_c: Worlds
    ethanol_kg: Worlds
    water_kg: Worlds

    @property
    def volume_l(self) -> Worlds:
        """Distillate collected so far [L at 20 °C]."""
        return np.asarray(alcohol.volume_l(self.water_kg, self.ethanol_kg))


@dataclass(frozen=True)
class Pot:
    """What is left in the pot at one moment of a run, per world [mol]."""

    u: Worlds
    ethanol_mol: Worlds
    water_mol: Worlds


def distil(
    charge: Stream, still: Still, stop_pct_vol: float, unknowns: StillUnknowns, steps: int = 32
) -> Profile:
    """Run a charge until the spout's strength falls to a stop.

    Args:
        charge: what is in the pot; solids stay there. Strength above 0 and below 90 %vol.
        still: burner and pressure.
        stop_pct_vol: strength at the spout at which the run ends [%vol], 0.1 to 80.
        unknowns: reflux 0..0.5 and heat lost.
        steps: intervals of the profile (Simpson's rule over each).

    Raises:
        OutOfRange: a charge without alcohol or too close to the azeotrope.
    """
    curve = equilibrium_curve(still.kpa)
    start = _charge_ratio(charge)
    stop = np.minimum(pot_under(spout_ratio(stop_pct_vol), unknowns.reflux, curve), start)
    u, ethanol_slope, spout = _course(start, stop, unknowns.reflux, curve, steps)
    interval = (stop - start) / steps
    ln_ethanol = _cumulative(ethanol_slope, interval) + np.log(charge.ethanol_kg / ETHANOL_KG_PER_MOL)
    ln_water = _cumulative(ethanol_slope - 1.0, interval) + np.log(charge.water_kg / WATER_KG_PER_MOL)
    nodes = slice(None, None, 2)
    return Profile(
        pot_u=u[nodes],
        ln_ethanol=ln_ethanol,
        ln_water=ln_water,
        ethanol_slope=ethanol_slope[nodes],
        water_slope=ethanol_slope[nodes] - 1.0,
        spout_pct_vol=_strength(spout[nodes]),
        pot_c=curve.boiling_c(u[nodes]),
        ethanol_kg=np.maximum(charge.ethanol_kg - ETHANOL_KG_PER_MOL * np.exp(ln_ethanol), 0.0),
        water_kg=np.maximum(charge.water_kg - WATER_KG_PER_MOL * np.exp(ln_water), 0.0),
    )


def strongest_spout_pct_vol(charge_pct_vol: float, reflux: float, kpa: float = 101.325) -> float:
    """Strength of the first drop from a charge of a strength [%vol]: no cut can be stronger."""
    x = vle.mole_fraction(alcohol.mass_fraction(charge_pct_vol))
    curve = equilibrium_curve(kpa)
    return float(_strength(spout_over(ratio(np.asarray(x)), np.asarray(reflux), curve)))


def _charge_ratio(charge: Stream) -> Worlds:
    ethanol_mol = charge.ethanol_kg / ETHANOL_KG_PER_MOL
    water_mol = charge.water_kg / WATER_KG_PER_MOL
    x = ethanol_mol / np.maximum(ethanol_mol + water_mol, 1e-300)
    if not (np.all(x > 1e-5) and np.all(x < HIGHEST)):
        given = float(np.ravel(x)[np.argmax(np.abs(np.ravel(x) - 0.4))])
        raise OutOfRange(
            "The charge's share of ethanol molecules", given, "", 1e-5, HIGHEST, "Check its strength."
        )
    return ratio(x)


def spout_ratio(pct_vol: float | Worlds) -> Worlds:
    """Log ratio of a strength at the spout [%vol]."""
    return ratio(np.asarray(vle.mole_fraction(alcohol.mass_fraction(pct_vol))))


def _strength(u: Worlds) -> Worlds:
    return np.asarray(alcohol.pct_vol(vle.mass_fraction_from_mole(fraction(u))))


def _course(
    start: Worlds, stop: Worlds, reflux: Worlds, curve: EquilibriumCurve, steps: int
) -> tuple[Worlds, Worlds, Worlds]:
    """Pot's u on nodes and midpoints, d ln E / du there, and the spout's log ratio."""
    along = np.linspace(0.0, 1.0, 2 * steps + 1).reshape((-1,) + (1,) * np.ndim(start))
    u = start + (stop - start) * along
    spout = spout_over(u, reflux, curve)
    return u, 1.0 / (-np.expm1(u - spout)), spout


def _cumulative(values: Worlds, interval: Worlds) -> Worlds:
    """Simpson's rule over each interval from its ends and midpoint, summed up."""
    pieces = (values[:-1:2] + 4.0 * values[1::2] + values[2::2]) * (interval / 6.0)
    return np.concatenate([np.zeros_like(pieces[:1]), np.cumsum(pieces, axis=0)])


def left_at(profile: Profile, u: Worlds) -> Pot:
    """What is left when the pot has reached u: cubic between nodes, slopes known exactly."""
    k, along, h = _place(profile, u)
    ln_ethanol = _hermite(profile.ln_ethanol, profile.ethanol_slope, k, along, h)
    ln_water = _hermite(profile.ln_water, profile.water_slope, k, along, h)
    return Pot(u, np.exp(ln_ethanol), np.exp(ln_water))


def _hermite(values: Worlds, slopes: Worlds, k: NDArray[np.intp], t: Worlds, h: Worlds) -> Worlds:
    a, b = _node(values, k), _node(values, k + 1)
    da, db = h * _node(slopes, k), h * _node(slopes, k + 1)
    return np.asarray(
        a * (1 + 2 * t) * (1 - t) ** 2
        + da * t * (1 - t) ** 2
        + b * t * t * (3 - 2 * t)
        - db * t * t * (1 - t)
    )


def u_where(profile: Profile, values: Worlds, before: NDArray[np.bool_]) -> Worlds:
    """Pot's u where `values` pass zero: between the last node marked `before` and the next, linear."""
    steps = profile.pot_u.shape[0] - 1
    k = np.clip(np.sum(before, axis=0) - 1, 0, steps - 1)
    a, b = _node(values, k), _node(values, k + 1)
    along = np.clip(a / np.where(a == b, 1.0, a - b), 0.0, 1.0)
    return np.asarray(profile.pot_u[0] + (profile.pot_u[-1] - profile.pot_u[0]) * (k + along) / steps)


def u_at_alcohol_share(profile: Profile, share: float | Worlds) -> Worlds:
    """Pot's u when a share of the charge's alcohol has come over; never past the stop."""
    target = profile.ln_ethanol[0] + np.log1p(-np.asarray(share))
    above = profile.ln_ethanol - target
    u = u_where(profile, above, above > 0.0)
    for _ in range(2):
        u = u - (np.log(left_at(profile, u).ethanol_mol) - target) / slope_at(profile, u)
    return np.clip(u, profile.pot_u[-1], profile.pot_u[0])


def slope_at(profile: Profile, u: Worlds) -> Worlds:
    """d ln E / du at a moment of the run."""
    k, along, _ = _place(profile, u)
    a, b = _node(profile.ethanol_slope, k), _node(profile.ethanol_slope, k + 1)
    return np.asarray(a + (b - a) * along)


def spout_at(profile: Profile, u: Worlds) -> Worlds:
    """Strength at the spout when the pot has reached u [%vol]."""
    k, along, _ = _place(profile, u)
    a, b = _node(profile.spout_pct_vol, k), _node(profile.spout_pct_vol, k + 1)
    return np.asarray(a + (b - a) * along)


def _place(profile: Profile, u: Worlds) -> tuple[NDArray[np.intp], Worlds, Worlds]:
    """Interval that holds u, how far along it (0..1), and its width in u."""
    steps = profile.pot_u.shape[0] - 1
    width = profile.pot_u[-1] - profile.pot_u[0]
    place = np.clip((u - profile.pot_u[0]) / np.where(width == 0.0, -1.0, width), 0.0, 1.0) * steps
    k = np.minimum(place.astype(np.intp), steps - 1)
    return k, place - k, width / steps


def _node(values: Worlds, k: NDArray[np.intp]) -> Worlds:
    return np.asarray(np.take_along_axis(values, np.expand_dims(k, 0), axis=0)[0])
