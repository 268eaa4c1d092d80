"""A figure with its doubt, and how the doubt of the readings is carried through a calculation.

The law of propagation, done numerically: every input is moved by its standard uncertainty up and down through
the forward model, and the squares of the half differences add up (ISO/IEC Guide 98-3, GUM, *from memory*).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from caskward.errors import InputError

COVERAGE_95 = 1.959964
"""Half width of a normal distribution's middle 95 %, in standard uncertainties."""
SQRT_3 = math.sqrt(3.0)
_PARTS = (1.0, 0.1, 0.01)
"""Parts of a standard uncertainty to step by; the smaller ones only where a model ends so near."""

Model = Callable[[Sequence[float]], tuple[float, ...]]
"""Input values to result values, in a fixed order."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A value, its standard uncertainty, and the interval that holds the truth 95 times in 100."""

    value: float
    standard: float
    low: float
    high: float

    @property
    def half_width(self) -> float:
        """Half the 95 % interval's width as it would be without a bound: value ± this."""
        return COVERAGE_95 * self.standard


@dataclass(frozen=True, slots=True)
class Input:
    """One thing that was read or assumed: its name, value and standard uncertainty."""

    name: str
    value: float
    standard: float


@dataclass(frozen=True, slots=True)
class Share:
    """How much of a figure's doubt one input brings: a fraction of the variance, 0 to 1."""

    name: str
    share: float


@dataclass(frozen=True, slots=True)
class Propagated:
    """Figures out of a model, each with the shares of its doubt, largest first."""

    figures: tuple[Figure, ...]
    shares: tuple[tuple[Share, ...], ...]


def figure(value: float, standard: float, least: float = -math.inf, most: float = math.inf) -> Figure:
    """A figure whose 95 % interval is cut off at what the quantity can be at all."""
    reach = COVERAGE_95 * standard
    return Figure(value, standard, max(least, value - reach), min(most, value + reach))


def standard_of_limits(*limits: float) -> float:
    """Standard uncertainty of several limits of error together, each equally likely within ± itself.

    u = sqrt(sum of squares / 3).
    """
    return math.sqrt(sum(limit * limit for limit in limits)) / SQRT_3


def effects(model: Model, inputs: Sequence[Input]) -> list[tuple[float, ...]]:
    """What one standard uncertainty of each input does to each result: one row for each input.

    (model(x + u) - model(x - u)) / 2; where one of the two lies outside what the model can do, the other's
    full difference stands in for it.
    Raises what the model raises at the inputs themselves.
    """
    values = [each.value for each in inputs]
    middle = model(values)
    return [_effect(model, values, index, each.standard, middle) for index, each in enumerate(inputs)]


def propagate(
    model: Model, inputs: Sequence[Input], bounds: Sequence[tuple[float, float]] | None = None
) -> Propagated:
    """Results of a model with the doubt of its inputs: u² = sum over the inputs of their `effects` squared.

    bounds: least and greatest value of each result, where its interval is cut off.
    Raises what the model raises at the inputs themselves.
    """
    middle = model([each.value for each in inputs])
    table = effects(model, inputs)
    figures, shares = [], []
    for column, value in enumerate(middle):
        squares = [row[column] ** 2 for row in table]
        total = sum(squares)
        least, most = bounds[column] if bounds else (-math.inf, math.inf)
        figures.append(figure(value, math.sqrt(total), least, most))
        parts = [
            Share(one.name, square / total) for one, square in zip(inputs, squares, strict=True) if square
        ]
        shares.append(tuple(sorted(parts, key=lambda part: -part.share)))
    return Propagated(tuple(figures), tuple(shares))


def _effect(
    model: Model, values: Sequence[float], index: int, standard: float, middle: tuple[float, ...]
) -> tuple[float, ...]:
    """What one standard uncertainty of one input does to each result."""
    if standard == 0.0:
        return (0.0,) * len(middle)
    refusal: InputError | None = None
    for part in _PARTS:
        up, refusal = _moved(model, values, index, part * standard)
        down, refusal = _moved(model, values, index, -part * standard)
        if up and down:
            return tuple((a - b) / (2.0 * part) for a, b in zip(up, down, strict=True))
        one = up or down
        if one:
            return tuple((a - b) / part for a, b in zip(one, middle, strict=True))
    raise refusal or AssertionError("a model that refuses says why")


def _moved(
    model: Model, values: Sequence[float], index: int, step: float
) -> tuple[tuple[float, ...] | None, InputError | None]:
    """The model with one input moved, or why it refuses."""
    try:
        return model([*values[:index], values[index] + step, *values[index + 1 :]]), None
    except InputError as refusal:
        return None, refusal
