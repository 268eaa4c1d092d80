"""The general formula of OIML R 22 (1975) and its inverse, as kernels without range checks.

`alcohol` is the public face; nothing else should import this module.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, lru_cache
from typing import Final

import numpy as np

from caskward.pace import breathe
from caskward.properties._arrays import BLOCK, Array, Result, Values, all_scalars, as_arrays, polynomial

# density = sum A_k p^(k-1) + sum B_k d^k + sum C_ik p^k d^i, p the mass fraction, d = t - 20 °C.
# Written power by power of p: row k holds what multiplies p^k, in rising powers of d; its first number
# is A_(k+1), the others are B (row 0) or C_1k, C_2k, ... (the other rows).
_ROWS: Final[tuple[tuple[float, ...], ...]] = (
    (9.982012300e2, -2.0618513e-1, -5.2682542e-3, 3.6130013e-5, -3.8957702e-7, 7.1693540e-9, -9.9739231e-11),
    (-1.929769495e2, 1.693443461530087e-1, -1.193013005057010e-2, -6.802995733503803e-4,
     4.075376675622027e-6, -2.788074354782409e-8),
    (3.891238958e2, -1.046914743455169e1, 2.517399633803461e-1, 1.876837790289664e-2,
     -8.763058573471110e-6, 1.345612883493354e-8),
    (-1.668103923e3, 7.196353469546523e1, -2.170575700536993, -2.002561813734156e-1, 6.515031360099368e-6),
    (1.352215441e4, -7.047478054272792e2, 1.353034988843029e1, 1.022992966719220, -1.515784836987210e-6),
    (-8.829278388e4, 3.924090430035045e3, -5.029988758547014e1, -2.895696483903638),
    (3.062874042e5, -1.210164659068747e4, 1.096355666577570e2, 4.810060584300675),
    (-6.138381234e5, 2.248646550400788e4, -1.422753946421155e2, -4.672147440794683),
    (7.470172998e5, -2.605562982188164e4, 1.080435942856230e2, 2.458043105903461),
    (-5.478461354e5, 1.852373922069467e4, -4.414153236817392e1, -5.411227621436812e-1),
    (2.234460334e5, -7.420201433430137e3, 7.442971530188783),
    (-3.903285426e4, 1.285617841998974e3),
)  # fmt: skip
_ETHANOL_ROW: Final = tuple(sum(row[i] for row in _ROWS if len(row) > i) for i in range(7))

_CELLS: Final = 512
_STRENGTH_CELLS: Final = 256
_TEMP_MIN_C: Final = -20.0
_TEMP_STEP_K: Final = 1.0
_TEMP_CELLS: Final = 60
_SMALL_STEP: Final = 1e-8
_MAX_STEPS: Final = 6
_PRECISION: Final = 1e-13


def rows_at(celsius: Values) -> list[Result]:
    """What multiplies each power of the mass fraction at these temperatures, highest power first."""
    d_k = celsius - 20.0
    return [polynomial(row, d_k) for row in reversed(_ROWS)]


def value(rows: list[Result], mass_fraction: Values) -> Result:
    """The polynomial by Horner's rule."""
    total = rows[0]
    for row in rows[1:]:
        total = total * mass_fraction + row
    return total


def value_and_slope(rows: list[Result], mass_fraction: Values) -> tuple[Result, Result]:
    """The polynomial and its derivative by one pass of Horner's rule."""
    total, slope = rows[0] * mass_fraction + rows[1], rows[0]
    for row in rows[2:]:
        slope = slope * mass_fraction + total
        total = total * mass_fraction + row
    return total, slope


def density(mass_fraction: Values, celsius: Values) -> Result:
    """Density [kg/m³] of a mixture of this mass fraction [-] at this temperature [°C]."""
    if isinstance(celsius, float):
        rows = _rows_of(celsius)
        return _in_blocks(lambda share, _: value(rows, share), mass_fraction, celsius)
    return _in_blocks(_density_block, mass_fraction, celsius)


@lru_cache(maxsize=64)
def _rows_of(celsius: float) -> list[Result]:
    """Rows of one temperature, kept: most calls are at 20 °C."""
    return rows_at(celsius)


def mass_fraction_from_density(density_kg_m3: Values, celsius: Values) -> Result:
    """Mass fraction [-] by a tabled first guess and Newton steps.

    A density outside what mixtures have gives a fraction below 0 or above 1: the caller judges it.
    """
    return _in_blocks(_inverse_block, density_kg_m3, celsius)


def end_densities(celsius: Values) -> tuple[Result, Result]:
    """Densities of pure ethanol and of pure water [kg/m³]: all a mixture can have lies between."""
    d_k = celsius - 20.0
    return polynomial(_ETHANOL_ROW, d_k), polynomial(_ROWS[0], d_k)


def _density_block(mass_fraction: Values, celsius: Values) -> Result:
    return value(rows_at(celsius), mass_fraction)


def _inverse_block(density_kg_m3: Values, celsius: Values) -> Result:
    rows = rows_at(celsius)
    water, ethanol = rows[-1], polynomial(_ETHANOL_ROW, celsius - 20.0)
    way = (water - density_kg_m3) / (water - ethanol)
    if isinstance(way, float):
        return _newton_scalar(rows, float(density_kg_m3), _guess_scalar(way, float(celsius)))
    return _newton_array(rows, np.asarray(density_kg_m3), _guess_array(way, celsius))


def _newton_scalar(rows: list[float], density_kg_m3: float, guess: float) -> float:
    for _ in range(_MAX_STEPS):
        now, slope = value_and_slope(rows, guess)
        step = (now - density_kg_m3) / slope
        guess -= step
        if abs(step) < _SMALL_STEP:
            break
    return guess


def _newton_array(rows: list[Array], density_kg_m3: Array, guess: Array) -> Array:
    # The guess is so near that a second step may keep the first one's slope: half the work. Where the steps
    # do not shrink fast enough (ice-cold weak mixtures, whose density hardly changes) a few go on alone.
    now, slope = value_and_slope(rows, guess)
    first = (now - density_kg_m3) / slope
    guess -= first
    second = (value(rows, guess) - density_kg_m3) / slope
    guess -= second
    slow = np.nonzero(second * second > _PRECISION * np.abs(first))[0]
    if slow.size:
        few = [row[slow] if row.size > 1 else row for row in rows]
        wanted, found = density_kg_m3[slow], guess[slow]
        for _ in range(_MAX_STEPS):
            now, slope = value_and_slope(few, found)
            step = (now - wanted) / slope
            found -= step
            if np.abs(step).max() < _SMALL_STEP:
                break
        guess[slow] = found
    return guess


@cache
def _guess_table() -> Array:
    """Mass fraction on a grid of temperature and of the way from water's to ethanol's density (0 to 1)."""
    temps_c = np.linspace(_TEMP_MIN_C, _TEMP_MIN_C + _TEMP_STEP_K * _TEMP_CELLS, _TEMP_CELLS + 1)
    fractions = np.linspace(0.0, 1.0, 4 * _CELLS + 1)
    densities = _density_block(fractions[np.newaxis, :], temps_c[:, np.newaxis])
    ways = (densities[:, :1] - densities) / (densities[:, :1] - densities[:, -1:])
    nodes = np.linspace(0.0, 1.0, _CELLS + 1)
    return np.array([np.interp(nodes, way, fractions) for way in ways])


@cache
def _guess_lists() -> list[list[float]]:
    return [[float(cell) for cell in row] for row in _guess_table()]


def _guess_scalar(way: float, temp_c: float) -> float:
    along, down = min(max(way, 0.0), 1.0) * _CELLS, (temp_c - _TEMP_MIN_C) / _TEMP_STEP_K
    i, j = min(int(along), _CELLS - 1), min(max(int(down), 0), _TEMP_CELLS - 1)
    part, share = along - i, down - j
    upper, lower = _guess_lists()[j], _guess_lists()[j + 1]
    first = upper[i] + part * (upper[i + 1] - upper[i])
    second = lower[i] + part * (lower[i + 1] - lower[i])
    return first + share * (second - first)


def _guess_array(way: Array, temp_c: Values) -> Array:
    along = np.clip(way, 0.0, 1.0) * _CELLS
    i = np.minimum(along.astype(np.intp), _CELLS - 1)
    along -= i
    down = (np.asarray(temp_c) - _TEMP_MIN_C) / _TEMP_STEP_K
    j = np.minimum(down.astype(np.intp), _TEMP_CELLS - 1)
    table, cell = _guess_table().ravel(), j * (_CELLS + 1) + i
    first, second = table[cell], table[cell + (_CELLS + 1)]
    first = first + along * (table[cell + 1] - first)
    second = second + along * (table[cell + (_CELLS + 2)] - second)
    guess: Array = first + (down - j) * (second - first)
    return guess


def _in_blocks(kernel: Callable[[Values, Values], Result], first: Values, celsius: Values) -> Result:
    """kernel(first, celsius), a cache-sized block at a time where they are arrays."""
    if all_scalars(first, celsius):
        return kernel(float(first), float(celsius))
    one, temp = as_arrays(first, celsius)
    if temp.size > 1 or temp.ndim > one.ndim:
        one, temp = np.broadcast_arrays(one, temp)
    flat, flat_temp, out = one.ravel(), temp.ravel(), np.empty(one.size)
    for start in range(0, flat.size, BLOCK):
        breathe()
        part = slice(start, start + BLOCK)
        out[part] = kernel(flat[part], flat_temp if flat_temp.size == 1 else flat_temp[part])
    return out.reshape(one.shape)


def strength(mass_fraction: Values, rows: list[Result]) -> Result:
    """Strength by volume [%vol] at the temperature of these rows."""
    return mass_fraction * value(rows, mass_fraction) * (100.0 / sum(rows))


def mass_fraction_from_strength(pct_vol: Values, rows: list[float]) -> Result:
    """Mass fraction with this strength by volume at the temperature of these rows; kept within 0 to 1."""
    if all_scalars(pct_vol):
        share = float(pct_vol) * (_STRENGTH_CELLS / 100.0)
        cell = min(int(share), _STRENGTH_CELLS - 1)
        nodes = _strength_list()
        guess: Values = nodes[cell] + (share - cell) * (nodes[cell + 1] - nodes[cell])
    else:
        shares = as_arrays(pct_vol)[0] * (_STRENGTH_CELLS / 100.0)
        cells = np.minimum(shares.astype(np.intp), _STRENGTH_CELLS - 1)
        table = _strength_table()
        guess = table[cells] + (shares - cells) * (table[cells + 1] - table[cells])
    wanted = pct_vol * (sum(rows) / 100.0)
    for _ in range(2):
        now, slope = value_and_slope(rows, guess)
        guess = guess - (guess * now - wanted) / (now + guess * slope)
    return min(max(guess, 0.0), 1.0) if isinstance(guess, float) else np.clip(guess, 0.0, 1.0)


@cache
def _strength_table() -> Array:
    """Mass fraction on a grid of strength at 20 °C: a first guess for every temperature."""
    fractions = np.linspace(0.0, 1.0, 4 * _STRENGTH_CELLS + 1)
    nodes = np.linspace(0.0, 100.0, _STRENGTH_CELLS + 1)
    table: Array = np.interp(nodes, strength(fractions, DENSITY_ROWS_20C), fractions)
    return table


@cache
def _strength_list() -> list[float]:
    return [float(node) for node in _strength_table()]


DENSITY_ROWS_20C: Final[list[float]] = rows_at(20.0)
"""The powers of the mass fraction at 20 °C, highest first: the twelve A."""
