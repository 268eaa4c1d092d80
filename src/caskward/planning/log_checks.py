"""Readings of a run that nature does not allow: more litres, alcohol or haste than the charge can give.

What is only hard to believe stays in: the fit gives it less weight and says so (`still_learning`).
"""

from __future__ import annotations

from dataclasses import replace
from math import hypot

import numpy as np

from caskward.errors import ImpossibleReading
from caskward.planning.still_log import LoggedRun, SpoutPoint
from caskward.properties import alcohol
from caskward.properties.vle import azeotrope
from caskward.stages.distil import Still, StillUnknowns, Stop, distil

_SURE = 2.0
"""Spreads of its own error that a reading is given before it is called impossible."""
_POWER_DOUBT = 0.1
"""By how much a burner may heat better than was written down; *common practice, no source*."""
_STEPS = 8


def refuse_impossible(run: LoggedRun, still: Still) -> None:
    """Refuse a run with readings that cannot be.

    Args:
        run: the log. still: its column and pressure; the heat is the run's own.

    Raises:
        ImpossibleReading: the first such reading, with its row, what was read, and what is possible.
    """
    _litres(run)
    _strengths(run, still)
    _alcohol(run)
    _heat_up(run, still)


def _litres(run: LoggedRun) -> None:
    """Litres since the first drop only grow, and the pot gives no more than was charged."""
    charged_l, before_l = float(run.charge.volume_l), 0.0
    for row, point in enumerate(run.points, 1):
        if point.collected_l < before_l:
            raise ImpossibleReading(
                run.name,
                f"reading {row}",
                f"{point.collected_l:.4g} L collected come after {before_l:.4g} L",
                "Count litres from the first drop of the run, not of the jar, and write readings in order.",
            )
        if point.collected_l > charged_l:
            raise ImpossibleReading(
                run.name,
                f"reading {row}",
                f"{point.collected_l:.4g} L collected, of a charge of {charged_l:.4g} L",
                "Look at the charge and at this figure again.",
            )
        before_l = point.collected_l


def _strengths(run: LoggedRun, still: Still) -> None:
    most = strongest_pct_vol(still)
    for row, point in enumerate(run.points, 1):
        if point.pct_vol > most:
            raise ImpossibleReading(
                run.name,
                f"reading {row}",
                f"{point.pct_vol:.1f} %vol at the spout, and no still passes {most:.1f} %vol, where ethanol "
                "and water boil together unchanged",
                "Look at the unit (proof?) and at the temperature of the sample.",
            )


def strongest_pct_vol(still: Still) -> float:
    """Strength of the azeotrope at the still's pressure [%vol]: nothing stronger comes off water."""
    x = azeotrope(still.kpa).x
    ethanol_g, water_g = 46.068 * x, 18.015 * (1.0 - x)
    return float(alcohol.pct_vol(ethanol_g / (ethanol_g + water_g)))


def _alcohol(run: LoggedRun) -> None:
    """Pure alcohol collected at the very least, against what was charged at the very most.

    The strength falls, so each stretch holds at least its weaker end; every reading is taken two of its
    errors weaker, and the charge two of its own stronger.
    """
    charged_pct_vol = float(run.charge.strength_pct_vol)
    charged_lpa = float(run.charge.lpa)
    most_lpa = charged_lpa * (1.0 + _SURE * run.charge_sd_pct_vol / max(charged_pct_vol, 0.1))
    least_lpa, before = 0.0, SpoutPoint(0.0, 100.0)
    for row, point in enumerate(run.points, 1):
        off = _SURE * hypot(point.sd_pct_vol, run.offset_sd_pct_vol)
        weaker = max(min(point.pct_vol, before.pct_vol) - off, 0.0)
        least_lpa += (point.collected_l - before.collected_l) * weaker / 100.0
        before = point
        if least_lpa > most_lpa:
            raise ImpossibleReading(
                run.name,
                f"reading {row}",
                f"{point.collected_l:.4g} L with these strengths hold at least {least_lpa:.3g} L of pure "
                f"alcohol, and the charge held {charged_lpa:.3g} L",
                "Look at the charge's strength and at the readings again.",
            )


def _heat_up(run: LoggedRun, still: Still) -> None:
    """Hours to the boil are never fewer than the whole of the heat needs."""
    if run.heat_up is None:
        return
    like_it = replace(still, power_kw=run.power_kw)
    charge = replace(run.charge, traces_mg=None).spread((1,)).at(run.heat_up.from_c)
    lossless = StillUnknowns(np.zeros(1), np.zeros(1))
    least_h = float(distil(charge, like_it, Stop("volume_l", 0.01), lossless, _STEPS).heat_up_h[0])
    if run.heat_up.hours < least_h * (1.0 - _POWER_DOUBT):
        raise ImpossibleReading(
            run.name,
            "heat-up",
            f"{60.0 * run.heat_up.hours:.0f} min to the boil, and {run.power_kw:g} kW need "
            f"{60.0 * least_h:.0f} min for it even if nothing is lost",
            "Look at the power, the starting temperature and the clock again.",
        )
