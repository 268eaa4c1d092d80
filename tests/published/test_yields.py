"""Yields of alcohol from starch and sugar against published tables, through the stages themselves."""

from __future__ import annotations

import numpy as np
import pytest

from caskward.stages.convert import ConvertUnknowns, convert
from caskward.stages.ferment import FermentUnknowns, ferment
from caskward.stages.grist import Analysis, weighed
from caskward.stages.stream import Stream, mixed

ONE = np.ones(1)
NONE = np.zeros(1)


def lpa_per_tonne(moisture: float, starch_dry: float, efficiency: float) -> float:
    analysis = Analysis(ONE * moisture, ONE * starch_dry, NONE, NONE, NONE, NONE)
    mash = mixed(weighed(1000.0, analysis, 20.0), Stream.of(water_kg=3500.0 * ONE))
    sweet, _ = convert(mash, ONE, ConvertUnknowns(ONE, ONE))
    dry, _ = ferment(sweet, FermentUnknowns(ONE, ONE, ONE * efficiency, ONE * 40.0, NONE))
    return float(dry.lpa[0])


@pytest.mark.parametrize(
    ("grain", "moisture", "starch_dry", "printed_l"),
    [("maize", 0.138, 0.718, 408.0), ("wheat", 0.109, 0.638, 375.0)],
)
def test_tonne_of_grain(grain: str, moisture: float, starch_dry: float, printed_l: float) -> None:
    """Litres of pure alcohol from a tonne as received, at the table's own efficiency of 0.915.

    Source: Saskatchewan Agriculture and Food (1993), moisture, starch and ethanol yield per tonne, as quoted
    in a distillers-grains handbook, ch. 2, read. Tolerance 2 L: starch is printed to 0.1 %.
    """
    assert lpa_per_tonne(moisture, starch_dry, 0.915) == pytest.approx(printed_l, abs=2.0), grain


def test_kilogram_of_starch() -> None:
    """0.720 L of pure alcohol from a kilogram of starch by Gay-Lussac.

    Source: the same table (720 L/t, 718 to 721 by others), read.
    """
    assert lpa_per_tonne(0.0, 1.0, 1.0) / 1000.0 == pytest.approx(0.720, abs=0.001)


@pytest.mark.parametrize(("sugar", "printed_l"), [("hexose_kg", 0.648), ("sucrose_kg", 0.682)])
def test_kilogram_of_sugar(sugar: str, printed_l: float) -> None:
    """0.648 L from a kilogram of hexose, 0.682 L from a kilogram of sucrose.

    Source: Gay-Lussac's equation with 0.789 kg/L, textbook values, from memory; printed to three digits.
    """
    must = Stream.of(water_kg=10.0 * ONE, **{sugar: ONE})
    dry, record = ferment(must, FermentUnknowns(ONE, NONE, ONE, ONE * 40.0, NONE))
    assert float(dry.lpa[0]) == pytest.approx(printed_l, abs=0.0006)
    assert float(record.co2_kg[0]) == pytest.approx(
        0.4886 * (1.0526 if sugar == "sucrose_kg" else 1.0), rel=1e-3
    )


def test_must_of_a_wine_table() -> None:
    """About 16.83 g of sugar per litre of must for each %vol.

    Source: OIV method for sugar in musts by refractometry (Oeno 21/2004), table II, read: 186.2 g/L gives
    11.06 %vol. Grape must reaches 0.925 of Gay-Lussac there (16.83 g against 15.57); tolerance 0.15 %vol,
    since the wine is a little less in volume than its must.
    """
    must = Stream.of(water_kg=0.885 * ONE, hexose_kg=0.1862 * ONE)
    litre = must.scaled(1.0 / must.volume_l)
    grams_l = float(litre.hexose_kg[0]) * 1000.0
    dry, _ = ferment(litre, FermentUnknowns(ONE, NONE, ONE * 15.57 / 16.83, ONE * 40.0, NONE))
    per_must_litre = float(dry.lpa[0]) * 100.0
    assert per_must_litre == pytest.approx(11.06 * grams_l / 186.2, abs=0.15)
