"""Enzymes: how fast one works at a temperature and a pH, and how it is lost while it is hot.

Speed: Arrhenius below the best temperature, full from there to the top of the window, nothing `FADE_K` above
it; full inside the pH window, half at `HALF_SPEED_PH` outside. Loss: dE/dt = -k(T) E, k by Arrhenius from a
half-life. Both together give the well-known hump against temperature, and the hump moves with time.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from caskward.properties._arrays import check_range
from caskward.stages.stream import Worlds

Does = Literal["thin", "sweeten"]

GAS_KJ_MOL_K = 8.314462618e-3
"""Gas constant [kJ/mol/K] (CODATA 2018, from memory)."""
KELVIN_AT_0_C = 273.15
FADE_K = 8.0
"""Above the top of its window an enzyme's speed falls to nothing within so many kelvin, apart from its loss.
*Common practice, no source.*"""
HALF_SPEED_PH = 0.7
"""So far outside its pH window an enzyme works at half speed. *Common practice, no source.*"""
FULL_SPEED_WATER = 3.0
"""Water over dry matter [kg/kg] from which on thickness slows nothing: about 2.5 kg water to 1 kg grain."""


@dataclass(frozen=True)
class Habit:
    """What a kind of enzyme bites, as shares. All three *common practice, no source*.

    sugar_share: of what a thinning enzyme splits, the share that is sugar at once [0..1].
    on_long: speed of a sweetening enzyme on long starch over that on dextrin [0..1].
    on_branched: its speed on branched dextrin over that on open dextrin; 0 leaves limit dextrins [0..1].
    """

    sugar_share: float | Worlds = 0.0
    on_long: float | Worlds = 0.0
    on_branched: float | Worlds = 0.0


PLAIN = Habit()

HABITS = {
    "thinning-hot": Habit(sugar_share=0.1),
    "thinning-mid": Habit(sugar_share=0.15),
    "sweetening": Habit(on_long=0.1, on_branched=0.3),
    "fungal-amylase": Habit(on_long=0.5),
    "malt-alpha": Habit(sugar_share=0.4),
    "malt-beta": Habit(on_long=0.1),
}
"""Habits by the catalogue's kinds: what cuts in the middle makes some sugar, what nibbles at the ends is slow
on long starch; only glucoamylase gets past a branch."""


@dataclass(frozen=True)
class Enzyme:
    """True properties of one enzyme, which may differ from its label; each a number or worlds.

    low_c, best_c, high_c: window and best temperature [°C]. low_ph, high_ph: full speed between [pH].
    rate_per_h: share of what it can reach that it starts to turn per hour at best_c, right pH, full dose
        (first order) [1/h].
    half_life_h at half_life_at_c: time until half of it is lost [h, °C]. loss_kj_mol carries the loss to
        other temperatures, activation_kj_mol the speed below best_c [kJ/mol].
    """

    does: Does
    low_c: float | Worlds
    best_c: float | Worlds
    high_c: float | Worlds
    low_ph: float | Worlds
    high_ph: float | Worlds
    rate_per_h: float | Worlds
    half_life_h: float | Worlds
    half_life_at_c: float
    loss_kj_mol: float | Worlds
    activation_kj_mol: float | Worlds
    habit: Habit = PLAIN

    def __post_init__(self) -> None:
        """Refuse what no enzyme can be."""
        check_range("The enzyme's speed", self.rate_per_h, "1/h", 0.0, 1e6)
        check_range("The enzyme's half-life", self.half_life_h, "h", 1e-6, 1e6)
        check_range("The enzyme's best temperature", self.best_c, "°C", 0.0, 120.0)


@dataclass(frozen=True)
class Dose:
    """An enzyme stirred in at an hour of the grid; `strength` 1 is the label's full dose [-, 0 or more]."""

    enzyme: Enzyme
    at_h: float = 0.0
    strength: float | Worlds = 1.0

    def __post_init__(self) -> None:
        """Refuse a dose below nothing, or before the grid."""
        check_range("The hour of the enzyme's dose", self.at_h, "h", 0.0, 1e6)
        check_range("The enzyme's dose over the full dose", self.strength, "", 0.0, 1000.0)


def arrhenius_ln(energy_kj_mol: float | Worlds, from_c: float | Worlds, to_c: float | Worlds) -> Worlds:
    """Natural log of how many times faster a reaction is at `to_c` than at `from_c` [°C].

    ln = E/R (1/T_from - 1/T_to). Arguments: energy [kJ/mol]; temperatures [°C], above -273.15.
    """
    from_k, to_k = np.asarray(from_c) + KELVIN_AT_0_C, np.asarray(to_c) + KELVIN_AT_0_C
    return np.asarray(np.asarray(energy_kj_mol) / GAS_KJ_MOL_K * (1.0 / from_k - 1.0 / to_k))


def loss_per_h(enzyme: Enzyme, temp_c: float | Worlds) -> Worlds:
    """Rate of loss k [1/h] at a temperature [°C]: ln 2 / half-life, carried by Arrhenius.

    Sources of the constants, by kind: de-cordt-1992, ludikhuyze-1996, muller-1990, koljonen-1995.
    """
    at_rest = np.log(2.0) / np.asarray(enzyme.half_life_h)
    return np.asarray(at_rest * np.exp(arrhenius_ln(enzyme.loss_kj_mol, enzyme.half_life_at_c, temp_c)))


def half_life_h(enzyme: Enzyme, temp_c: float | Worlds) -> Worlds:
    """Time until half of it is lost [h] at a temperature [°C]."""
    return np.asarray(np.log(2.0) / loss_per_h(enzyme, temp_c))


def speed(enzyme: Enzyme, temp_c: float | Worlds, ph: float | Worlds) -> Worlds:
    """Speed over that at the best temperature and right pH [0..1], of what is still alive.

    Args: temp_c: [°C]. ph: [pH]. Shapes as they broadcast.
    """
    cool_c = np.minimum(temp_c, enzyme.best_c)
    slowed_ln = arrhenius_ln(enzyme.activation_kj_mol, enzyme.best_c, cool_c) + _ph_ln(enzyme, ph)
    return np.asarray(np.exp(slowed_ln) * _hot_share(enzyme, temp_c))


def _ph_ln(enzyme: Enzyme, ph: float | Worlds) -> Worlds:
    """Log of the bell's shoulder outside the pH window: 2 to the power -(distance / HALF_SPEED_PH)²."""
    outside = np.maximum(np.maximum(np.asarray(enzyme.low_ph) - ph, np.asarray(ph) - enzyme.high_ph), 0.0)
    return np.asarray(-np.log(2.0) * (outside / HALF_SPEED_PH) ** 2)


def _hot_share(enzyme: Enzyme, temp_c: float | Worlds) -> Worlds | float:
    """1 up to the top of the window, 0 from `FADE_K` above it, smooth between (1 - 3x² + 2x³)."""
    if np.max(temp_c) <= np.min(enzyme.high_c):
        return 1.0
    over = np.clip((np.asarray(temp_c) - enzyme.high_c) / FADE_K, 0.0, 1.0)
    return np.asarray(1.0 - over * over * (3.0 - 2.0 * over))


def thickness_share(water_kg_per_kg: float | Worlds, slowing: float | Worlds) -> Worlds:
    """Speed of any enzyme in a thick mash over that in a thin one [0..1].

    Falls in a straight line from 1 at `FULL_SPEED_WATER` by `slowing` [0..0.5] per kg of water less, and not
    below a fifth. *Common practice, no source*: 0.1 to 0.4 covers what makers meet, likely 0.2.

    Args: water_kg_per_kg: water over dry matter [kg/kg], 0 or more.
    """
    check_range("The slowing by thickness", slowing, "", 0.0, 0.5)
    lacking = np.maximum(FULL_SPEED_WATER - np.asarray(water_kg_per_kg), 0.0)
    return np.asarray(np.maximum(1.0 - np.asarray(slowing) * lacking, 0.2))
