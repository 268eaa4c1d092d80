"""One pot as asked: grain by its bulk density, water, room, strike and heat."""

from __future__ import annotations

import re

import numpy as np
import pytest

from caskward.catalogue.load import load
from caskward.errors import (
    InputError,
    MissingValue,
    NotHotEnough,
    NotUnderstood,
    OptionsClash,
    OutOfRange,
    UnknownName,
)
from caskward.properties import heat
from caskward.services.tub_pot import fill
from caskward.services.tub_pot_typed import PotAsk
from caskward.services.tub_pot_words import headline, lines, taken

RYE = load().material("rye")
FIFTH = "20 % of 120 L rye"


def test_grain_is_part_times_litres_times_bulk_density() -> None:
    """A fifth of 120 L at 0.72 kg/L (food-composition, 0.68 to 0.76) is 17.3 kg, and 4.5 L/kg of water."""
    found = fill(PotAsk(FIFTH))
    bulk = RYE.bulk_density_kg_l
    assert found.grain_kg.mid == pytest.approx(24.0 * bulk.likely, rel=0.002)
    assert found.grain_kg.low == pytest.approx(24.0 * bulk.low, rel=0.005)
    assert found.grain_kg.high == pytest.approx(24.0 * bulk.high, rel=0.005)
    assert found.water_l == pytest.approx(4.5 * found.grain_kg.mid, rel=0.001)
    assert found.heat is None


def test_weighed_grain_says_how_full_it_makes_the_pot() -> None:
    found = fill(PotAsk("17 kg in 120 L rye"))
    assert fill(PotAsk("17 kg of rye in 120 L")) == found
    assert (found.grain_kg.low, found.grain_kg.high) == (17.0, 17.0)
    assert found.share.mid == pytest.approx(17.0 / 120.0 / 0.72, rel=0.005)
    assert headline(found, "metric").startswith("17.0 kg of rye fills 19.7 %")


def test_too_full_a_pot_says_how_much_fits_and_that_does() -> None:
    found = fill(PotAsk("60 % of 120 L rye"))
    assert found.fits == 0.0
    assert "fill at most 22 %" in headline(found, "metric")
    assert fill(PotAsk("22 % of 120 L rye")).fits >= 0.9
    assert fill(PotAsk("24 % of 120 L rye")).fits <= 0.5


def test_with_litres_of_water_only_the_grain_gives_way() -> None:
    found = fill(PotAsk("60 % of 120 L rye", water="70 L"))
    percent = int(100.0 * found.most_share)
    assert 40 <= percent < 60
    assert fill(PotAsk(f"{percent} % of 120 L rye", water="70 L")).fits >= 0.9
    assert fill(PotAsk(f"{percent + 3} % of 120 L rye", water="70 L")).fits < 0.9
    drowned = fill(PotAsk("20 % of 120 L rye", water="110 L"))
    assert "the water alone is too much" in headline(drowned, "metric")


def test_the_strike_s_water_brings_the_mash_there() -> None:
    found = fill(PotAsk(FIFTH, strike="60C"))
    assert found.stirred_c.mid == pytest.approx(60.0, abs=0.02)
    assert fill(PotAsk(FIFTH, water_c=f"{found.water_c} C")).stirred_c.mid == pytest.approx(60.0, abs=0.02)


def test_heating_takes_what_the_heat_of_water_and_grain_asks() -> None:
    """78 L and 17.3 kg from 12.7 to 75 °C, and a little for the walls and the swelling on top."""
    found = fill(PotAsk(FIFTH, power="9 kW", kind="immersion-element", hold="45 min"))
    assert found.heat is not None
    grain_kj_k = 17.3 * 1.7
    needed_kwh = (heat.CP_WATER_KJ_KG_K * 0.998 * found.water_l + grain_kj_k) * (75.0 - 12.7) / 3600.0
    hours = needed_kwh / (9.0 * load().pot("immersion-element").efficiency.likely)
    assert hours < found.heat.heat_up_h.mid < 1.2 * hours
    assert found.heat.swollen_share.low > 0.99
    assert found.heat.boil_off_l.low > 0.0
    half = fill(PotAsk(FIFTH, power="18 kW", kind="immersion-element")).heat
    assert half is not None
    assert half.heat_up_h.mid < 0.55 * found.heat.heat_up_h.mid


def test_a_cook_inside_the_range_swells_a_part_and_water_warmed_here_counts() -> None:
    inside = fill(PotAsk(FIFTH, power="9 kW", cook="62C")).heat
    assert inside is not None
    assert 0.2 < inside.swollen_share.mid < 0.8
    warmed = fill(PotAsk(FIFTH, power="9 kW", water_c="60C", comes_at="12C")).heat
    carried = fill(PotAsk(FIFTH, power="9 kW", water_c="60C")).heat
    assert warmed is not None
    assert carried is not None
    assert carried.warming_h.high == 0.0
    assert warmed.warming_h.low > 0.5
    assert warmed.energy_kwh.mid > carried.energy_kwh.mid


def test_us_figures_are_the_same_pot() -> None:
    us = fill(PotAsk("20 % of 32 gal rye", water="2 qt/lb", power="30000 BTU/h"))
    metric = fill(PotAsk("20 % of 121.133 L rye", water="4.17271 L/kg", power="8.79213 kW"))
    assert us.hot_l.mid == pytest.approx(metric.hot_l.mid, rel=1e-4)
    said = " ".join(value for _, value in lines(us, "us"))
    assert "2.00 qt/lb" in said
    assert not re.search(r"\d (?:L|mL|kg|°C)\b", said)
    assert "gal" in headline(us, "us")


def test_what_was_not_said_is_named_with_its_option() -> None:
    said = " ".join(taken(fill(PotAsk(FIFTH)), "metric"))
    assert all(option in said for option in ("--water-c", "--room", "--cook", "--water", "--power"))
    full = PotAsk(FIFTH, "4 L/kg", "20 C", cook="80C", power="9 kW", kind="induction", room="18C")
    assert len(taken(fill(full), "metric")) == 1


def test_flaked_grain_is_swollen_already() -> None:
    found = fill(PotAsk("30 % of 120 L flaked rye", power="9 kW")).heat
    assert found is not None
    assert np.allclose([found.swollen_share.low, found.swollen_share.high], 1.0)


@pytest.mark.parametrize(
    "words",
    [
        "a quarter of 120 L rye",
        "0.25 of a 120 L pot of rye",
        "rye 25 % of 120 L",
        "1/4 of 31.7006 us gal rye",
    ],
)
def test_a_part_is_read_however_it_is_said(words: str) -> None:
    found = fill(PotAsk(words))
    assert found.material == "rye"
    assert found.share.mid == pytest.approx(0.25)
    assert found.pot_l == pytest.approx(120.0, rel=1e-5)


@pytest.mark.parametrize(
    ("ask", "error"),
    [
        (PotAsk(""), MissingValue),
        (PotAsk("120 L rye"), NotUnderstood),
        (PotAsk("60 % of 120 L"), NotUnderstood),
        (PotAsk("60 of 120 L rye"), InputError),
        (PotAsk("60 % of 120 L apples"), NotUnderstood),
        (PotAsk("60 % of 120 L ryee"), UnknownName),
        (PotAsk("160 % of 120 L rye"), OutOfRange),
        (PotAsk("0 % of 120 L rye"), OutOfRange),
        (PotAsk("20 % of 0.5 L rye"), OutOfRange),
        (PotAsk(FIFTH, water="1 m"), NotUnderstood),
        (PotAsk(FIFTH, water="2 L"), OutOfRange),
        (PotAsk(FIFTH, strike="60C", water_c="50C"), OptionsClash),
        (PotAsk(FIFTH, strike="90C", water="20 L"), OutOfRange),
        (PotAsk(FIFTH, kind="induction"), MissingValue),
        (PotAsk(FIFTH, hold="1 h"), MissingValue),
        (PotAsk(FIFTH, kind="gass", power="9 kW"), UnknownName),
        (PotAsk(FIFTH, power="100 W"), OutOfRange),
        (PotAsk(FIFTH, power="1 kW", cook="98C"), NotHotEnough),
        (PotAsk(FIFTH, cook="120C"), OutOfRange),
        (PotAsk(FIFTH, cook="40C", water_c="80C"), OutOfRange),
        (PotAsk(FIFTH, power="9 kW", hold="40 h"), OutOfRange),
    ],
)
def test_what_cannot_be_used_is_refused(ask: PotAsk, error: type[InputError]) -> None:
    with pytest.raises(error):
        fill(ask)
