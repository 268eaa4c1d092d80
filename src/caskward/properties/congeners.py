"""How volatile the traces are against ethanol, in boiling ethanol-water.

The curves are *predictions* (a group-contribution model corrected at the water limit; methanol from a
ternary NRTL): no published table of trace constants stands behind them, so each carries an honest
factor. Draw bands, never lines. Not modelled: esters and furfural made in the pot, copper and sulphur
chemistry, entrainment, ethyl carbamate.
"""

from __future__ import annotations

import csv
import difflib
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Final

import numpy as np

from caskward.errors import UnknownName
from caskward.properties._arrays import Result, Values, all_scalars, check_range, polynomial

__all__ = [
    "CONGENERS",
    "X_MAX",
    "Volatility",
    "relative_volatility",
    "relative_volatility_band",
    "volatility",
]

X_MAX: Final = 0.9
"""Mole fraction of ethanol up to which the curves hold."""
_WATER_CM3_MOL: Final = 18.07
_ETHANOL_CM3_MOL: Final = 58.68
_WATER_RICH_X: Final = 0.1
_ETHANOL_RICH_X: Final = 0.6


@dataclass(frozen=True, slots=True)
class Volatility:
    """One trace's curve: coefficients of the powers of phi and how far the truth may lie."""

    name: str
    cas: str
    coefficients: tuple[float, ...]
    band_water_rich: float
    band_ethanol_rich: float


@cache
def _curves() -> dict[str, Volatility]:
    path = resources.files("caskward.properties").joinpath("data", "congener_fits.csv")
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return {row["congener"]: _curve(row) for row in csv.DictReader(lines)}


def _curve(row: dict[str, str]) -> Volatility:
    return Volatility(
        name=row["congener"],
        cas=row["cas"],
        coefficients=tuple(float(row[f"c{k}"]) for k in range(5)),
        band_water_rich=float(row["band_factor_water_rich"]),
        band_ethanol_rich=float(row["band_factor_ethanol_rich"]),
    )


CONGENERS: Final = tuple(_curves())
"""The traces with a curve: methanol, acetaldehyde, ethyl acetate, the fusel oils, the late acids, ..."""


def volatility(congener: str) -> Volatility:
    """The curve of one of `CONGENERS`; an unknown name raises `UnknownName`. Source: congener-fits."""
    return _find(congener)


def relative_volatility(congener: str, x_ethanol: Values) -> Result:
    """Volatility of a trace against ethanol's, K_i/K_ethanol [-], in a boiling ethanol-water liquid.

    ln alpha = sum over k = 0..4 of c_k phi^k, phi = 18.07 (1-x) / (18.07 (1-x) + 58.68 x).

    congener: one of `CONGENERS`. x_ethanol: mole fraction of ethanol in the liquid [-], 0 to 0.9.
    Outside: raises `OutOfRange`; an unknown name raises `UnknownName`.
    Methanol crosses alpha = 1 near 54 %vol, so a heads cut does not take it away.
    Source: congener-fits; error: `relative_volatility_band`.
    """
    curve = _find(congener)
    check_range("mole fraction of ethanol", x_ethanol, "", 0.0, X_MAX, "No trace curve reaches beyond 0.9.")
    return _alpha(curve, x_ethanol)


def _alpha(curve: Volatility, x_ethanol: Values) -> Result:
    x = float(x_ethanol) if all_scalars(x_ethanol) else np.asarray(x_ethanol, dtype=np.float64)
    water = _WATER_CM3_MOL * (1.0 - x)
    alpha = np.exp(polynomial(curve.coefficients, water / (water + _ETHANOL_CM3_MOL * x)))
    return float(alpha) if isinstance(x, float) else alpha


def relative_volatility_band(congener: str, x_ethanol: Values) -> Result:
    """Factor within which the truth lies either side of `relative_volatility` [-], 1 or more.

    The band of the water-rich end below x = 0.1, of the ethanol-rich end above 0.6, geometric between.
    Arguments and refusals as `relative_volatility`. Source: congener-fits (judgement on check values).
    """
    curve = _find(congener)
    check_range("mole fraction of ethanol", x_ethanol, "", 0.0, X_MAX, "No trace curve reaches beyond 0.9.")
    share = (x_ethanol - _WATER_RICH_X) / (_ETHANOL_RICH_X - _WATER_RICH_X)
    share = np.clip(share, 0.0, 1.0)
    band = curve.band_water_rich ** (1.0 - share) * curve.band_ethanol_rich**share
    return float(band) if all_scalars(x_ethanol) else band


def _find(congener: str) -> Volatility:
    curves = _curves()
    if congener in curves:
        return curves[congener]
    nearest = difflib.get_close_matches(congener, curves, n=1)
    raise UnknownName("congener", congener, nearest[0] if nearest else None, CONGENERS)
