"""How much of it there is: volume at a temperature or mass on a scale, to volumes, mass and pure alcohol.

Volumes are corrected by the density of the spirit itself; the vessel's own growth with warmth only where its
material is said. Masses on a scale are corrected for the air's buoyancy.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from caskward.errors import OutOfRange
from caskward.gauging.figure import Input
from caskward.gauging.instruments import Instrument
from caskward.properties import air, alcohol
from caskward.units import convert

Vessel = Literal["", "steel", "glass", "plastic"]
VESSEL_GROWTH_PER_K: dict[Vessel, float] = {"": 0.0, "steel": 48e-6, "glass": 10e-6, "plastic": 400e-6}
"""Cubic growth of a vessel marked at 20 °C [1/K]: stainless, borosilicate, polyethylene (from memory)."""


@dataclass(frozen=True, slots=True)
class Amount:
    """A volume [L] as it stands at a temperature, or a mass [kg] as a scale in air shows it."""

    kind: Literal["volume", "mass"]
    value: float
    instrument: Instrument
    temp_c: float
    thermometer: Instrument
    vessel: Vessel = ""

    def inputs(self) -> tuple[Input, ...]:
        """The amount and, for a volume, its temperature, with their doubt."""
        shown = Input(self.kind, self.value, self.instrument.standard_at(self.value))
        if self.kind == "mass":
            return (shown,)
        return shown, Input("temperature of the volume", self.temp_c, self.thermometer.standard)

    def check(self) -> None:
        """Refuse an amount that is none."""
        if not 0.0 < self.value < 1e9:
            unit = "L" if self.kind == "volume" else "kg"
            raise OutOfRange(self.kind.capitalize(), self.value, unit, 1e-6, 1e9)

    def true_kg(self, values: Sequence[float], pct_vol: float) -> float:
        """True mass [kg] from these values of `inputs`, for a spirit of this strength [%vol at 20 °C]."""
        fraction = alcohol.mass_fraction(pct_vol)
        if self.kind == "mass":
            return true_kg(values[0], float(alcohol.density(fraction, 20.0)))
        volume_l, temp_c = values
        grown = 1.0 + VESSEL_GROWTH_PER_K[self.vessel] * (temp_c - 20.0)
        return float(volume_l * grown * alcohol.density(fraction, temp_c) / 1000.0)


def true_kg(shown_kg: float, density_kg_m3: float) -> float:
    """True mass [kg] behind what a scale in air shows of a liquid.

    m = shown (1 - a/w) / (1 - a/d), a the air's density, w the weights', d the liquid's.

    shown_kg: [kg], 0 or more. density_kg_m3: of the liquid [kg/m³]. Source: common-practice (OIML R 111).
    """
    lifted = 1.0 - air.AIR_DENSITY_KG_M3 / density_kg_m3
    return shown_kg * (1.0 - air.AIR_DENSITY_KG_M3 / air.WEIGHT_DENSITY_KG_M3) / lifted


def shown_kg(mass_kg: float, density_kg_m3: float) -> float:
    """What a scale in air shows [kg] of this true mass [kg] of a liquid: the inverse of `true_kg`."""
    lifted = 1.0 - air.AIR_DENSITY_KG_M3 / density_kg_m3
    return mass_kg * lifted / (1.0 - air.AIR_DENSITY_KG_M3 / air.WEIGHT_DENSITY_KG_M3)


QUANTITIES = ("volume_20_l", "volume_60f_l", "mass_kg", "shown_kg", "lpa", "wine_gallons", "proof_gallons")


def quantities(mass_kg: float, pct_vol: float) -> tuple[float, ...]:
    """All ways to say how much, in the order of `QUANTITIES`, of a clean spirit of this true mass.

    Volume at 20 °C and 60 °F [L], true mass and mass on a scale [kg], litres of pure alcohol at 20 °C, US
    gallons at 60 °F (wine gallons), US proof gallons (wine gallons times proof over 100).

    mass_kg: [kg], 0 or more. pct_vol: [%vol at 20 °C], 0 to 100. Outside: raises `OutOfRange`.
    Source: oiml-r22-1975; proof gallon 27-cfr-30.
    """
    fraction = alcohol.mass_fraction(pct_vol)
    at_20, at_60f = (float(alcohol.density(fraction, t)) for t in (20.0, alcohol.TEMP_60F_C))
    volume_60f_l = 1000.0 * mass_kg / at_60f
    wine_gallons = convert.us_gallons_from_litres(volume_60f_l)
    return (
        1000.0 * mass_kg / at_20,
        volume_60f_l,
        mass_kg,
        shown_kg(mass_kg, at_20),
        float(alcohol.litres_pure_alcohol(mass_kg * fraction)),
        wine_gallons,
        wine_gallons * float(alcohol.proof_60f(pct_vol)) / 100.0,
    )
