"""Strengths as a maker writes them and as they are said back."""

from __future__ import annotations

from typing import Any

from caskward.properties import alcohol
from caskward.units import parse, show
from caskward.units.types import UnitSystem

_WEAKEST_PROOF_PCT_VOL = 10.0
"""Under this a US maker, too, reads a wash in %vol."""


def read_strength(given: Any, *, what: str) -> float:
    """A strength in %vol at 20 °C, from whatever basis the maker wrote."""
    strength = parse.strength(given, what=what)
    if strength.basis == "us_proof_60f":
        return float(alcohol.pct_vol_20_from_proof(strength.value))
    if strength.basis == "pct_mass":
        return float(alcohol.pct_vol(strength.value / 100.0))
    return strength.value


def said(pct_vol: float, system: UnitSystem) -> str:
    """A strength in words: %vol at 20 °C, or proof at 60 °F for a US maker from 20 proof up."""
    if system == "us" and pct_vol >= _WEAKEST_PROOF_PCT_VOL:
        return show.proof(float(alcohol.proof_60f(pct_vol)))
    return show.strength(pct_vol)
