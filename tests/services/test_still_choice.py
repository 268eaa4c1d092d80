"""The service behind a choice of jars: plain figures for a face, the same as planning gives."""

from __future__ import annotations

import json
import re
from dataclasses import replace

import pytest

from caskward.errors import MissingValue, NoSuchChoice, UnknownName
from caskward.services import still_jar_words as words
from caskward.services.still_choice import Band, Gauged, Wish, as_json, cap, choose, chosen, read_mark

MARKS = ("discard", "-1", "+1", "+2", "+2", "+1", "0", "-2")
JARS = [
    Gauged(
        f"jar {k + 1}",
        1.0,
        84.0 - 3.0 * k,
        read_mark(mark, f"jar {k + 1}"),
        {"ethyl acetate": Band(80.0 / (k + 1), 100.0 / (k + 1), 130.0 / (k + 1))},
    )
    for k, mark in enumerate(MARKS)
]
WISH = Wish(4.0, 63.0, caps=(cap("ethyl acetate", 100.0),))


def test_a_cut_and_a_free_choice_come_with_all_they_give() -> None:
    cut, free = choose(JARS, WISH, "cut"), choose(JARS, WISH, "free", time_limit_s=10.0)
    assert cut.how == "the best of all unbroken cuts"
    assert free.how == "proven best of all choices"
    assert free.mean_mark >= cut.mean_mark
    assert [line.name for line in cut.jars if line.share] == ["jar 3", "jar 4", "jar 5", "jar 6"]
    lpa = sum(0.84 - 0.03 * k for k in (2, 3, 4, 5))
    assert cut.heart.lpa.mid == pytest.approx(lpa, rel=2e-3)
    assert cut.reduced.volume_l.mid == pytest.approx(lpa / 0.63, rel=2e-3)
    assert cut.reduced.volume_l.low < cut.reduced.volume_l.mid < cut.reduced.volume_l.high
    assert cut.in_cask_l.mid + cut.surplus_l.mid == pytest.approx(cut.reduced.volume_l.mid, rel=1e-2)
    assert cut.discarded.volume_l.mid == pytest.approx(1.0, rel=1e-2)
    assert cut.levels[0].mg_per_l.mid < 100.0
    assert 0.5 < cut.chance <= 1.0


def test_a_sure_choice_fills_as_often_as_wished() -> None:
    """4.3 L are just there in jars 3 to 6 as read; to be sure of them in 9 of 10 worlds takes more."""
    asked = Wish(sum(0.84 - 0.03 * k for k in (2, 3, 4, 5)) / 0.63, 63.0, confidence=0.9)
    as_read, sure = choose(JARS, asked, "cut"), choose(JARS, asked, "cut", sure=True)
    assert 0.3 < as_read.chance < 0.7
    assert sure.chance >= 0.9
    assert sum(line.share for line in sure.jars) > sum(line.share for line in as_read.jars)
    free = choose(JARS, asked, "free", sure=True)
    assert free.chance >= 0.9
    assert free.gap is None
    assert free.how == "a good choice that is sure enough; a better one may exist"


def test_a_maker_s_own_choice_is_not_judged_but_shown() -> None:
    own = chosen(JARS, {"jar 2", "jar 4"}, WISH)
    assert own.how == "as you chose"
    assert own.gap is None
    assert own.chance == 0.0
    assert own.in_cask_l.high < 4.0
    assert [line.share for line in own.jars] == [0, 1, 0, 1, 0, 0, 0, 0]
    assert not own.judged
    with pytest.raises(MissingValue, match="names of jars"):
        chosen(JARS, set(), WISH)
    with pytest.raises(UnknownName, match=r"'jar 9' is not a known jar\. Known: jar 1, jar 2"):
        chosen(JARS, {"jar 9"}, WISH)


def test_a_maker_s_own_choice_says_which_limits_it_breaks() -> None:
    """Jar 1 is foreshots; jar 3 holds 33 mg in 0.78 L of pure alcohol, twice 2 g/hL, and nothing is known of
    its acetal; jar 8 has 63 %vol and is weaker than 70."""
    own = chosen(JARS, {"jar 1", "jar 8"}, WISH)
    said = " ".join(words.choice_warnings(own, WISH, "metric"))
    assert "Jar 1 is marked discard" in said
    assert "short" in said
    assert words.jar_rows(own, WISH, "metric")[1][-1] != "your mark"
    tight = replace(WISH, caps=(cap("ethyl acetate", 2.0, "g/hL"), cap("acetal", 100.0)))
    broken = " ".join(words.choice_warnings(chosen(JARS, {"jar 3"}, tight), tight, "metric"))
    assert "over your limit of 2 g/hL" in broken
    assert "Acetal is not known" in broken
    assert words.choice_warnings(choose(JARS, WISH, "cut"), WISH, "metric") == ()
    weak = Wish(0.5, 70.0)
    assert "weaker than the 70.0 %vol asked" in " ".join(
        words.choice_warnings(chosen(JARS, {"jar 8"}, weak), weak, "metric")
    )
    assert "at 63.0 %vol" in words.choice_headline(chosen(JARS, {"jar 8"}, weak), weak, "metric")


def test_what_a_mark_or_a_limit_forbids_is_not_offered() -> None:
    rows = words.jar_rows(choose(JARS, WISH, "cut"), WISH, "metric")
    assert rows[1][-3:] == ("", "", "your mark")
    capped = replace(WISH, caps=(cap("ethyl acetate", 35.0),))
    report = choose(JARS, capped, "cut")
    moved = {row[0]: row[-1] for row in words.jar_rows(report, capped, "metric")[1:]}
    assert moved["jar 2"] == "over a limit"
    assert report.levels[0].mg_per_l is not None
    assert report.levels[0].mg_per_l.mid < 35.0


def test_a_us_maker_reads_proof_gallons_and_proof() -> None:
    """A proof gallon is a US gallon at 60 °F, half of it alcohol: 1.9032 L of pure alcohol at 20 °C by the
    densities of pure ethanol at 15.56 °C (793.13 kg/m3) and 20 °C (789.24), source oiml-r22, read."""
    report = choose(JARS, WISH, "cut")
    rows = dict(words.choice_lines(report, WISH, "us"))
    gallons = float(rows["pure alcohol in it"].split()[0])
    assert gallons == pytest.approx(report.heart.lpa.mid / (0.5 * 3.785412 * 793.13 / 789.24), abs=0.006)
    assert words.jar_rows(report, WISH, "us")[0][2:4] == ("gal", "proof")
    assert words.jar_rows(report, WISH, "us")[1][3] == "167.9"
    with pytest.raises(NoSuchChoice, match=r"at most 2\.11 gal \(at least 10\.6 gal is asked\)"):
        choose(JARS, replace(WISH, wanted_l=40.0, show="us"), "cut")


def test_a_report_goes_out_as_json() -> None:
    report = choose(JARS, WISH, "cut")
    read = json.loads(as_json(report))
    assert read["heart"]["lpa"]["mid"] == pytest.approx(report.heart.lpa.mid, rel=1e-5)
    assert read["heart"]["lpa"]["mid"] != report.heart.lpa.mid
    assert read["jars"][2]["worth"]["name"] == "jar 3"
    assert len(read["jars"]) == 8


def test_what_cannot_be_is_said() -> None:
    with pytest.raises(NoSuchChoice, match=r"comes to at most 8\.00 L \(at least 40\.0 L is asked\)"):
        choose(JARS, Wish(40.0, 63.0), "free")


def test_jars_without_a_mark_of_the_maker_s_are_said_to_be() -> None:
    bare = [replace(jar, mark=read_mark("maybe", jar.name)) for jar in JARS]
    said = words.choice_warnings(choose(bare, replace(WISH, caps=()), "cut"), WISH, "metric")
    assert any("bears the same mark" in one for one in said)
    own = words.choice_warnings(chosen(bare, {"jar 3"}, WISH), WISH, "metric")
    assert not any("bears the same mark" in one for one in own)


def test_a_number_alone_names_a_jar_of_the_run() -> None:
    assert chosen(JARS, {"2", "jar 4"}, WISH) == chosen(JARS, {"jar 2", "jar 4"}, WISH)
    with pytest.raises(UnknownName, match="'99' is not a known jar"):
        chosen(JARS, {"99"}, WISH)


def test_a_band_across_half_a_gallon_is_in_one_unit() -> None:
    us_gallon_l = 3.785411784
    jars = [Gauged("jar 1", us_gallon_l * 0.503, 75.0), Gauged("jar 2", 1.0, 70.0)]
    lines = dict(words.choice_lines(chosen(jars, {"jar 1"}, Wish(0.0, 63.0)), Wish(0.0, 63.0), "us"))
    assert re.match(r"64\.4 fl oz \(63\.7–65\.0\) at ", lines["heart, as it stands"])
