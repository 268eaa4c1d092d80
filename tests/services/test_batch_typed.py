"""Rows of a whole batch as a maker types them; strengths against the proof scale and a warm sample."""

from __future__ import annotations

import pytest

from caskward.errors import CaskwardError, InputError, ReadingsOutOfOrder
from caskward.planning.readings import Reading
from caskward.properties import alcohol
from caskward.services.batch_typed import row_of, rows


def _told(readings: tuple[Reading, ...]) -> list[tuple[str, str, float, float, float]]:
    return [(r.stage, r.quantity, round(r.value, 3), round(r.at_h, 3), round(r.at_l, 2)) for r in readings]


@pytest.mark.parametrize(
    ("row", "read"),
    [
        ("mash 3 h: 1.060, 61 C", [("gravity", 1.06), ("temperature", 61.0)]),
        ("wash: 1.000, 8.4 %, 340 L", [("gravity", 1.0), ("strength", 8.4), ("volume", 340.0)]),
        ("strip 2 L: 54 %", [("spout", 54.0)]),
        ("strip 2 L: spout 54 %", [("spout", 54.0)]),
        ("strip: 110 L, 26 %", [("volume", 110.0), ("strength", 26.0)]),
        ("charge: 119 L, 26 %", [("volume", 119.0), ("strength", 26.0)]),
        ("run at 12 L: 71,5 %", [("spout", 71.5)]),
        ("spirit run 12 L: 71 %", [("spout", 71.0)]),
        ("Hearts: 22L,70%vol", [("volume", 22.0), ("strength", 70.0)]),
        ("cask: 24 L; 60 %", [("volume", 24.0), ("strength", 60.0)]),
        ("mash 90 min: starch blue", [("starch", 1.0)]),
    ],
)
def test_a_row_is_read(row: str, read: list[tuple[str, float]]) -> None:
    assert [(r.quantity, r.value) for r in row_of(row)] == read
    assert all(r.said == " ".join(row.split()) for r in row_of(row))


def test_moments_are_hours_or_litres() -> None:
    assert _told(row_of("mash 90 min: 1.060")) == [("mash", "gravity", 1.06, 1.5, 0.0)]
    assert _told(row_of("ferment 4 d: 1.010")) == [("ferment", "gravity", 1.01, 96.0, 0.0)]
    assert _told(row_of("run 3 gal: 71 %")) == [("run", "spout", 71.0, 0.0, 11.36)]


def test_a_us_maker_reads_proof() -> None:
    """Source: 27 CFR 30.11, proof is twice the %vol at 60 °F; at 20 °C it is within 0.2 %vol of half."""
    (spout,) = row_of("run 3 gal: 142 proof")
    assert spout.value == pytest.approx(71.0, abs=0.2)


@pytest.mark.parametrize(("read", "true_proof"), [("193 proof at 72 F", 190.2), ("192 proof at 73 F", 188.9)])
def test_a_proof_hydrometer_is_made_for_60_f(read: str, true_proof: float) -> None:
    """Source: 27 CFR 30.23, rows of Table 1, printed to 0.1 proof; at 60 °F it shows the truth (30.11)."""
    (strength,) = row_of(f"heart: {read}")
    assert alcohol.proof_60f(strength.value) == pytest.approx(true_proof, abs=0.1)
    assert row_of("heart: 152 proof at 60 F")[0].value == pytest.approx(row_of("heart: 152 proof")[0].value)


def test_a_warm_sample_is_brought_to_20_c() -> None:
    """OIML R 22, glass at 20 °C: 70 % read at 25 °C is truly about 1.7 %vol weaker; *from memory*."""
    strength = row_of("heart: 22 L, 70 % at 25 C")[1]
    assert strength.value == pytest.approx(68.3, abs=0.2)
    assert row_of("heart: 70 % at 20 C")[0].value == pytest.approx(70.0, abs=0.01)


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("wash 4 d: 1.010", "'ferment 4 d: 1.010'"),
        ("charge 3 h: 26 %", "read as a whole"),
        ("run: 22 L", "'heart: 22 L, 70 %'"),
        ("mash: 1.060", "hours since it began"),
        ("mash 2 L: 1.060", "is a volume"),
        ("run 2 h: 71 %", "is a duration"),
        ("strip 2 L: 22 L", "at the spout"),
        ("hart: 22 L", "Did you mean 'heart'?"),
        ("mash 3 h 1.060", "not understood as readings of a batch"),
        ("mash 3 h:", "not understood as readings of a batch"),
        ("mash 3 h: 61", "a reading of a mash, with its unit"),
        ("wash: -4 %", "a reading of a wash, with its unit"),
        ("heart: 170 %", "between 0 and 100"),
        ("charge: 20 C", "no reading of a charge"),
        ("ferment 20 h: 1.050 at 24 C", "If the tub was at 24 C, write 1.050, 24 C"),
        ("mash 90 min: gravity 12 Brix @ 20C", "write gravity cooled 12 Brix"),
        ("mash 90 h: 1.060", "between 0 and 72"),
    ],
)
def test_what_cannot_be_used_ends_in_a_sentence(row: str, said: str) -> None:
    with pytest.raises(InputError) as refused:
        row_of(row)
    assert said.replace("'", "") in str(refused.value).replace("'", "").replace('"', "")
    assert refused.value.exit_code == 2


def test_rows_are_put_in_the_order_of_the_batch_and_it_is_said() -> None:
    found = rows(["mash 3 h: 1.060", "wash: 8.4 %"], ["ferment 2 d: 1.020"])
    assert [r.stage for r in found.readings] == ["mash", "ferment", "wash"]
    assert any("came after 'wash: 8.4 %' but is earlier" in note for note in found.notes)
    assert rows([], ["mash 1 h: 1.05", "mash 2 h: 1.06", "wash: 8 %"]).notes == ()


def test_a_log_that_goes_back_in_time_is_refused() -> None:
    with pytest.raises(ReadingsOutOfOrder, match=r"mine\.txt is out of order: 'mash 1 h: 1\.058'"):
        rows(["mash 3 h: 1.060", "mash 1 h: 1.058"], [], "mine.txt")
    with pytest.raises(CaskwardError, match="run 2 L"):
        rows(["run 12 L: 71 %", "run 2 L: 75 %"], [])


def test_the_whole_of_a_strip_comes_after_its_course() -> None:
    log = ["strip 2 L: 51 %", "strip 40 L: 30 %", "strip: 102 L, 26 %", "charge: 110 L"]
    found = rows(log, [])
    assert [r.at_l for r in found.readings] == [2.0, 40.0, 0.0, 0.0, 0.0]
    assert [r.of_whole for r in found.readings] == [False, False, True, True, False]
    assert found.notes == ()
    assert rows([], [log[2], log[0], log[1]]).readings == found.readings[:4]


@pytest.mark.parametrize(
    "log",
    [
        ["strip: 102 L", "strip 2 L: 51 %"],
        ["strip 40 L: 30 %", "strip 2 L: 51 %"],
        ["cask 30 d: 61 %", "cask: 24 L"],
    ],
)
def test_what_ends_a_stage_does_not_stand_above_its_course(log: list[str]) -> None:
    with pytest.raises(ReadingsOutOfOrder):
        rows(log, [])


def test_no_strip_is_read_after_more_than_all_of_it() -> None:
    with pytest.raises(InputError, match="more litres than 'strip: 3 L' says the strip gave in all"):
        rows(["strip 20 L: 40 %", "strip: 3 L"], [])


def test_the_same_twice_is_taken_once_and_said() -> None:
    found = rows(["mash 3 h: 1.060, 61 C"], ["mash 3 h: 1.060"])
    assert [r.quantity for r in found.readings] == ["gravity", "temperature"]
    assert found.pairs == ()
    assert found.notes == ("Given twice, taken once: the gravity in 'mash 3 h: 1.060'.",)


def test_two_values_of_one_moment_are_both_kept_as_a_pair() -> None:
    found = rows([], ["wash: 8.4 %", "wash: 5 %", "run 2 L: 75 %", "run 3 L: 74 %"])
    assert [r.value for r in found.readings] == [8.4, 5.0, 75.0, 74.0]
    assert [(p.first.value, p.second.value) for p in found.pairs] == [(8.4, 5.0)]


@pytest.mark.parametrize(
    ("row", "bound", "value"),
    [
        ("run 2 L: over 80 %", "over", 80.0),
        ("wash: gravity under 1.000", "under", 1.0),
        ("ferment 9 d: < 1.000", "under", 1.0),
        ("charge: above 30 %", "over", 30.0),
    ],
)
def test_where_an_instrument_ends_it_says_over_or_under(row: str, bound: str, value: float) -> None:
    (found,) = row_of(row)
    assert (found.bound, found.value) == (bound, value)


@pytest.mark.parametrize("row", ["mash 1 h: over 61 C", "mash 1 h: over starch blue"])
def test_what_is_followed_or_answered_has_no_over(row: str) -> None:
    with pytest.raises(InputError):
        row_of(row)


def test_over_and_under_at_one_moment_are_no_contradiction() -> None:
    assert rows([], ["wash: over 7 %", "wash: under 9 %", "wash: over 6 %"]).pairs == ()
