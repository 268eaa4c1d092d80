"""Litres to whole µL, parts to their whole; and how amounts are said."""

from __future__ import annotations

import pytest

from caskward.book.amounts import NONE, Liquid, liquid, mg, shared_out, ul
from caskward.book.words import apart, name_in_words, said
from caskward.errors.book import BelowNothing, MoreAlcoholThanLiquid, StrongerThanAlcohol


def test_volume_times_strength_in_decimals() -> None:
    """0.1 L of 0.3 %vol: binary fractions would miss it by a hair; half a µL goes to the even one."""
    assert liquid(0.1, 0.3) == Liquid(300, 100_000)
    assert liquid("0.000001", "50") == Liquid(0, 1)
    assert liquid("0.000003", "50") == Liquid(2, 3)
    assert liquid(25, "62.5").pct_vol == 62.5
    assert (ul("1.5"), mg(0.25)) == (1_500_000, 250_000)


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(StrongerThanAlcohol, match="write 126 proof"):
        liquid(1, 126)
    with pytest.raises(StrongerThanAlcohol) as refusal:
        liquid(1, 1000)
    assert "proof" not in str(refusal.value)
    for volume, strength in ((-1, 50), (1, -5)):
        with pytest.raises(BelowNothing):
            liquid(volume, strength)
    with pytest.raises(BelowNothing):
        mg(-1)
    with pytest.raises(MoreAlcoholThanLiquid):
        Liquid(2, 1)


def test_parts_of_one_liquid() -> None:
    whole = Liquid(333_333, 1_000_000)
    assert whole.part(1_000_000) == whole
    assert whole.part(500_000) == Liquid(166_666, 500_000)
    assert NONE.part(0) == NONE


def test_largest_remainders_first_and_then_the_earlier() -> None:
    assert shared_out(100, [1, 1, 1]) == (34, 33, 33)
    assert shared_out(10, [6, 3, 3]) == (5, 3, 2)
    assert shared_out(-100, [1, 1, 1]) == (-34, -33, -33)
    assert shared_out(7, [0, 0]) == (7, 0)


def test_amounts_are_said_with_what_tells_them_apart() -> None:
    assert said(24_600_000, "bulk") == "24.6 L"
    assert said(12, "bulk") == "0.000012 L"
    assert said(1, "piece/cork") == "1 piece"
    assert said(3_785_412, "alcohol", "us") == "1 gal"
    assert said(453_592, "mass/rye", "us") == "1 lb"
    assert apart(24_600_000, 24_599_900, "bulk") == ("24.6 L", "24.5999 L")
    assert [name_in_words(what) for what in ("alcohol", "bulk", "mass/rye")] == [
        "pure alcohol",
        "liquid",
        "rye",
    ]
