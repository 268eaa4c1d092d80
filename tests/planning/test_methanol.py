"""Methanol of a bill, and what a law says to a forecast."""

from __future__ import annotations

import numpy as np
import pytest

from caskward.catalogue import load
from caskward.errors import NothingFerments, OutOfRange
from caskward.planning.methanol import (
    CUTS_DO_NOT_REMOVE_METHANOL,
    TEST_THE_SPIRIT,
    against_limit,
    limit_in_g_per_hl,
    methanol_g_per_hl,
)
from caskward.planning.plan import Band, band

CATALOGUE = load()
FRUIT = CATALOGUE.practice("fruit")
PEAR, RYE = CATALOGUE.material("pear"), CATALOGUE.material("rye")


def test_pectin_becomes_methanol_as_by_hand() -> None:
    """0.7 % pectin, 0.07 kg of methanol from each kg of it, over the alcohol the pears give."""
    middle = band(methanol_g_per_hl([(PEAR, 100.0)], FRUIT, CATALOGUE, worlds=4096)).mid
    lpa_per_kg = PEAR.potential_lpa_per_kg * FRUIT.ferment_yield.likely
    by_hand = 1e5 * PEAR.pectin.likely * CATALOGUE.pectin_methanol.likely / lpa_per_kg
    assert middle == pytest.approx(by_hand, rel=0.05)


def test_pears_hold_what_fruit_mash_holds() -> None:
    """Pectin fruit mash 100-450-800 mg/L at 4-6 %vol, *common practice, no source*: the bands must overlap by
    the greater part, and the middles agree within a factor of 1.5."""
    pears = band(methanol_g_per_hl([(PEAR, 100.0)], FRUIT, CATALOGUE))
    row = CATALOGUE.wash("fruit").g_per_hl("methanol")
    assert 1 / 1.5 < pears.mid / row.likely < 1.5
    assert pears.low < row.likely < pears.high


def test_grain_holds_little_and_a_mixture_lies_between() -> None:
    grain = methanol_g_per_hl([(RYE, 50.0)], CATALOGUE.practice("grain"), CATALOGUE)
    both = methanol_g_per_hl([(RYE, 50.0), (PEAR, 250.0)], FRUIT, CATALOGUE)
    pears = methanol_g_per_hl([(PEAR, 250.0)], FRUIT, CATALOGUE)
    assert band(grain).high < 40.0
    assert band(grain).mid < band(both).mid < band(pears).mid


def test_units_of_limits_by_hand() -> None:
    """0.35 %vol of methanol (791.4 kg/m3) at 40 %vol: 2.77 g in a litre with 0.4 L of pure alcohol."""
    assert limit_in_g_per_hl(CATALOGUE.legal_limit("us-brandy"), 40.0) == pytest.approx(692.5, abs=0.1)
    assert limit_in_g_per_hl(CATALOGUE.legal_limit("eu-general")) == pytest.approx(1000.0)
    assert limit_in_g_per_hl(CATALOGUE.legal_limit("eu-wine-spirit")) == 200.0
    assert limit_in_g_per_hl(CATALOGUE.legal_limit("canada-ethyl-carbamate")) is None
    with pytest.raises(OutOfRange, match=r"The strength in the bottle is 0\.4 %vol"):
        limit_in_g_per_hl(CATALOGUE.legal_limit("us-brandy"), 0.4)


@pytest.mark.parametrize(
    ("level", "standing", "chance", "words"),
    [
        (50.0, "under", 0.0, "The forecast keeps this limit: 50 to 50 g/hL"),
        (500.0, "over", 1.0, "The forecast breaks this limit: 500 to 500 g/hL"),
    ],
)
def test_a_forecast_stands_under_or_over(level: float, standing: str, chance: float, words: str) -> None:
    verdict = against_limit(np.full(64, level), CATALOGUE.legal_limit("eu-wine-spirit"))
    assert (verdict.standing, verdict.chance_broken) == (standing, chance)
    assert verdict.sentences[1].startswith(words)
    assert verdict.sentences[1].endswith("limit 200.")


def test_whatever_the_forecast_a_laboratory_decides_and_cuts_do_not() -> None:
    for level in (1.0, 199.0, 5000.0):
        said = against_limit(np.full(8, level), CATALOGUE.legal_limit("eu-wine-spirit")).sentences
        assert CUTS_DO_NOT_REMOVE_METHANOL in said
        assert TEST_THE_SPIRIT in said
    assert "laboratory" in TEST_THE_SPIRIT


def test_doubt_is_told_as_doubt() -> None:
    limit = CATALOGUE.legal_limit("eu-fruit-spirit-apple-pear-plum")
    worlds = methanol_g_per_hl([(PEAR, 100.0)], FRUIT, CATALOGUE)
    verdict = against_limit(worlds, limit)
    assert verdict.standing == "in doubt"
    assert verdict.chance_broken == np.mean(worlds > 1200.0)
    assert "check your local rule" in verdict.sentences[0]
    assert against_limit(Band(900.0, 1000.0, 1300.0), limit).standing == "in doubt"
    assert against_limit(Band(100.0, 200.0, 300.0), limit).standing == "under"
    assert against_limit(Band(1300.0, 1400.0, 1500.0), limit).standing == "over"


def test_a_least_level_is_broken_from_below() -> None:
    limit = CATALOGUE.legal_limit("eu-wine-spirit-volatiles")
    assert against_limit(np.full(8, 300.0), limit).standing == "under"
    short = against_limit(np.full(8, 60.0), limit)
    assert short.standing == "over"
    assert short.sentences[1].startswith("The forecast falls short of it: 60 to 60")
    assert CUTS_DO_NOT_REMOVE_METHANOL not in short.sentences


def test_what_is_not_forecast_is_said_to_be_so() -> None:
    verdict = against_limit(None, CATALOGUE.legal_limit("eu-stone-fruit-hydrocyanic"))
    assert verdict.forecast is None
    assert "Hydrocyanic acid is not in the forecast." in verdict.sentences[1]
    assert TEST_THE_SPIRIT in verdict.sentences


def test_a_bill_without_alcohol_is_refused() -> None:
    with pytest.raises(NothingFerments):
        methanol_g_per_hl([], FRUIT, CATALOGUE)
