"""What a typed value means once it is understood.

A strength carries its basis, because 60 %vol measured at 20 °C and 120 proof measured at 60 °F are not
quite the same liquid; a gravity carries its scale. Turning one into another is physics and lives in
`caskward.properties`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

UnitSystem = Literal["metric", "us"]
StrengthBasis = Literal["pct_vol_20c", "us_proof_60f", "pct_mass"]
GravityScale = Literal["sg_20_20", "sg_60_60F", "plato", "brix", "density_kg_m3"]
DoseUnit = Literal["ml_per_kg", "g_per_kg", "ml_per_kg_starch", "g_per_kg_starch", "ml_per_l"]


@dataclass(frozen=True, slots=True)
class Strength:
    """How strong a spirit is, on the basis it was stated in: %vol at 20 °C, US proof at 60 °F or %mass."""

    value: float
    basis: StrengthBasis


@dataclass(frozen=True, slots=True)
class Gravity:
    """How dense a liquid is, on the scale it was read from."""

    value: float
    scale: GravityScale


@dataclass(frozen=True, slots=True)
class Reading:
    """What an instrument showed and how warm [°C] the liquid was; no temperature if none was said."""

    value: Strength | Gravity
    temp_c: float | None


@dataclass(frozen=True, slots=True)
class Dose:
    """How much of an enzyme, yeast or nutrient goes to one kg of material, of its starch, or one litre."""

    value: float
    unit: DoseUnit
