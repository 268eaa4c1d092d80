"""Every deed from its words: what it posts, by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from caskward.errors import MissingValue, UnclearValue
from caskward.errors.book import (
    AlreadyCorrected,
    BatchClosed,
    MoreThanIsHeld,
    NoSuchBatch,
    NothingInIt,
    NotYet,
    OverItsVolume,
)
from caskward.errors.book_asked import AllIsNoGauge
from caskward.errors.book_typed import (
    GoneOnSince,
    HowMuch,
    NoMaterial,
    NoUnit,
    OfAnotherPlace,
    PlaceUnknown,
    SlashInName,
    WhichBatch,
    WhyWanted,
)
from caskward.properties import alcohol
from caskward.services.book import acting, verbs
from caskward.services.book.prices import price

from .conftest import EVENING, MAUD, asked_of

LITRE = 1_000_000


def holds(book, account):
    """Alcohol and liquid of a place [µL]."""
    with book.holdings() as holdings:
        there = holdings.contents(account)
    return there.get("alcohol", 0), there.get("bulk", 0)


def amounts(entry):
    """Postings as a dict."""
    return {(part.account, part.commodity): part.amount for part in entry.postings}


def test_materials_become_wash(farm, book):
    assert holds(book, "vessel/tub 1") == (14_400_000, 180 * LITRE)
    balances = book.balances("lot/")
    assert balances == {"lot/rye lot 6": {"mass/rye": 15 * LITRE}, "lot/malt lot 6": {"mass/malt": 8 * LITRE}}
    mashed = next(entry for entry in book.entries() if entry.kind == "mashed")
    assert amounts(mashed)["used/rye 5", "mass/rye"] == 35 * LITRE
    assert mashed.batch == "rye 5"
    converted = next(entry for entry in book.entries() if entry.kind == "converted")
    assert amounts(converted)["made/fermentation/rye 5", "alcohol"] == -14_400_000


def test_a_material_comes_from_its_oldest_lot_first(do, book):
    do("declare tub 1 600 L")
    do("begin rye 5")
    do('receive 20 kg rye from "Hill Farm"')
    do('receive 20 kg rye from "Old Mill"')
    used = amounts(do("mash 30 kg rye into tub 1 100 L").entry)
    assert used["lot/rye lot 3", "mass/rye"] == -20 * LITRE
    assert used["lot/rye lot 4", "mass/rye"] == -10 * LITRE
    with pytest.raises(MoreThanIsHeld, match="10 kg there"):
        do("add 11 kg rye to tub 1")
    named = amounts(do("add 1 kg rye lot 4 to tub 1").entry)
    assert named["lot/rye lot 4", "mass/rye"] == -1 * LITRE


def test_names_of_several_words_need_no_quotes(farm, book):
    farm("move tub 1 to pot still 120 L")
    farm('move "pot still" jar 1 1 L')
    farm('move "pot still" "jar low wines" 1 L')
    assert holds(book, "vessel/pot still")[1] == 118 * LITRE
    assert holds(book, "jar/1") == holds(book, "jar/low wines") == (80_000, LITRE)


def test_a_place_may_be_written_as_its_account(farm, book):
    farm("move vessel/tub 1 to CASK/12 10 L")
    assert holds(book, "cask/12")[1] == 10 * LITRE


def test_two_places_of_one_name_are_asked_about(farm):
    farm("declare cask tank 50 L")
    with pytest.raises(UnclearValue, match="cask/tank"):
        farm("move tub 1 to tank 1 L")


def test_what_is_lost_on_the_way(farm, book):
    done = farm("move tub 1 to pot still 120 L", arrived="119 L")
    assert amounts(done.entry)["lost/transfer/vessel tub 1", "bulk"] == LITRE
    assert holds(book, "vessel/pot still")[1] == 119 * LITRE


def test_all_that_was_measured_empties_a_place(farm, book):
    done = farm("move tub 1 to pot still all 149 L 8 % at 20 C on oiml-2")
    assert holds(book, "vessel/tub 1") == (0, 0)
    left = {account for account, _ in amounts(done.entry) if account.startswith("unaccounted/")}
    assert left == {"unaccounted/open/vessel tub 1"}


def test_a_run_of_the_still(farm, book):
    farm("move tub 1 to pot still 100 L")
    done = farm(
        "distil pot still into jar 1 500 mL 70 % at 20 C on oiml-2, jar 2 16 L 44 % at 20 C on oiml-2",
        left="83 L 0.5 % at 20 C",
        destroyed="foreshots 200 mL 80 % at 20 C",
    )
    posted = amounts(done.entry)
    assert posted["vessel/pot still", "alcohol"] == -8 * LITRE
    assert posted["jar/1", "alcohol"] == pytest.approx(350_000, abs=50)
    assert posted["destroyed/foreshots/rye 5", "bulk"] == pytest.approx(200_000, abs=50)
    assert posted["lost/stillage/rye 5", "alcohol"] == pytest.approx(415_000, abs=50)
    missing = 8_000_000 - 350_000 - 7_040_000 - 160_000 - 415_000
    assert posted["unaccounted/measuring/vessel pot still", "alcohol"] == pytest.approx(missing, abs=200)
    assert holds(book, "vessel/pot still") == (0, 0)
    assert done.entry.batch == "rye 5"


def test_bought_spirit_is_distilled_for_no_batch(do, book):
    do("declare still 100 L")
    do('receive 50 L 30 % at 20 C on oiml-2 into still from "Old Mill"')
    done = do("distil still into jar 1 24 L 60 % at 20 C on oiml-2", left="26 L water")
    assert done.entry.batch is None
    assert amounts(done.entry)["lost/stillage/vessel still", "bulk"] == pytest.approx(26 * LITRE, abs=10)


def test_what_nothing_accounts_for_is_asked_about(farm):
    farm("move tub 1 to pot still 100 L")
    done = farm("distil pot still into jar 2 14 L 44 % at 20 C on oiml-2", left="83 L 0.5 % at 20 C")
    open_ul = amounts(done.entry)["unaccounted/open/vessel pot still", "alcohol"]
    assert open_ul == pytest.approx(8_000_000 - 6_160_000 - 415_000, abs=200)


def test_water_shrinks_with_spirit_as_the_tables_say(do, book):
    do("declare tank 100 L")
    do('receive 10 L 96 % at 20 C into tank from "Old Mill"')
    before, _ = holds(book, "vessel/tank")
    needed = alcohol.reduce(10.0, 96.0, 40.0)
    done = do(f"reduce tank {needed.water_l:.4f} L")
    after = holds(book, "vessel/tank")
    assert after[0] == before
    assert after[0] / after[1] == pytest.approx(0.40, abs=2e-5)
    assert "Contraction" in done.notes[-1]


def test_measured_water_goes_before_what_is_worked_out(do, book):
    do("declare tank 100 L")
    do('receive 10 L 60 % at 20 C into tank from "Old Mill"')
    do("reduce tank 5 L", found="14.8 L")
    assert holds(book, "vessel/tank")[1] == pytest.approx(14_800_000, abs=100)


def test_a_cask_filled_gauged_explained_topped_sampled(do, book):
    for line in ("declare tank 100 L", "declare cask 12 50 L"):
        do(line)
    do('receive 45 L 63 % at 20 C into tank from "Old Mill"')
    filled = do(
        "fill tank to cask 12 40 L", replace(MAUD, costs=(price("180 EUR", "cask"),)), price="180 EUR"
    )
    assert filled.entry.details["costs"][0]["account"] == "cask/12"
    assert filled.entry.details["costs"][0]["minor"] == 18_000
    gauged = do("gauge cask 12 38.5 L 62.9 % at 20 C on oiml-2").entry
    missing_ul = amounts(gauged)["unaccounted/open/cask 12", "bulk"]
    assert missing_ul == pytest.approx(1_500_000, abs=100)
    explained = do("explain cask 12 evaporation").entry
    assert amounts(explained)["lost/evaporation/cask 12", "bulk"] == missing_ul
    do("top cask 12 from tank 1 L")
    do("sample cask 12 100 mL")
    assert holds(book, "cask/12")[1] == pytest.approx(39_400_000, abs=100)
    assert book.balances("sampled/")["sampled/tasting"]["bulk"] == 100_000


def test_a_gauge_within_its_instruments_changes_nothing(do, book):
    do("declare cask 12 50 L")
    do('receive 40 L 63 % at 20 C into cask 12 from "Old Mill"')
    done = do("gauge cask 12 39.8 L 62.9 % at 20 C on oiml-2")
    assert done.entry.postings == ()
    narrow = do("gauge cask 12 39.8 L 62.9 % at 20 C on oiml-2", within="0.1 L")
    assert amounts(narrow.entry)["unaccounted/open/cask 12", "bulk"] == pytest.approx(200_000, abs=100)


def test_a_part_of_what_is_missing_is_explained(do, book):
    do("declare cask 12 50 L")
    do('receive 40 L 60 % at 20 C into cask 12 from "Old Mill"')
    do("gauge cask 12 38 L")
    do('explain cask 12 "spilt at the tap" 500 mL')
    do("explain cask 12 evaporation")
    assert book.balances("lost/")["lost/spilt at the tap/cask 12"] == {"alcohol": 300_000, "bulk": 500_000}
    assert book.balances("lost/")["lost/evaporation/cask 12"]["bulk"] == pytest.approx(1_500_000, abs=10)
    with pytest.raises(NothingInIt):
        do("explain cask 12 evaporation")


def test_bottles_filled_sold_broken(do, book):
    do("declare tank 100 L")
    do('receive 20 L 46 % at 20 C into tank from "Old Mill"')
    do('receive 100 "bottle 500 mL", 100 corks from "Glass House"')
    do("bottle tank L26-1 38 x 500 mL", taken="all", **{"with": "38 corks"})
    stock = book.balances("bottles/")["bottles/L26-1"]
    assert stock == {"alcohol": 8_740_000, "bulk": 19 * LITRE, "piece/bottle 500 mL": 38}
    assert book.balances("goods/")["goods/corks"] == {"piece/corks": 62}
    assert holds(book, "vessel/tank") == (0, 0)
    assert book.balances("lost/")["lost/bottling/L26-1"] == {"alcohol": 460_000, "bulk": LITRE}
    do('sell L26-1 12 to "farm shop"')
    do("sell L26-1 1 bottle to Maud's aunt".replace("'", ""))
    do("lose L26-1 2 broken")
    do("sample L26-1 1")
    assert book.balances("bottles/")["bottles/L26-1"]["piece/bottle 500 mL"] == 22
    assert book.balances("sold/")["sold/farm shop"]["bulk"] == 6 * LITRE
    with pytest.raises(MoreThanIsHeld, match="22"):
        do("sell L26-1 23 to shop")


def test_empty_bottles_that_nobody_counted(do, book):
    do("declare tank 100 L")
    do('receive 20 L 46 % at 20 C into tank from "Old Mill"')
    do("bottle tank L26-2 10 x 700 mL 46 % at 20 C")
    assert book.balances("received/")["received/not counted"] == {"piece/bottle 700 mL": -10}


def test_goods_weighed_lost_and_counted(farm, book):
    done = farm("gauge rye lot 6 14.95 kg")
    assert done.entry.postings == ()  # a shop scale and a torn sack: a part in a hundred
    farm("gauge rye lot 6 14 kg")
    farm("explain rye lot 6 mice")
    farm("lose malt lot 6 2 kg mouldy")
    assert book.balances("lost/")["lost/mice/lot rye lot 6"] == {"mass/rye": LITRE}
    assert book.balances("lost/")["lost/mouldy"] == {"mass/malt": 2 * LITRE}
    farm('receive 200 corks from "Glass House"')
    farm("gauge corks 198")
    assert book.balances("goods/")["goods/corks"] == {"piece/corks": 198}


def test_the_only_lot_of_a_material_goes_by_its_name(farm, book):
    farm("lose malt 2 kg mouldy")
    assert book.balances("lost/")["lost/mouldy"] == {"mass/malt": 2 * LITRE}
    farm('receive 5 kg malt from "Hill Farm"')
    with pytest.raises(UnclearValue, match="malt lot 6"):
        farm("lose malt 2 kg mouldy")


def test_a_name_may_begin_with_a_small_word(farm, book):
    farm("declare the old vat 100 L")
    farm("move tub 1 to the old vat 10 L")
    farm("move from the old vat to tank all")
    assert holds(book, "vessel/tank")[1] == 10 * LITRE


def test_weak_spirit_and_water_ask_nothing(farm, book):
    farm("reduce tub 1 3 L")
    assert holds(book, "vessel/tub 1") == (14_400_000, 183 * LITRE)
    assert book.balances("unaccounted/") == {}


def test_several_liquids_together(do, book):
    do("declare tank 100 L")
    for jar in ("jar 1", "jar 2"):
        do(f'receive 5 L 60 % at 20 C into {jar} from "Old Mill"')
    do("vat jar 1 all, jar 2 2 L into tank", found="6.98 L")
    assert holds(book, "vessel/tank")[0] == pytest.approx(4_200_000, abs=100)
    assert holds(book, "vessel/tank")[1] == pytest.approx(6_980_000, abs=200)
    assert holds(book, "jar/2")[1] == pytest.approx(3 * LITRE, abs=100)


def test_liquid_sold_and_destroyed(do, book):
    do('receive 5 L 60 % at 20 C into jar 1 from "Old Mill"')
    do("sell jar 1 1 L to Old Mill Ltd")
    do("destroy jar 1 all spoilt")
    assert book.balances("sold/")["sold/Old Mill Ltd"]["bulk"] == pytest.approx(LITRE, abs=10)
    assert book.balances("destroyed/")["destroyed/spoilt"]["bulk"] == pytest.approx(4 * LITRE, abs=10)


# Corrections -------------------------------------------------------------------------------------


def put_right(book, number, line="", why="read the wrong line", **options):
    asked = asked_of(line, **options) if line else replace(asked_of("x"), verb="", parts=())
    make = verbs.maker(asked.verb) if asked.verb else None
    return acting.corrected(book, number, asked, MAUD, why, make)


def test_a_correction_is_worked_out_from_what_was_there_before(farm, book):
    wrong = farm("move tub 1 to pot still 120 L").entry
    farm("sample tub 1 1 L")
    done = put_right(book, wrong.number, "move tub 1 to pot still 110 L")
    assert holds(book, "vessel/pot still")[1] == 110 * LITRE
    assert holds(book, "vessel/tub 1")[1] == 69 * LITRE
    assert done.entry.corrects == wrong.number
    assert done.entry.details["asked"] == f"correct {wrong.number} move tub 1 to pot still '110 L'".replace(
        "'", ""
    )
    with pytest.raises(AlreadyCorrected):
        put_right(book, wrong.number)


def test_what_never_happened_is_taken_back(farm, book):
    wrong = farm("sample tub 1 1 L").entry
    put_right(book, wrong.number, why="entered twice")
    assert holds(book, "vessel/tub 1")[1] == 180 * LITRE


def test_what_has_gone_on_is_corrected_from_the_newest(farm, book):
    first = farm("move tub 1 to pot still 90 L").entry
    farm("move pot still to tank all")
    with pytest.raises(GoneOnSince, match="newest first"):
        put_right(book, first.number, "move tub 1 to pot still 80 L")


def test_why_it_is_corrected_is_no_reason_of_the_deed(farm, book):
    wrong = farm("lose tub 1 2 L spilt").entry
    put_right(book, wrong.number, "lose tub 1 1 L spilt", why="read the wrong line")
    asked = asked_of("sample tub 1 1 L", why="read the wrong line")
    number = farm("sample tub 1 2 L laboratory").entry.number
    acting.corrected(book, number, asked, MAUD, "read the wrong line", verbs.maker("sample"))
    assert book.balances("sampled/") == {"sampled/tasting": {"alcohol": 80_000, "bulk": LITRE}}
    assert book.balances("lost/") == {"lost/spilt": {"alcohol": 80_000, "bulk": LITRE}}


def test_a_correction_of_another_place_is_asked_about(farm, book):
    farm('receive 5 L 60 % at 20 C into jar 1 from "Old Mill"')
    wrong = farm("sample tub 1 1 L").entry
    with pytest.raises(OfAnotherPlace, match="sample tub 1 1 L"):
        put_right(book, wrong.number, "destroy jar 1 all spoilt")


def test_a_correction_says_why(farm, book):
    with pytest.raises(MissingValue, match="--why"):
        put_right(book, farm("sample tub 1 1 L").entry.number, why=" ")


# Refusals ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "refusal", "told"),
    [
        ("move tub 1 to pot still 181 L", MoreThanIsHeld, "180 L there"),
        ("move jar 7 to pot still 1 L", NothingInIt, "jar/7"),
        ("move tub 1 to pot still 151 L", OverItsVolume, "150 L"),
        ("move tub 1 to pot stil 1 L", PlaceUnknown, "'pot still'"),
        ("move tub 1 to tub 1 1 L", Exception, "both where it comes from"),
        ("move tub 1 to pot still 100 L 163 % at 20 C", Exception, "163 proof"),
        ("move tub 1 to pot still 100 L 101 % at 20 C", Exception, "101"),
        ("move tub 1 to pot still", HowMuch, "20 L"),
        ("move tub 1", MissingValue, "where it goes"),
        ("move", MissingValue, "where it comes from"),
        ("mash 5 kg rya into tub 1 190 L", NoMaterial, "'rye'"),
        ("mash rye into tub 1 190 L", NoUnit, "25 kg"),
        ("mash 5 kg rye", MissingValue, "into"),
        ("mash 5 kg rye into tub 1", MissingValue, "180 L"),
        ("lose tub 1 1 L", WhyWanted, "spilt"),
        ("destroy tub 1 all", WhyWanted, "foreshots"),
        ("sell tub 1 1 L", MissingValue, "farm shop"),
        ("receive 5 kg rye", MissingValue, "Hill Farm"),
        ("explain tub 1", WhyWanted, "evaporation"),
        ("bottle tub 1 L26-1 40 bottles", Exception, "40 x 500 mL"),
        ("declare tub 7", Exception, "600 L"),
        ("measure wsh: 8 %", Exception, "'wash'"),
        ("measure", MissingValue, "mash 3 h"),
        ("distil tub 1", MissingValue, "jar 1"),
        ("gauge tub 1 all", AllIsNoGauge, "20 L"),
        ("gauge tub 1 0 % at 20 C", HowMuch, "20 L"),
        ("sell tub 1 1 L to A/B", SlashInName, "'A-B'"),
        ("lose tub 1 1 L leak/tap", SlashInName, "'leak-tap'"),
        ("receive 5 kg rye from A/B", SlashInName, "'A-B'"),
        ("explain tub 1 a/b", SlashInName, "'a-b'"),
    ],
)
def test_a_wrong_deed_is_refused_with_what_is_there(farm, book, line, refusal, told):
    before = book.head()
    with pytest.raises(refusal, match=told.replace("(", r"\(")) as caught:
        farm(line)
    assert caught.value.exit_code == 2
    assert book.head() == before


def test_a_deed_of_tomorrow_is_refused_in_local_time(farm):
    tomorrow = EVENING + timedelta(hours=14)
    with pytest.raises(NotYet, match=f"{tomorrow.astimezone():%Y-%m-%d %H:%M}"):
        farm("sample tub 1 1 L", replace(MAUD, at=tomorrow.isoformat()))


def test_a_deed_belongs_to_the_only_open_batch_or_is_asked(farm):
    farm("begin rye 6")
    farm("move tub 1 to pot still 100 L")
    with pytest.raises(WhichBatch, match="'rye 5', 'rye 6'"):
        farm("distil pot still into jar 1 10 L 60 % at 20 C")
    with pytest.raises(NoSuchBatch, match="'rye 5'"):
        farm("sample tub 1 1 L", replace(MAUD, batch="rye5"))
    farm("close rye 6")
    with pytest.raises(BatchClosed):
        farm("sample tub 1 1 L", replace(MAUD, batch="rye 6"))
    farm("close")
    with pytest.raises(WhichBatch, match="begin"):
        farm("measure wash: 8 %")
