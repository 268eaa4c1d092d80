"""One tub's report: figures that JSON can hold, parts that a bill does without, logs that cannot be."""

from __future__ import annotations

import json
import math
from dataclasses import fields, is_dataclass, replace
from pathlib import Path

import pytest

from caskward.errors import (
    NothingToConvert,
    NotUnderstood,
    OutOfRange,
    ReadingsOutOfOrder,
    UnknownName,
    UnreadableNotes,
)
from caskward.planning.plan import Band
from caskward.services import tub_ferment_words, tub_mash_words, tub_words
from caskward.services.tub_mash_words import ways_words
from caskward.services.tub_report import OpenBand, TubReport
from caskward.services.tub_simulate import TubAsk, as_json, intent_of, readings_of, report
from caskward.sheets import tub_files
from caskward.sheets.tub_chart import chart


def told(name: str, **asked: object) -> TubReport:
    return report(TubAsk(name, **asked), replace(intent_of(name), worlds=256), "metric")  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def rye() -> TubReport:
    return told("rye", rows=("ferment 1 d: 1.052, 25 C", "ferment 2 d: 1.030, 28 C"))


@pytest.fixture(scope="module")
def pears() -> TubReport:
    return told("pears", days=3.0)


def bands(value: object) -> list[Band]:
    if isinstance(value, Band):
        return [value]
    if isinstance(value, tuple | list):
        return [b for one in value for b in bands(one)]
    if is_dataclass(value):
        return [b for f in fields(value) for b in bands(getattr(value, f.name))]
    return []


def test_every_band_is_finite_and_in_order(rye: TubReport, pears: TubReport) -> None:
    for of in (rye, pears):
        found = bands(of)
        assert len(found) > 60
        for b in found:
            assert math.isfinite(b.low)
            assert math.isfinite(b.high)
            assert b.low <= b.mid <= b.high


def test_json_holds_no_endless_figure(pears: TubReport) -> None:
    """Pears are not dry after three days: those ends are null, and everything else is a number."""
    loaded = json.loads(as_json(pears), parse_constant=pytest.fail)
    assert loaded["ferment"]["dry_d"]["high"] is None
    assert loaded["cook"] is None
    assert loaded["mash"] is None
    assert isinstance(loaded["pitch"]["yeast_g"], float)


def test_a_bill_without_starch_says_why_it_has_no_cook(pears: TubReport) -> None:
    assert pears.left_out == ("No cook and no mash: this bill holds no starch to convert.",)
    assert [d.name for d in pears.pitch.doses] == ["Pectin enzyme"]
    with pytest.raises(NothingToConvert):
        told("pears", rows=("mash 30 min: 62 C",))


def test_readings_are_set_beside_what_was_expected(rye: TubReport) -> None:
    part = rye.ferment
    assert part.driven
    assert [(f.at_h, f.value) for f in part.fits] == [(24.0, 1.052), (48.0, 1.03)]
    assert len(part.rows) == len(part.rows_before)
    for fit in part.fits:
        assert fit.after.high - fit.after.low <= fit.before.high - fit.before.low
    assert {24.0, 48.0} <= {row.at_h for row in part.rows}
    assert told("rye").ferment.rows_before == ()


def test_hours_that_are_asked_for_get_their_rows() -> None:
    rows = told("rye", at_h=(31.0,)).ferment.rows
    assert 31.0 in {row.at_h for row in rows}


def test_air_that_keeps_carbon_dioxide_under_half_a_percent(rye: TubReport) -> None:
    """5,000 ppm over a working day. Source: NIOSH pocket guide, carbon dioxide, read."""
    part = rye.ferment
    assert part.fresh_air_m3_h == pytest.approx(part.co2_peak_m3_h.high / 5000e-6)


def test_one_kilogram_of_gas_is_546_litres(rye: TubReport) -> None:
    """44.01 g/mol at 20 °C and 101.325 kPa: R T / p = 24.055 L/mol. Source: ideal gas law."""
    part = rye.ferment
    assert part.co2_m3.mid / part.co2_kg.mid == pytest.approx(24.055 / 44.01, rel=2e-3)


# Logs and limits ----------------------------------------------------------------------------------


def test_logs_that_cannot_be_used(tmp_path: Path) -> None:
    with pytest.raises(UnreadableNotes, match="No such file"):
        readings_of(TubAsk("rye", log=str(tmp_path / "none.txt")))
    log = tmp_path / "log.txt"
    log.write_text("# my tub\nferment 2 d: 1.040\nferment 1 d: 1.050\n", "utf-8")
    with pytest.raises(ReadingsOutOfOrder, match=r"stands below 'ferment 2 d: 1\.040'"):
        readings_of(TubAsk("rye", log=str(log)))
    log.write_text("mash 30 min: 64 C\nferment 1 d: 1.050\n", "utf-8")
    read = readings_of(TubAsk("rye", rows=("ferment 12 h: 1.060",), log=str(log)))
    assert [(r.stage, r.at_h) for r in read] == [("mash", 0.5), ("ferment", 12.0), ("ferment", 24.0)]
    log.write_text("gravity was fine\n", "utf-8")
    with pytest.raises(NotUnderstood):
        readings_of(TubAsk("rye", log=str(log)))


@pytest.mark.parametrize(
    "asked", [{"days": -1.0}, {"days": 0.0}, {"days": 900.0}, {"room_c": 80.0}, {"at_h": (9999.0,)}]
)
def test_what_cannot_be_is_refused_before_anything_is_worked_out(
    monkeypatch: pytest.MonkeyPatch, asked: dict[str, object]
) -> None:
    monkeypatch.setattr("caskward.services.tub_simulate.size", lambda _: 1 / 0)
    with pytest.raises(OutOfRange):
        told("rye", **asked)


def test_a_starting_point_by_nearly_its_name() -> None:
    with pytest.raises(UnknownName, match="Did you mean 'pears'"):
        intent_of("pear")


# Words --------------------------------------------------------------------------------------------


def test_a_dry_date_says_what_may_never_come() -> None:
    assert tub_words.dry_words(OpenBand(1.9, 2.9, 4.9), 9.0) == "dry after 2.9 d (1.9–4.9)"
    assert "some not within 9 d" in tub_words.dry_words(OpenBand(1.9, 2.9, None), 9.0)
    assert tub_words.dry_words(OpenBand(None, None, None), 9.0) == "most likely not dry within 9 d"
    assert "quickest are after 4.0 d" in tub_words.dry_words(OpenBand(4.0, None, None), 9.0)


def test_a_gallon_of_pure_alcohol_is_two_proof_gallons() -> None:
    """One US gallon is 3.785411784 L. Source: NIST Handbook 44, appendix C; proof gallon by 27 CFR 30.11."""
    lpa = Band(3.785411784, 3.785411784, 3.785411784)
    assert tub_words.pure(lpa, "us") == "2.00 PG"
    assert tub_words.pure(lpa, "metric") == "3.79 LPA"


def test_a_far_reading_says_so_and_where_to_ask() -> None:
    of = told("rye", rows=("ferment 2 d: 1.110",))
    (said, *_) = tub_ferment_words.fit_sentences(of.ferment)
    assert "fits badly" in said
    assert "tub ask" in said


# Files --------------------------------------------------------------------------------------------


def test_the_picture_and_table_hold_the_same_ferment(rye: TubReport) -> None:
    drawn = chart(rye)
    assert drawn == chart(rye)
    assert drawn.count('stroke-width="1.6"/>') == 2 * len(rye.ferment.fits)
    lines = tub_files.csv_text(rye).splitlines()
    assert lines[0].startswith("hours,temp_c_low,temp_c_mid")
    assert len(lines) == 1 + len(rye.ferment.rows)
    assert float(lines[-1].split(",")[5]) == pytest.approx(rye.ferment.rows[-1].gravity.mid, rel=1e-5)


def test_no_way_to_cool_overfills_the_tub_or_lets_a_mash_stand_for_days(rye: TubReport) -> None:
    ways = rye.pitch.ways
    assert ways.ice_kg.mid > ways.spare_l
    said = ways_words(ways, 465.0, "metric")
    assert "of ice" not in said.split("coil")[0]
    assert "no room" in said
    assert "too long" in said.split("By itself")[1]
    roomy = replace(ways, spare_l=9000.0, lid_on_h=OpenBand(5.0, 6.0, 7.0))
    told = ways_words(roomy, 465.0, "metric")
    assert "kg of ice (thins it" in told
    assert "lid on it stands 6 h" in told
    assert "no room" not in told


def test_only_what_has_no_room_is_said_to_have_none(rye: TubReport) -> None:
    cold = OpenBand(50.0, 60.0, 70.0)
    ways = replace(rye.pitch.ways, spare_l=20.0, ice_kg=Band(8.0, 10.0, 12.0), cold_water_l=cold)
    said = ways_words(ways, 465.0, "metric")
    assert "10.0 kg of ice (thins it" in said
    assert "no room for as much cold water as it would take" in said
    later = ways_words(replace(ways, later_l=66.0), 465.0, "metric")
    assert "60.0 L of cold water, of the 66.0 L that go in later anyhow" in later
    assert "no room" not in later


def test_a_pitch_that_is_past_is_not_advised(rye: TubReport) -> None:
    assert rye.pitch.past
    assert not list(tub_words.pitch_sentences(rye.pitch, "metric"))
    labels = [label for label, _ in tub_words.pitch_lines(rye.pitch, "metric")]
    assert "pitched at, by the plan" in labels
    before = replace(rye.pitch, past=False)
    assert "coil" in next(tub_words.pitch_sentences(before, "metric"))


def test_a_cold_log_is_told_to_be_warmed_and_why_a_drop_stays_blue() -> None:
    of = told("rye", rows=("mash 10 min: 55 C",))
    assert of.landing is not None
    assert of.mash is not None
    assert "go on" not in tub_mash_words.landing_sentence(of.landing, "metric")
    said = " ".join(tub_mash_words.mash_sentences(of.mash, "metric"))
    assert "is raw still" in said
    assert "hold longer" not in said


def test_pears_are_not_said_to_lie_on_grain(pears: TubReport) -> None:
    lines = [*tub_words.separate_lines(pears.separate, "metric"), *tub_ferment_words.ferment_lines(pears)]
    assert "grain" not in " ".join(word for line in lines for word in line)
