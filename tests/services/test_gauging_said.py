"""Loose words about one reading or one liquid: understood as a person means them, or asked back."""

from __future__ import annotations

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.errors import CaskwardError, InputError, NotUnderstood, OptionsClash, UnclearValue
from caskward.services.gauging import gauge
from caskward.services.gauging_asks import GaugeAsk, LiquidAsk, ReadingAsk
from caskward.services.gauging_said import gauging, liquid, pieces, reading


@pytest.mark.parametrize(
    ("text", "ask"),
    [
        ("47 % at 28C", ReadingAsk("47 %", "28C")),
        ("47%@28C", ReadingAsk("47 %", "28 C")),
        ("126.4 proof 82F", ReadingAsk("126.4 proof", "82 F")),
        ("SG 1.054 at 88 F", ReadingAsk("1.054 SG", "88 F")),
        ("931.2 kg/m³ 20°C", ReadingAsk("931.2 kg/m3", "20 °C")),
        ("47 % at -5 C", ReadingAsk("47 %", "-5 C")),
        ("47.2 % ± 0.2 at 20 C", ReadingAsk("47.2 %", "20 C", error="0.2")),
        ("47.2 % at 20 C on oiml-2", ReadingAsk("47.2 %", "20 C", "oiml-2")),
        (
            "931.2 kg/m3 at 20 C density meter, in air",
            ReadingAsk("931.2 kg/m3", "20 C", "density-meter", in_air=True),
        ),
        ("13.2 Bx 28 C uncorrected", ReadingAsk("13.2 Bx", "28 C", corrects_itself=False)),
        ("0.93 kg in 1 L at 20 C", ReadingAsk("", "20 C", mass="0.93 kg", volume="1 L")),
    ],
)
def test_a_reading(text: str, ask: ReadingAsk) -> None:
    found = reading(text)
    for field in ReadingAsk.__slots__:
        said, meant = getattr(found, field), getattr(ask, field)
        if isinstance(said, str):
            said, meant = said.replace(" ", ""), meant.replace(" ", "")
        assert said == meant, field


def test_an_amount_comes_before_or_behind_a_reading() -> None:
    before, behind = gauging("20 L of 47 % at 28 C"), gauging("47 % at 28 C, 20 L")
    assert before == behind == GaugeAsk((ReadingAsk("47 %", "28 C"),), volume="20 L")


def test_a_temperature_belongs_to_what_it_stands_behind() -> None:
    found = gauging("200 L at 31 C of 63 % at 20 C")
    assert (found.volume_temp, found.readings[0].temp) == ("31 C", "20 C")


@pytest.mark.parametrize(
    ("text", "ask"),
    [
        ("12 L 71.3 %", LiquidAsk("71.3 %", "12 L")),
        ("8 L low wines 24 %", LiquidAsk("24 %", "8 L", name="low wines")),
        ("20 L of hearts at 71,3 % vol", LiquidAsk("71,3 % vol", "20 L", name="hearts")),
        ("1 lb 4 oz of 126 proof", LiquidAsk("126 proof", mass="1 lb 4 oz")),
        ("71.3 % at 28 C, 20 L", LiquidAsk("71.3 % at 28 C", "20 L")),
        ("20 L at 8 C of 71.3 %", LiquidAsk("71.3 %", "20 L", temp="8 C")),
        ("20 L 71.3 % ± 0.4 %", LiquidAsk("71.3 %", "20 L", doubt="0.4 %")),
        ("5 L water", LiquidAsk(volume="5 L", name="water")),
        ("12.5 kg 71.3 % scale-fine", LiquidAsk("71.3 %", mass="12.5 kg", by="scale-fine")),
    ],
)
def test_a_liquid(text: str, ask: LiquidAsk) -> None:
    assert liquid(text) == ask


@pytest.mark.parametrize(
    ("text", "error", "says"),
    [
        ("47 % at 28", UnclearValue, "28 C or 28 F"),
        ("47 % 28°C and windy", NotUnderstood, "47 % at 28 C"),
        ("47 % 46 % at 28 C", OptionsClash, "only one"),
        ("20 L 18 kg 47 % at 28 C", OptionsClash, "one of the two"),
        ("47 % at 28 C on oiml-1 oiml-2", OptionsClash, "only one"),
        ("sheep", NotUnderstood, "'sheep'"),
    ],
)
def test_a_reading_that_is_none(text: str, error: type[InputError], says: str) -> None:
    with pytest.raises(error) as refusal:
        gauging(text)
    assert says in str(refusal.value)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("20 L 71.3", "71.3 % or 71.3 proof"),
        ("20 71.3 %", "20 L or 20 kg"),
        ("20 L 71.3 % for 3 d", "not understood as a liquid"),
    ],
)
def test_a_liquid_that_is_none(text: str, says: str) -> None:
    with pytest.raises(InputError) as refusal:
        liquid(text)
    assert says in str(refusal.value)


@given(st.text(max_size=40))
def test_whatever_is_typed_ends_in_pieces_or_in_a_sentence(text: str) -> None:
    with contextlib.suppress(CaskwardError):
        assert 0.0 <= gauge(gauging(text)).gauged.pct_vol.value <= 100.0
    assert all(piece.text for piece in pieces(text))


@given(
    st.floats(0.1, 99.9).map(lambda v: f"{v:.1f}"),
    st.integers(-19, 39),
    st.sampled_from(
        ["{p} % at {t} C", "{p}%@{t}C", "{p} %vol, {t} °C", "{p}% {t}C", "5 L of {p} % at {t} C"]
    ),
)
def test_every_way_of_saying_it_is_the_same_reading(p: str, t: int, way: str) -> None:
    one = gauging(way.format(p=p, t=t)).readings[0]
    assert float(one.reading.split("%")[0]) == float(p)
    assert float(one.temp.rstrip("°C ")) == t
