"""Where stopping a strip pays: what each lower stop wins and costs, and which of them bares the element."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from caskward.planning.plan import Band, band
from caskward.services.still_covered import bares_at
from caskward.services.still_gear import Gear
from caskward.stages.charges import Charges
from caskward.stages.distil import StillUnknowns, Stop, distil
from caskward.stages.stream import Stream, Worlds
from caskward.stages.trade_off import stop_trade_off

SPOUT_STOPS_PCT_VOL = (20.0, 15.0, 12.0, 10.0, 8.0, 6.0, 5.0, 4.0, 3.0, 2.0, 1.0)


@dataclass(frozen=True)
class StopLine:
    """All charges stripped until the spout shows a strength; `extra` figures are from the stop before.

    bares: the element is bared before this stop, in any world.
    """

    stop_pct_vol: float
    lpa: Band
    low_wines_l: Band
    low_wines_pct_vol: Band
    hours: Band
    energy_kwh: Band
    extra_lpa: Band | None
    kwh_per_extra_lpa: Band | None
    hours_per_extra_lpa: Band | None
    bares: bool


def stops_of(
    gear: Gear, wash: Stream, charges: Charges, habit: StillUnknowns, room_l: float
) -> tuple[StopLine, ...]:
    """Every stop at which anything comes over, in most worlds, for the wash that is run."""
    run = wash.scaled(1.0 - charges.carried.volume_l / wash.volume_l)
    of = stop_trade_off(run, gear.still, habit, room_l, SPOUT_STOPS_PCT_VOL)
    bares = _bares_at(gear, charges, habit)
    extra, kwh, hours = of.extra_lpa, of.kwh_per_extra_lpa, of.hours_per_extra_lpa
    some = [k for k in range(len(of.stop_pct_vol)) if np.mean(of.volume_l[k] > 0.0) > 0.5]
    return tuple(
        StopLine(
            float(of.stop_pct_vol[k]),
            band(of.lpa[k]),
            band(of.volume_l[k]),
            band(of.low_wines_pct_vol[k]),
            band(of.hours[k]),
            band(of.energy_kwh[k]),
            band(extra[k - 1]) if k > some[0] else None,
            _known(kwh[k - 1]) if k > some[0] else None,
            _known(hours[k - 1]) if k > some[0] else None,
            float(of.stop_pct_vol[k]) < bares,
        )
        for k in some
    )


def _bares_at(gear: Gear, charges: Charges, habit: StillUnknowns) -> float:
    """Strength at the spout under which any of the charges bares the element [%vol]."""
    lowest = Stop("spout_pct_vol", SPOUT_STOPS_PCT_VOL[-1])
    each = [c for c, n in ((charges.each, charges.runs), (charges.last, charges.last_runs)) if float(n) > 0.0]
    found = [bares_at(distil(c, gear.still, lowest, habit), gear.least_l) for c in each]
    return max(np.inf if at is None else at for at in found)


def _known(values: Worlds) -> Band | None:
    """The band where at least nine worlds in ten win anything; None where a cost has no meaning."""
    some = values[np.isfinite(values)]
    return band(some) if some.size >= 0.9 * values.size else None
