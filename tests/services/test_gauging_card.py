"""The figures of a correction card, against what the same reading, volume and reduction give one by one."""

from __future__ import annotations

import json

import pytest

from caskward.errors import InputError, NoSuchCard
from caskward.properties import alcohol
from caskward.services.gauging_card import as_json, card
from caskward.services.gauging_card_asks import MOST_MARKS, MOST_TEMPS, CardAsk
from caskward.units import convert


def test_each_figure_is_the_reading_corrected() -> None:
    made = card(CardAsk("oiml-2", calibrated_at="15 C", marks="45 to 65", temps="5 to 35 C"))
    for mark, row in zip(made.marks, made.strength, strict=True):
        for temp, true in zip(made.temps, row, strict=True):
            # the mark stands for the %vol at 20 °C whose density at 15 °C the scale is made for
            assert true == pytest.approx(float(alcohol.true_strength(mark, temp, 15.0)), abs=1e-9)


def test_a_proof_card_is_in_proof_and_fahrenheit() -> None:
    made = card(CardAsk("proof-wide"))
    assert (made.system, made.unit, made.calibrated_at) == ("us", "proof", pytest.approx(60.0))
    at_60 = made.temps.index(60.0)
    for mark, row in zip(made.marks, made.strength, strict=True):
        assert row[at_60] == pytest.approx(mark, abs=1e-6)
    warm = made.strength[made.marks.index(120.0)][made.temps.index(80.0)]
    true = alcohol.true_strength(60.0, convert.celsius_from_fahrenheit(80.0), alcohol.TEMP_60F_C)
    assert warm == pytest.approx(float(alcohol.proof_60f(true)), abs=1e-6)


def test_percent_marks_can_be_answered_in_proof() -> None:
    made = card(CardAsk("glass-narrow", system="us"))
    true = alcohol.true_strength(60.0, convert.celsius_from_fahrenheit(80.0))
    shown = made.strength[made.marks.index(60.0)][made.temps.index(80.0)]
    assert shown == pytest.approx(float(alcohol.proof_60f(true)), abs=1e-6)


def test_a_density_hydrometer_has_a_card_too() -> None:
    made = card(CardAsk("density-hydrometer", glass=False))
    true = made.strength[made.marks.index(905.0)][made.temps.index(26.0)]
    assert true == pytest.approx(
        float(alcohol.pct_vol(alcohol.mass_fraction_from_density(905.0, 26.0))), abs=1e-9
    )


@pytest.mark.parametrize("ask", [CardAsk(), CardAsk("proof-wide")])
def test_what_to_take_off_a_warm_volume(ask: CardAsk) -> None:
    """Within 0.1 in 100 of the volume corrected exactly, a tenth of what a dipstick tells, over the card."""
    made = card(ask)
    base_c = alcohol.TEMP_60F_C if made.system == "us" else 20.0
    for row, off in zip(made.strength, made.take_off, strict=True):
        for temp, true in zip(made.temps, row, strict=True):
            assert true is not None
            assert off is not None
            here_c = convert.celsius_from_fahrenheit(temp) if made.system == "us" else temp
            pct_vol = float(alcohol.pct_vol_20_from_proof(true)) if made.system == "us" else true
            fraction = alcohol.mass_fraction(pct_vol)
            exact = 100.0 * alcohol.density(fraction, here_c) / alcohol.density(fraction, base_c)
            degrees = temp - (60.0 if made.system == "us" else 20.0)
            assert 100.0 - off * degrees == pytest.approx(float(exact), abs=0.1)


def test_water_against_a_published_reduction() -> None:
    """USSR State Pharmacopoeia, 11th ed. (read): 1,000 mL of 50 %vol takes 625 mL of 80 and 394 of water.

    So a litre of 80 takes 630 mL; half a printed millilitre on either figure makes 1.3 mL.
    """
    made = card(CardAsk())
    from_80 = next(one for one in made.reductions if one.start == 80.0)
    assert from_80.by_volume[made.targets.index(50.0)] == pytest.approx(394.0 / 625.0, abs=0.0013)


def test_water_by_mass_reaches_the_target() -> None:
    made = card(CardAsk(targets="63, 46"))
    for one in made.reductions:
        for target, water in zip(made.targets, one.by_mass, strict=True):
            if water is None:
                assert one.start <= target
                continue
            reached = alcohol.mass_fraction(one.start) / (1.0 + water)
            # water and spirit on a scale in air: their buoyancy differs by a few parts in ten thousand
            assert float(alcohol.pct_vol(reached)) == pytest.approx(target, abs=0.01)


@pytest.mark.parametrize(
    "text", ["-20 to -10 C", "-20 C to -10 C", "-20..-10 °C", "-4 to 14 F", "-4 F - 14 F"]
)
def test_a_cold_range_keeps_its_signs(text: str) -> None:
    temps = card(CardAsk(temps=text)).temps
    assert (temps[0], temps[-1]) == (-20.0, -10.0)


def test_it_stays_readable() -> None:
    for ask in (
        CardAsk(marks="0 to 100", temps="-20 to 40 C"),
        CardAsk(marks="40 to 43", temps="19 to 21 C"),
    ):
        made = card(ask)
        assert 2 <= len(made.marks) <= MOST_MARKS
        assert 2 <= len(made.temps) <= MOST_TEMPS


def test_what_no_spirit_shows_stays_empty() -> None:
    made = card(CardAsk(marks="0 to 100", temps="0 to 35 C"))
    top_cold = made.strength[-1][0]
    assert top_cold is None
    with pytest.raises(NoSuchCard, match="card is empty"):
        card(CardAsk(marks="98 to 100", temps="-20 to -10 C"))


def test_a_finer_instrument_has_a_smaller_doubt() -> None:
    assert card(CardAsk("oiml-1")).half_width < card(CardAsk("oiml-3")).half_width
    assert card(CardAsk(error="0.1", thermometer="0.1 C")).half_width < card(CardAsk()).half_width


@pytest.mark.parametrize(
    ("ask", "says"),
    [
        (CardAsk("wash-hydrometer"), "Name an alcoholometer"),
        (CardAsk("oiml-9"), "Did you mean"),
        (CardAsk(marks="80 to 40"), "lower one first"),
        (CardAsk(marks="some"), "40 to 75"),
        (CardAsk(marks="40 to 140"), "between 0 and 100 %vol"),
        (CardAsk(temps="5 to 60 C"), "between -20 and 40 °C"),
        (CardAsk(temps="40 to 140 F"), "60 °C"),
        (CardAsk(targets="0 %"), "between 1 and 95"),
        (CardAsk(targets="140 %"), "write 140 proof"),
        (CardAsk(targets="60, 59, 58, 57, 56, 55, 54"), "between 1 and 6"),
        (CardAsk(calibrated_at="80 C"), "stands on the instrument"),
        (CardAsk(error="little"), "0.2"),
        (CardAsk(thermometer="9 C"), "between 0.001 and 5 K"),
    ],
)
def test_a_card_that_cannot_be(ask: CardAsk, says: str) -> None:
    with pytest.raises(InputError) as refusal:
        card(ask)
    assert says in str(refusal.value)


def test_it_can_be_written_down() -> None:
    made = card(CardAsk())
    written = json.loads(as_json(made))
    assert written["marks"] == list(made.marks)
    assert written["instrument"]["key"] == "glass-narrow"
