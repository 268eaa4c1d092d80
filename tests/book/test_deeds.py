"""Each act as a maker does it, against sums done by hand."""

from __future__ import annotations

import pytest

from caskward.book import deeds
from caskward.book.amounts import Liquid, liquid, mg, ul
from caskward.book.deeds import Bottling, Cost, Goods, Part, Run
from caskward.book.deeds.bottling import bottles_in
from caskward.errors.book import BadField, MoreThanIsHeld, NothingInIt
from tests.support.keeper import Keeper, small_farm


@pytest.fixture
def book() -> Keeper:
    return small_farm()


def stocked(**litres: tuple[float, float]) -> Keeper:
    """A book with these liquids (litres, %vol) in jars and one empty vessel of 100 L."""
    keeper = Keeper()
    keeper.enter(deeds.declare(keeper.act(), {"vessel/a": ul(100), "cask/1": ul(30)}))
    keeper.enter(deeds.begin(keeper.act("one")))
    for jar, (volume, strength) in litres.items():
        keeper.enter(deeds.receive_liquid(keeper.act(), f"jar/{jar}", liquid(volume, strength), "Neighbour"))
    return keeper


def test_a_small_farm_ends_where_a_pencil_does(book: Keeper) -> None:
    """32 L made; 0.75 + 0.75 + 0.27 L drained, 0.25 + 0.25 open, 0.7 foreshots, 12 of 40 bottles sold ..."""
    assert book.holds("made/fermentation/rye 1") == (-32, 0)
    assert book.holds("lost/stillage/rye 1") == (1.77, 354)
    assert book.holds("unaccounted/open/vessel still") == (0.5, 0)
    assert book.holds("destroyed/foreshots/rye 1") == (0.7, 1)
    # 30 L came; 26 + 2 + 0.27 + 0.7 L were found. What is missing is within the 2 L of the instruments.
    assert book.holds("unaccounted/measuring/vessel still") == (1.03, 0)
    assert book.holds("jar/heart") == book.holds("cask/1") == (6.5, 10)
    assert book.holds("bottles/L1") == (9.1, 14)
    assert book.holds("sold/farm shop") == (3.9, 6)
    assert book.holds("vessel/still") == book.holds("vessel/tub") == (0, 0)
    assert book.state.contents("lot/rye 1") == {"mass/rye": mg(20)}
    assert book.state.contents("used/rye 1") == {"mass/rye": mg(100)}
    assert book.state.contents("goods/bottles") == {"piece/bottle 500 mL": 60}


def test_less_arrived_than_was_sent() -> None:
    keeper = stocked(a=(10, 60))
    sent = Part("jar/a", liquid(10, 60))
    keeper.enter(deeds.move(keeper.act("one"), keeper.state, sent, "vessel/a", liquid("9.9", 60)))
    assert keeper.holds("vessel/a") == (5.94, 9.9)
    assert keeper.holds("lost/transfer/one") == (0.06, 0.1)


def test_more_arrived_than_was_sent() -> None:
    keeper = stocked(a=(10, 60))
    sent = Part("jar/a", liquid(9, 60))
    keeper.enter(deeds.move(keeper.act(), keeper.state, sent, "vessel/a", liquid("9.1", 60)))
    assert keeper.holds("vessel/a") == (5.46, 9.1)
    assert keeper.holds("unaccounted/open/vessel a") == (-0.06, -0.1)


@pytest.mark.parametrize(
    ("volume_l", "account", "left"),
    [
        ("9.99", "unaccounted/measuring/jar a", (0.006, 0.01)),
        ("10.01", "unaccounted/measuring/jar a", (-0.006, -0.01)),
        ("9", "unaccounted/open/jar a", (0.6, 1)),
    ],
)
def test_an_emptied_place_is_empty(volume_l: str, account: str, left: tuple[float, float]) -> None:
    """Within the instruments' doubt no reason is asked for; beyond it the difference is open."""
    keeper = stocked(a=(10, 60))
    part = Part("jar/a", liquid(volume_l, 60), empties=True, within=Liquid(ul("0.02"), ul("0.02")))
    keeper.enter(deeds.move(keeper.act(), keeper.state, part, "vessel/a"))
    assert keeper.holds("jar/a") == (0, 0)
    assert keeper.holds(account) == left


def test_an_emptied_place_gives_no_more_than_instruments_may_mistake() -> None:
    keeper = stocked(a=(10, 60))
    part = Part("jar/a", liquid(11, 60), empties=True, within=Liquid(ul("0.02"), ul("0.02")))
    with pytest.raises(MoreThanIsHeld, match="the book has 10 L"):
        deeds.move(keeper.act(), keeper.state, part, "vessel/a")


def test_vatting_keeps_alcohol_and_measures_the_contraction() -> None:
    keeper = stocked(a=(10, 70), b=(10, 20))
    parts = [Part("jar/a", liquid(10, 70)), Part("jar/b", liquid(10, 20))]
    keeper.enter(deeds.vat(keeper.act(), keeper.state, parts, "vessel/a", ul("19.5")))
    assert keeper.holds("vessel/a") == (9, 19.5)
    assert keeper.holds("changed/contraction") == (0, 0.5)


def test_reducing_adds_water_and_no_alcohol() -> None:
    """0.53 L of water to 1 L at 70 %vol makes 1.5 L: 0.03 L are contraction, the alcohol stays."""
    keeper = stocked(a=(1, 70))
    keeper.enter(deeds.reduce(keeper.act(), keeper.state, "jar/a", ul("0.53"), ul("1.5")))
    assert keeper.holds("jar/a") == (0.7, 1.5)
    assert keeper.holds("changed/water") == (0, -0.53)
    assert keeper.holds("changed/contraction") == (0, 0.03)


def test_a_run_that_gives_more_than_was_charged_is_refused() -> None:
    keeper = stocked(a=(10, 40))
    charge = deeds.move(keeper.act(), keeper.state, Part("jar/a", liquid(10, 40)), "vessel/a")
    keeper.enter(charge)
    run = Run((("jar/b", liquid(6, 70)),), within_ul=ul("0.1"))
    with pytest.raises(MoreThanIsHeld, match=r"4\.2 L of pure alcohol .* the book has 4 L"):
        deeds.distil(keeper.act(), keeper.state, "vessel/a", run)
    wider = Run((("jar/b", liquid(6, 70)),), within_ul=ul("0.2"))
    keeper.enter(deeds.distil(keeper.act(), keeper.state, "vessel/a", wider))
    assert keeper.holds("unaccounted/measuring/vessel a") == (-0.2, 0)


def test_a_gauge_within_its_tolerance_changes_nothing() -> None:
    keeper = stocked(a=(10, 60))
    entry = keeper.enter(
        deeds.gauge(keeper.act(), keeper.state, "jar/a", liquid("9.95", 60), Liquid(ul(".03"), ul(".05")))
    )
    assert entry.postings == ()
    assert keeper.holds("jar/a") == (6, 10)


def test_a_gauge_beyond_its_tolerance_is_posted_and_explained() -> None:
    keeper = stocked(a=(10, 60))
    keeper.enter(
        deeds.gauge(keeper.act(), keeper.state, "jar/a", liquid("9.5", 59), Liquid(ul(".03"), ul(".05")))
    )
    assert keeper.holds("jar/a") == (5.605, 9.5)
    assert keeper.holds("unaccounted/open/jar a") == (0.395, 0.5)
    part = Liquid(ul(".3"), ul(".4"))
    keeper.enter(deeds.explain(keeper.act(), keeper.state, "jar/a", "evaporation", part))
    keeper.enter(deeds.explain(keeper.act(), keeper.state, "jar/a", "spilt"))
    assert keeper.holds("lost/evaporation/jar a") == (0.3, 0.4)
    assert keeper.holds("lost/spilt/jar a") == (0.095, 0.1)
    with pytest.raises(NothingInIt, match="open difference"):
        deeds.explain(keeper.act(), keeper.state, "jar/a", "spilt")


def test_what_was_found_too_much_stays_unaccounted_under_its_reason() -> None:
    keeper = stocked(a=(10, 60))
    keeper.enter(deeds.gauge(keeper.act(), keeper.state, "jar/a", liquid(11, 60)))
    keeper.enter(deeds.explain(keeper.act(), keeper.state, "jar/a", "misread before"))
    assert keeper.holds("jar/a") == (6.6, 11)
    assert keeper.holds("unaccounted/misread before/jar a") == (-0.6, -1)


def test_goods_are_counted_in_the_same_way(book: Keeper) -> None:
    book.enter(
        deeds.gauge_goods(book.act(), book.state, Goods("lot/rye 1", "mass/rye", mg("19.9")), mg("0.05"))
    )
    assert book.state.contents("lot/rye 1") == {"mass/rye": mg("19.9")}
    assert book.state.contents("unaccounted/open/lot rye 1") == {"mass/rye": mg("0.1")}
    book.enter(deeds.explain(book.act(), book.state, "lot/rye 1", "mice"))
    assert book.state.contents("lost/mice/lot rye 1") == {"mass/rye": mg("0.1")}
    book.enter(
        deeds.discard(book.act(), [Goods("lot/rye 1", "mass/rye", mg("19.9"))], "mould", destroyed=True)
    )
    assert book.state.contents("lot/rye 1") == {}


def test_bottles_take_their_own_part_and_the_last_one_the_rest(book: Keeper) -> None:
    """Sold one by one, 28 bottles leave nothing behind, and no two differ by more than a µL."""
    shares = []
    for _ in range(28):
        before = book.state.contents("bottles/L1")["alcohol"]
        book.enter(deeds.sell_bottles(book.act(), book.state, "bottles/L1", 1, "market"))
        shares.append(before - book.state.contents("bottles/L1").get("alcohol", 0))
    assert book.state.contents("bottles/L1") == {}
    assert sum(shares) == 9_100_000
    assert max(shares) - min(shares) <= 1


def test_bottling_loses_what_is_in_no_bottle(book: Keeper) -> None:
    corks = Goods("goods/corks", "piece/cork", 100)
    book.enter(deeds.receive(book.act(), [corks], "Corkmaker"))
    lot = Bottling(
        "bottles/L2",
        Goods("goods/bottles", "piece/bottle 500 mL", 19),
        500_000,
        65,
        (Goods("goods/corks", "piece/cork", 19),),
    )
    book.enter(deeds.bottle(book.act("rye 1"), book.state, Part("cask/1", liquid(10, 65), empties=True), lot))
    assert book.holds("lost/bottling/L2") == (0.325, 0.5)
    assert book.holds("cask/1") == (0, 0)
    assert bottles_in(book.state, "bottles/L2") == (19, liquid("9.5", 65))
    assert book.state.contents("goods/corks") == {"piece/cork": 81}


def test_broken_bottles_and_gifts_leave_by_their_own_name(book: Keeper) -> None:
    entry = book.enter(deeds.send_bottles(book.act(), book.state, "bottles/L1", 1, "lost/broken/L1"))
    assert entry.kind == "lost"
    assert (
        book.enter(deeds.send_bottles(book.act(), book.state, "bottles/L1", 2, "sampled/gift")).kind
        == "sampled"
    )
    assert book.holds("lost/broken/L1") == (0.325, 0.5)


@pytest.mark.parametrize(
    ("way", "root"), [(deeds.sell, "sold"), (deeds.destroy, "destroyed"), (deeds.lose, "lost")]
)
def test_spirit_leaves_by_a_named_end(book: Keeper, way: object, root: str) -> None:
    book.enter(way(book.act(), book.state, Part("jar/heart", liquid(2, 65)), "somewhere"))  # type: ignore[operator]
    assert book.holds(f"{root}/somewhere") == (1.3, 2)


def test_a_cask_is_topped(book: Keeper) -> None:
    entry = book.enter(deeds.top(book.act(), book.state, Part("jar/heart", liquid(2, 65)), "cask/1"))
    assert entry.kind == "topped"
    assert book.holds("cask/1") == (7.8, 12)


def test_plans_and_measurements_change_no_balance(book: Keeper) -> None:
    before = {name: dict(there) for name, there in book.state.balances.items()}
    book.enter(deeds.plan(book.act("rye 1"), "[cask]\n", {"strips": 4, "entry": "60"}, "sha-of-facts"))
    book.enter(deeds.measure(book.act("rye 1"), "vessel/tub", {"starch": "none"}))
    assert book.state.balances == before
    assert book.entries[-2].details["method"] == {"strips": 4, "entry": "60"}


def test_a_cost_needs_its_currency(book: Keeper) -> None:
    for cost in (Cost("rye", 5, ""), Cost("rye", -5, "EUR")):
        with pytest.raises(BadField):
            deeds.note(book.act(costs=(cost,)))


@pytest.mark.parametrize(("volume_l", "kind"), [("9.98", "measuring"), ("9.979999", "open")])
def test_doubt_ends_where_it_is_said_to(volume_l: str, kind: str) -> None:
    keeper = stocked(a=(10, 0))
    part = Part("jar/a", liquid(volume_l, 0), empties=True, within=Liquid(0, ul("0.02")))
    keeper.enter(deeds.move(keeper.act(), keeper.state, part, "vessel/a"))
    assert f"unaccounted/{kind}/jar a" in keeper.state.balances


@pytest.mark.parametrize(("volume_l", "strength"), [("9.9", "60.6"), ("9.96", "59")])
def test_a_gauge_must_bear_out_both_figures(volume_l: str, strength: str) -> None:
    """9.9 L at 60.6 %vol hold the book's alcohol in too little liquid, 9.96 L at 59 %vol too little of it."""
    keeper = stocked(a=(10, 60))
    found, within = liquid(volume_l, strength), Liquid(ul("0.03"), ul("0.05"))
    keeper.enter(deeds.gauge(keeper.act(), keeper.state, "jar/a", found, within))
    assert keeper.state.contents("jar/a") == {"alcohol": found.alcohol_ul, "bulk": found.bulk_ul}


def test_a_vatting_of_many_batches_is_bottled_for_none(book: Keeper) -> None:
    book.enter(deeds.receive(book.act(), [Goods("goods/corks", "piece/cork", 100)], "Corkmaker"))
    corks = (Goods("goods/corks", "piece/cork", 20),)
    lot = Bottling("bottles/L2", Goods("goods/bottles", "piece/bottle 500 mL", 20), 500_000, 65, corks)
    book.enter(deeds.bottle(book.act(), book.state, deeds.all_of(book.state, "cask/1"), lot))
    assert book.state.contents("used/L2") == {"piece/cork": 20}


def test_nothing_grows_by_being_mixed() -> None:
    """10 L and 1 L of water are found to be 11.2 L: some measure is wrong, and a reason is asked for."""
    keeper = stocked(a=(10, 60))
    keeper.enter(deeds.reduce(keeper.act(), keeper.state, "jar/a", ul(1), ul("11.2")))
    assert keeper.holds("unaccounted/open/jar a") == (0, -0.2)
    assert keeper.holds("changed/contraction") == (0, 0)
