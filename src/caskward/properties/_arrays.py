"""Floats or arrays in, same shape out: the few helpers every kernel shares."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final, TypeAlias

import numpy as np
import numpy.typing as npt

from caskward.errors import OutOfRange

Array: TypeAlias = npt.NDArray[np.float64]
Values: TypeAlias = float | Array
"""What a kernel takes: a float or an array of floats; several arguments broadcast."""

Result: TypeAlias = Any
"""What a kernel gives: a float if every argument was a float, else an array of the broadcast shape.
Saying this to a type checker takes three overloads per function; the docstrings say it once."""

BLOCK: Final = 16_384
"""Elements per block of a long polynomial: the working set stays in the processor's cache."""


def all_scalars(*values: Values) -> bool:
    """True if every value is a plain number (Python or NumPy scalar), so the result is a float."""
    return all(isinstance(value, (float, int)) for value in values)


def as_arrays(*values: Values) -> tuple[Array, ...]:
    """The values as float64 arrays (not broadcast)."""
    return tuple(np.asarray(value, dtype=np.float64) for value in values)


def check_range(name: str, value: Values, unit: str, low: float, high: float, hint: str = "") -> None:
    """Raise `OutOfRange`, naming the worst value, unless low <= value <= high everywhere (NaN fails)."""
    if isinstance(value, (float, int)):
        if not low <= value <= high:
            raise OutOfRange(name, float(value), unit, low, high, hint)
        return
    array = np.asarray(value, dtype=np.float64)
    if array.size == 0:
        return
    least, most = float(array.min()), float(array.max())
    if not least >= low:
        raise OutOfRange(name, least, unit, low, high, hint)
    if not most <= high:
        raise OutOfRange(name, most, unit, low, high, hint)


def polynomial(coefficients: Sequence[Values], x: Values) -> Result:
    """Sum of coefficients[k] * x**k by Horner's rule."""
    total: Values = coefficients[-1]
    for coefficient in coefficients[-2::-1]:
        total = total * x + coefficient
    return total
