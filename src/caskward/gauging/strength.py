"""What a spirit really is: strength from one or several readings, with doubt, and how much of it there is.

Several readings are combined by generalised least squares: each gives a strength, errors they share (one
thermometer in one sample, one instrument's own error, the tables') are counted as shared, and what is left
between them is held against chance.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from caskward.errors import InputError, MissingValue
from caskward.gauging.amounts import Amount, quantities
from caskward.gauging.figure import SQRT_3, Figure, Input, Share, effects, figure, propagate
from caskward.gauging.readings import OWN_ERROR, Reading, strength_of_density
from caskward.gauging.solids import (
    Solids,
    Verdict,
    rule_holds,
    true_strength_by_rule,
    true_strength_with_solids,
    us_verdict,
)
from caskward.properties import air, alcohol

Key = tuple[str, float, float]
Agreement = Literal["unchecked", "agree", "hardly agree", "disagree"]
HARDLY, NEVER = 0.05, 0.01
"""Chance of so wide a gap between honest readings: below the first they hardly agree, below the second they
disagree beyond doubt."""
TABLES = Input("tables of density", 0.0, 1.0 / SQRT_3)
"""How far the density of the mixture itself may be off, in parts of `tables_limit_kg_m3`."""
_TABLES_AT_20, _TABLES_AWAY, _AWAY_K = 0.03, 0.1, 10.0
_MOST = math.inf
_FORM_BOUNDS = ((0.0, 100.0), (0.0, 100.0), (0.0, 200.0), (0.0, _MOST), (0.0, _MOST))
_QUANTITY_BOUNDS = ((0.0, _MOST),) * 7


@dataclass(frozen=True, slots=True)
class Quantity:
    """How much there is, in the order of `amounts.quantities`."""

    volume_20_l: Figure
    volume_60f_l: Figure
    mass_kg: Figure
    shown_kg: Figure
    lpa: Figure
    wine_gallons: Figure
    proof_gallons: Figure


@dataclass(frozen=True, slots=True)
class Hidden:
    """What dissolved solids hid.

    apparent_pct_vol: what it would be taken for without knowing of them; none if it is heavier than water.
    record_proof: what a US record takes: as the hydrometer shows it where the rule lets solids be, with what
        is hidden where it adds that; none where it asks for a distilled sample.
    by_rule: true if the US rule gave the correction, false if the model of a wash did.
    """

    mg_100ml: float
    apparent_pct_vol: float | None
    hidden_proof: float | None
    record_proof: float | None
    verdict: Verdict
    by_rule: bool


@dataclass(frozen=True, slots=True)
class Gauged:
    """What a spirit really is; its densities are those of clean spirit as strong.

    shares: which inputs the doubt of the strength comes from, largest first.
    each_pct_vol: the strength that each reading gives by itself.
    chance: how often honest readings lie as far apart as these, 0 to 1; 1 for one reading.
    """

    pct_vol: Figure
    pct_mass: Figure
    us_proof: Figure
    density_20_kg_m3: Figure
    density_air_20_kg_m3: Figure
    shares: tuple[Share, ...]
    each_pct_vol: tuple[Figure, ...]
    agreement: Agreement
    chance: float
    hidden: Hidden | None
    quantity: Quantity | None


def gauge(readings: Sequence[Reading], amount: Amount | None = None, solids: Solids | None = None) -> Gauged:
    """True strength, and how much, from one or several readings of one spirit.

    Raises:
        InputError: a reading or an amount that cannot be, with what was probably meant.
    """
    if not readings:
        raise MissingValue("The strength", "at least one reading", "47 % at 28 C")
    for reading in readings:
        reading.check(may_be_sweet=solids is not None)
    if amount:
        amount.check()
    task = _Task(tuple(readings), amount, solids)
    inputs = task.inputs()
    each, weights, chi_squared = _combined(task, inputs)
    freedom = len(readings) - 1
    chance = chi_squared_chance(chi_squared, freedom)
    verdict = agreement(freedom, chance)
    if verdict == "disagree":
        inputs = task.inputs(widened=math.sqrt(chi_squared / freedom))
    bounds = _FORM_BOUNDS + (_QUANTITY_BOUNDS if amount else ())
    whole = propagate(lambda values: task.results(values, weights), inputs, bounds)
    pct_vol, pct_mass, us_proof, density, in_air, *rest = whole.figures
    return Gauged(
        pct_vol,
        pct_mass,
        us_proof,
        density,
        in_air,
        shares=_told(whole.shares[0], readings),
        each_pct_vol=each,
        agreement=verdict,
        chance=chance,
        hidden=task.hidden(each),
        quantity=Quantity(*rest) if amount else None,
    )


class _Task:
    """Readings, amount and solids as one calculation over one list of inputs."""

    def __init__(self, readings: tuple[Reading, ...], amount: Amount | None, solids: Solids | None) -> None:
        self.readings, self.amount, self.solids = readings, amount, solids
        self.apparent = _apparent(readings[0]) if solids else None
        self.by_rule = bool(
            solids and solids.by == "residue" and self.apparent is not None and rule_holds(self.apparent)
        )

        self.keys = [_key(one) for one in self.inputs()]

    def inputs(self, widened: float = 1.0) -> list[Input]:
        """Every input once: readings of the same temperature share their thermometer.

        widened: times which each reading's own doubt is to count, where they disagree; a thermometer or an
        instrument that all of them share moves them together and cannot be why.
        """
        each = [reading.inputs() for reading in self.readings]
        read = {_key(one): one for inputs in each for one in inputs}
        for one in list(read.values()):
            if not all(one in inputs for inputs in each):
                read[_key(one)] = replace(one, standard=one.standard * widened)
        every = [*(self.amount.inputs() if self.amount else ()), TABLES]
        every += [self.solids.input(self.by_rule)] if self.solids else []
        return list((read | {_key(one): one for one in every}).values())

    def strengths(self, values: Sequence[float]) -> tuple[float, ...]:
        """Strength by each reading [%vol at 20 °C], from values of all inputs."""
        known = self._by_key(values)
        solids_g_l = known[_key(self.solids.input(self.by_rule))] if self.solids else 0.0
        found = []
        for reading in self.readings:
            density, temp_c = reading.density_at([known[_key(one)] for one in reading.inputs()])
            density += known[_key(TABLES)] * tables_limit_kg_m3(temp_c)
            found.append(self._strength(density, temp_c, solids_g_l))
        return tuple(found)

    def results(self, values: Sequence[float], weights: Sequence[float]) -> tuple[float, ...]:
        """Every figure of the answer, from values of all inputs."""
        mean = sum(w * q for w, q in zip(weights, self.strengths(values), strict=True))
        pct_vol = min(max(mean, 0.0), 100.0)
        fraction = alcohol.mass_fraction(pct_vol)
        density = float(alcohol.density(fraction, 20.0))
        proof = float(alcohol.proof_60f(pct_vol))
        forms = (pct_vol, 100.0 * fraction, proof, density, float(air.density_vacuum_to_air(density)))
        if not self.amount:
            return forms
        known = self._by_key(values)
        mass_kg = self.amount.true_kg([known[_key(one)] for one in self.amount.inputs()], pct_vol)
        return (*forms, *quantities(mass_kg, pct_vol))

    def hidden(self, each: tuple[Figure, ...]) -> Hidden | None:
        """What the solids hid from the first reading, if any are known."""
        if not self.solids:
            return None
        more = None
        if self.apparent is not None:
            more = float(alcohol.proof_60f(each[0].value) - alcohol.proof_60f(self.apparent))
        mg_100ml, verdict = self.solids.mg_100ml, us_verdict(self.solids.mg_100ml)
        record = None
        if self.apparent is not None and self.solids.by == "residue" and verdict != "distil":
            record = float(alcohol.proof_60f(each[0].value if verdict == "add" else self.apparent))
        return Hidden(mg_100ml, self.apparent, more, record, verdict, self.by_rule)

    def _by_key(self, values: Sequence[float]) -> dict[Key, float]:
        return dict(zip(self.keys, values, strict=True))

    def _strength(self, density_kg_m3: float, temp_c: float, solids_g_l: float) -> float:
        if self.by_rule:
            return true_strength_by_rule(strength_of_density(density_kg_m3, temp_c), solids_g_l)
        if self.solids:
            return true_strength_with_solids(density_kg_m3, temp_c, solids_g_l)
        return strength_of_density(density_kg_m3, temp_c)


def tables_limit_kg_m3(temp_c: float) -> float:
    """How far the formula for the density of ethanol and water may be off [± kg/m³].

    0.03 at 20 °C, growing evenly to 0.1 at 10 K from it and beyond: what printed tables lie from it, as the
    verification page has them. temp_c: [°C], any.
    """
    return _TABLES_AT_20 + (_TABLES_AWAY - _TABLES_AT_20) * min(abs(temp_c - 20.0) / _AWAY_K, 1.0)


def _key(one: Input) -> Key:
    """What makes two inputs one: name, value and doubt, such as one thermometer in one sample."""
    return one.name, one.value, one.standard


def _told(shares: tuple[Share, ...], readings: Sequence[Reading]) -> tuple[Share, ...]:
    """Shares of the doubt as they are told: of one reading alone, its instrument's error is part of it."""
    if len(readings) > 1:
        return shares
    summed: dict[str, float] = {}
    for one in shares:
        name = readings[0].name if one.name.startswith(OWN_ERROR) else one.name
        summed[name] = summed.get(name, 0.0) + one.share
    return tuple(sorted((Share(*pair) for pair in summed.items()), key=lambda share: -share.share))


def _apparent(reading: Reading) -> float | None:
    """Strength that the first reading seems to say, or none where it is heavier than water."""
    try:
        return strength_of_density(*reading.density_at([one.value for one in reading.inputs()]))
    except InputError:
        return None


def _combined(task: _Task, inputs: Sequence[Input]) -> tuple[tuple[Figure, ...], tuple[float, ...], float]:
    """Strength by each reading, the weights of their best mean, and chi squared of what is left.

    With the strengths q and their covariance C: weights C⁻¹1 / (1ᵀC⁻¹1), chi² = rᵀC⁻¹r, r = q - mean.
    """
    strengths = np.array(task.strengths([one.value for one in inputs]))
    table = np.array(effects(task.strengths, inputs))
    covariance = table.T @ table
    each = tuple(
        figure(float(q), math.sqrt(c), 0.0, 100.0)
        for q, c in zip(strengths, np.diag(covariance), strict=True)
    )
    if strengths.size == 1:
        return each, (1.0,), 0.0
    # A ten-thousandth of independent doubt, so that the same reading given twice does not divide by zero.
    covariance = covariance + np.diag(1e-4 * np.diag(covariance) + 1e-12)
    pull = np.linalg.solve(covariance, np.ones(strengths.size))
    weights = pull / pull.sum()
    left = strengths - weights @ strengths
    return each, tuple(float(w) for w in weights), float(left @ np.linalg.solve(covariance, left))


def chi_squared_chance(chi_squared: float, freedom: int) -> float:
    """Chance of a chi squared as large as this or larger [-], with so many degrees of freedom.

    Q(1) = erfc(sqrt(x/2)), Q(2) = exp(-x/2), Q(k+2) = Q(k) + (x/2)^(k/2) exp(-x/2) / gamma(k/2 + 1).
    """
    if freedom <= 0:
        return 1.0
    half = chi_squared / 2.0
    odd = freedom % 2
    chance = math.erfc(math.sqrt(half)) if odd else math.exp(-half)
    for k in range(1 if odd else 2, freedom, 2):
        chance += half ** (k / 2) * math.exp(-half) / math.gamma(k / 2 + 1)
    return chance


def agreement(freedom: int, chance: float) -> Agreement:
    """What a chance says of readings with so many degrees of freedom left between them."""
    if freedom == 0:
        return "unchecked"
    if chance < NEVER:
        return "disagree"
    return "hardly agree" if chance < HARDLY else "agree"
