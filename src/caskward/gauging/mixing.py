"""Reducing, strengthening and blending: how much of what, by mass with contraction.

Everything is worked in true mass of water and ethanol, which add up; volumes and what a scale in air shows
follow. So one solution serves for water, low wines or backset added to strong spirit, for stronger spirit
added to a mixture that has become too weak, and for two liquids that are to give a third.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from caskward.errors import MissingValue, NoSuchBlend, NotEnoughSpirit, OutOfRange
from caskward.gauging.amounts import QUANTITIES, quantities, true_kg
from caskward.gauging.figure import Figure, Input, Share, propagate
from caskward.gauging.freezing import check_not_frozen
from caskward.gauging.liquids import WATER, Liquid, Portion, Pour, pour
from caskward.gauging.readings import check_temp
from caskward.properties import alcohol

LEAST_PCT_VOL = 0.1
SAME_PCT_VOL = 1e-9


@dataclass(frozen=True, slots=True)
class Mixture:
    """What to take, what to add, what it makes.

    add: nothing where only given amounts were mixed, or nothing is needed.
    contraction_l: volume lost on mixing [L], all at the result's temperature.
    strength, lpa, proof_gallons: of the result, with the doubt of the strengths and amounts that went in.
    taken_as_exact: the liquids whose strength came without a doubt, so that none of it is in these.
    """

    take: tuple[Pour, ...]
    add: Pour | None
    makes: Pour
    contraction_l: float
    strength: Figure
    lpa: Figure
    proof_gallons: Figure
    shares: tuple[Share, ...]
    taken_as_exact: tuple[str, ...]


def mix(portions: Sequence[Portion], temp_c: float = 20.0) -> Mixture:
    """What results if these portions go together.

    temp_c: at which the result's volume is given [°C].
    """
    _check(portions, temp_c)
    total_kg, ethanol_kg = _sums(portions)
    if total_kg == 0.0:
        raise MissingValue("A mixture", "an amount of at least one liquid", "20 L of 63 %")
    pct_vol = float(alcohol.pct_vol(min(ethanol_kg / total_kg, 1.0)))
    return _mixture(portions, None, pct_vol, temp_c)


def bring(
    portions: Sequence[Portion],
    to_pct_vol: float,
    add: Liquid = WATER,
    temp_c: float = 20.0,
    add_standard_share: float = 0.0,
) -> Mixture:
    """How much of a liquid brings all of what is there to a strength.

    m = (E - p_t M) / (p_t - p_a), with the mass M and ethanol E of what is there, the mass fractions p_t of
    the result and p_a of what is added. That is water for a spirit too strong, or spirit for one too weak.

    portions: what is there, all of it used. to_pct_vol: [%vol at 20 °C], 0.1 to 100.
    temp_c: at which the result's volume is given [°C]. add_standard_share: of the scale or jug [-].
    Raises:
        NoSuchBlend: the strength does not lie between what is there and what is added.
    """
    _check(portions, temp_c)
    _check_goal(to_pct_vol)
    add.check()
    total_kg, ethanol_kg = _sums(portions)
    if total_kg == 0.0:
        raise MissingValue("A reduction", "an amount of spirit", "20 L of 63 %")
    here_pct_vol = float(alcohol.pct_vol(min(ethanol_kg / total_kg, 1.0)))
    if abs(here_pct_vol - to_pct_vol) <= SAME_PCT_VOL:
        return _mixture(portions, None, to_pct_vol, temp_c)
    _check_between(to_pct_vol, here_pct_vol, add.pct_vol)
    goal = float(alcohol.mass_fraction(to_pct_vol))
    add_kg = (ethanol_kg - goal * total_kg) / (goal - add.mass_frac)
    return _mixture(portions, Portion(add, add_kg, add_standard_share), to_pct_vol, temp_c)


def make(
    spirits: Sequence[Portion],
    to_pct_vol: float,
    volume_l: float | None = None,
    scale_kg: float | None = None,
    add: Liquid = WATER,
    temp_c: float = 20.0,
    add_standard_share: float = 0.0,
) -> Mixture:
    """How much of each gives so much at a strength, never more than there is.

    spirits: taken in the proportion given; a mass of infinity means there is enough of it (one spirit only).
    volume_l: wanted at `temp_c` [L]; or scale_kg: what a scale in air is to show of it [kg].
    Other arguments and refusals as `bring`.
    Raises:
        NotEnoughSpirit: it takes more spirit than there is; says what that makes.
    """
    _check(spirits, temp_c)
    _check_goal(to_pct_vol)
    add.check()
    wanted_kg = _wanted_kg(to_pct_vol, volume_l, scale_kg, temp_c)
    unlimited = math.isinf(spirits[0].mass_kg)
    shape = [replace(spirits[0], mass_kg=1.0)] if unlimited else list(spirits)
    there_kg, ethanol_kg = _sums(shape)
    if there_kg == 0.0:
        raise MissingValue("A reduction", "an amount of spirit", "20 L of 63 %")
    spirit_frac = ethanol_kg / there_kg
    here_pct_vol = float(alcohol.pct_vol(min(spirit_frac, 1.0)))
    share = 1.0
    if abs(here_pct_vol - to_pct_vol) > SAME_PCT_VOL:
        _check_between(to_pct_vol, here_pct_vol, add.pct_vol)
        share = (float(alcohol.mass_fraction(to_pct_vol)) - add.mass_frac) / (spirit_frac - add.mass_frac)
    needed_kg = share * wanted_kg
    if not unlimited and needed_kg > there_kg * (1.0 + 1e-9):
        _refuse_too_much(spirits, needed_kg / there_kg, wanted_kg, to_pct_vol, temp_c)
    taken = [replace(one, mass_kg=one.mass_kg * needed_kg / there_kg) for one in shape]
    rest_kg = wanted_kg - needed_kg
    added = Portion(add, rest_kg, add_standard_share) if rest_kg > 0.0 else None
    return _mixture(taken, added, to_pct_vol, temp_c)


def _mixture(portions: Sequence[Portion], added: Portion | None, pct_vol: float, temp_c: float) -> Mixture:
    parts = [*portions, *([added] if added else [])]
    total_kg = sum(one.mass_kg for one in parts)
    check_not_frozen(pct_vol, temp_c)
    makes = pour(Liquid("mixture", pct_vol, temp_c), total_kg)
    apart_l = sum(1000.0 * one.mass_kg / one.liquid.density_kg_m3(temp_c) for one in parts)
    (strength, lpa, proof_gallons), shares = doubt(parts)
    return Mixture(
        take=tuple(pour(one.liquid, one.mass_kg) for one in portions),
        add=pour(added.liquid, added.mass_kg) if added else None,
        makes=makes,
        contraction_l=apart_l - makes.volume_l,
        strength=strength,
        lpa=lpa,
        proof_gallons=proof_gallons,
        shares=shares,
        taken_as_exact=tuple(
            one.liquid.name for one in parts if one.liquid.pct_vol > 0.0 == one.liquid.standard_pct_vol
        ),
    )


def doubt(parts: Sequence[Portion]) -> tuple[tuple[Figure, Figure, Figure], tuple[Share, ...]]:
    """Strength, litres of pure alcohol and proof gallons, with the doubt of every strength and amount.

    The shares are those of the strength.
    """
    inputs: list[Input] = []
    for one in parts:
        inputs.append(
            Input(f"strength of {one.liquid.name}", one.liquid.pct_vol, one.liquid.standard_pct_vol)
        )
        inputs.append(Input(f"amount of {one.liquid.name}", one.mass_kg, one.standard_share * one.mass_kg))

    def results(values: Sequence[float]) -> tuple[float, ...]:
        total_kg = sum(values[1::2])
        pairs = zip(values[0::2], values[1::2], strict=True)
        ethanol_kg = sum(float(alcohol.mass_fraction(q)) * mass_kg for q, mass_kg in pairs)
        pct_vol = float(alcohol.pct_vol(min(ethanol_kg / total_kg, 1.0)))
        of_it = quantities(total_kg, pct_vol)
        return pct_vol, of_it[QUANTITIES.index("lpa")], of_it[QUANTITIES.index("proof_gallons")]

    done = propagate(results, inputs, [(0.0, 100.0), (0.0, math.inf), (0.0, math.inf)])
    strength, lpa, proof_gallons = done.figures
    return (strength, lpa, proof_gallons), done.shares[0]


def _sums(portions: Sequence[Portion]) -> tuple[float, float]:
    """Total mass and mass of ethanol [kg]."""
    total_kg = sum(one.mass_kg for one in portions)
    return total_kg, sum(one.mass_kg * one.liquid.mass_frac for one in portions)


def _check(portions: Sequence[Portion], temp_c: float) -> None:
    check_temp(temp_c)
    if not portions:
        raise MissingValue("A mixture", "at least one spirit", "20 L of 63 %")
    for one in portions:
        one.liquid.check()


def _check_goal(to_pct_vol: float) -> None:
    if not LEAST_PCT_VOL <= to_pct_vol <= 100.0:
        raise OutOfRange("Target strength", to_pct_vol, "%vol", LEAST_PCT_VOL, 100.0)


def _check_between(to_pct_vol: float, first_pct_vol: float, second_pct_vol: float) -> None:
    weaker, stronger = sorted((first_pct_vol, second_pct_vol))
    if not weaker < to_pct_vol < stronger:
        raise NoSuchBlend(to_pct_vol, weaker, stronger)


def _wanted_kg(to_pct_vol: float, volume_l: float | None, scale_kg: float | None, temp_c: float) -> float:
    goal = Liquid("mixture", to_pct_vol, temp_c)
    if volume_l is not None:
        if not 0.0 < volume_l < 1e9:
            raise OutOfRange("Volume to make", volume_l, "L", 1e-6, 1e9)
        return volume_l * goal.density_kg_m3(temp_c) / 1000.0
    if scale_kg is None:
        raise MissingValue("What to make", "a volume or a mass", "50 L")
    if not 0.0 < scale_kg < 1e9:
        raise OutOfRange("Mass to make", scale_kg, "kg", 1e-6, 1e9)
    return true_kg(scale_kg, goal.density_kg_m3(20.0))


def _refuse_too_much(
    spirits: Sequence[Portion], times: float, wanted_kg: float, to_pct_vol: float, temp_c: float
) -> None:
    first = spirits[0]
    there_l = pour(first.liquid, first.mass_kg).volume_l
    most_l = pour(Liquid("mixture", to_pct_vol, temp_c), wanted_kg / times).volume_l
    raise NotEnoughSpirit(first.liquid.name, there_l * times, there_l, most_l)
