"""What goes into a mixture: liquids, portions of them, and how a portion is weighed or measured out."""

from __future__ import annotations

from dataclasses import dataclass

from caskward.errors import OutOfRange
from caskward.gauging.amounts import shown_kg, true_kg
from caskward.gauging.freezing import check_not_frozen
from caskward.gauging.readings import check_temp
from caskward.properties import alcohol


@dataclass(frozen=True, slots=True)
class Liquid:
    """Spirit, water, backset or low wines: its true strength [%vol at 20 °C] and where it is measured [°C].

    standard_pct_vol: standard uncertainty of the strength [%vol]. Solids in it are not counted.
    """

    name: str
    pct_vol: float
    temp_c: float = 20.0
    standard_pct_vol: float = 0.0

    @property
    def mass_frac(self) -> float:
        """Mass fraction of ethanol [-]."""
        return float(alcohol.mass_fraction(self.pct_vol))

    def check(self) -> None:
        """Refuse a strength or a temperature that cannot be."""
        if not 0.0 <= self.pct_vol <= 100.0:
            raise OutOfRange(f"Strength of {self.name}", self.pct_vol, "%vol", 0.0, 100.0)
        check_temp(self.temp_c)
        check_not_frozen(self.pct_vol, self.temp_c)

    def density_kg_m3(self, temp_c: float) -> float:
        """True density [kg/m³] at a temperature [°C]."""
        return float(alcohol.density(self.mass_frac, temp_c))


WATER = Liquid("water", 0.0)


@dataclass(frozen=True, slots=True)
class Portion:
    """So much of a liquid: its true mass [kg], and that mass's standard uncertainty as a share of it [-]."""

    liquid: Liquid
    mass_kg: float
    standard_share: float = 0.0


@dataclass(frozen=True, slots=True)
class Pour:
    """A portion in all the ways it can be put on a scale or into a jug.

    shown_kg: what a scale in air shows. volume_l: at `temp_c`. lpa: litres of pure alcohol at 20 °C.
    """

    name: str
    pct_vol: float
    mass_kg: float
    shown_kg: float
    temp_c: float
    volume_l: float
    volume_20_l: float
    lpa: float


def by_volume(liquid: Liquid, volume_l: float, standard_share: float = 0.0) -> Portion:
    """A portion from its volume [L, 0 or more] at the liquid's own temperature."""
    _check_amount(liquid.name, volume_l, "L")
    liquid.check()
    return Portion(liquid, volume_l * liquid.density_kg_m3(liquid.temp_c) / 1000.0, standard_share)


def by_scale(liquid: Liquid, scale_kg: float, standard_share: float = 0.0) -> Portion:
    """A portion from what a scale in air shows [kg, 0 or more]."""
    _check_amount(liquid.name, scale_kg, "kg")
    liquid.check()
    return Portion(liquid, true_kg(scale_kg, liquid.density_kg_m3(liquid.temp_c)), standard_share)


def pour(liquid: Liquid, mass_kg: float) -> Pour:
    """So much true mass [kg] of a liquid, measured at the liquid's own temperature."""
    here, at_20 = liquid.density_kg_m3(liquid.temp_c), liquid.density_kg_m3(20.0)
    return Pour(
        name=liquid.name,
        pct_vol=liquid.pct_vol,
        mass_kg=mass_kg,
        shown_kg=shown_kg(mass_kg, here),
        temp_c=liquid.temp_c,
        volume_l=1000.0 * mass_kg / here,
        volume_20_l=1000.0 * mass_kg / at_20,
        lpa=float(alcohol.litres_pure_alcohol(mass_kg * liquid.mass_frac)),
    )


def _check_amount(name: str, value: float, unit: str) -> None:
    if not 0.0 <= value < 1e9:
        raise OutOfRange(f"Amount of {name}", value, unit, 0.0, 1e9)
