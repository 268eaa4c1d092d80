"""Still runs: stripping the wash into low wines, and the spirit run with its cuts.

The still takes as many equal charges as its charge limit asks for; each world has its own count.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from caskward.properties import alcohol, heat
from caskward.stages.balance import Loss, loss_of
from caskward.stages.distil import (
    Pot,
    Profile,
    Still,
    StillUnknowns,
    distil,
    left_at,
    spout_at,
    spout_ratio,
    u_at_alcohol_share,
)
from caskward.stages.stream import Stream, Worlds
from caskward.stages.vapour import ETHANOL_KG_PER_MOL, WATER_KG_PER_MOL, equilibrium_curve, pot_under

_HALVINGS = 14
"""Halvings of one step of the profile: the place of the heart's end to a few millionths of the run."""


@dataclass(frozen=True)
class StripSettings:
    """Most the still takes [L], and the strength at the spout where a strip stops [%vol]."""

    charge_limit_l: float
    stop_pct_vol: float


@dataclass(frozen=True)
class CutRules:
    """Where receivers change: by share of the charge's alcohol first, by strength at the spout after.

    The heart ends at `heart_end_pct_vol`, or before, where it would fall under `least_heart_pct_vol`.
    """

    foreshots_share: float
    heads_share: float
    heart_end_pct_vol: float
    least_heart_pct_vol: float
    tails_stop_pct_vol: float


@dataclass(frozen=True)
class SpiritSettings:
    """Most the still takes [L] and the cut rules."""

    charge_limit_l: float
    cuts: CutRules


@dataclass(frozen=True)
class SpiritUnknowns:
    """The still's unknowns and how far the maker's meter is off at the heart's end [%vol]."""

    still: StillUnknowns
    meter_error_pct_vol: Worlds


@dataclass(frozen=True)
class RunEffort:
    """What the runs of one kind cost, all charges together; `runs` is a whole number per world."""

    runs: Worlds
    charge_l: Worlds
    charge_pct_vol: Worlds
    heat_up_h: Worlds
    running_h: Worlds
    energy_kwh: Worlds
    cooling_kwh: Worlds


@dataclass(frozen=True)
class StripRecord:
    """Low wines and what they cost."""

    effort: RunEffort
    volume_l: Worlds
    strength_pct_vol: Worlds
    first_pct_vol: Worlds
    last_pot_c: Worlds
    losses: tuple[Loss, ...]


@dataclass(frozen=True)
class Receivers:
    """What the spirit run was cut into, all charges together."""

    foreshots: Stream
    heads: Stream
    heart: Stream
    tails: Stream


@dataclass(frozen=True)
class SpiritRecord:
    """Receivers, strengths at the spout where they change, and what the runs cost."""

    effort: RunEffort
    receivers: Receivers
    first_pct_vol: Worlds
    heart_from_pct_vol: Worlds
    heart_to_pct_vol: Worlds
    heart_pct_vol: Worlds
    losses: tuple[Loss, ...]


def strip(
    wash: Stream, still: Still, settings: StripSettings, unknowns: StillUnknowns
) -> tuple[Stream, StripRecord]:
    """Distil the wash, charge after charge, until the spout runs at the stop strength."""
    profile = distil(wash, still, settings.stop_pct_vol, unknowns)
    low_wines = _collected(left_at(profile, profile.pot_u[0]), left_at(profile, profile.pot_u[-1]))
    rest = _rest(wash, low_wines)
    record = StripRecord(
        effort=_effort(wash, profile, still, unknowns, settings.charge_limit_l),
        volume_l=low_wines.volume_l,
        strength_pct_vol=low_wines.strength_pct_vol,
        first_pct_vol=profile.spout_pct_vol[0],
        last_pot_c=profile.pot_c[-1],
        losses=(loss_of("left in the still after stripping", rest),),
    )
    return low_wines, record


def spirit_run(
    charge: Stream, still: Still, settings: SpiritSettings, unknowns: SpiritUnknowns
) -> tuple[Stream, SpiritRecord]:
    """Distil low wines and feints; returns the heart, with the other receivers in the record."""
    cuts = settings.cuts
    profile = distil(charge, still, cuts.tails_stop_pct_vol, unknowns.still)
    marks = _cut_marks(profile, still, cuts, unknowns)
    pots = [left_at(profile, u) for u in marks]
    foreshots, heads, heart, tails = (_collected(a, b) for a, b in pairwise(pots))
    rest = _rest(charge, foreshots, heads, heart, tails)
    record = SpiritRecord(
        effort=_effort(charge, profile, still, unknowns.still, settings.charge_limit_l),
        receivers=Receivers(foreshots, heads, heart, tails),
        first_pct_vol=profile.spout_pct_vol[0],
        heart_from_pct_vol=spout_at(profile, marks[2]),
        heart_to_pct_vol=spout_at(profile, marks[3]),
        heart_pct_vol=heart.strength_pct_vol,
        losses=(
            loss_of("foreshots discarded", foreshots),
            loss_of("left in the still after the spirit run", rest),
        ),
    )
    return heart, record


def _cut_marks(profile: Profile, still: Still, cuts: CutRules, unknowns: SpiritUnknowns) -> list[Worlds]:
    """Pot's u at start, after foreshots, after heads, at the heart's end, and at the stop."""
    start, stop = profile.pot_u[0], profile.pot_u[-1]
    after_foreshots = u_at_alcohol_share(profile, cuts.foreshots_share)
    after_heads = u_at_alcohol_share(profile, cuts.foreshots_share + cuts.heads_share)
    curve = equilibrium_curve(still.kpa)
    seen_pct_vol = np.clip(cuts.heart_end_pct_vol + unknowns.meter_error_pct_vol, 1.0, 94.0)
    by_spout = pot_under(spout_ratio(seen_pct_vol), unknowns.still.reflux, curve)
    by_heart = _u_where_heart_weakens(profile, after_heads, cuts.least_heart_pct_vol)
    heart_end = np.clip(np.maximum(by_spout, by_heart), stop, after_heads)
    return [start, after_foreshots, after_heads, heart_end, stop]


def _u_where_heart_weakens(profile: Profile, after_heads: Worlds, least_pct_vol: float) -> Worlds:
    """Pot's u where all that came after the heads has fallen to a strength.

    The stop where it never does; the heads' end where even the first drop is too weak. The heart's
    strength only falls as it is collected, so the node before and the node after hold the place.
    """
    share = float(alcohol.mass_fraction(least_pct_vol))
    begin = left_at(profile, after_heads)
    nodes = profile.pot_u
    spare = _strength_to_spare(begin, Pot(nodes, np.exp(profile.ln_ethanol), np.exp(profile.ln_water)), share)
    strong = np.logical_and.accumulate((spare > 0.0) | (nodes >= after_heads), axis=0)
    last = np.clip(np.sum(strong, axis=0) - 1, 0, len(nodes) - 2)
    high = np.minimum(np.take_along_axis(nodes, last[None], axis=0)[0], after_heads)
    low = np.minimum(np.take_along_axis(nodes, last[None] + 1, axis=0)[0], high)
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        enough = _strength_to_spare(begin, left_at(profile, middle), share) > 0.0
        low, high = np.where(enough, low, middle), np.where(enough, middle, high)
    return np.asarray(np.where(strong[-1], nodes[-1], high))


def _strength_to_spare(begin: Pot, pot: Pot, share: float) -> Worlds:
    """Ethanol that came over since a moment beyond a share of all that came over [kg]."""
    ethanol_kg = ETHANOL_KG_PER_MOL * (begin.ethanol_mol - pot.ethanol_mol)
    water_kg = WATER_KG_PER_MOL * (begin.water_mol - pot.water_mol)
    return np.asarray(ethanol_kg - share * (ethanol_kg + water_kg))


def _collected(before: Pot, after: Pot) -> Stream:
    return Stream.of(
        ethanol_kg=ETHANOL_KG_PER_MOL * np.maximum(before.ethanol_mol - after.ethanol_mol, 0.0),
        water_kg=WATER_KG_PER_MOL * np.maximum(before.water_mol - after.water_mol, 0.0),
    )


def _rest(charge: Stream, *taken: Stream) -> Stream:
    """What stays in the pot: charge less what came over, so that nothing is lost to rounding."""
    return charge.with_masses(
        ethanol_kg=charge.ethanol_kg - sum(s.ethanol_kg for s in taken),
        water_kg=charge.water_kg - sum(s.water_kg for s in taken),
    )


def _effort(
    charge: Stream, profile: Profile, still: Still, unknowns: StillUnknowns, limit_l: float
) -> RunEffort:
    runs = np.maximum(np.ceil(charge.volume_l / limit_l - 1e-9), 1.0)
    heat_up_kwh = charge.heat_capacity_kj_k * np.maximum(profile.pot_c[0] - charge.temp_c, 0.0) / 3600.0
    ethanol_mol = profile.ethanol_kg[-1] / ETHANOL_KG_PER_MOL
    water_mol = profile.water_kg[-1] / WATER_KG_PER_MOL
    over_kwh = (heat.LATENT_ETHANOL_KJ_MOL * ethanol_mol + heat.LATENT_WATER_KJ_MOL * water_mol) / 3600.0
    boiled_kwh = over_kwh / (1.0 - unknowns.reflux)
    useful_kw = still.power_kw * (1.0 - unknowns.heat_lost_share)
    return RunEffort(
        runs=runs,
        charge_l=charge.volume_l / runs,
        charge_pct_vol=charge.strength_pct_vol,
        heat_up_h=heat_up_kwh / useful_kw,
        running_h=boiled_kwh / useful_kw,
        energy_kwh=(heat_up_kwh + boiled_kwh) / (1.0 - unknowns.heat_lost_share),
        cooling_kwh=over_kwh,
    )
