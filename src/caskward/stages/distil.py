"""Distilling a charge: one profile from first drop to stop.

As long as the vapour leaves in step with the pot, ethanol E and water W left in the pot obey
d ln W / d ln E = 1/α, with α the spout's ethanol ratio over the pot's. In u = ln(E/W) both become
plain integrals, d ln E = α/(α-1) du and ln W = ln E - u, so a stop at a strength is a known u and
nothing is stepped past it. Going from the spout down to the pot is explicit, so the nodes are chosen at the
spout. Source: Rayleigh (1902) for the balance.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from caskward.errors import OutOfRange
from caskward.properties import alcohol, vle
from caskward.stages.amounts import Amounts, Pot
from caskward.stages.columns import Column, VapourPath
from caskward.stages.holdup import Held, HoldUp, hold
from caskward.stages.moments import moment_of, pot_ratio_of, top_ratio_of
from caskward.stages.nodes import nodes_between
from caskward.stages.profile import Profile, collected_at, hours_at, left_at, spout_at
from caskward.stages.quadrature import cumulative
from caskward.stages.still import Still, StillUnknowns, Stop
from caskward.stages.stream import MASSES, Stream, Worlds
from caskward.stages.traces import TraceRates, trace_course
from caskward.stages.vapour import (
    ETHANOL_KG_PER_MOL,
    HIGHEST,
    WATER_KG_PER_MOL,
    equilibrium_curve,
    fraction,
    ratio,
    strength_pct_vol,
)

__all__ = [
    "Amounts",
    "Column",
    "HoldUp",
    "Pot",
    "Profile",
    "Still",
    "StillUnknowns",
    "Stop",
    "collected_at",
    "distil",
    "hours_at",
    "left_at",
    "moment_of",
    "spout_at",
    "strongest_spout_pct_vol",
    "u_at_alcohol_share",
]

STEPS = 24
"""Intervals of a profile: 1e-6 of the volume, against 2,000."""
_LEAST_X, _SPENT_X = 1e-5, 1e-6
"""Mole fraction of ethanol below which nothing is charged, and at which a charge counts as run out."""


def distil(
    charge: Stream,
    still: Still,
    stop: Stop | float,
    unknowns: StillUnknowns | None = None,
    steps: int = STEPS,
) -> Profile:
    """Run a charge from the first drop to a stop.

    Args:
        charge: what is in the pot; solids stay there, take room and heat. Above 0, below 95 %vol. Where its
            congeners are tracked, they are followed.
        still: burner, pressure, what stands over the pot, dead volume before the spout.
        stop: where the run ends; a plain number is a strength at the spout [%vol].
        unknowns: what head and heat do; None: a bare pot's likely figures.
        steps: intervals of the profile.

    All may be plain numbers (one world) or arrays over worlds, which broadcast together. A stop that was met
    before the first drop gives an empty run; one that is never met ends it when the charge is spent.

    Raises:
        OutOfRange: a charge without alcohol or too close to the azeotrope.
    """
    unknowns = unknowns or StillUnknowns()
    stop = stop if isinstance(stop, Stop) else Stop("spout_pct_vol", stop)
    path = VapourPath(equilibrium_curve(still.kpa), unknowns.reflux, still.column)
    charge = _spread(charge, unknowns, still, stop)
    start = _charge_ratio(charge)
    spent = ratio(np.full(start.shape, _SPENT_X))
    run = _Run(charge, still, unknowns, path, start, path.spout_over(start), steps)
    if stop.by != "spout_pct_vol" or still.hold_up is None:
        pot, top = pot_ratio_of(path, stop), top_ratio_of(path, stop)
        if pot is not None:
            return replace(_run_to(run, np.maximum(pot, spent), top), reached=pot > spent)
    whole = _run_to(replace(run, charge=replace(charge, traces_mg=None)), spent, None)
    found = moment_of(whole, stop)
    return replace(_run_to(run, found, None), reached=found > whole.pot_u[-1])


@dataclass(frozen=True)
class _Run:
    """A run's start and everything that steers it."""

    charge: Stream
    still: Still
    unknowns: StillUnknowns
    path: VapourPath
    pot: Worlds
    top: Worlds
    steps: int


def _run_to(run: _Run, pot: Worlds, top: Worlds | None) -> Profile:
    """The run down to a pot's log ratio; the top's there, where it is known already."""
    end = np.minimum(pot, run.pot)
    end_top = np.minimum(run.path.spout_over(end) if top is None else top, run.top)
    u, spout = nodes_between(run.path, (run.pot, run.top), (end, end_top), run.steps)
    slope = -1.0 / np.expm1(u - spout)
    traces = None
    if run.charge.traces_mg is not None:
        rates = TraceRates(run.path, u, spout, slope, run.unknowns.trace_places)
        traces = trace_course(rates, u)
    profile = Profile(
        charge=run.charge,
        still=run.still,
        unknowns=run.unknowns,
        path=run.path,
        pot_u=u[::2],
        top_u=spout[::2],
        ln_left=cumulative(slope, u),
        slope=slope[::2],
        traces=traces,
        held=None,
        reached=np.ones(end.shape, dtype=np.bool_),
    )
    return profile if run.still.hold_up is None else replace(profile, held=_held(profile, run.still.hold_up))


def _held(profile: Profile, hold_up: HoldUp) -> Held:
    """What the dead volume holds at each node: litres that ran, and what was in each of them."""
    over = profile.over_top
    came = over.joined(1)
    steps_l = Amounts.split(np.maximum(np.diff(came, axis=0), 0.0), 1).volume_l
    run_l = np.concatenate([np.zeros_like(steps_l[:1]), np.cumsum(steps_l, axis=0)])
    share = np.asarray(vle.mass_fraction_from_mole(fraction(profile.top_u)))
    kg_l = np.asarray(alcohol.density(share, 20.0)) / 1000.0
    traces_mg_l = None
    if profile.traces is not None and over.traces_mg is not None:
        charge = profile.charge
        left_mg = charge.traces_mg * np.exp(profile.traces.ln_left)
        ethanol_kg = charge.ethanol_kg * np.exp(profile.ln_left) * profile.slope
        traces_mg_l = left_mg * profile.traces.slope / ethanol_kg[:, None] * (share * kg_l)[:, None]
    per_litre = Amounts(share * kg_l, (1.0 - share) * kg_l, traces_mg_l)
    return hold(came, per_litre.joined(1), run_l, hold_up.mixing_l(profile.still.kpa))


def _spread(charge: Stream, unknowns: StillUnknowns, still: Still, stop: Stop) -> Stream:
    """The charge in every world that still, stop and unknowns make together."""
    column, held, places = still.column, still.hold_up or HoldUp(), unknowns.trace_places
    figures = (
        *(getattr(charge, name) for name in (*MASSES, "temp_c")),
        *(
            unknowns.reflux,
            unknowns.heat_lost_share,
            stop.value,
            held.liquid_l,
            held.vapour_l,
            still.power_kw,
        ),
        *(column.plates, column.reflux_ratio, column.dephlegmator_share),
        *(() if places is None else (places[0],)),
    )
    return charge.spread(np.broadcast_shapes(*map(np.shape, figures)))


def _charge_ratio(charge: Stream) -> Worlds:
    ethanol_mol = charge.ethanol_kg / ETHANOL_KG_PER_MOL
    water_mol = charge.water_kg / WATER_KG_PER_MOL
    x = ethanol_mol / np.maximum(ethanol_mol + water_mol, 1e-300)
    if not (np.all(x > _LEAST_X) and np.all(x < HIGHEST)):
        given = float(np.ravel(x)[np.argmax(np.abs(np.ravel(x) - 0.4))])
        raise OutOfRange(
            "The charge's share of ethanol molecules", given, "", _LEAST_X, HIGHEST, "Check its strength."
        )
    return np.asarray(np.log(ethanol_mol / water_mol))


def strongest_spout_pct_vol(charge_pct_vol: float, reflux: float, kpa: float = 101.325) -> float:
    """Strength of the first drop from a charge of a strength [%vol]: no cut can be stronger."""
    x = vle.mole_fraction(alcohol.mass_fraction(charge_pct_vol))
    path = VapourPath(equilibrium_curve(kpa), reflux)
    return float(strength_pct_vol(path.spout_over(ratio(x))))


def u_at_alcohol_share(profile: Profile, share: float | Worlds) -> Worlds:
    """Pot's u when a share of the charge's alcohol has come over; never past the stop."""
    return moment_of(profile, Stop("alcohol_share", share))
