"""An amount as typed, at 20 °C with its doubt, and the reading as it goes into the book."""

from __future__ import annotations

import pytest

from caskward.book.amounts import Liquid, liquid
from caskward.errors import MissingValue, OptionsClash, TemperatureNotSaid
from caskward.errors.book_typed import HowMuch, NotJustWords, WhatStrength
from caskward.properties import alcohol, water
from caskward.services.book.amount_said import Tools
from caskward.services.book.measured import measured, volume_20_l

THERE = liquid(200, 63)
MILLILITRE = 1000


def test_volume_and_strength_are_brought_to_20_c():
    found = measured("20 L 63 % at 28 C on oiml-2")
    pct = float(alcohol.true_strength(63.0, 28.0))
    volume = float(alcohol.volume_at_20(20.0, pct, 28.0))
    assert found.liquid.pct_vol == pytest.approx(pct, abs=1e-4)
    assert found.liquid.bulk_ul == pytest.approx(1e6 * volume, abs=MILLILITRE)


def test_the_reading_stays_as_it_was_typed():
    volume, strength = measured("5.3 gal 126.4 proof at 82 F").readings
    assert (volume.quantity, volume.typed, volume.value, volume.unit) == ("volume", "5.3 gal", "5.3", "gal")
    assert (strength.typed, strength.value, strength.unit) == ("126.4 proof", "126.4", "proof")
    assert (strength.temp_c, strength.calibrated_at_c) == ("27.78", "15.556")
    assert "proof" in strength.instrument
    assert volume.tolerance == "0.053"  # a dipstick's part in a hundred


def test_an_amount_alone_takes_the_strength_of_what_is_there():
    found = measured("20 L", THERE)
    assert found.liquid == Liquid(12_600_000, 20_000_000)
    assert "20 °C" in found.notes[0]
    warm = measured("20 L at 28 C", THERE)
    assert warm.liquid.bulk_ul == pytest.approx(1e6 * float(alcohol.volume_at_20(20.0, 63.0, 28.0)), abs=50)
    weighed = measured("18.5 kg", THERE)
    density = float(alcohol.density(alcohol.mass_fraction(63.0), 20.0))
    assert weighed.liquid.bulk_ul == pytest.approx(1e6 * 18.5 / density * 1000 * 1.00115, rel=1e-4)  # in air


def test_a_strength_alone_is_of_all_that_is_there():
    found = measured("62.5 % at 20 C on oiml-1", THERE, Tools(thermometer="0.01 K"))
    assert found.liquid == Liquid(125_000_000, 200_000_000)
    assert 0 < found.within.alcohol_ul < 200_000_000 * 0.1 / 100


def test_a_hot_mash_is_as_warm_as_water():
    found = measured("180 L at 64 C", Liquid(0, 1))
    ratio = float(water.density(64.0)) / float(water.density(20.0))
    assert found.liquid == Liquid(0, round(180e6 * ratio))


@pytest.mark.parametrize("text", ["40 L 0 % at 12 C", "40 L water at 12 C", "40 L of water 0 % at 12 C"])
def test_water_holds_no_alcohol_however_cold_it_is(text):
    found = measured(text, words=True)
    assert found.liquid.alcohol_ul == 0
    assert found.liquid.bulk_ul == pytest.approx(
        40e6 * float(water.density(12.0)) / float(water.density(20.0)), abs=1
    )


def test_all_is_what_the_book_has_and_nothing_was_measured():
    found = measured("all", THERE)
    assert (found.liquid, found.all, found.unmeasured, found.readings) == (THERE, True, True, ())
    gauged = measured("all 199 L 63 % at 20 C", THERE)
    assert gauged.all
    assert not gauged.unmeasured
    assert gauged.liquid.bulk_ul == pytest.approx(199_000_000, abs=MILLILITRE)


def test_the_doubt_is_that_of_the_instruments():
    wide = measured("20 L 63 % at 20 C").within
    fine = measured("20 L 63 % at 20 C on oiml-1 flask", tools=Tools(thermometer="0.01 K")).within
    assert fine.alcohol_ul < wide.alcohol_ul / 10
    assert fine.bulk_ul < wide.bulk_ul / 10
    # A certified glass of class I, ± 0.05 %vol and half a mark of 0.1, and a flask good to 8 parts in 10,000,
    # each even within itself: 95 times in 100, on 20 L of 63 %vol.
    by_glass, by_flask = (0.05**2 + 0.05**2) ** 0.5 / 100.0, 0.0008 * 0.63
    expected = 20e6 * 1.96 * (by_glass**2 + by_flask**2) ** 0.5 / 3**0.5
    assert fine.alcohol_ul == pytest.approx(expected, rel=0.15)


def test_the_maker_may_say_how_good_it_is():
    assert measured("20 L", THERE, Tools(within="0.5 L")).within == Liquid(315_000, 500_000)
    assert measured("20 L", THERE, Tools(within="1 %")).within == Liquid(126_000, 200_000)


def test_a_wash_by_its_two_gravities():
    found = measured("178 L 1.008 at 20 C", Liquid(0, 180_000_000), Tools(original="1.062"))
    assert found.liquid.pct_vol == pytest.approx(7.1, abs=0.2)  # Balling's balance, as `gauge` has it
    assert [one.quantity for one in found.readings] == ["volume", "gravity before", "gravity"]


@pytest.mark.parametrize(
    ("text", "there", "refusal"),
    [
        ("20 L", Liquid(0, 0), WhatStrength),
        ("63 % at 20 C", Liquid(0, 0), HowMuch),
        ("20 L 63 %", THERE, TemperatureNotSaid),
        ("20 L 20 kg 63 % at 20 C", THERE, OptionsClash),
        ("20 L of gin 63 % at 20 C", THERE, NotJustWords),
        ("20 L 1.008 at 20 C", THERE, MissingValue),
        ("", THERE, HowMuch),
    ],
)
def test_what_cannot_be_an_amount_is_refused(text, there, refusal):
    with pytest.raises(refusal):
        measured(text, there)


def test_words_behind_an_amount_may_be_a_reason():
    assert measured("200 mL spilt at the tap", THERE, words=True).words == "spilt at the tap"


def test_water_by_mass_or_volume():
    assert volume_20_l("4.2 kg", "water") == pytest.approx(4.2075, abs=0.002)
    assert volume_20_l("4.2 L at 4 C", "water") == pytest.approx(4.2076, abs=0.001)
