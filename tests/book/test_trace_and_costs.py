"""What a content is made of, where it came from and what it cost, against sums done by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from caskward.book import deeds
from caskward.book.amounts import liquid, mg, ul
from caskward.book.costs import CostLine, costs_of, not_placed, spent
from caskward.book.deeds import Cost, Goods, Part
from caskward.book.flow import Tag, flow_of
from caskward.book.history import as_put_right
from caskward.book.state import replay
from caskward.book.trace import Node, Trace, trace_of
from caskward.errors.book import NothingInIt
from tests.support.keeper import Keeper, small_farm


def traced(book: Keeper) -> Trace:
    return trace_of(as_put_right(book.entries))


def accounts(nodes: tuple[Node, ...]) -> set[str]:
    return {node.account for node in nodes}


def test_from_a_sold_bottle_back_to_every_sack_and_person() -> None:
    book = small_farm()
    lineage = traced(book).back("sold/farm shop")
    assert accounts(lineage.of("lot")) == {"lot/rye 1", "lot/rye 2"}
    assert accounts(lineage.of("received")) == {"received/Hollow Farm", "received/Glassworks"}
    assert accounts(lineage.of("cask")) == {"cask/1"}
    assert lineage.people == ("Ada", "Ben")
    products = [traced(book).happenings[number].details.get("supplier_lot") for number in lineage.entries]
    assert "H-7" in products


def test_from_a_sack_forward_to_every_bottle_and_who_has_it() -> None:
    lineage = traced(small_farm()).forward("lot/rye 2")
    assert accounts(lineage.of("bottles")) == {"bottles/L1"}
    assert accounts(lineage.of("sold")) == {"sold/farm shop"}
    assert accounts(lineage.of("cask", "jar")) == {
        "cask/1",
        "jar/low 1",
        "jar/low 2",
        "jar/heart",
        "jar/feints",
    }
    assert "goods/bottles" not in accounts(lineage.nodes)


def test_what_comes_later_into_a_place_is_not_in_what_left_it_before() -> None:
    """A second filling of the heart's jar touches no bottle; topping the cask only what leaves it then."""
    book = small_farm()
    book.enter(deeds.receive_liquid(book.act(), "jar/heart", liquid(5, 65), "Neighbour"))
    book.enter(deeds.top(book.act(), book.state, Part("jar/heart", liquid(2, 65)), "cask/1"))
    trace = traced(book)
    assert accounts(trace.forward("received/Neighbour").nodes) == {
        "received/Neighbour",
        "jar/heart",
        "cask/1",
    }
    assert "received/Neighbour" not in accounts(trace.back("bottles/L1").nodes)
    assert "received/Neighbour" in accounts(trace.back("cask/1").nodes)
    assert "received/Neighbour" not in accounts(trace.back("cask/1", 13).nodes)


def test_what_lies_untouched_in_a_lot_is_a_part_of_its_trace() -> None:
    book = small_farm()
    more = deeds.receive(book.act(author="Cy"), [Goods("lot/rye 1", "mass/rye", mg(5))], "Hollow Farm")
    number = book.enter(more).number
    lineage = traced(book).forward("lot/rye 1")
    assert Node("lot/rye 1", number) in lineage.starts
    assert "Cy" in lineage.people


def test_an_emptied_place_forgets_what_it_held() -> None:
    book = small_farm()
    book.enter(deeds.destroy(book.act(), book.state, Part("jar/feints", liquid(5, 40)), "spoilt"))
    book.enter(deeds.receive_liquid(book.act(), "jar/feints", liquid(5, 30), "Neighbour"))
    assert accounts(traced(book).back("jar/feints").nodes) == {"jar/feints", "received/Neighbour"}


def test_what_is_too_little_to_count_is_still_recalled() -> None:
    """1 mg of acid in 400 L rounds to nothing in a sample, but the sample is in its trace."""
    book = Keeper()
    book.enter(deeds.declare(book.act(), {"vessel/tub": ul(500)}))
    book.enter(deeds.receive(book.act(), [Goods("lot/acid", "mass/acid", 1)], "Chemist"))
    book.enter(deeds.begin(book.act("one")))
    book.enter(deeds.mash(book.act("one"), [], "vessel/tub", ul(400)))
    book.enter(deeds.use(book.act("one"), [Goods("lot/acid", "mass/acid", 1)], "vessel/tub"))
    book.enter(deeds.convert(book.act("one"), book.state, "vessel/tub", liquid(400, 8)))
    book.enter(deeds.sample(book.act("one"), book.state, Part("vessel/tub", liquid("0.1", 8)), "laboratory"))
    trace = traced(book)
    assert trace.materials("sampled/laboratory") == {}
    assert "sampled/laboratory" in accounts(trace.forward("lot/acid").nodes)
    assert "lot/acid" in accounts(trace.back("sampled/laboratory").nodes)


def test_materials_go_with_the_alcohol() -> None:
    """Of 60 kg 15/16 to low wines, of those 26/30 to the heart, 3/4 of it into the cask, 2/3 into bottles."""
    trace = traced(small_farm())
    mixed = Fraction(60) * Fraction(15, 16) * Fraction(26, 30) * Fraction(3, 4)
    in_cask = sum(amount for tag, amount in trace.materials("cask/1").items() if tag.origin == "lot/rye 1")
    in_bottles = {tag.origin: amount for tag, amount in trace.materials("bottles/L1").items()}
    assert in_cask == pytest.approx(float(mixed / 3) * 1e6, abs=5)
    assert in_bottles["lot/rye 1"] == pytest.approx(
        float(mixed * Fraction(2, 3) * Fraction(28, 40)) * 1e6, abs=5
    )
    assert in_bottles["goods/bottles"] == 28


def test_a_lot_named_wrongly_is_right_in_the_trace_after_its_correction() -> None:
    book = small_farm()
    old = next(entry for entry in book.entries if entry.kind == "mashed")
    right = deeds.mash(book.act("rye 1"), [Goods("lot/rye 1", "mass/rye", mg(80))], "vessel/tub", ul(405))
    book.enter(deeds.correct(book.act(), old, right, "one lot only"))
    trace = traced(book)
    assert accounts(trace.back("sold/farm shop").of("lot")) == {"lot/rye 1"}
    assert accounts(trace.forward("lot/rye 2").nodes) == {"lot/rye 2"}
    assert replay(book.entries).contents("lot/rye 2") == {"mass/rye": mg(40)}


def test_a_correction_that_leaves_too_little_behind_is_owed_not_lost() -> None:
    """As put right, 30 L left a jar of 10 L before more came: what was lacking is marked as owed."""
    book = Keeper()
    book.enter(deeds.receive_liquid(book.act(), "jar/a", liquid(10, 50), "Neighbour"))
    book.enter(deeds.move(book.act(), book.state, Part("jar/a", liquid(5, 50)), "jar/b"))
    book.enter(deeds.receive_liquid(book.act(), "jar/a", liquid(40, 50), "Other"))
    ahead = deeds.move(book.act(), book.state, Part("jar/a", liquid(30, 50)), "jar/b")
    book.enter(deeds.correct(book.act(), book.entries[1], ahead, "misread"))
    flow = flow_of(as_put_right(book.entries))
    assert sum(flow.content("jar/a", "alcohol").values()) == ul(10)
    assert sum(flow.content("jar/b", "alcohol").values()) == ul(15)
    owed = Tag("alcohol", "unaccounted/not there yet", 2)
    assert (flow.pools["jar/a"][owed], flow.pools["jar/b"][owed]) == (-ul(10), ul(10))


def test_where_alcohol_came_from_in_a_mixture() -> None:
    book = small_farm()
    book.enter(deeds.receive_liquid(book.act(), "jar/heart", liquid(10, 35), "Neighbour"))
    flow = flow_of(as_put_right(book.entries))
    made = Tag("alcohol", "made/fermentation/rye 1", 6)
    bought = Tag("alcohol", "received/Neighbour", 16)
    assert flow.content("jar/heart", "alcohol") == {made: ul("6.5"), bought: ul("3.5")}


# Money -------------------------------------------------------------------------------------------


def test_money_stays_with_what_has_to_earn_it() -> None:
    """In cents: 9,500 of rye and 1,200 of energy for 28 L of alcohol, 9,000 for the cask, 50 a bottle.

    Stillage, foreshots and what is unaccounted bear nothing. Within 3 cents: each of the steps rounds once.
    """
    flow = flow_of(as_put_right(small_farm().entries))
    heart = Fraction(10_700) * 26 / 28
    bottled = (heart * 3 / 4 + 9000) * 2 / 3 + 40 * 50
    sheets = {account: costs_of(flow, account) for account in flow.pools}
    assert sheets["jar/feints"][0].minor == pytest.approx(10_700 * 2 / 28, abs=3)
    assert sheets["bottles/L1"][0].minor == pytest.approx(float(bottled * 28 / 40), abs=3)
    assert sheets["sold/farm shop"][0].minor == pytest.approx(float(bottled * 12 / 40), abs=3)
    assert sheets["lot/rye 1"][0].minor == 1500
    assert sheets["lost/stillage/rye 1"] == sheets["destroyed/foreshots/rye 1"] == ()
    assert spent(flow) == {"EUR": 6000 + 5000 + 5000 + 1200 + 9000}


def test_cost_by_litre_and_by_bottle_is_exact() -> None:
    flow = flow_of(as_put_right(small_farm().entries))
    (sheet,) = costs_of(flow, "bottles/L1")
    assert (sheet.pieces, sheet.alcohol_ul) == (28, ul("9.1"))
    assert sheet.minor_per_lpa == Fraction(sheet.minor) / Fraction("9.1")
    assert sheet.minor_per_piece == Fraction(sheet.minor, 28)
    assert sum(sheet.by_piece()) == sheet.minor
    assert max(sheet.by_piece()) - min(sheet.by_piece()) <= 1
    assert [line.what for line in sheet.lines] == ["cask", "rye", "bottles", "energy"]


def test_a_total_loss_takes_its_money_with_it() -> None:
    book = small_farm()
    book.enter(deeds.lose(book.act(), book.state, Part("jar/feints", liquid(5, 40)), "spilt"))
    flow = flow_of(as_put_right(book.entries))
    assert costs_of(flow, "jar/feints") == ()
    assert costs_of(flow, "lost/spilt")[0].minor == pytest.approx(764, abs=3)


def test_money_for_nothing_in_particular_is_named() -> None:
    book = small_farm()
    book.enter(deeds.note(book.act(costs=(Cost("rent", 700, "GBP"),))))
    flow = flow_of(as_put_right(book.entries))
    assert not_placed(flow) == (CostLine("rent (entry 16)", 700),)
    assert spent(flow)["GBP"] == 700


def test_two_currencies_make_two_sheets() -> None:
    book = small_farm()
    book.enter(deeds.note(book.act(costs=(Cost("paint", 300, "GBP", "cask/1"),))))
    sheets = costs_of(flow_of(as_put_right(book.entries)), "cask/1")
    assert [(sheet.currency, sheet.minor) for sheet in sheets][1] == ("GBP", 300)
    assert sheets[0].currency == "EUR"


def test_an_account_never_heard_of_has_no_trace() -> None:
    with pytest.raises(NothingInIt, match="cask/99"):
        traced(small_farm()).back("cask/99")


def priced() -> Keeper:
    """10 L of spirit for 10.00 EUR in a jar."""
    book = Keeper()
    price = (Cost("spirit", 1000, "EUR"),)
    book.enter(deeds.receive_liquid(book.act(costs=price), "jar/a", liquid(10, 60), "Neighbour"))
    return book


def test_what_is_lost_on_the_way_is_paid_by_what_arrives() -> None:
    book = priced()
    book.enter(deeds.move(book.act(), book.state, Part("jar/a", liquid(5, 60)), "jar/b", liquid(4, 60)))
    flow = flow_of(as_put_right(book.entries))
    assert [costs_of(flow, account)[0].minor for account in ("jar/a", "jar/b")] == [500, 500]
    assert costs_of(flow, "lost/transfer/jar a") == ()


def test_what_is_spilt_from_a_jar_is_paid_by_what_stays() -> None:
    book = priced()
    book.enter(deeds.lose(book.act(), book.state, Part("jar/a", liquid(5, 60)), "spilt"))
    flow = flow_of(as_put_right(book.entries))
    assert costs_of(flow, "jar/a")[0].minor == 1000
    assert costs_of(flow, "lost/spilt") == ()
    assert flow.content("lost/spilt", "alcohol") == {Tag("alcohol", "received/Neighbour", 1): ul(3)}
