"""A label's tolerance with the doubt in it: a verdict only where the whole interval lies on one side."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.errors import OutOfRange, UnknownName
from caskward.gauging.figure import COVERAGE_95, figure
from caskward.gauging.label import check_label, on_basis, rule, rules
from caskward.properties import alcohol
from caskward.services.gauging import GaugeAsk, ReadingAsk, gauge
from caskward.sources import source


@given(st.floats(38.0, 42.0), st.floats(0.001, 0.5), st.sampled_from(["eu", "uk", "au-nz"]))
def test_the_verdict_is_the_interval(value: float, standard: float, key: str) -> None:
    by = rule(key)
    check = check_label(40.0, figure(value, standard), by)
    off, reach = abs(value - 40.0), COVERAGE_95 * standard
    if off + reach <= by.tolerance - 1e-6:
        assert check.verdict == "passes"
    elif off - reach > by.tolerance + 1e-6:
        assert check.verdict == "fails"
    elif abs(off - by.tolerance) < reach - 1e-6:
        assert check.verdict == "cannot be told"
        assert all(teller.half_width < reach for teller in check.tellers)


def test_each_teller_named_would_tell() -> None:
    """The same strength, really read on what is named, settles it; on the widest glass it does not."""
    by = rule("eu")
    check = check_label(40.0, figure(40.1, 0.3), by)
    assert check.verdict == "cannot be told"
    assert check.tellers

    def verdict_with(instrument: str, thermometer: str) -> str:
        by_density = instrument.startswith("density")
        shown = f"{float(alcohol.density(alcohol.mass_fraction(40.1), 20.0)):.3f} kg/m3 at 20 C"
        shown = shown if by_density else "40.1 % at 20 C"
        reading = ReadingAsk(reading=shown, instrument=instrument, thermometer=thermometer)
        return check_label(40.0, gauge(GaugeAsk(readings=(reading,))).gauged.pct_vol, by).verdict

    for teller in check.tellers:
        assert verdict_with(teller.instrument.key, teller.thermometer.key) == "passes", teller
    assert verdict_with("glass-wide", "") == "cannot be told"
    keys = {teller.instrument.key for teller in check.tellers}
    assert "density-meter" in keys
    assert "glass-wide" not in keys


def test_on_the_limit_nothing_tells() -> None:
    check = check_label(40.0, figure(40.3, 0.2), rule("eu"))
    assert check.verdict == "cannot be told"
    assert check.tellers == ()
    assert check.room == pytest.approx(0.0, abs=1e-9)


def test_a_us_label_counts_at_60_fahrenheit() -> None:
    """40 %vol at 20 °C are 79.86 proof, so 39.93 %vol on a US label."""
    seen = on_basis(figure(40.0, 0.01), rule("us"))
    assert seen.value == pytest.approx(0.5 * alcohol.proof_60f(40.0))
    assert seen.value == pytest.approx(39.93, abs=0.01)
    assert on_basis(figure(40.0, 0.01), rule("eu")).value == 40.0


def test_what_is_from_memory_says_so() -> None:
    assert rule("us").checked
    assert rule("eu").checked
    assert not rule("au-nz").checked
    assert not rule("other", 0.4).checked
    for each in rules().values():
        assert source(each.source).key == each.source
        assert each.law


@pytest.mark.parametrize("tolerance", [None, 0.0, -0.3, 6.0])
def test_another_rule_needs_its_tolerance(tolerance: float | None) -> None:
    with pytest.raises(OutOfRange):
        rule("other", tolerance)


def test_an_unknown_rule_names_the_known() -> None:
    with pytest.raises(UnknownName, match="au-nz"):
        rule("mars")


@pytest.mark.parametrize("label", [0.0, 101.0, float("nan")])
def test_a_label_that_cannot_be(label: float) -> None:
    with pytest.raises(OutOfRange):
        check_label(label, figure(40.0, 0.1), rule("eu"))
