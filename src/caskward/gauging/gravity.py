"""Sugar solutions: gravity, °Brix, °Plato, density or refractometer, at any temperature, with doubt.

°Brix and °Plato are one scale here. In a wash with alcohol in it all of these are *apparent* figures: see
`attenuation` for what is really in it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from caskward.errors import FrozenSample, HotSample, OutOfRange
from caskward.gauging.balling import potential_pct_vol, wine_rule_pct_vol
from caskward.gauging.figure import Figure, Input, Share, propagate
from caskward.gauging.instruments import Instrument
from caskward.properties import air, sugar, water

GravityScale = Literal["sg", "plato", "density_kg_m3"]
_INSTRUMENT_UNITS: dict[GravityScale, str] = {"sg": "SG", "plato": "Brix", "density_kg_m3": "kg/m3"}
MOST_POTENTIAL_PLATO = 40.0
LEAST_C = 0.0
"""Coldest sample [°C] that the densities of sugar solutions cover."""
MOST_C = 40.0
"""Warmest sample [°C] to read: above it the sample steams, and the glass was never tried there."""
_COOL = "Cool the sample to near 20 °C and read it again."


@dataclass(frozen=True, slots=True)
class GravityReading:
    """What a hydrometer or a density meter showed in a wash or a sugar solution."""

    value: float
    scale: GravityScale
    temp_c: float
    instrument: Instrument
    thermometer: Instrument
    calibrated_at_c: float = 20.0
    in_air: bool = False
    name: str = "gravity"

    def inputs(self) -> tuple[Input, Input]:
        """The reading and the temperature, with their doubt."""
        own = self.instrument.own_temp
        standard = self.thermometer.standard if own is None else self.instrument.with_error(own).standard
        where = "temperature" if own is None else f"temperature in the {self.instrument.name}"
        unit = _INSTRUMENT_UNITS[self.scale]
        return (
            Input(self.name, self.value, self.instrument.standard_at(self.value, unit)),
            Input(f"{where} of the {self.name}", self.temp_c, standard),
        )

    def density_at(self, values: Sequence[float]) -> tuple[float, float]:
        """True density [kg/m³] and temperature [°C] of the liquid, from these values of `inputs`."""
        shown, temp_c = values
        if temp_c > MOST_C:
            raise HotSample(temp_c, MOST_C)
        if temp_c < LEAST_C:
            raise FrozenSample(temp_c, LEAST_C)
        made_for_c = self.calibrated_at_c
        if self.scale == "plato":
            density = float(sugar.density(shown, made_for_c))
        elif self.scale == "sg":
            base = float(water.density(made_for_c))
            density = self._vacuum(shown * (self._air(base) if self.in_air else base))
        else:
            density = self._vacuum(shown)
        growth_k = sugar.GLASS_EXPANSION_PER_K if self.instrument.is_glass else 0.0
        return density * (1.0 - growth_k * (temp_c - made_for_c)), temp_c

    def plato(self, values: Sequence[float]) -> float:
        """Apparent extract [°P] of a sugar solution that shows this."""
        density, temp_c = self.density_at(values)
        return float(sugar.brix_from_density(density, temp_c))

    def _vacuum(self, density_kg_m3: float) -> float:
        return float(air.density_air_to_vacuum(density_kg_m3)) if self.in_air else density_kg_m3

    def _air(self, density_kg_m3: float) -> float:
        return float(air.density_vacuum_to_air(density_kg_m3))


@dataclass(frozen=True, slots=True)
class RefractometerReading:
    """What a refractometer for sugar showed [°Brix]; `corrects_itself` for one with its own correction."""

    value: float
    temp_c: float
    instrument: Instrument
    thermometer: Instrument
    corrects_itself: bool = True
    name: str = "refractometer"

    def inputs(self) -> tuple[Input, Input]:
        """The reading and the temperature, with their doubt."""
        return (
            Input(self.name, self.value, self.instrument.standard_at(self.value)),
            Input(f"temperature of the {self.name}", self.temp_c, self.thermometer.standard),
        )

    def brix_at_20(self, values: Sequence[float]) -> float:
        """What it would show at 20 °C [°Brix].

        10 to 30 °C. Outside: raises `OutOfRange`. Source: refractometer-temperature-1936.
        """
        shown, temp_c = values
        if not sugar.REFRACTION_MIN_C <= temp_c <= sugar.REFRACTION_MAX_C:
            low, high = sugar.REFRACTION_MIN_C, sugar.REFRACTION_MAX_C
            raise OutOfRange("Temperature at the refractometer", temp_c, "°C", low, high, _COOL)
        return shown if self.corrects_itself else float(sugar.refractometer_brix(shown, temp_c))

    def index_at_20(self, values: Sequence[float]) -> float:
        """Refractive index at 20 °C, 589 nm [-]."""
        return float(sugar.refractive_index(self.brix_at_20(values)))

    def plato(self, values: Sequence[float]) -> float:
        """Extract [°P] of a sugar solution that shows this."""
        return self.brix_at_20(values)


SugarReading = GravityReading | RefractometerReading


@dataclass(frozen=True, slots=True)
class Must:
    """A sugar solution before it ferments.

    potential_pct_vol: strength if all of it ferments (Balling); by the wine rule in `wine_rule_pct_vol`.
    Both are none above 40 °P, which no yeast ferments out.
    """

    plato: Figure
    sg: Figure
    density_20_kg_m3: Figure
    sugar_g_l: Figure
    potential_pct_vol: Figure | None
    wine_rule_pct_vol: Figure | None
    shares: tuple[Share, ...]


def must(reading: SugarReading) -> Must:
    """Extract, gravity and potential strength of a sugar solution from one reading.

    Raises:
        InputError: a reading or a temperature outside what the tables cover.
    """
    plato = reading.plato([one.value for one in reading.inputs()])
    potential = 0.0 <= plato <= MOST_POTENTIAL_PLATO
    done = propagate(lambda values: _forms(reading.plato(values), potential), reading.inputs())
    extract, sg, density, grams, *rest = done.figures
    balling, wine = rest if potential else (None, None)
    return Must(extract, sg, density, grams, balling, wine, done.shares[0])


def _forms(plato: float, potential: bool) -> tuple[float, ...]:
    density = float(sugar.density(plato, 20.0))
    grams = float(sugar.sugar_g_l(plato, 20.0))
    forms = (plato, float(sugar.sg_from_brix(plato)), density, grams)
    if not potential:
        return forms
    within = min(max(plato, 0.0), MOST_POTENTIAL_PLATO)
    return (*forms, potential_pct_vol(within), wine_rule_pct_vol(max(grams, 0.0)))
