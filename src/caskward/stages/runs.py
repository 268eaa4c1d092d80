"""Still runs: stripping the wash into low wines, and the spirit run with its cuts.

The still takes as many charges as its charge limit asks for; each world has its own count.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from caskward.stages.balance import Loss, loss_of
from caskward.stages.charges import Charges, Charging, charges_of
from caskward.stages.distil import Profile, Still, StillUnknowns, Stop, distil
from caskward.stages.receivers import Collection, Receiver, collect
from caskward.stages.stream import MASSES, Stream, Worlds


@dataclass(frozen=True)
class StripSettings:
    """Most the still takes [L], and the strength at the spout where a strip stops [%vol].

    charging: equal charges, or full ones and a smaller rest, or full ones alone (see `charges_of`).
    minimum_charge_l: a smaller rest than this is carried over [L]. stop: used instead of the strength.
    """

    charge_limit_l: float | Worlds
    stop_pct_vol: float | Worlds
    charging: Charging = "equal"
    minimum_charge_l: float = 0.0
    stop: Stop | None = None


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

    charge_limit_l: float | Worlds
    cuts: CutRules


@dataclass(frozen=True)
class SpiritUnknowns:
    """The still's unknowns and how far the maker's meter is off at the heart's end [%vol]."""

    still: StillUnknowns
    meter_error_pct_vol: Worlds


@dataclass(frozen=True)
class RunEffort:
    """What the runs of one kind cost, all charges together; `runs` is a whole number per world.

    `charge_l` is one charge (a full one, where the last is smaller). `cooling_kwh` is what condenser and
    dephlegmator carry off, `dephlegmator_kwh` the latter's part.
    """

    runs: Worlds
    charge_l: Worlds
    charge_pct_vol: Worlds
    heat_up_h: Worlds
    running_h: Worlds
    energy_kwh: Worlds
    cooling_kwh: Worlds
    dephlegmator_kwh: Worlds


@dataclass(frozen=True)
class StripRecord:
    """Low wines and what they cost; `carried` is wash left for the next batch."""

    effort: RunEffort
    volume_l: Worlds
    strength_pct_vol: Worlds
    first_pct_vol: Worlds
    last_pot_c: Worlds
    losses: tuple[Loss, ...]
    carried: Stream


@dataclass(frozen=True)
class Receivers:
    """What the spirit run was cut into, all charges together."""

    foreshots: Stream
    heads: Stream
    heart: Stream
    tails: Stream

    @property
    def volume_l(self) -> Worlds:
        """All that came over [L]."""
        return self.foreshots.volume_l + self.heads.volume_l + self.heart.volume_l + self.tails.volume_l


@dataclass(frozen=True)
class SpiritRecord:
    """Receivers, strengths at the spout where they change, and what the runs cost.

    `receivers` are all charges together, `run` is one of them.
    """

    effort: RunEffort
    receivers: Receivers
    first_pct_vol: Worlds
    heart_from_pct_vol: Worlds
    heart_to_pct_vol: Worlds
    heart_pct_vol: Worlds
    losses: tuple[Loss, ...]
    run: Collection


def strip(
    wash: Stream, still: Still, settings: StripSettings, unknowns: StillUnknowns
) -> tuple[Stream, StripRecord]:
    """Distil the wash, charge after charge, until the stop; charges as the settings part it."""
    charges = charges_of(wash, settings.charge_limit_l, settings.charging, settings.minimum_charge_l)
    stop = settings.stop or Stop("spout_pct_vol", settings.stop_pct_vol)
    parts = _parts_of(charges, still)
    profiles = [distil(charge, still, stop, unknowns) for charge, _ in parts]
    runs = [(profile, times) for profile, (_, times) in zip(profiles, parts, strict=True)]
    collections = [collect(profile, (Receiver("low wines"),)) for profile in profiles]
    low_wines = _summed([(c["low wines"].contents, n) for c, (_, n) in zip(collections, runs, strict=True)])
    undrained = [(c.undrained, n) for c, (_, n) in zip(collections, runs, strict=True) if c.undrained]
    kept = (_summed(undrained),) if undrained else ()
    rest = _less(wash, low_wines, charges.carried, *kept)
    record = StripRecord(
        effort=_effort(charges, runs),
        volume_l=low_wines.volume_l,
        strength_pct_vol=low_wines.strength_pct_vol,
        first_pct_vol=profiles[0].spout_pct_vol[0],
        last_pot_c=profiles[0].pot_c[-1],
        losses=(
            loss_of("left in the still after stripping", rest),
            *(loss_of("left between pot and spout", one) for one in kept),
        ),
        carried=charges.carried,
    )
    return low_wines, record


def spirit_run(
    charge: Stream, still: Still, settings: SpiritSettings, unknowns: SpiritUnknowns
) -> tuple[Stream, SpiritRecord]:
    """Distil low wines and feints; returns the heart, with the other receivers in the record."""
    charges = charges_of(charge, settings.charge_limit_l)
    profile = distil(charges.each, still, settings.cuts.tails_stop_pct_vol, unknowns.still)
    run = collect(profile, cut_plan(settings.cuts, unknowns.meter_error_pct_vol))
    foreshots, heads, heart, tails = (one.contents.scaled(charges.runs) for one in run.filled)
    kept = () if run.undrained is None else (run.undrained.scaled(charges.runs),)
    rest = _less(charge, foreshots, heads, heart, tails, *kept)
    record = SpiritRecord(
        effort=_effort(charges, [(profile, charges.runs)]),
        receivers=Receivers(foreshots, heads, heart, tails),
        first_pct_vol=profile.spout_pct_vol[0],
        heart_from_pct_vol=run["heart"].from_pct_vol,
        heart_to_pct_vol=run["heart"].to_pct_vol,
        heart_pct_vol=heart.strength_pct_vol,
        losses=(
            loss_of("foreshots discarded", foreshots),
            loss_of("left in the still after the spirit run", rest),
            *(loss_of("left between pot and spout", one) for one in kept),
        ),
        run=run,
    )
    return heart, record


def cut_plan(cuts: CutRules, meter_error_pct_vol: Worlds | float = 0.0) -> tuple[Receiver, ...]:
    """Foreshots, heads, heart and tails as receivers; the meter shows the heart's end so much too high."""
    seen_pct_vol = np.clip(cuts.heart_end_pct_vol + np.asarray(meter_error_pct_vol), 1.0, 96.0)
    heads_end = min(cuts.foreshots_share + cuts.heads_share, 1.0)
    return (
        Receiver("foreshots", Stop("alcohol_share", cuts.foreshots_share)),
        Receiver("heads", Stop("alcohol_share", heads_end)),
        Receiver("heart", Stop("spout_pct_vol", seen_pct_vol), least_pct_vol=cuts.least_heart_pct_vol),
        Receiver("tails"),
    )


def _parts_of(charges: Charges, still: Still) -> list[tuple[Stream, Worlds]]:
    """Charges to distil and how often: a smaller one differs from a full one only where dead volume is."""
    if still.hold_up is None:
        smaller = charges.last_runs * charges.last.total_kg / charges.each.total_kg
        return [(charges.each, charges.runs + smaller)]
    parts = [(charges.each, charges.runs)]
    return [*parts, (charges.last, charges.last_runs)] if np.any(charges.last_runs > 0.0) else parts


def _summed(parts: Sequence[tuple[Stream, Worlds]]) -> Stream:
    """Distillates of several charges together, each so many times."""
    times = [stream.scaled(n) for stream, n in parts]
    traces = [s.traces_mg for s in times if s.traces_mg is not None]
    return Stream.of(
        temp_c=times[0].temp_c,
        traces_mg=np.asarray(sum(traces)) if traces else None,
        ethanol_kg=np.asarray(sum(s.ethanol_kg for s in times)),
        water_kg=np.asarray(sum(s.water_kg for s in times)),
    )


def _less(whole: Stream, *taken: Stream) -> Stream:
    """What is left of a stream: all less what went, so that nothing is lost to rounding."""
    masses = {name: getattr(whole, name) - sum(getattr(s, name) for s in taken) for name in MASSES}
    traces_mg = None
    if whole.traces_mg is not None:
        traces_mg = whole.traces_mg - sum(s.traces_mg for s in taken if s.traces_mg is not None)
    return whole.with_masses(**masses, traces_mg=traces_mg)


def _effort(charges: Charges, runs: Sequence[tuple[Profile, Worlds]]) -> RunEffort:
    def total(of_profile: Callable[[Profile], Worlds]) -> Worlds:
        return np.asarray(sum(of_profile(profile) * times for profile, times in runs))

    return RunEffort(
        runs=charges.count,
        charge_l=charges.each.volume_l,
        charge_pct_vol=charges.each.strength_pct_vol,
        heat_up_h=total(lambda p: p.heat_up_h),
        running_h=total(lambda p: p.boiling_kwh[-1] / p.useful_kw),
        energy_kwh=total(lambda p: (p.heat_up_kwh + p.boiling_kwh[-1]) * p.still.power_kw / p.useful_kw),
        cooling_kwh=total(lambda p: p.condenser_kwh[-1] + p.dephlegmator_kwh[-1]),
        dephlegmator_kwh=total(lambda p: p.dephlegmator_kwh[-1]),
    )
