"""Instruments and readings that several gauging tests use."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from caskward.gauging.instruments import Instrument, instrument
from caskward.gauging.readings import Scale, SpiritReading
from caskward.properties import air, alcohol

MakeReading = Callable[..., SpiritReading]


@pytest.fixture
def thermometer() -> Instrument:
    return instrument("thermometer")


@pytest.fixture
def read_as(thermometer: Instrument) -> MakeReading:
    """The reading that an instrument gives in a spirit of known strength: the forward model."""

    def make(
        pct_vol: float,
        temp_c: float,
        scale: Scale = "pct_vol",
        made_for_c: float = 20.0,
        key: str = "oiml-2",
        in_air: bool = False,
        name: str = "reading",
    ) -> SpiritReading:
        device = instrument(key)
        fraction = alcohol.mass_fraction(pct_vol)
        density = float(alcohol.density(fraction, temp_c))
        if device.is_glass:
            density /= 1.0 - alcohol.GLASS_EXPANSION_PER_K * (temp_c - made_for_c)
        said = float(air.density_vacuum_to_air(density)) if in_air else density
        if scale == "density_kg_m3":
            value = said
        elif scale == "sg":
            water = float(alcohol.density(0.0, made_for_c))
            value = said / (float(air.density_vacuum_to_air(water)) if in_air else water)
        elif scale == "pct_mass":
            value = 100.0 * float(alcohol.mass_fraction_from_density(density, made_for_c))
        elif scale == "us_proof":
            marked = float(alcohol.mass_fraction_from_density(density, made_for_c))
            value = float(alcohol.proof_60f(alcohol.pct_vol(marked)))
        else:
            marked = float(alcohol.mass_fraction_from_density(density, made_for_c))
            pure = float(alcohol.density(1.0, made_for_c))
            value = 100.0 * marked * density / pure
        return SpiritReading(value, scale, temp_c, device, thermometer, made_for_c, in_air, name)

    return make
