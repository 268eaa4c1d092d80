"""What a bare head sends back: from its walls, or from the first drops it gave."""

from __future__ import annotations

import numpy as np

from caskward.errors import OutOfRange
from caskward.properties import vle
from caskward.properties._arrays import check_range
from caskward.stages.columns import MOST_CONDENSED, VapourPath
from caskward.stages.stream import Worlds
from caskward.stages.vapour import equilibrium_curve, fraction, ratio_of_strength, strength_pct_vol

BARE_W_M2_K, INSULATED_W_M2_K = (6.0, 12.0), (1.0, 2.0)
"""Heat through a metre of bare and of insulated head for each kelvin; *common practice, no source*."""


def head_share_of_walls(
    area_m2: float | Worlds,
    w_m2_k: float | Worlds,
    useful_kw: float | Worlds,
    vapour_c: float | Worlds,
    room_c: float | Worlds = 20.0,
) -> Worlds:
    """Share of the vapour that a head condenses by losing heat to the room [-].

    f = U A (T - T_room) / P, since what boils takes all of the useful power: a slower boil means more reflux.

    area_m2: of head and rising arm [m²], 0 or more. w_m2_k: [W/m²/K], 6-12 bare, 1-2 insulated.
    useful_kw: heat that reaches the pot [kW], above 0. vapour_c, room_c: [°C].
    Outside: raises `OutOfRange`, also where more than 0.95 of the vapour would condense.
    Source: common-practice for U; the balance is exact for a wall as warm as the vapour.
    """
    check_range("The head's area", area_m2, "m²", 0.0, np.inf)
    check_range("The heat through the head", w_m2_k, "W/m²/K", 0.0, np.inf)
    check_range("The useful power", useful_kw, "kW", 1e-6, np.inf)
    warmer_k = np.maximum(np.asarray(vapour_c) - room_c, 0.0)
    share = np.asarray(w_m2_k * area_m2 * warmer_k / (1000.0 * np.asarray(useful_kw)))
    hint = "So little heat drives no still: give more, or insulate the head."
    check_range("The share that the head condenses", share, "", 0.0, MOST_CONDENSED, hint)
    return share


def head_share_of_first_drops(
    charge_pct_vol: float | Worlds, first_pct_vol: float | Worlds, kpa: float = vle.STANDARD_KPA
) -> Worlds:
    """Share of the vapour that a bare head sent back, from the strength of the first drops [-].

    f = (y_out - y_boil) / (y_out - x_c): y_boil over the charge, x_c in equilibrium with what ran, y_out.

    charge_pct_vol: of the charge's water and alcohol [%vol]. first_pct_vol: at the spout, of the first drops,
    before anything diluted them [%vol]. kpa: pressure [kPa].
    Outside: raises `OutOfRange` with the strengths that this charge's first drops can have.
    Source: as `columns`; good to 0.01 for 0.3 %vol in the reading.
    """
    path = VapourPath(equilibrium_curve(kpa), 0.0)
    pot, spout = (ratio_of_strength(np.asarray(p, dtype=float)) for p in (charge_pct_vol, first_pct_vol))
    boiled, out = fraction(path.curve.vapour_over(pot)), fraction(spout)
    share = np.asarray((out - boiled) / (out - fraction(path.curve.liquid_under(spout))))
    if not (np.all(share >= -1e-6) and np.all(share <= MOST_CONDENSED)):
        _refuse(path, pot, first_pct_vol, share)
    return np.maximum(share, 0.0)


def _refuse(path: VapourPath, pot: Worlds, first_pct_vol: float | Worlds, share: Worlds) -> None:
    worst = int(np.argmax(np.abs(np.ravel(share) - 0.5)))
    given = float(np.ravel(np.broadcast_to(first_pct_vol, share.shape))[worst])
    charge = np.ravel(np.broadcast_to(pot, share.shape))[worst]
    least = strength_pct_vol(path.curve.vapour_over(charge))
    most = strength_pct_vol(VapourPath(path.curve, MOST_CONDENSED).spout_over(charge))
    hint = "Gauge charge and first drops again, each cooled to near 20 °C."
    raise OutOfRange("The first drops' strength", given, "%vol", float(least), float(most), hint)
