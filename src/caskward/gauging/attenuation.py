"""What is really in a fermenting wash: alcohol and extract, from any two of three readings, or all three.

The readings are the original gravity, the gravity now and the refractometer now. Each is a known function of
the wash's alcohol and real extract (density by partial volumes; refractive index by partial refractions;
original extract by Balling's balance), so the two unknowns are solved for, and with three readings fitted by
least squares, each with its own doubt and the doubt of its model.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from caskward.errors import InputError, MissingValue, TooSweetToTell
from caskward.gauging.balling import balling_original
from caskward.gauging.figure import Figure, Share, figure, propagate
from caskward.gauging.gravity import GravityReading, RefractometerReading, SugarReading
from caskward.gauging.refraction import wash_refractive_index
from caskward.gauging.strength import Agreement, agreement, chi_squared_chance
from caskward.properties import alcohol, sugar, wash

DENSITY_MODEL_KG_M3 = 0.2
"""Standard uncertainty of a wash's density with both alcohol and sugar in it [kg/m³]: against Tabarié 0.3."""
INDEX_MODEL = 0.00015
"""The same of its refractive index [-], 0.1 °Brix: against Siebert's relation 0.0002 to 0.0004."""
BALLING_MODEL = 0.007
"""The same of Balling's balance, as a share of the alcohol: tabulated factors scatter by 1.3 % about ours."""
_PASSES = 30
_STEP = 1e-6
_START = (0.05, 0.03)
_USUAL_ALCOHOL = 0.05

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Washed:
    """What is in a wash. Attenuations are shares of the original extract, 0 to 1."""

    pct_vol: Figure
    pct_mass: Figure
    real_extract_plato: Figure
    apparent_extract_plato: Figure
    sg: Figure
    original_plato: Figure
    original_sg: Figure
    apparent_attenuation: Figure
    real_attenuation: Figure
    method: tuple[str, ...]
    shares: tuple[Share, ...]
    agreement: Agreement
    chance: float


@dataclass(frozen=True, slots=True)
class _Observation:
    """One reading as the wash's model sees it: value, doubt, and the function of alcohol and extract."""

    name: str
    measured: float
    standard: float
    predicted: Callable[[float, float], float]


def wash_now(
    original: SugarReading | None = None,
    gravity: GravityReading | None = None,
    refractometer: RefractometerReading | None = None,
) -> Washed:
    """Alcohol and extract of a wash from two or three readings.

    Valid to 20 %mass of alcohol (25 %vol) and 40 °P of extract.
    Raises:
        MissingValue: fewer than two readings.
        TooSweetToTell: readings that no wash has.
    """
    seen = [
        _of_gravity(gravity) if gravity else None,
        _of_refractometer(refractometer) if refractometer else None,
        _of_original(original) if original else None,
    ]
    observations = [one for one in seen if one]
    if len(observations) < 2:
        needs = "two of these: the original gravity, the gravity now, a refractometer reading now"
        raise MissingValue("What is in a wash", needs, "1.062 before, 1.010 now")
    solution, covariance, rows, chi_squared = _solved(observations)
    _judge(solution, observations)
    freedom = len(observations) - 2
    chance = chi_squared_chance(chi_squared, freedom)
    if agreement(freedom, chance) == "disagree":
        covariance = covariance * (chi_squared / freedom)
    return _washed(solution, covariance, rows, observations, chance)


def _of_gravity(reading: GravityReading) -> _Observation:
    def beside_a_usual_wash(values: Sequence[float]) -> tuple[float, ...]:
        """How much denser than a wash of 5 %mass at that temperature: so warmth counts in the doubt."""
        density, temp_c = reading.density_at(values)
        return (density - float(alcohol.density(_USUAL_ALCOHOL, temp_c)),)

    temp_c = reading.temp_c
    above = propagate(beside_a_usual_wash, reading.inputs()).figures[0]
    density = above.value + float(alcohol.density(_USUAL_ALCOHOL, temp_c))
    standard = math.hypot(above.standard, DENSITY_MODEL_KG_M3)
    return _Observation(
        "gravity now",
        density,
        standard,
        lambda a, x: float(wash.density(1.0 - a - x, a, x, temp_c)),
    )


def _of_refractometer(reading: RefractometerReading) -> _Observation:
    index = propagate(lambda values: (reading.index_at_20(values),), reading.inputs()).figures[0]
    standard = math.hypot(index.standard, INDEX_MODEL)
    return _Observation(
        "refractometer now", index.value, standard, lambda a, x: wash_refractive_index(1.0 - a - x, a, x)
    )


def _of_original(reading: SugarReading) -> _Observation:
    plato = propagate(lambda values: (reading.plato(values),), reading.inputs()).figures[0]
    standard = math.hypot(plato.standard, BALLING_MODEL * 0.8 * plato.value)
    return _Observation(
        "original gravity", plato.value, standard, lambda a, x: balling_original(100.0 * a, 100.0 * x)
    )


def _solved(observations: list[_Observation]) -> tuple[Array, Array, Array, float]:
    """Alcohol and extract [kg/kg], their covariance, the effect of each reading, and chi squared.

    Gauss-Newton on the readings over their doubts.
    """
    state = np.array(_START)
    try:
        for _ in range(_PASSES):
            left, slopes = _residuals(state, observations), _slopes(state, observations)
            step = np.linalg.lstsq(slopes, left, rcond=None)[0]
            state = state + step * min(1.0, 0.1 / max(float(np.abs(step).max()), 1e-300))
            if np.abs(step).max() < 1e-12:
                break
        left, slopes = _residuals(state, observations), _slopes(state, observations)
    except (InputError, np.linalg.LinAlgError):
        raise _no_such_wash(observations, "no mixture of water, alcohol and sugar shows both") from None
    effects = np.linalg.pinv(slopes)
    return state, np.asarray(effects @ effects.T), np.asarray(effects), float(left @ left)


def _residuals(state: Array, observations: list[_Observation]) -> Array:
    a, x = (float(part) for part in state)
    return np.array([(o.measured - _seen(o, a, x)) / o.standard for o in observations])


def _slopes(state: Array, observations: list[_Observation]) -> Array:
    a, x = (float(part) for part in state)
    rows = []
    for one in observations:
        by_alcohol = (_seen(one, a + _STEP, x) - _seen(one, a, x)) / _STEP
        by_extract = (_seen(one, a, x + _STEP) - _seen(one, a, x)) / _STEP
        rows.append((by_alcohol / one.standard, by_extract / one.standard))
    return np.array(rows)


def _seen(one: _Observation, alcohol_share: float, extract_share: float) -> float:
    """The reading a wash would give; beyond no alcohol or no extract it goes on in a straight line."""
    a, x = max(alcohol_share, 0.0), max(extract_share, 0.0)
    value = one.predicted(a, x)
    if alcohol_share < 0.0:
        value += alcohol_share * (one.predicted(a + _STEP, x) - value) / _STEP
    if extract_share < 0.0:
        value += extract_share * (one.predicted(a, x + _STEP) - one.predicted(a, x)) / _STEP
    return value


def _judge(state: Array, observations: list[_Observation]) -> None:
    """Refuse a solution that no wash has; a little below nothing is the readings' doubt."""
    alcohol_share, extract_share = (float(part) for part in state)
    if alcohol_share < -0.01 or extract_share < -0.01:
        what = "less than no alcohol" if alcohol_share < extract_share else "less than no extract"
        raise _no_such_wash(observations, f"together they would mean {what}")
    if alcohol_share > 0.20 or extract_share > 0.40:
        what = f"{100 * alcohol_share:.0f} %mass of alcohol and {100 * extract_share:.0f} °P"
        raise _no_such_wash(observations, f"together they would mean {what}")


def _no_such_wash(observations: list[_Observation], why: str) -> TooSweetToTell:
    first, second = observations[0], observations[-1]
    return TooSweetToTell(f"The {first.name}", f"the {second.name}", why)


def _washed(
    state: Array, covariance: Array, effects: Array, observations: list[_Observation], chance: float
) -> Washed:
    """The solution in all the ways it is spoken of, each with its doubt."""
    a, x = (max(float(part), 0.0) for part in state)
    values = _forms(a, x)
    by_alcohol = _difference(values, _forms(a + _STEP, x))
    by_extract = _difference(values, _forms(a, x + _STEP))
    slopes = np.array([by_alcohol, by_extract]).T
    standards = np.sqrt(np.einsum("ij,jk,ik->i", slopes, covariance, slopes))
    least = [0.0 if name in _NO_LESS_THAN_NONE else -math.inf for name in _FORM_NAMES]
    triples = zip(values, map(float, standards), least, strict=True)
    figures = dict(zip(_FORM_NAMES, (figure(*triple) for triple in triples), strict=True))
    parts = (slopes[0] @ effects) ** 2
    shares = sorted(
        (Share(o.name, float(part / parts.sum())) for o, part in zip(observations, parts, strict=True)),
        key=lambda share: -share.share,
    )
    freedom = len(observations) - 2
    return Washed(
        **figures,
        method=tuple(one.name for one in observations),
        shares=tuple(shares),
        agreement=agreement(freedom, chance),
        chance=chance,
    )


_NO_LESS_THAN_NONE = {"pct_vol", "pct_mass", "real_extract_plato", "original_plato"}
_FORM_NAMES = (
    "pct_vol",
    "pct_mass",
    "real_extract_plato",
    "apparent_extract_plato",
    "sg",
    "original_plato",
    "original_sg",
    "apparent_attenuation",
    "real_attenuation",
)


def _difference(before: tuple[float, ...], after: tuple[float, ...]) -> list[float]:
    return [(b - a) / _STEP for a, b in zip(before, after, strict=True)]


def _forms(alcohol_share: float, extract_share: float) -> tuple[float, ...]:
    a, x = alcohol_share, extract_share
    parts = (1.0 - a - x, a, x)
    apparent = float(wash.brix(*parts))
    original = balling_original(100.0 * a, 100.0 * x)
    safe = max(original, 1e-9)
    return (
        float(wash.strength_pct_vol(*parts)),
        100.0 * a,
        100.0 * x,
        apparent,
        float(wash.specific_gravity(*parts)),
        original,
        float(sugar.sg_from_brix(original)),
        (original - apparent) / safe,
        (original - 100.0 * x) / safe,
    )
