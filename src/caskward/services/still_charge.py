"""Looking at a charge before it is lit: what must change, how much water mends it, what to mind."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from caskward.errors import ChargeRefused, OutOfRange
from caskward.properties import alcohol
from caskward.services.still_gear import Gear
from caskward.stages.blend import blend
from caskward.stages.charges import STRONGEST_CHARGE_PCT_VOL, ChargeFlags, PotLimits, check_charge
from caskward.stages.stream import Stream

_BOILING_C = 95.0
_STRONGEST_MODEL_PCT_VOL = 94.0
_LAST_DIGIT_PCT_VOL = 0.1
"""The last digit a strength is told in: neither 40.0 %vol nor 80 proof, 40.07 %vol at 20 °C, is over 40."""
_WATER_KG_L = 0.99820
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


def checked(charge: Stream, gear: Gear) -> CheckedCharge:
    """A charge that may be lit, with its cautions.

    Raises:
        ChargeRefused: too much, too strong, too little for the element; with the water that mends it.
    """
    strongest = strongest_of(gear)
    limits = PotLimits(
        charge_limit_l=np.inf if gear.limit_l is None else gear.limit_l,
        minimum_charge_l=gear.least_l,
        brimful_l=gear.brimful_l,
        immersed_element=gear.element,
        strongest_pct_vol=strongest + _LAST_DIGIT_PCT_VOL,
    )
    flags = check_charge(charge, limits)
    boiling_l = float(charge.volume_at(_BOILING_C))
    reasons = [*_too_much(charge, boiling_l, gear), *_water(charge, flags, gear, strongest)]
    volume_l, pct_vol = float(charge.volume_l), float(charge.strength_pct_vol)
    if reasons:
        raise ChargeRefused(volume_l, pct_vol, tuple(reasons))
    return CheckedCharge(
        volume_l,
        pct_vol,
        float(charge.lpa),
        boiling_l,
        strongest,
        gear.site_rule.strip(),
        bool(flags.scorches),
        bool(flags.foams),
        tuple(_cautions(flags, gear, pct_vol)),
    )


def _too_much(charge: Stream, boiling_l: float, gear: Gear) -> list[str]:
    volume_l = float(charge.volume_l)
    found = []
    if gear.limit_l is not None and volume_l > gear.limit_l * (1.0 + 1e-9):
        runs = int(np.ceil(volume_l / gear.limit_l - 1e-9))
        found.append(
            f"it is {volume_l - gear.limit_l:.3g} L more than the charge limit of {gear.limit_l:g} L: "
            f"run it as {runs} charges of {volume_l / runs:.4g} L"
        )
    if gear.working_l is not None and boiling_l > gear.working_l:
        most_l = volume_l * gear.working_l / boiling_l
        found.append(
            f"it swells to {boiling_l:.4g} L at the boil, and the working volume is {gear.working_l:g} L: "
            f"charge at most {most_l:.4g} L"
        )
    if gear.brimful_l is not None and boiling_l > gear.brimful_l:
        most_l = volume_l * gear.brimful_l / boiling_l
        found.append(
            f"it swells to {boiling_l:.4g} L at the boil, and the pot is brimful at {gear.brimful_l:g} L: "
            f"charge well under {most_l:.4g} L"
        )
    return found


def _water(charge: Stream, flags: ChargeFlags, gear: Gear, strongest: float) -> list[str]:
    """What water would mend: too strong, or too little over the element."""
    if not (flags.too_strong or flags.under_minimum):
        return []
    out, record = blend((charge,), strongest, gear.least_l)
    water_l, makes_l = float(record.water_kg) / _WATER_KG_L, float(out.volume_l)
    found = []
    if flags.too_strong:
        limit = f"the {strongest:g} %vol of your site's rule" if gear.site_rule else f"{strongest:g} %vol"
        found.append(f"it is stronger than {limit}, and strong charges burn far worse")
    if flags.under_minimum:
        over = "element" if gear.element else "least that the pot takes"
        found.append(f"it does not reach the {gear.least_l:g} L that cover the {over}")
    mend = (
        f"add {water_l:.3g} L of water, which makes {makes_l:.4g} L at {float(out.strength_pct_vol):.1f} %vol"
    )
    most_l = np.inf if gear.limit_l is None else gear.limit_l
    if makes_l > most_l * (1.0 + 1e-9):
        runs = int(np.ceil(makes_l / most_l - 1e-9))
        mend += f", more than the still takes at once: run {runs} charges of {makes_l / runs:.4g} L"
    found[-1] += f": {mend}"
    return found


def _cautions(flags: ChargeFlags, gear: Gear, pct_vol: float) -> list[str]:
    said = []
    if gear.site_rule.strip() and pct_vol > STRONGEST_CHARGE_PCT_VOL:
        said.append(
            f"This charge is over {STRONGEST_CHARGE_PCT_VOL:g} %vol and goes by your site's own rule "
            f"({gear.site_rule.strip()}); its vapour lights below room temperature."
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
