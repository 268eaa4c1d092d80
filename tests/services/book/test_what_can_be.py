"""What can be typed but not be so: liquid from nothing, deeds out of order, a strength for an amount."""

from __future__ import annotations

from dataclasses import replace

import pytest

from caskward.errors.book import MoreAlcoholThanLiquid, MoreThanIsHeld
from caskward.errors.book_asked import (
    AllIsNoGauge,
    DatedBeforeOthers,
    HotOntoFermented,
    HowMuchOfIt,
    HowMuchWater,
    MoreThanItCouldMake,
    MoreThanWentIn,
    NoLotNamed,
    NoMashThere,
    NoMassSaid,
    StrengthInName,
)
from caskward.errors.book_typed import LessThanBefore
from caskward.properties import alcohol
from caskward.services.book import acting

from .conftest import MAUD, asked_of, later

LITRE = 1_000_000


def bulk_ul(book, account):
    """Liquid in a place [µL]."""
    with book.holdings() as holdings:
        return holdings.contents(account).get("bulk", 0)


@pytest.fixture
def mashed(do):
    """A tub with a mash of one batch, 180 L of it; another batch that was only begun."""
    for line in ("declare tub 1 600 L", "declare tub 2 600 L", "begin rye 5", "begin rye 6"):
        do(line)
    do('receive 50 kg rye, 50 kg sugar, 1 kg yeast from "Hill Farm"')
    do("mash 35 kg rye into tub 1 180 L", replace(later(240), batch="rye 5"))
    return do


def test_a_batch_ferments_where_its_mash_is(mashed, book):
    with pytest.raises(NoMashThere, match="'rye 5'") as caught:
        mashed("convert tub 1 180 L 7.6 % at 20 C", replace(MAUD, batch="rye 6"))
    assert '--batch "rye 5"' in str(caught.value)
    mashed("move tub 1 to tub 2 180 L 0 % at 20 C")
    done = mashed("convert tub 2 180 L 7.6 % at 20 C", replace(MAUD, batch="rye 5"))
    assert done.entry.kind == "converted"


def test_bought_juice_ferments_for_the_batch_whose_yeast_went_in(mashed):
    mashed("receive 100 L juice 0 % at 20 C into tub 2 from Orchard")
    with pytest.raises(NoMashThere):
        mashed("convert tub 2 99 L 6 % at 20 C", replace(MAUD, batch="rye 6"))
    mashed("add 60 g yeast to tub 2", replace(MAUD, batch="rye 6"))
    assert mashed("convert tub 2 99 L 6 % at 20 C", replace(MAUD, batch="rye 6")).entry.postings


def test_no_more_ferments_than_went_in(mashed, book):
    rye = replace(MAUD, batch="rye 5")
    with pytest.raises(MoreThanWentIn, match="378") as caught:
        mashed("convert tub 1 100 gal 7.6 % at 20 C", rye)
    assert "180 L" in str(caught.value)
    with pytest.raises(MoreThanWentIn):
        mashed("convert tub 1 190 L 7.6 % at 20 C", rye)
    assert bulk_ul(book, "vessel/tub 1") == 180 * LITRE
    mashed("convert tub 1 182 L 7.6 % at 20 C", rye)  # a dipstick's part in a hundred


def test_sugar_put_in_later_takes_its_room(mashed):
    rye = replace(MAUD, batch="rye 5")
    mashed("add 20 kg sugar to tub 1", rye)
    mashed("convert tub 1 192 L 9 % at 20 C", rye)
    with pytest.raises(MoreThanWentIn):  # it gives its room once
        mashed("convert tub 1 210 L 9.5 % at 20 C", rye)


def test_goods_that_go_in_leave_no_less_than_there_was(mashed, book):
    """The volume of a mash is all that is there then; a second batch in a full tub is no empty tub."""
    with pytest.raises(
        LessThanBefore, match=r"holds 180 L by the book, and goods that go in do not leave 30 L"
    ):
        mashed("mash 5 kg sugar into tub 1 30 L", replace(later(200), batch="rye 6"))
    assert bulk_ul(book, "vessel/tub 1") == 180 * LITRE
    mashed("mash 5 kg rye into tub 1 170 L", replace(later(200), batch="rye 5"))  # a cook boils some away
    assert bulk_ul(book, "vessel/tub 1") == 170 * LITRE


def test_a_hot_mash_on_top_of_a_wash_is_refused_for_what_it_is(mashed):
    mashed("convert tub 1 180 L 7.6 % at 20 C", replace(MAUD, batch="rye 5"))
    with pytest.raises(HotOntoFermented, match=r"still has 180 L at 7\.6 %vol in tub 1, and a mash at 85 °C"):
        mashed("mash 5 kg rye into tub 1 270 L at 85 C", replace(MAUD, batch="rye 6"))
    mashed("move tub 1 to tub 2 all", replace(MAUD, batch="rye 5"))
    assert mashed("mash 5 kg rye into tub 1 90 L at 85 C", replace(MAUD, batch="rye 6")).entry.postings


def test_what_the_lots_do_not_hold_may_just_have_come_in(mashed):
    with pytest.raises(MoreThanIsHeld, match="if more came in, receive it first"):
        mashed("mash 60 kg rye into tub 2 300 L", replace(MAUD, batch="rye 6"))


def test_the_last_of_a_tub_by_its_label_strength_is_told_to_be_all(mashed):
    mashed("convert tub 1 180 L 7.64 % at 20 C", replace(MAUD, batch="rye 5"))
    with pytest.raises(MoreAlcoholThanLiquid, match="write all in place of the litres"):
        mashed("move tub 1 to tub 2 180 L 7.6 % at 20 C", replace(MAUD, batch="rye 5"))


def test_no_more_alcohol_than_starch_could_make(mashed):
    rye = replace(MAUD, batch="rye 5")
    with pytest.raises(MoreThanItCouldMake, match=r"25\.2 L"):  # 35 kg at 0.72 L of each
        mashed("convert tub 1 180 L 15 % at 20 C on oiml-2", rye)


def test_a_ferment_dated_before_its_wash_was_moved_is_refused(mashed, book):
    rye = replace(later(180), batch="rye 5")
    moved = mashed("move tub 1 to tub 2 90 L 0 % at 20 C", later(60)).entry
    with pytest.raises(DatedBeforeOthers, match=f"entry {moved.number} is") as caught:
        mashed("convert tub 1 180 L 7.6 % at 20 C", rye)
    assert f"correct {moved.number}" in str(caught.value)
    with pytest.raises(DatedBeforeOthers):
        mashed("gauge tub 1 180 L 0 % at 20 C", later(180))
    # The way that the sentence shows leads on.
    acting.corrected(
        book, moved.number, replace(asked_of("x"), verb="", parts=()), MAUD, "out of order", None
    )
    assert mashed("convert tub 1 180 L 7.6 % at 20 C", rye).entry.postings


def test_a_closed_batch_says_what_is_left_of_it(mashed):
    mashed("convert tub 1 180 L 7.6 % at 20 C on oiml-2", replace(MAUD, batch="rye 5"))
    mashed("move tub 1 to jar 1 1 L")
    notes = mashed("close rye 5").notes
    assert notes == ("0.076 L pure of it is still in jar 1.", "13.604 L pure of it is still in tub 1.")
    mashed("mash 10 kg rye into tub 2 40 L", replace(MAUD, batch="rye 6"))
    assert mashed("close rye 6").notes == ("40 L is still in tub 2, unfermented.",)


def test_a_closed_batch_with_nothing_left_says_nothing(mashed):
    mashed("convert tub 1 180 L 7.6 % at 20 C", replace(MAUD, batch="rye 5"))
    mashed("destroy tub 1 all spoilt")
    assert mashed("close rye 5").notes == ()


@pytest.fixture
def vat(do):
    """10 L of 60 %vol in a vat."""
    do("declare vat 1 50 L")
    do("declare cask 12 50 L")
    do('receive 10 L 60 % at 20 C on oiml-2 into vat 1 from "Old Mill"')
    return do


@pytest.mark.parametrize(
    "line", ["reduce vat 1 40 % at 20 C", "reduce vat 1 to 40 %", "reduce vat 1 3 L 40 % at 20 C"]
)
def test_a_strength_is_no_water(vat, book, line):
    needs = float(alcohol.reduce(10.0, 60.0, 40.0).water_l)
    with pytest.raises(HowMuchWater, match="how much water") as caught:
        vat(line)
    assert "--found" in str(caught.value)
    assert "caskward proof" in str(caught.value)
    if "3 L" not in line:
        assert f"{needs:.2f}"[:3] in str(caught.value)
    assert bulk_ul(book, "vessel/vat 1") == pytest.approx(10 * LITRE, abs=100)


def test_proof_is_no_water_either(vat):
    with pytest.raises(HowMuchWater):
        vat("reduce vat 1 80 proof at 60 F")
    with pytest.raises(HowMuchWater) as caught:
        vat("reduce vat 1 70 % at 20 C")
    assert "To come to that" not in str(caught.value)
    assert vat("reduce vat 1 1 L water at 12 C").entry.postings


@pytest.mark.parametrize(
    "line",
    [
        "sample vat 1 60 % at 20 C",
        "lose vat 1 60 % at 20 C spilt",
        "destroy vat 1 60 % at 20 C spoilt",
        "fill vat 1 cask 12 60 % at 20 C",
        "move vat 1 to jar 1 60 % at 20 C",
        "sell vat 1 60 % at 20 C to Old Mill",
        "vat vat 1 60 % at 20 C into jar 1",
    ],
)
def test_a_strength_is_no_amount(vat, book, line):
    with pytest.raises(HowMuchOfIt, match="50 mL"):
        vat(line)
    assert bulk_ul(book, "vessel/vat 1") == pytest.approx(10 * LITRE, abs=100)


def test_all_of_a_strength_and_a_gauge_still_go(vat, book):
    vat("gauge vat 1 59.8 % at 20 C on oiml-2")
    vat("destroy vat 1 all 60 % at 20 C spoilt")
    assert bulk_ul(book, "vessel/vat 1") == 0


# What came in ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "line",
    [
        "receive 2 L 40 % at 20 C on oiml-2 from Joe into jar 7",
        "receive 2 L 40 % at 20 C on oiml-2 into jar 7 from Joe",
        "receive into jar 7 2 L 40 % at 20 C on oiml-2 from Joe",
        "receive from Joe into jar 7 2 L 40 % at 20 C on oiml-2",
        "receive from Joe 2 L 40 % at 20 C on oiml-2 into jar 7",
    ],
)
def test_bought_spirit_keeps_its_alcohol_in_any_order(do, book, line):
    do(line)
    there = book.balances("jar/")["jar/7"]
    assert there["bulk"] == 2 * LITRE
    assert there["alcohol"] == pytest.approx(800_000, abs=50)
    assert set(book.balances("received/")) == {"received/Joe"}
    assert book.balances("lot/") == {}


def test_who_brought_it_may_stand_before_the_goods(do, book):
    do("receive from Old Mill 50 kg rye, 20 kg malt")
    assert book.balances("received/")["received/Old Mill"] == {
        "mass/rye": -50 * LITRE,
        "mass/malt": -20 * LITRE,
    }


@pytest.mark.parametrize(
    "line",
    [
        "receive 2 L 40 % at 20 C from Joe",
        "receive 2 L 40 % at 20 C from Joe to jar 7",
        "receive 80 proof at 60 F from Joe",
        "receive 2 L vodka 40 % from Joe",
        'receive 3 "vodka 40 %" from Joe',
    ],
)
def test_nothing_with_a_strength_is_goods(do, book, line):
    with pytest.raises(StrengthInName, match="into"):
        do(line)
    assert book.head() is None


@pytest.mark.parametrize("line", ["2 sacks of corn", "3 bags malt", "1 box of corks"])
def test_sacks_are_no_amount(do, book, line):
    with pytest.raises(NoMassSaid, match="50 kg"):
        do(f"receive {line} from Joe")
    assert book.head() is None


def test_empty_sacks_and_named_things_are_counted(do, book):
    do('receive 20 sacks, 30 "box labels", 100 "bottle 500 mL" from Joe')
    assert set(book.balances("goods/")) == {"goods/sacks", "goods/box labels", "goods/bottle 500 mL"}


# Sentences that lead on --------------------------------------------------------------------------


def test_bottles_without_a_lot_are_asked_for_it(vat):
    with pytest.raises(NoLotNamed) as caught:
        vat("bottle vat 1 20 x 750 mL 80 proof at 60 F")
    assert 'bottle "vat 1" to L26-1 20 x 750 mL' in str(caught.value)


def test_a_gauge_of_all_is_told_what_a_gauge_is(vat):
    with pytest.raises(AllIsNoGauge, match="already") as caught:
        vat("gauge vat 1 all")
    assert "or all" not in str(caught.value)
