"""The stream: masses of what matters and a temperature; volume, strength and gravity are derived.

Every field is an array of worlds (or a plain number for one world); fields broadcast together. Traces are
tracked where they are given: mg of each of `CONGENERS`, one axis before the worlds. They weigh next to
nothing (0.05 % of a wash, 1 % of the strongest heads) and count in no mass and no volume.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from caskward.properties import alcohol, heat, wash
from caskward.properties.congeners import CONGENERS, volatility

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
    `traces_mg` are the congeners in the order of `CONGENERS`, (16, worlds...); None where not tracked.
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
    traces_mg: Worlds | None = None

    @classmethod
    def of(
        cls, temp_c: float | Worlds = 20.0, traces_mg: Worlds | None = None, **masses_kg: float | Worlds
    ) -> Stream:
        """Build a stream from the masses that are not zero; traces as (16, worlds...), None not tracked."""
        given = [masses_kg.pop(name, 0.0) for name in MASSES]
        if masses_kg:
            raise TypeError(f"a stream has no {', '.join(masses_kg)}")
        whole = np.broadcast_arrays(*(np.asarray(part, dtype=float) for part in (*given, temp_c)))
        return cls(**dict(zip((*MASSES, "temp_c"), whole, strict=True)), traces_mg=traces_mg)

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

    @property
    def traces_g_hl_pure(self) -> Worlds | None:
        """Congeners in grams per hectolitre of pure alcohol, as laws and laboratories state them."""
        if self.traces_mg is None:
            return None
        lpa = self.lpa
        return np.asarray(self.traces_mg / 10.0 / np.where(lpa > 0.0, lpa, np.inf))

    def scaled(self, factor: float | Worlds) -> Stream:
        """The same matter, `factor` times as much."""
        masses = {name: getattr(self, name) * factor for name in MASSES}
        traces_mg = None if self.traces_mg is None else self.traces_mg * factor
        return replace(self, **masses, traces_mg=traces_mg)

    def at(self, temp_c: float | Worlds) -> Stream:
        """The same matter at another temperature."""
        given_c = np.asarray(temp_c, dtype=float)
        shape = np.broadcast_shapes(given_c.shape, self.temp_c.shape)
        return replace(self, temp_c=np.broadcast_to(given_c, shape))

    def with_masses(self, **masses_kg: Worlds | None) -> Stream:
        """The same stream with some masses [kg] replaced; traces stay, except where no liquid is left."""
        changed = replace(self, **masses_kg)  # type: ignore[arg-type]
        if changed.traces_mg is None or not {"water_kg", "ethanol_kg"} <= set(masses_kg):
            return changed
        return replace(changed, traces_mg=changed.traces_mg * (changed.water_kg + changed.ethanol_kg > 0.0))

    def spread(self, shape: tuple[int, ...]) -> Stream:
        """The same stream in every world of a shape."""
        if self.temp_c.shape == self.total_kg.shape == shape:
            return self
        masses = {name: np.broadcast_to(getattr(self, name), shape) for name in (*MASSES, "temp_c")}
        traces_mg = self.traces_mg
        if traces_mg is not None:
            missing = 1 + len(shape) - traces_mg.ndim
            wide = np.expand_dims(traces_mg, tuple(range(1, 1 + missing)))
            traces_mg = np.broadcast_to(wide, (len(CONGENERS), *shape))
        return Stream(**masses, traces_mg=traces_mg)

    def world(self, index: int) -> Stream:
        """One world of a stream over many."""
        names = (*MASSES, "temp_c")
        whole = np.broadcast_arrays(*(getattr(self, name) for name in names))
        picked = {name: np.asarray(part.ravel()[index]) for name, part in zip(names, whole, strict=True)}
        if self.traces_mg is None:
            return Stream(**picked)
        traces_mg = np.broadcast_to(self.traces_mg, (len(CONGENERS), *whole[0].shape))
        return Stream(**picked, traces_mg=traces_mg.reshape(len(CONGENERS), -1)[:, index])


def mixed(*streams: Stream) -> Stream:
    """All streams together; the temperature from their heat capacities, without loss of heat.

    Traces are tracked where every stream that holds alcohol has them: water, grain and sugar bring none.
    """
    masses = {name: np.asarray(sum(getattr(s, name) for s in streams)) for name in MASSES}
    warmth = np.asarray(sum(s.heat_capacity_kj_k * s.temp_c for s in streams))
    capacity = np.asarray(sum(s.heat_capacity_kj_k for s in streams))
    temp_c = np.where(capacity > 0, warmth / np.where(capacity > 0, capacity, 1.0), streams[0].temp_c)
    return Stream.of(temp_c=temp_c, traces_mg=_traces_together(streams), **masses)


def _traces_together(streams: tuple[Stream, ...]) -> Worlds | None:
    tracked = [s.traces_mg for s in streams if s.traces_mg is not None]
    if not tracked or any(s.traces_mg is None and np.any(s.ethanol_kg > 0.0) for s in streams):
        return None
    return np.asarray(sum(tracked))


def spirit_of(
    volume_l: float | Worlds,
    pct_vol: float | Worlds,
    temp_c: float | Worlds = 20.0,
    traces_mg_l: Mapping[str, float | Worlds] | None = None,
) -> Stream:
    """A clean mixture of water and ethanol: so many litres (at 20 °C) of a strength.

    Args:
        volume_l: [L at 20 °C], 0 or more. pct_vol: [%vol at 20 °C], 0 to 100. temp_c: its temperature [°C].
        traces_mg_l: congeners by name [mg/L]; those not named are absent. None: not tracked.

    Raises:
        OutOfRange, UnknownName: a strength that cannot be; a congener without a curve.
    """
    share = np.asarray(alcohol.mass_fraction(pct_vol))
    kg = volume_l * np.asarray(alcohol.density(share, 20.0)) / 1000.0
    traces_mg = None if traces_mg_l is None else traces_of(traces_mg_l, volume_l, np.shape(kg))
    return Stream.of(temp_c=temp_c, traces_mg=traces_mg, ethanol_kg=kg * share, water_kg=kg * (1.0 - share))


def traces_of(
    mg_l: Mapping[str, float | Worlds], volume_l: float | Worlds, shape: tuple[int, ...] = ()
) -> Worlds:
    """Mass of each congener [mg] in so many litres, by name [mg/L]: (16, worlds...)."""
    for name in mg_l:
        volatility(name)  # names the nearest where there is none
    rows = [np.broadcast_to(np.asarray(mg_l.get(name, 0.0)) * volume_l, shape) for name in CONGENERS]
    return np.array(rows, dtype=float)
