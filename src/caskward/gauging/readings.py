"""What was read in a spirit, and the strength behind it.

Each kind of reading knows its inputs (with their doubt) and how a strength follows from their values, so that
one calculation serves for the answer and for its doubt. A reading that cannot be is refused in one sentence,
with what was probably meant where that can be guessed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, NoReturn

from caskward.errors import (
    FrozenSample,
    HeavierThanWater,
    HotSample,
    LighterThanAlcohol,
    OutOfRange,
    ScaleCannotShow,
)
from caskward.gauging.figure import Input, standard_of_limits
from caskward.gauging.freezing import check_not_frozen
from caskward.gauging.instruments import Instrument
from caskward.properties import air, alcohol

Scale = Literal["pct_vol", "us_proof", "pct_mass", "density_kg_m3", "sg"]
UNITS: dict[Scale, str] = {
    "pct_vol": "%vol",
    "us_proof": "proof",
    "pct_mass": "%mass",
    "density_kg_m3": "kg/m³",
    "sg": "SG",
}
_INSTRUMENT_UNITS = {**UNITS, "density_kg_m3": "kg/m3"}
TEMPERATURE = "temperature"
"""Name of the input that readings of one sample share."""
OWN_ERROR = "own error of the "
"""Start of the name of the input that readings on one instrument share: its limit of error repeats."""


@dataclass(frozen=True, slots=True)
class SpiritReading:
    """What one instrument showed in a spirit at a temperature.

    calibrated_at_c: the temperature the scale is made for; of no account for a density meter.
    in_air: the figure is a conventional density or gravity by weights in air.
    """

    value: float
    scale: Scale
    temp_c: float
    instrument: Instrument
    thermometer: Instrument
    calibrated_at_c: float = 20.0
    in_air: bool = False
    name: str = "reading"

    @property
    def shown(self) -> str:
        """The reading with its unit."""
        return f"{self.value:.6g} {UNITS[self.scale]}"

    def inputs(self) -> tuple[Input, Input, Input]:
        """The reading to half a division, the instrument's own error in its own unit, the temperature."""
        device = self.instrument
        between_marks = standard_of_limits(device.division / 2.0) * self._worth
        shown = Input(self.name, self.value, between_marks)
        off = Input(f"{OWN_ERROR}{device.name}", 0.0, standard_of_limits(device.error))
        if device.own_temp is not None:
            where = f"temperature in the {device.name}"
            return shown, off, Input(where, self.temp_c, standard_of_limits(device.own_temp))
        return shown, off, Input(TEMPERATURE, self.temp_c, self.thermometer.standard)

    @property
    def _worth(self) -> float:
        return self.instrument.worth(_INSTRUMENT_UNITS[self.scale])

    def density_at(self, values: Sequence[float]) -> tuple[float, float]:
        """True density [kg/m³] and temperature [°C] of the liquid, from these values of `inputs`."""
        shown, off, temp_c = values
        check_temp(temp_c)
        return self._liquid_density(shown + off * self._worth, temp_c), temp_c

    def check(self, may_be_sweet: bool = False) -> None:
        """Refuse what cannot be, naming what was probably meant.

        may_be_sweet: sugar is said to be in it, so it may be heavier than water.
        """
        check_temp(self.temp_c)
        try:
            pct_vol = strength_of_density(*self.density_at((self.value, 0.0, self.temp_c)))
        except (HeavierThanWater, LighterThanAlcohol) as refusal:
            heavy = isinstance(refusal, HeavierThanWater)
            if heavy and may_be_sweet:
                return
            if self.scale in ("density_kg_m3", "sg"):
                self._refuse_density()
            self._refuse_mark(heavy)
        check_not_frozen(pct_vol, self.temp_c)

    def _liquid_density(self, shown: float, temp_c: float) -> float:
        """True density of the liquid [kg/m³]: that of the mark, on glass that has grown with warmth."""
        made_for_c = self.calibrated_at_c
        if self.scale == "pct_vol":
            same = alcohol.true_strength(shown, made_for_c, made_for_c, glass=False)
            density = alcohol.density(alcohol.mass_fraction(same), made_for_c)
        elif self.scale == "us_proof":
            fraction = alcohol.mass_fraction(alcohol.pct_vol_20_from_proof(shown))
            density = alcohol.density(fraction, made_for_c)
        elif self.scale == "pct_mass":
            density = alcohol.density(shown / 100.0, made_for_c)
        elif self.scale == "sg":
            density = self._vacuum(shown * self._unit_of_gravity())
        else:
            density = self._vacuum(shown)
        growth_k = alcohol.GLASS_EXPANSION_PER_K if self.instrument.is_glass else 0.0
        return float(density * (1.0 - growth_k * (temp_c - made_for_c)))

    def _vacuum(self, density_kg_m3: float) -> float:
        return float(air.density_air_to_vacuum(density_kg_m3)) if self.in_air else density_kg_m3

    def _unit_of_gravity(self) -> float:
        """Density that the scale's gravity 1 stands for [kg/m³], water's at the scale's own temperature."""
        water = float(alcohol.density(0.0, self.calibrated_at_c))
        return float(air.density_vacuum_to_air(water)) if self.in_air else water

    def _refuse_mark(self, heavy: bool) -> NoReturn:
        """The scale has such a mark, but no spirit at this temperature floats the stem so deep or so high."""
        unit = UNITS[self.scale]
        least, most = (f"{_shown_by(self, pure, self.temp_c):.1f} {unit}" for pure in (0.0, 1.0))
        meant = "If sugar is in it, say how much, or distil a sample and gauge that." if heavy else ""
        raise ScaleCannotShow(self.shown, self.temp_c, least, most, meant)

    def _refuse_density(self) -> NoReturn:
        density = self._liquid_density(self.value, self.temp_c)
        ethanol, water = (float(alcohol.density(part, self.temp_c)) for part in (1.0, 0.0))
        meant = self._other_reading(ethanol, water)
        if density > water:
            raise HeavierThanWater(self.shown, self.temp_c, self._as_given(water), meant)
        raise LighterThanAlcohol(self.shown, self.temp_c, self._as_given(ethanol), meant)

    def _given_kg_m3(self) -> float:
        return self.value if self.scale == "density_kg_m3" else self.value * self._unit_of_gravity()

    def _as_given(self, density_kg_m3: float) -> str:
        """A true density as this reading would say it."""
        said = float(air.density_vacuum_to_air(density_kg_m3)) if self.in_air else density_kg_m3
        return f"{said:.1f}" if self.scale == "density_kg_m3" else f"{said / self._unit_of_gravity():.4f}"

    def _other_reading(self, ethanol: float, water: float) -> str:
        """What else the figure could be: a density in the other kind, or in other units."""
        given = self._given_kg_m3()
        if self.scale == "density_kg_m3" and 0.7 <= given <= 1.0:
            return f"{given:g} is a density in g/mL, which is {1000.0 * given:g} kg/m³; write {given:g} g/mL."
        if not self.in_air and ethanol <= air.density_air_to_vacuum(given) <= water and given < ethanol:
            return "It fits as a density in air: say so, if the table or instrument gives those."
        if self.in_air and ethanol <= given <= water:
            return "It fits as a true density (in vacuum): do not call it one in air."
        return ""


@dataclass(frozen=True, slots=True)
class WeighedReading:
    """A mass on a scale in air and the volume it filled: the density without a hydrometer."""

    mass_kg: float
    volume_l: float
    temp_c: float
    scale: Instrument
    vessel: Instrument
    thermometer: Instrument
    name: str = "weighed volume"

    def inputs(self) -> tuple[Input, Input, Input]:
        """How far mass and volume may be off, as shares of them, and the temperature."""
        return (
            Input("mass", 0.0, self.scale.standard),
            Input("volume", 0.0, self.vessel.standard),
            Input(TEMPERATURE, self.temp_c, self.thermometer.standard),
        )

    def density_at(self, values: Sequence[float]) -> tuple[float, float]:
        """True density [kg/m³] and temperature [°C] of the liquid, from these values of `inputs`."""
        mass_off, volume_off, temp_c = values
        check_temp(temp_c)
        shown_kg_l = self.mass_kg * (1.0 + mass_off) / (self.volume_l * (1.0 + volume_off))
        return float(air.density_air_to_vacuum(1000.0 * shown_kg_l)), temp_c

    def check(self, may_be_sweet: bool = False) -> None:
        """Refuse what cannot be."""
        for name, value, unit in (("Mass", self.mass_kg, "kg"), ("Volume", self.volume_l, "L")):
            if not value > 0.0:
                raise OutOfRange(name, value, unit, 1e-6, 1e6)
        try:
            pct_vol = strength_of_density(*self.density_at([each.value for each in self.inputs()]))
        except HeavierThanWater:
            if not may_be_sweet:
                raise
            return
        check_not_frozen(pct_vol, self.temp_c)


Reading = SpiritReading | WeighedReading


def check_temp(temp_c: float) -> None:
    """Refuse a sample that no table covers.

    -20 to 40 °C. Source: oiml-r22-1975.
    """
    if temp_c > alcohol.TEMP_MAX_C:
        raise HotSample(temp_c, alcohol.TEMP_MAX_C)
    if not temp_c >= alcohol.TEMP_MIN_C:
        raise FrozenSample(temp_c, alcohol.TEMP_MIN_C)


def strength_of_density(density_kg_m3: float, temp_c: float) -> float:
    """Strength [%vol at 20 °C] of the mixture with this true density [kg/m³] at this temperature [°C].

    Raises:
        HeavierThanWater: sugar or solids must be in it.
        LighterThanAlcohol: nothing of water and ethanol is so light.
    """
    try:
        return float(alcohol.pct_vol(alcohol.mass_fraction_from_density(density_kg_m3, temp_c)))
    except OutOfRange:
        ethanol, water = (float(alcohol.density(part, temp_c)) for part in (1.0, 0.0))
        if density_kg_m3 > water:
            raise HeavierThanWater(f"{density_kg_m3:.6g} kg/m³", temp_c, f"{water:.1f}") from None
        raise LighterThanAlcohol(f"{density_kg_m3:.6g} kg/m³", temp_c, f"{ethanol:.1f}") from None


def _shown_by(reading: SpiritReading, mass_fraction: float, temp_c: float) -> float:
    """What the scale would show in a mixture, as far as the scale goes."""
    low, high = 0.0, 200.0 if reading.scale == "us_proof" else 100.0
    wanted = float(alcohol.density(mass_fraction, temp_c))
    for _ in range(50):
        middle = 0.5 * (low + high)
        if reading._liquid_density(middle, temp_c) > wanted:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)
