"""Yeast: how many cells a packet gives, what they need, and how warmth, strength and acid bear on them.

Facts of pitching are *common practice, no source* unless a source is named beside them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from caskward.properties._arrays import Result, Values, check_range
from caskward.stages.stream import Worlds

# What a packet gives ------------------------------------------------------------------------------

CELLS_PER_G: Final = 1.5e10
"""Viable cells in a gram of dry yeast, 0.5e10 to 2.5e10; from memory."""
PG_PER_CELL: Final = 25.0
"""Dry mass of a cell [pg], 15 to 60; from memory, bioprocess-textbook."""
OSMOTIC_FROM_G_L: Final = 200.0
"""Sugar above which the start drags [g/L], 180 to 250; from memory, alcohol-textbook-2003."""
OSMOTIC_LAG_PER_G_L: Final = 0.01
"""How much longer the lag is for each g/L above that; *common practice, no source*: twice at 300 g/L."""


@dataclass(frozen=True)
class Rehydration:
    """How dry yeast is woken: facts for a run sheet."""

    water_kg: float
    water_c: float
    minutes: float
    most_step_k: float
    steps: int
    """Times that some wash is stirred in, so that no step is larger than `most_step_k`."""


def rehydration(dry_g: float, wash_c: float) -> Rehydration:
    """Ten times its weight of water at 37 °C, 20 minutes, then down to the wash in steps of 10 K at most.

    dry_g: [g], 0 or more. wash_c: [°C], 0 to 60. Outside: raises `OutOfRange`.
    Source: common-practice (5 to 10 kg/kg, 35 to 40 °C, 15 to 30 min); the packet's own label rules.
    """
    check_range("dry yeast", dry_g, "g", 0.0, np.inf)
    check_range("temperature of the wash", wash_c, "°C", 0.0, 60.0)
    water_c, step_k = 37.0, 10.0
    steps = max(int(np.ceil((abs(water_c - wash_c) - step_k) / step_k - 1e-9)), 0)
    return Rehydration(dry_g / 100.0, water_c, 20.0, step_k, steps)


def cells_per_ml(dry_g: Values, volume_l: Values, cells_per_g: Values = CELLS_PER_G) -> Result:
    """Viable cells in a millilitre of wash.

    n = dry_g cells_per_g / (1000 volume_l). dry_g: [g], 0 or more. volume_l: [L], above 0.
    Outside: raises `OutOfRange`. Usual: 5e6 to 4e7 (russell-whisky-2003, from memory).
    """
    check_range("dry yeast", dry_g, "g", 0.0, np.inf)
    check_range("wash", volume_l, "L", 1e-9, np.inf)
    return dry_g * cells_per_g / (1000.0 * volume_l)


def effective_g_l(cells_ml: Values) -> Result:
    """Cells that ferment, as dry mass [g/L]: 1e8 cells/mL are 2.5 g/L.

    cells_ml: viable cells in a millilitre, 0 or more. Outside: raises `OutOfRange`. Source: `PG_PER_CELL`.
    """
    check_range("cells", cells_ml, "cells/mL", 0.0, np.inf)
    return cells_ml * (PG_PER_CELL * 1e-9)


def lag_in(lag_h: Values, sugar_g_l: Values) -> Result:
    """Lag in a wash of so much sugar [h at the best temperature]: longer above 200 g/L."""
    return lag_h * (1.0 + OSMOTIC_LAG_PER_G_L * np.maximum(np.asarray(sugar_g_l) - OSMOTIC_FROM_G_L, 0.0))


# Nitrogen -----------------------------------------------------------------------------------------

Demand = Literal["low", "medium", "high"]
NITROGEN_MG_PER_G: Final[dict[Demand, float]] = {"low": 0.75, "medium": 0.90, "high": 1.25}
"""Nitrogen that yeast needs for each gram of sugar [mg/g]; from memory, yeast-nitrogen."""
DAP_NITROGEN: Final = 0.212
"""Nitrogen in diammonium phosphate [kg/kg]: 2 x 14.007 / 132.06; bioprocess-textbook."""


def nitrogen_need_mg_l(sugar_g_l: Values, mg_per_g: Values = NITROGEN_MG_PER_G["medium"]) -> Result:
    """Nitrogen a wash should offer its yeast [mg/L]: sugar times demand. sugar_g_l: [g/L], 0 or more."""
    check_range("sugar", sugar_g_l, "g/L", 0.0, np.inf)
    return sugar_g_l * mg_per_g


def nitrogen_given_mg_l(kg: Worlds, mg_per_kg: Worlds, volume_l: Values) -> Worlds:
    """Nitrogen that the bill brings [mg/L]: materials along the first axis, (materials, worlds...)."""
    check_range("wash", volume_l, "L", 1e-9, np.inf)
    return np.asarray(np.sum(np.asarray(kg) * np.asarray(mg_per_kg), axis=0) / volume_l)


def dap_g(short_mg_l: Values, volume_l: Values) -> Result:
    """Diammonium phosphate that makes good a want of nitrogen [g]; none where there is no want."""
    return np.maximum(np.asarray(short_mg_l), 0.0) * volume_l / (1000.0 * DAP_NITROGEN)


# What cells do ------------------------------------------------------------------------------------

MIN_C, BEST_C, MAX_C = 2.8, 32.3, 45.4
"""Cardinal temperatures [°C]; salvado-2011 (abstract)."""
DEATH_MIN_AT_55C, DEATH_TEN_TIMES_K = 2.0, 5.0
"""Minutes for nine cells in ten at 55 °C; kelvins that make it ten times as fast; yeast-heat-death."""


def warm_factor(
    temp_c: Values, min_c: Values = MIN_C, best_c: Values = BEST_C, max_c: Values = MAX_C
) -> Worlds:
    """Speed at a temperature as a share of that at the best one [-]; 0 outside the cardinal temperatures.

    (T - Tmax)(T - Tmin)² / ((To - Tmin)((To - Tmin)(T - To) - (To - Tmax)(To + Tmin - 2T))).
    Source: rosso-1993 for the curve, salvado-2011 for its three temperatures. From 20 to 30 °C it climbs as
    an activation energy of 37 kJ/mol would; phisalaphong-2006 found 34.6 for growth and 35.0 for ethanol, so
    one factor serves for both.
    """
    temp = np.minimum(np.maximum(temp_c, min_c), max_c)
    wide = best_c - min_c
    below = temp - min_c
    bend = wide * (temp - best_c) - (best_c - max_c) * (best_c + min_c - 2.0 * temp)
    return np.asarray((temp - max_c) * below * below / (wide * bend))


def dies_per_h(temp_c: Values) -> Worlds:
    """Share of the cells that heat kills [1/h]: 0.002 at 32 °C, 0.07 at 40 °C, 7 at 50 °C.

    ln 10 / D(T), D = 2 min at 55 °C and ten times that for each 5 K less. Source: yeast-heat-death (memory).
    """
    at_55 = np.log(10.0) * 60.0 / DEATH_MIN_AT_55C
    return np.asarray(at_55 * np.exp(np.log(10.0) / DEATH_TEN_TIMES_K * (np.asarray(temp_c) - 55.0)))


PH_STOPS, PH_FREE = 3.3, 3.5
"""Below the first a ferment stalls, above the second acid is no matter; *common practice, no source*."""


def acid_factor(ph: Values) -> Worlds:
    """Speed at a pH as a share of a sound wash's [-]: none below 3.3, all above 3.5, straight between."""
    return np.clip((np.asarray(ph) - PH_STOPS) / (PH_FREE - PH_STOPS), 0.0, 1.0)


@dataclass(frozen=True)
class Yeast:
    """A pitch of yeast: cells, their lag, and what they can stand; each field a number or an array of worlds.

    `cells_g_l` are effective cells as dry mass in a litre of the starting wash; `lag_h` counts hours at the
    best temperature (colder is longer). `speed` multiplies every rate. `attenuation` is the share of the
    sugar that is ever used, `yield_of_theory` the share of Gay-Lussac's ethanol that is made of it. At
    `gives_out_at` of that sugar it stops for want of anything but sugar; 1: it does not.
    """

    cells_g_l: float | Worlds
    lag_h: float | Worlds = 3.0
    speed: float | Worlds = 1.0
    tolerance_pct_vol: float | Worlds = 12.0
    min_c: float | Worlds = MIN_C
    best_c: float | Worlds = BEST_C
    max_c: float | Worlds = MAX_C
    attenuation: float | Worlds = 0.98
    yield_of_theory: float | Worlds = 0.93
    nitrogen_mg_per_g: float | Worlds = NITROGEN_MG_PER_G["medium"]
    gives_out_at: float | Worlds = 1.0
