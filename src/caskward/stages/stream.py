"""The stream: masses of what matters and a temperature; volume, strength and gravity are derived.

Every field is an array of worlds (or a plain number for one world); fields broadcast together.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from caskward.properties import alcohol, heat, wash

Worlds = NDArray[np.float64]
"""An array over possible worlds; a 0-d array is one world."""

ETHANOL_KG_PER_KG_HEXOSE = 2 * 46.068 / 180.156
"""Gay-Lussac: C6H12O6 -> 2 C2H5OH + 2 CO2 (standard atomic masses, from memory)."""
HEXOSE_KG_PER_KG_GLUCAN = 180.156 / 162.141
"""Starch and dextrin take up one water per glucose unit when they are split."""
HEXOSE_KG_PER_KG_SUCROSE = 2 * 180.156 / 342.297
"""Sucrose and maltose take up one water per two hexoses."""

MASSES = (
    "water_kg",
    "ethanol_kg",
    "hexose_kg",
    "sucrose_kg",
    "dextrin_kg",
    "starch_kg",
    "solubles_kg",
    "insolubles_kg",
)


@dataclass(frozen=True)
class Stream:
    """Masses [kg] of one portion of matter and its temperature [°C], over worlds.

    `sucrose_kg` stands for all sugars that take up a water when split in two (sucrose, maltose);
    `solubles_kg` are dissolved solids that no yeast uses; `insolubles_kg` is fibre, protein, yeast.
    """

    water_kg: Worlds
    ethanol_kg: Worlds
    hexose_kg: Worlds
    sucrose_kg: Worlds
    dextrin_kg: Worlds
    starch_kg: Worlds
    solubles_kg: Worlds
    insolubles_kg: Worlds
    temp_c: Worlds

    @classmethod
    def of(cls, temp_c: float | Worlds = 20.0, **masses_kg: float | Worlds) -> Stream:
        """Build a stream from the masses that are not zero."""
        given = [masses_kg.pop(name, 0.0) for name in MASSES]
        if masses_kg:
            raise TypeError(f"a stream has no {', '.join(masses_kg)}")
        whole = np.broadcast_arrays(*(np.asarray(part, dtype=float) for part in (*given, temp_c)))
        return cls(**dict(zip((*MASSES, "temp_c"), whole, strict=True)))

    @property
    def total_kg(self) -> Worlds:
        """Mass of everything [kg]."""
        return np.asarray(sum(getattr(self, name) for name in MASSES))

    @property
    def dissolved_kg(self) -> Worlds:
        """Sugars, dextrin and other dissolved solids [kg]."""
        return self.hexose_kg + self.sucrose_kg + self.dextrin_kg + self.solubles_kg

    @property
    def liquid_kg(self) -> Worlds:
        """Water, ethanol and all that is dissolved [kg]."""
        return self.water_kg + self.ethanol_kg + self.dissolved_kg

    @property
    def solids_kg(self) -> Worlds:
        """What does not dissolve: raw starch, fibre, protein, yeast [kg]."""
        return self.starch_kg + self.insolubles_kg

    @property
    def fermentable_kg(self) -> Worlds:
        """Sugar that yeast can use, as hexose [kg]."""
        return self.hexose_kg + HEXOSE_KG_PER_KG_SUCROSE * self.sucrose_kg

    @property
    def potential_ethanol_kg(self) -> Worlds:
        """Ethanol, and what starch, dextrin and sugar could become by full use [kg]."""
        glucan_kg = self.starch_kg + self.dextrin_kg
        hexose_kg = self.fermentable_kg + HEXOSE_KG_PER_KG_GLUCAN * glucan_kg
        return self.ethanol_kg + ETHANOL_KG_PER_KG_HEXOSE * hexose_kg

    @property
    def lpa(self) -> Worlds:
        """Litres of pure alcohol at 20 °C."""
        return np.asarray(alcohol.litres_pure_alcohol(self.ethanol_kg))

    @property
    def volume_l(self) -> Worlds:
        """Volume of everything at 20 °C [L]."""
        return self.volume_at(20.0)

    def volume_at(self, temp_c: float | Worlds) -> Worlds:
        """Volume of everything at a temperature [L]."""
        return np.asarray(
            wash.volume_l(
                self.water_kg, self.ethanol_kg, self.dissolved_kg, self.solids_kg, np.asarray(temp_c)
            )
        )

    @property
    def liquid_l(self) -> Worlds:
        """Volume of the liquid alone at 20 °C [L]."""
        return np.asarray(wash.liquid_volume_l(self.water_kg, self.ethanol_kg, self.dissolved_kg))

    @property
    def strength_pct_vol(self) -> Worlds:
        """Alcohol in the liquid [%vol at 20 °C]."""
        return np.asarray(wash.strength_pct_vol(self.water_kg, self.ethanol_kg, self.dissolved_kg))

    @property
    def specific_gravity(self) -> Worlds:
        """Gravity of the liquid at 20 °C over water at 20 °C."""
        return np.asarray(wash.specific_gravity(self.water_kg, self.ethanol_kg, self.dissolved_kg))

    @property
    def heat_capacity_kj_k(self) -> Worlds:
        """Heat needed for one kelvin [kJ/K]."""
        return np.asarray(
            heat.mash_heat_capacity_kj_k(self.water_kg, self.ethanol_kg, self.dissolved_kg, self.solids_kg)
        )

    def scaled(self, factor: float | Worlds) -> Stream:
        """The same matter, `factor` times as much."""
        masses = {name: getattr(self, name) * factor for name in MASSES}
        return replace(self, **masses)

    def at(self, temp_c: float | Worlds) -> Stream:
        """The same matter at another temperature."""
        return replace(self, temp_c=np.broadcast_to(np.asarray(temp_c, dtype=float), self.temp_c.shape))

    def with_masses(self, **masses_kg: Worlds) -> Stream:
        """The same stream with some masses [kg] replaced."""
        return replace(self, **masses_kg)

    def world(self, index: int) -> Stream:
        """One world of a stream over many."""
        picked = {f.name: np.asarray(np.ravel(getattr(self, f.name))[index]) for f in fields(self)}
        return Stream(**picked)


def mixed(*streams: Stream) -> Stream:
    """All streams together; the temperature from their heat capacities, without loss of heat."""
    masses = {name: np.asarray(sum(getattr(s, name) for s in streams)) for name in MASSES}
    warmth = np.asarray(sum(s.heat_capacity_kj_k * s.temp_c for s in streams))
    capacity = np.asarray(sum(s.heat_capacity_kj_k for s in streams))
    temp_c = np.where(capacity > 0, warmth / np.where(capacity > 0, capacity, 1.0), streams[0].temp_c)
    return Stream.of(temp_c=temp_c, **masses)
