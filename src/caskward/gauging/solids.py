"""What dissolved solids hide: sugar or cask extract makes a spirit heavier, so that it reads too weak.

By known sugar the mixture of water, ethanol and solids is solved whole, by the model of a wash. By the
residue of an evaporated sample the US rule adds 0.4 proof for each 100 mg in 100 mL, from 80 to 100 proof.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from caskward.errors import HeavierThanWater, LighterThanAlcohol, OutOfRange
from caskward.gauging.figure import Input
from caskward.gauging.root import root
from caskward.gauging.us_manual import rounded_proof
from caskward.properties import alcohol, wash

Verdict = Literal["ignore", "add", "distil"]
PROOF_PER_MG_100ML = 0.4 / 100.0
"""US proof hidden by 1 mg of solids in 100 mL, from 80 to 100 proof. Source: 27-cfr-30, 30.32."""
ADD_ABOVE_MG_100ML = 400.0
DISTIL_ABOVE_MG_100ML = 600.0
RULE_LEAST_PROOF, RULE_MOST_PROOF = 80.0, 100.0
MOST_SOLIDS_G_L = 600.0
STRONGEST_SWEET_PCT_VOL, MOST_IN_STRONG_G_L = 65.0, 100.0
"""Above this strength no more than so much sugar stays dissolved (from memory, 50 to 200 g/L at 70 %vol)."""
MODEL_STANDARD = 0.01
"""Standard uncertainty, as a share of the solids, of taking them for sucrose that fills in strong spirit what
it fills in water. Judgement: nothing published stands behind it."""
RULE_STANDARD = 0.08
"""The same for the US rule: one factor from 80 to 100 proof, where the model of a wash has 0.47 to 0.38."""
_LEAST_WATER = 0.2
"""Water needed for each kg of solids; a syrup of 85 % has 0.18."""
_PASSES = 60


@dataclass(frozen=True, slots=True)
class Solids:
    """Dissolved solids in a spirit [g/L at 20 °C], their standard uncertainty, and how they were found."""

    g_l: float
    standard_g_l: float
    by: Literal["residue", "sugar"]

    def input(self, by_rule: bool) -> Input:
        """The solids [g/L] with the doubt of weighing them and of what they hide."""
        model = RULE_STANDARD if by_rule else MODEL_STANDARD
        return Input("dissolved solids", self.g_l, math.hypot(self.standard_g_l, model * self.g_l))

    @property
    def mg_100ml(self) -> float:
        """The same as the law counts it [mg/100 mL]."""
        return 100.0 * self.g_l


def residue_g_l(residue_g: float, sample_ml: float) -> float:
    """Dissolved solids [g/L] from the weight left by an evaporated and dried sample.

    residue_g: [g], 0 or more. sample_ml: of spirit at 20 °C [mL], above 0.
    Outside: raises `OutOfRange`. Source: 27-cfr-30, 30.32.
    """
    if not sample_ml > 0.0:
        raise OutOfRange("Evaporated sample", sample_ml, "mL", 1e-3, 1e6)
    grams_l = 1000.0 * residue_g / sample_ml
    if not 0.0 <= grams_l <= MOST_SOLIDS_G_L:
        raise OutOfRange(
            "Solids", grams_l, "g/L", 0.0, MOST_SOLIDS_G_L, "Check the units: 5 g/L are 500 mg in 100 mL."
        )
    return grams_l


def obscuration_proof(mg_100ml: float) -> float:
    """Proof to add for dissolved solids [US proof].

    0.4 proof per 100 mg/100 mL. mg_100ml: 0 or more, in spirit of 80 to 100 proof.
    Source: 27-cfr-30, 30.32(b).
    """
    return PROOF_PER_MG_100ML * mg_100ml


def us_verdict(mg_100ml: float) -> Verdict:
    """What the US rule asks for: up to 400 mg/100 mL ignore, up to 600 add the obscuration, above distil.

    Source: 27-cfr-30, 30.31 and 30.32.
    """
    if mg_100ml > DISTIL_ABOVE_MG_100ML:
        return "distil"
    return "add" if mg_100ml > ADD_ABOVE_MG_100ML else "ignore"


def rule_holds(apparent_pct_vol: float) -> bool:
    """Whether the strength lies where the US rule was made, 80 to 100 proof, to the tenth the law counts."""
    proof = rounded_proof(float(alcohol.proof_60f(apparent_pct_vol)))
    return RULE_LEAST_PROOF <= proof <= RULE_MOST_PROOF


def true_strength_by_rule(apparent_pct_vol: float, g_l: float) -> float:
    """True strength [%vol at 20 °C] from the apparent one and the residue [g/L], by the US rule."""
    proof = float(alcohol.proof_60f(apparent_pct_vol)) + obscuration_proof(100.0 * g_l)
    return float(alcohol.pct_vol_20_from_proof(proof))


def true_strength_with_solids(density_kg_m3: float, temp_c: float, g_l: float) -> float:
    """True strength [%vol at 20 °C] of a spirit with dissolved solids, from its density.

    Solves density(water, ethanol, solids, t) = density for the ethanol, to 1e-12, with solids so
    that a litre at 20 °C holds `g_l` of them.

    density_kg_m3: true density at `temp_c`. temp_c: [°C], 0 to 40. g_l: [g/L at 20 °C], 0 to 600.
    Outside: raises `OutOfRange`; with no such mixture, `HeavierThanWater` or `LighterThanAlcohol`.
    Source: as wash.liquid_volume_l; for small residues it gives 0.38 to 0.47 proof per 100 mg/100 mL from
    100 to 80 proof, against the rule's 0.4. With much sugar in strong spirit nothing published checks it.
    """
    if not 0.0 <= g_l <= MOST_SOLIDS_G_L:
        raise OutOfRange("Solids", g_l, "g/L", 0.0, MOST_SOLIDS_G_L)
    low, high = 0.0, _strongest_share(g_l)
    heaviest, lightest = (_density(share, g_l, temp_c) for share in (low, high))
    if density_kg_m3 > heaviest + 1e-9:
        meant = f"That is more than {g_l:.4g} g/L of sugar make of water; check both."
        shown, water = f"{density_kg_m3:.6g} kg/m³", f"{heaviest:.1f} with that sugar"
        raise HeavierThanWater(shown, temp_c, water, meant)
    if density_kg_m3 < lightest - 1e-9:
        shown, ethanol = f"{density_kg_m3:.6g} kg/m³", f"{lightest:.1f} with that sugar"
        raise LighterThanAlcohol(shown, temp_c, ethanol)
    ends = (heaviest - density_kg_m3, lightest - density_kg_m3)
    share = root(lambda part: _density(part, g_l, temp_c) - density_kg_m3, low, high, ends=ends)
    pct_vol = float(wash.strength_pct_vol(*_parts(share, g_l)))
    if pct_vol > STRONGEST_SWEET_PCT_VOL and g_l > MOST_IN_STRONG_G_L:
        hint = f"{g_l:.4g} g/L of sugar does not dissolve in spirit so strong; check it, or distil a sample."
        raise OutOfRange("True strength", pct_vol, "%vol", 0.0, STRONGEST_SWEET_PCT_VOL, hint)
    return pct_vol


def _strongest_share(g_l: float) -> float:
    """Ethanol in water and ethanol so that the water still holds the solids as a syrup [-]."""
    most_solids_kg = 0.001 * g_l * (1.0 + 0.001 * g_l) / 0.78  # in a litre and more of pure ethanol
    return 1.0 - _LEAST_WATER * most_solids_kg


def _density(ethanol_share: float, g_l: float, temp_c: float) -> float:
    return float(wash.density(*_parts(ethanol_share, g_l), temp_c))


def _parts(ethanol_share: float, g_l: float) -> tuple[float, float, float]:
    """Water, ethanol and solids [kg] with 1 kg of water and ethanol and so many solids in a litre."""
    water_kg, ethanol_kg = 1.0 - ethanol_share, ethanol_share
    free_l = float(alcohol.volume_l(water_kg, ethanol_kg))
    solids_kg = 0.001 * g_l * free_l
    for _ in range(_PASSES):  # a gram fills 0.6 mL, so each pass leaves 0.0006 g_l of the step
        volume_l = float(wash.liquid_volume_l(water_kg, ethanol_kg, solids_kg))
        step = 0.001 * g_l * volume_l - solids_kg
        solids_kg += step
        if abs(step) < 1e-13:
            break
    return water_kg, ethanol_kg, solids_kg
