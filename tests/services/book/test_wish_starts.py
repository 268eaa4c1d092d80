"""Where a new plan begins: with the maker's own stores and gear, and into the book with one call."""

from __future__ import annotations

import tomllib
from datetime import UTC, datetime

import pytest

from caskward.errors import ImpossibleIntent, InputError
from caskward.errors.wishes import BatchAlreadyThere, BatchNotOpen
from caskward.services import wish_form
from caskward.services.book import demo_today, plan_kept, verbs, wish_begun, wish_starts, wish_stores
from caskward.services.book.acting import Doing
from caskward.services.book.asked import Asked
from caskward.services.book.opened import to_write
from caskward.services.wish_answer import first_look, in_full, read_wish
from caskward.services.words import buy

MAUD = Doing(by="Maud")


@pytest.fixture
def book(tmp_path):
    place = str(tmp_path / "farm.sqlite")
    demo_today.write_today(place, datetime(2026, 7, 1, tzinfo=UTC))
    with to_write(place) as opened:
        yield opened


def test_a_starting_point_takes_what_stores_holds(book) -> None:
    table = tomllib.loads(wish_starts.from_point("rye", book, "metric").text)
    held = {lot.commodity: 0 for lot in wish_stores.shelves_of(book).held.goods}
    for lot in wish_stores.shelves_of(book).held.goods:
        held[lot.commodity] += lot.amount
    assert table["stock"]["materials"]["rye"] == f"{held['mass/rye'] / 1e6:.4g} kg"
    (spirit,) = table["stock"]["spirit"]
    assert (spirit["kind"], spirit["volume"]) == ("feints", "8 L"), "as much as it began with, of their own"
    assert spirit["strength"] != "28 %"


@pytest.mark.parametrize("invented", [True, False])
def test_a_makers_own_plan_names_no_made_up_place_or_price(book, invented: bool) -> None:
    table = tomllib.loads(wish_starts.from_point("pears", book, "us", invented=invented).text)
    assert [key in table for key in ("invented", "place", "prices")] == [invented] * 3
    assert table["show"] == "us"


def test_a_batchs_plan_scales_to_another_cask(book) -> None:
    small, large = (wish_starts.from_batch(book, "rye 5", cask).text for cask in ("10 L", "20 L"))
    kg = [sum(kg for _, kg in first_look(read_wish(one, {})).bill_kg) for one in (small, large)]
    assert 1.7 < kg[1] / kg[0] < 2.3
    assert [one.name for one in wish_starts.past(book)] == ["rye 5"]


def test_an_empty_form_has_the_gear_of_the_last_plan(book) -> None:
    table = tomllib.loads(wish_starts.blank(book, "metric").text)
    assert table["strip_still"]["charge_limit"] == "110 L"
    assert "bill" not in table
    assert "cask" not in table


def test_the_shopping_list_counts_what_stores_holds(book) -> None:
    found = first_look(read_wish(wish_starts.from_point("rye", book, "metric").text, {}))
    rows = {
        row[0]: row
        for row in wish_stores.shopping_rows(found.shopping, wish_stores.shelves_of(book), "metric", "")
    }
    yeast = rows["Distillers' dry yeast"]
    assert yeast[2].endswith(" g")
    _, need, there, given, buy, _ = rows["malted barley"]
    figures = [float(text.split()[0]) for text in (need, there, buy)]
    assert figures[0] == pytest.approx(figures[1] + figures[2], abs=0.5), "rounded up to what can be weighed"
    assert given == "", "the batch under way has mashed all its grain"


def test_what_an_open_batch_counts_on_is_promised_once(book) -> None:
    there = wish_stores.shelves_of(book)
    assert {(one.what, one.amount, one.batch) for one in there.promised.liquids} == {
        ("vessel/feints", 8_000_000, "rye 5")
    }, "its plan counts on 8 L until its spirit run is charged"
    (feints,) = (one.liquid.bulk_ul for one in there.held.liquids if one.account == "vessel/feints")
    (free,) = (one.liquid.bulk_ul for one in there.free.liquids if one.account == "vessel/feints")
    assert free == feints - 8_000_000
    text = wish_starts.from_point("rye", book, "metric").text
    wish_begun.begin(book, "rye 6", text, {}, Doing(by="Maud"))
    grown = wish_stores.shelves_of(book)
    rye = grown.held.totals()["mass/rye"]
    assert grown.promised.of("mass/rye") == rye, "its bill wants more than there is"
    assert grown.promised.of("vessel/feints") == 16_000_000
    assert wish_stores.shelves_of(book, "rye 6").promised == there.promised, "its own plan may take it"
    again = tomllib.loads(wish_starts.from_point("rye", book, "metric").text)
    assert "rye" not in again["stock"].get("materials", {})


def test_page_and_paper_say_the_same_to_buy(book) -> None:
    plan = in_full(read_wish(wish_starts.from_point("rye", book, "metric").text, {})).whole
    there = wish_stores.shelves_of(book)
    paper = wish_stores.planned_by_stores(plan, there).shopping
    rows = wish_stores.shopping_rows(plan.shopping, there, "metric", "")
    assert [row[4] for row in rows] == [buy(one, "metric") if one.buy else "nothing" for one in paper]
    bought = {one.key: one.buy for one in paper}
    assert bought["enzyme/Thinning enzyme"] == 0.0, "327 mL of it are in store"
    for one in paper:
        assert one.in_stock + one.buy >= one.need - 1e-6


def test_a_batch_begins_once_with_its_plan(book) -> None:
    text = wish_starts.from_point("rye", book, "metric").text
    for _ in range(2):
        begun = wish_begun.begin(book, "rye 6", text, {}, Doing(by="Maud", key="one"))
    assert begun[0].repeated
    kept = plan_kept.kept_plan(book, "rye 6")
    assert kept.intent == text
    entries = book.of_batch("rye 6")
    assert [one.kind for one in entries] == ["begun", "planned"]
    with pytest.raises(BatchAlreadyThere):
        wish_begun.begin(book, "rye 6", text, {}, Doing(by="Maud", key="two"))


def test_a_wish_that_cannot_be_done_begins_nothing(book) -> None:
    text = wish_form.text_with(wish_starts.from_point("rye", book, "metric").text, {"tub_volume": "100 L"})
    with pytest.raises(ImpossibleIntent):
        wish_begun.begin(book, "rye 6", text, {}, Doing(by="Maud", key="one"))
    with pytest.raises(InputError):
        wish_begun.begin(book, "", text, {}, Doing(by="Maud", key="two"))
    assert book.of_batch("rye 6") == ()


def test_an_open_batch_takes_a_plan_and_a_closed_one_none(book) -> None:
    text = wish_starts.from_point("rye", book, "metric").text
    verbs.done_in(book, Asked("begin", ("rye 6",)), MAUD)
    wish_begun.give(book, "rye 6", text, {}, Doing(by="Maud", key="one"))
    assert plan_kept.kept_plan(book, "rye 6").intent == text
    with pytest.raises(BatchNotOpen):
        wish_begun.give(book, "rye 3", text, {}, Doing(by="Maud", key="two"))
