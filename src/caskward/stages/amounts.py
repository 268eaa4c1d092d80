"""Amounts that pass somewhere in a run: ethanol, water and, where they are tracked, congeners."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from caskward.properties import alcohol, heat
from caskward.stages.stream import Stream, Worlds
from caskward.stages.vapour import ETHANOL_KG_PER_MOL, WATER_KG_PER_MOL

LEAVES_AT_C = 20.0
"""Temperature at which distillate leaves the condenser [°C]; *common practice* (13 to 20 °C)."""


class Pot(NamedTuple):
    """What is left in the pot at one moment of a run, per world [mol]."""

    u: Worlds
    ethanol_mol: Worlds
    water_mol: Worlds


class Amounts(NamedTuple):
    """Ethanol and water [kg] and congeners [mg, (16, worlds...)] that have passed somewhere."""

    ethanol_kg: Worlds
    water_kg: Worlds
    traces_mg: Worlds | None

    @classmethod
    def split(cls, parts: Worlds, axis: int) -> Amounts:
        """From one array with ethanol, water and, where tracked, the congeners along an axis."""
        rows = np.moveaxis(parts, axis, 0)
        return cls(rows[0], rows[1], np.moveaxis(rows[2:], 0, axis) if len(rows) > 2 else None)

    def joined(self, axis: int) -> Worlds:
        """One array of all parts along an axis, the congeners' own."""
        liquid = np.stack([self.ethanol_kg, self.water_kg], axis=axis)
        return liquid if self.traces_mg is None else np.concatenate([liquid, self.traces_mg], axis=axis)

    @property
    def untraced(self) -> Amounts:
        """Ethanol and water alone."""
        return Amounts(self.ethanol_kg, self.water_kg, None)

    def less(self, other: Amounts) -> Amounts:
        """The difference, never below nothing; congeners where both have them."""
        traces_mg = None
        if self.traces_mg is not None and other.traces_mg is not None:
            traces_mg = np.maximum(self.traces_mg - other.traces_mg, 0.0)
        return Amounts(
            np.maximum(self.ethanol_kg - other.ethanol_kg, 0.0),
            np.maximum(self.water_kg - other.water_kg, 0.0),
            traces_mg,
        )

    def at_least(self, other: Amounts) -> Amounts:
        """These, or the other's where that is more."""
        return Amounts(*(None if a is None else np.maximum(a, b) for a, b in zip(self, other, strict=True)))  # type: ignore[arg-type]

    @property
    def volume_l(self) -> Worlds:
        """Volume of ethanol and water together [L at 20 °C]."""
        return np.asarray(alcohol.volume_l(self.water_kg, self.ethanol_kg))

    @property
    def strength_pct_vol(self) -> Worlds:
        """Strength of ethanol and water together [%vol]; nothing has none."""
        whole = self.ethanol_kg + self.water_kg
        return np.asarray(alcohol.pct_vol(self.ethanol_kg / np.where(whole > 0.0, whole, 1.0)))

    @property
    def stream(self) -> Stream:
        """As a stream that leaves the condenser."""
        return Stream.of(
            temp_c=LEAVES_AT_C,
            traces_mg=self.traces_mg,
            ethanol_kg=self.ethanol_kg,
            water_kg=self.water_kg,
        )


def latent_kwh(over: Amounts) -> Worlds:
    """Latent heat of what has come over [kWh]."""
    ethanol_kj = heat.LATENT_ETHANOL_KJ_MOL / ETHANOL_KG_PER_MOL * over.ethanol_kg
    return np.asarray((ethanol_kj + heat.LATENT_WATER_KJ_MOL / WATER_KG_PER_MOL * over.water_kg) / 3600.0)
