"""Enzymes by the catalogue's likely figures, and a plain mash of one kilogram of starch, for the tests."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np

from caskward.catalogue import Enzyme as Kind
from caskward.catalogue import load
from caskward.stages.enzyme_labels import Nature, Span, label_enzyme, malt_enzymes
from caskward.stages.enzymes import HABITS, Dose, Enzyme
from caskward.stages.mash_starch import Starch
from caskward.stages.stream import Stream


@lru_cache(maxsize=1)
def kinds() -> dict[str, Kind]:
    return dict(load().enzymes)


def nature(key: str, half_life_min: float | None = None) -> Nature:
    kind = kinds()[key]
    assert kind.half_life_min is not None
    assert kind.loss_kj_mol is not None
    assert kind.activation_kj_mol is not None
    return Nature(
        "thin" if kind.does == "thin" else "sweeten",
        kind.window_c.likely,
        (half_life_min or kind.half_life_min.likely) / 60.0,
        kind.half_life_at_c,
        kind.loss_kj_mol.likely,
        kind.activation_kj_mol.likely,
        HABITS[key],
    )


def windows(key: str) -> tuple[Span, Span]:
    kind = kinds()[key]
    return (kind.window_c.low, kind.window_c.high), (kind.window_ph.low, kind.window_ph.high)


def product(key: str) -> Enzyme:
    """A product whose label says what the catalogue's kind says."""
    return label_enzyme(nature(key), *windows(key), kinds()[key].hold_min.likely / 60.0)


def malt(
    lintner: float = 100.0, share: float = 1.0, beta_half_life_min: float | None = None
) -> tuple[Dose, ...]:
    natures = (nature("malt-alpha"), nature("malt-beta", beta_half_life_min))
    return malt_enzymes(lintner, share, 1.0, natures, (windows("malt-alpha"), windows("malt-beta")))


def doubled(dose: Dose, times: float = 2.0) -> Dose:
    return replace(dose, strength=dose.strength * times)


def mash_of(starch: Starch, water_kg: float = 5.0, dextrin_kg: float = 0.0) -> Stream:
    """The mash that holds this starch."""
    return Stream.of(
        temp_c=64.0,
        water_kg=water_kg,
        starch_kg=starch.total_kg,
        dextrin_kg=dextrin_kg,
        insolubles_kg=0.3,
        solubles_kg=0.05,
    )


def raw_malt(complete_c: float = 63.0) -> Starch:
    return Starch(np.array([1.0]), 0.0, np.array([complete_c - 7.0]), np.array([complete_c]))


def cooked(kg: float = 1.0) -> Starch:
    return Starch(np.array([0.0]), kg, np.array([62.0]), np.array([72.0]))


def hours(last: float, step_min: float = 2.0) -> np.ndarray:
    return np.linspace(0.0, last, round(last * 60.0 / step_min) + 1)
