"""Looking at a charge before it is lit: what must change, how much water mends it, what to mind."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from caskward.errors import ChargeRefused, OutOfRange
from caskward.planning.strengths import said
from caskward.properties import alcohol
from caskward.services.still_gear import Gear
from caskward.services.still_mend import BOILING_C, amount, reasons_of
from caskward.services.still_own_units import limit_words
from caskward.services.still_sense import sensible_gear
from caskward.stages.charges import STRONGEST_CHARGE_PCT_VOL, ChargeFlags, PotLimits, check_charge
from caskward.stages.stream import Stream
from caskward.units.types import UnitSystem

_STRONGEST_MODEL_PCT_VOL = 94.0
_LAST_DIGIT_PCT_VOL = 0.1
"""The last digit a strength is told in: neither 40.0 %vol nor 80 proof, 40.07 %vol at 20 °C, is over 40."""
WASH_SOLUBLES_SHARE = 0.015
"""Dissolved solids that a dry wash keeps, of its mass; *common practice, no source*."""


@dataclass(frozen=True)
class CheckedCharge:
    """A charge that may be lit: litres at 20 °C, %vol, alcohol, litres at the boil, and what to mind.

    strongest_pct_vol: the limit it was held to; site_rule: whose rule that is, empty for the usual 40 %vol.
    """

    volume_l: float
    pct_vol: float
    lpa: float
    boiling_l: float
    strongest_pct_vol: float
    site_rule: str
    scorches: bool
    foams: bool
    cautions: tuple[str, ...]


def liquid_of(
    volume_l: float, pct_vol: float, solubles_share: float = 0.0, solids_share: float = 0.0
) -> Stream:
    """So many litres of a liquid of a strength, with dissolved and undissolved solids as shares of its mass.

    Raises:
        OutOfRange: no alcohol, too strong for the model, no litres, or more solids than pour.
    """
    if not 0.05 <= volume_l <= 20_000.0:
        raise OutOfRange("The charge", volume_l, "L", 0.05, 20_000.0)
    if not 0.1 <= pct_vol <= _STRONGEST_MODEL_PCT_VOL:
        hint = "Gauge it at 20 °C." if pct_vol > 1.0 else "There is nothing to distil in less."
        raise OutOfRange("The charge's strength", pct_vol, "%vol", 0.1, _STRONGEST_MODEL_PCT_VOL, hint)
    if not 0.0 <= solids_share <= 0.3:
        raise OutOfRange("The share of solids", solids_share, "", 0.0, 0.3, "Strain it first.")
    solids_kg = solubles_kg = 0.0
    ethanol_kg, water_kg = 0.0, volume_l * 0.95
    for _ in range(40):  # each pass leaves a tenth of what is wrong
        here = Stream.of(
            ethanol_kg=ethanol_kg, water_kg=water_kg, solubles_kg=solubles_kg, insolubles_kg=solids_kg
        )
        ethanol_kg = float(here.liquid_l) * pct_vol / 100.0 * alcohol.ETHANOL_DENSITY_20C / 1000.0
        water_kg = max(water_kg + (volume_l - float(here.volume_l)) * 0.9, 1e-6)
        solids_kg, solubles_kg = (share * float(here.total_kg) for share in (solids_share, solubles_share))
    return Stream.of(
        ethanol_kg=ethanol_kg, water_kg=water_kg, solubles_kg=solubles_kg, insolubles_kg=solids_kg
    )


def strongest_of(gear: Gear) -> float:
    """The charge's strength limit [%vol]: the usual one, or the figure that a site's own rule names."""
    if not gear.site_rule.strip() or gear.strongest_pct_vol is None:
        return STRONGEST_CHARGE_PCT_VOL
    return gear.strongest_pct_vol


def pot_limits_of(gear: Gear) -> PotLimits:
    """What the pot takes at once; without end where no charge limit was given."""
    return PotLimits(
        charge_limit_l=np.inf if gear.limit_l is None else gear.limit_l,
        minimum_charge_l=gear.least_l,
        brimful_l=gear.brimful_l,
        immersed_element=gear.element,
        strongest_pct_vol=strongest_of(gear) + _LAST_DIGIT_PCT_VOL,
        working_l=gear.working_l,
    )


def checked(charge: Stream, gear: Gear, system: UnitSystem = "metric") -> CheckedCharge:
    """A charge that may be lit, with its cautions; sentences in the maker's units.

    Raises:
        ChargeRefused: too much, too strong, too little for the element; with the water that mends it.
        InputError: heat, height or dead volume that no run of such a charge can have.
    """
    strongest = strongest_of(gear)
    flags = check_charge(charge, pot_limits_of(gear))
    volume_l, pct_vol = float(charge.volume_l), float(charge.strength_pct_vol)
    if reasons := reasons_of(charge, flags, gear, strongest, system):
        raise ChargeRefused(f"{amount(volume_l, system)} at {said(pct_vol, system)}", reasons)
    sensible_gear(gear, volume_l, system)
    return CheckedCharge(
        volume_l,
        pct_vol,
        float(charge.lpa),
        float(charge.volume_at(BOILING_C)),
        strongest,
        gear.site_rule.strip(),
        bool(flags.scorches),
        bool(flags.foams),
        tuple(_cautions(flags, gear, pct_vol, system)),
    )


def _cautions(flags: ChargeFlags, gear: Gear, pct_vol: float, system: UnitSystem) -> list[str]:
    said = []
    if gear.site_rule.strip() and pct_vol > STRONGEST_CHARGE_PCT_VOL:
        said.append(
            f"This charge is over {limit_words(STRONGEST_CHARGE_PCT_VOL, system)} and goes by your site's "
            f"own rule ({gear.site_rule.strip()}); its vapour lights below room temperature."
        )
    elif gear.site_rule.strip():
        said.append(
            f"Your site's own rule ({gear.site_rule.strip()}) was named; this charge keeps the usual limit."
        )
    if flags.scorches:
        said.append(
            "Solids settle on the immersed element, scorch and can burn it out: strain this wash first."
        )
    if flags.foams:
        said.append("This wash may foam over: a fifth of the pot should stay empty over it at the boil.")
    if gear.element and gear.least_l <= 0.0:
        said.append("How many litres cover the element was not said (--least), so that is not checked.")
    if gear.limit_l is None and gear.working_l is None:
        said.append("No charge limit was given (--limit), so it is not checked that the pot holds this.")
    return said
