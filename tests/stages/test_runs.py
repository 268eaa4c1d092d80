"""Still runs: counts, cuts and rules meet each world as they should."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from caskward.errors import OutOfRange
from caskward.stages.distil import (
    Still,
    StillUnknowns,
    distil,
    left_at,
    strongest_spout_pct_vol,
    u_at_alcohol_share,
)
from caskward.stages.runs import CutRules, SpiritSettings, SpiritUnknowns, StripSettings, spirit_run, strip
from caskward.stages.stream import Stream

LOW_WINES = Stream.of(ethanol_kg=np.full(3, 20.0), water_kg=np.full(3, 75.0))
UNKNOWNS = StillUnknowns(np.array([0.0, 0.08, 0.2]), np.full(3, 0.1))
RULES = CutRules(0.005, 0.08, 62.0, 60.0, 10.0)


def run(rules: CutRules = RULES, error: float = 0.0):  # type: ignore[no-untyped-def]
    unknowns = SpiritUnknowns(UNKNOWNS, np.full(3, error))
    return spirit_run(LOW_WINES, Still(6.0), SpiritSettings(60.0, rules), unknowns)


def test_charges_are_equal_and_never_over_the_limit() -> None:
    wash = Stream.of(ethanol_kg=np.array([2.0, 6.0, 13.0]), water_kg=np.array([40.0, 94.0, 200.0]))
    _, record = strip(wash, Still(6.0), StripSettings(60.0, 2.0), UNKNOWNS)
    assert record.effort.runs.tolist() == [1.0, 2.0, 4.0]
    assert np.all(record.effort.charge_l <= 60.0)
    assert record.effort.charge_l * record.effort.runs == pytest.approx(wash.volume_l)


def test_more_reflux_is_stronger_and_slower() -> None:
    heart, record = run()
    assert np.all(np.diff(record.first_pct_vol) > 0)
    assert np.all(np.diff(heart.strength_pct_vol) > 0)
    per_litre = record.effort.running_h / record.receivers.heart.lpa
    assert np.all(np.diff(record.effort.running_h / record.effort.cooling_kwh) > 0), per_litre


def test_cuts_by_share_take_that_share() -> None:
    _, record = run()
    assert record.receivers.foreshots.lpa / LOW_WINES.lpa == pytest.approx(0.005, abs=2e-6)
    assert record.receivers.heads.lpa / LOW_WINES.lpa == pytest.approx(0.08, abs=2e-6)


def test_heart_ends_at_the_rule_and_the_meter_moves_it() -> None:
    _, plain = run(replace(RULES, least_heart_pct_vol=20.0))
    assert plain.heart_to_pct_vol == pytest.approx(62.0, abs=0.02)
    late, shifted = run(replace(RULES, least_heart_pct_vol=20.0), error=-1.0)
    assert shifted.heart_to_pct_vol == pytest.approx(61.0, abs=0.02)
    assert np.all(late.lpa > plain.receivers.heart.lpa)


def test_heart_ends_sooner_to_stay_strong() -> None:
    heart, record = run(replace(RULES, heart_end_pct_vol=40.0, least_heart_pct_vol=66.0))
    assert np.all(heart.strength_pct_vol >= 66.0 - 1e-3)
    weak = record.heart_to_pct_vol > 40.5
    assert weak[0]
    assert heart.strength_pct_vol[weak] == pytest.approx(66.0, abs=2e-3)


def test_heart_is_empty_where_even_the_first_drop_is_too_weak() -> None:
    heart, record = run(replace(RULES, least_heart_pct_vol=90.0))
    assert np.all(heart.lpa < 1e-9)
    assert np.all(record.receivers.tails.lpa > 0)


def test_alcohol_share_is_where_it_says() -> None:
    profile = distil(LOW_WINES, Still(6.0), 5.0, UNKNOWNS)
    for share in (0.001, 0.1, 0.5, 0.9):
        left = left_at(profile, u_at_alcohol_share(profile, share)).ethanol_mol
        assert left / np.exp(profile.ln_ethanol[0]) == pytest.approx(1.0 - share, rel=1e-7)


def test_stopping_earlier_keeps_a_stronger_distillate() -> None:
    early, _ = strip(LOW_WINES, Still(6.0), StripSettings(200.0, 20.0), UNKNOWNS)
    late, _ = strip(LOW_WINES, Still(6.0), StripSettings(200.0, 1.0), UNKNOWNS)
    assert np.all(early.strength_pct_vol > late.strength_pct_vol)
    assert np.all(early.lpa < late.lpa)


def test_thin_air_boils_cooler_but_hardly_stronger() -> None:
    low, high = (distil(LOW_WINES, Still(6.0, kpa), 5.0, UNKNOWNS) for kpa in (101.3, 84.0))
    assert np.all(low.pot_c[0] - high.pot_c[0] > 4.0)
    assert np.abs(low.spout_pct_vol[0] - high.spout_pct_vol[0]).max() < 0.8


def test_a_charge_without_alcohol_is_refused() -> None:
    with pytest.raises(OutOfRange, match="share of ethanol"):
        distil(Stream.of(water_kg=np.ones(3)), Still(6.0), 5.0, UNKNOWNS)


def test_strongest_drop_rises_with_charge_and_reflux() -> None:
    assert strongest_spout_pct_vol(40.0, 0.1) > strongest_spout_pct_vol(20.0, 0.1)
    assert strongest_spout_pct_vol(30.0, 0.2) > strongest_spout_pct_vol(30.0, 0.0)
    assert strongest_spout_pct_vol(40.0, 0.25) < 96.0
