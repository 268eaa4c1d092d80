"""When to stop a strip: what each further fall of the spout's strength brings, and what it costs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from caskward.properties import alcohol
from caskward.stages.charges import charges_of
from caskward.stages.distil import Profile, Still, StillUnknowns, Stop, distil, moment_of
from caskward.stages.profile import boiling_kwh_at, collected_at
from caskward.stages.stream import Stream, Worlds

STOPS_PCT_VOL = tuple(float(stop) for stop in range(20, 0, -1))


@dataclass(frozen=True)
class StopTradeOff:
    """All charges of a wash stripped to each of several stops, first the one met first; (stops, worlds...).

    `energy_kwh` and `hours` count from cold, losses included. The `extra_*` figures, one fewer, are from
    each stop to the next: litres of pure alcohol won, and energy and time for each of them; NaN where no
    alcohol is won (a world whose first drop is weaker than both).
    """

    stop_pct_vol: Worlds
    lpa: Worlds
    volume_l: Worlds
    low_wines_pct_vol: Worlds
    energy_kwh: Worlds
    hours: Worlds

    @property
    def extra_lpa(self) -> Worlds:
        """Litres of pure alcohol that the next stop wins."""
        return np.asarray(np.diff(self.lpa, axis=0))

    @property
    def kwh_per_extra_lpa(self) -> Worlds:
        """Energy for each further litre of pure alcohol [kWh]."""
        return _per(np.diff(self.energy_kwh, axis=0), self.extra_lpa)

    @property
    def hours_per_extra_lpa(self) -> Worlds:
        """Time for each further litre of pure alcohol [h], one still at a time."""
        return _per(np.diff(self.hours, axis=0), self.extra_lpa)


def stop_trade_off(
    wash: Stream,
    still: Still,
    unknowns: StillUnknowns,
    charge_limit_l: float,
    stops_pct_vol: Sequence[float] = STOPS_PCT_VOL,
) -> StopTradeOff:
    """What stripping a wash to each stop gives and costs, from one run to the lowest of them.

    Args:
        wash: all of it, run in equal charges. still, unknowns: as for `distil`.
        charge_limit_l: most the still takes [L].
        stops_pct_vol: strengths at the spout [%vol], in any order.
    """
    stops = np.sort(np.asarray(stops_pct_vol, dtype=float))[::-1]
    charges = charges_of(wash, charge_limit_l)
    profile = distil(charges.each, still, float(stops[-1]), unknowns)
    rows = [_until(profile, float(stop), charges.runs) for stop in stops]
    lpa, volume_l, energy_kwh, hours = (np.stack(column) for column in zip(*rows, strict=True))
    strength = 100.0 * lpa / np.where(volume_l > 0.0, volume_l, np.inf)
    return StopTradeOff(stops, lpa, volume_l, strength, energy_kwh, hours)


def _until(profile: Profile, stop_pct_vol: float, runs: Worlds) -> tuple[Worlds, Worlds, Worlds, Worlds]:
    u = moment_of(profile, Stop("spout_pct_vol", stop_pct_vol))
    got = collected_at(profile, u, traced=False)
    heat_kwh = profile.heat_up_kwh + boiling_kwh_at(profile, u)
    hours = heat_kwh / profile.useful_kw
    lpa = np.asarray(alcohol.litres_pure_alcohol(got.ethanol_kg))
    return lpa * runs, got.volume_l * runs, hours * profile.still.power_kw * runs, hours * runs


def _per(cost: Worlds, gain: Worlds) -> Worlds:
    return np.asarray(np.where(gain > 0.0, cost / np.where(gain > 0.0, gain, 1.0), np.nan))
