"""A lineage condensed: nothing is lost, nothing follows itself, and a tree that names every step."""

from __future__ import annotations

import pytest
from hypothesis import given, settings

from caskward.book import deeds
from caskward.book.accounts import root_of
from caskward.book.amounts import liquid, mg
from caskward.book.deeds import Part
from caskward.services.book.demo_book import demo_entries
from caskward.services.book.lineage import Condensed, condensed
from caskward.services.book.looked import Looked
from caskward.services.book.trace_report import TraceReport, trace_data, trace_report
from caskward.services.book.trace_words import trace_page, tree
from tests.support.keeper import Keeper, histories, small_farm


@pytest.fixture(scope="module")
def year() -> Looked:
    return Looked(demo_entries())


def names(report: TraceReport) -> list[str]:
    return [line.words for line in tree(report)]


def test_back_from_bottles_to_the_sacks() -> None:
    report = trace_report(Looked(small_farm().entries), "bottles L1")
    assert [(part.account, part.supplier, part.supplier_lot) for part in report.lots] == [
        ("lot/rye 1", "Hollow Farm", "H-7"),
        ("lot/rye 2", "Hollow Farm", "H-7"),
        ("goods/bottles", "Glassworks", ""),
    ]
    assert report.people == ("Ada", "Ben")
    assert report.alcohol[0].origin == "made/fermentation/rye 1"
    assert len(report.alcohol) == 1


def test_the_tree_of_a_small_farm() -> None:
    said = names(trace_report(Looked(small_farm().entries), "bottles L1"))
    assert said == [
        "bottles L1",
        "• lot bottles: bottle 500 mL, Glassworks",
        "from cask 1",
        "from jar heart",
        "from still",
        "from jars low 1, low 2",
        "from still, 2 times",
        "from tub",
        "• lot rye 1: rye, Hollow Farm, H-7",
        "• lot rye 2: rye, Hollow Farm, H-7",
    ]


def test_forward_from_a_sack_to_bottles_and_buyers() -> None:
    """All 80 kg of rye 1 are somewhere: unused, in what is there, was sold, was lost or thrown away."""
    book = Looked(small_farm().entries)
    report = trace_report(book, "rye 1", "forward")
    where = {end.account: end for end in report.ends}
    assert set(where) == {
        "lot/rye 1",
        "jar/heart",
        "jar/feints",
        "cask/1",
        "bottles/L1",
        "sold/farm shop",
    }
    assert where["lot/rye 1"].amount == mg(20)
    assert where["bottles/L1"].pieces == 28
    assert where["sold/farm shop"].gone
    beside = sum(
        amount
        for account in book.flow.pools
        if root_of(account).name in ("lost", "destroyed", "unaccounted")
        for tag, amount in book.flow.content(account, "mass").items()
        if tag.origin == "lot/rye 1"
    )
    assert sum(end.amount for end in report.ends) + beside == mg(80)


def test_a_recall_of_bottles_counts_those_still_here() -> None:
    report = trace_report(Looked(small_farm().entries), "bottles L1", "forward")
    pieces = {end.account: (end.pieces, end.gone) for end in report.ends}
    assert pieces == {"bottles/L1": (28, False), "sold/farm shop": (12, True)}
    assert "28 bottles here, in 12 bottles sold" in trace_page(report, "metric").answers[0]


def test_a_correction_is_put_right_in_a_lineage() -> None:
    """A move into the wrong cask, corrected: the wrong one has nothing of the lot."""
    book = small_farm()
    book.enter(deeds.declare(book.act(), {"cask/2": 10_000_000, "cask/3": 10_000_000}))
    wrong = book.enter(deeds.move(book.act(), book.state, Part("jar/heart", liquid(2, 65)), "cask/2"))
    right = deeds.move(book.act(), book.state, Part("jar/heart", liquid(2, 65)), "cask/3")
    book.enter(deeds.correct(book.act(), wrong, right, "the next cask"))
    ends = {end.account for end in trace_report(Looked(book.entries), "rye 1", "forward").ends}
    assert "cask/3" in ends
    assert "cask/2" not in ends


def edges_run_forward(found: Condensed) -> bool:
    """No way leads back: steps can be laid one after another."""
    left = {step.key: len(found.sources.get(step.key, ())) for step in found.steps}
    ready, done = [key for key, count in left.items() if not count], 0
    while ready:
        key, done = ready.pop(), done + 1
        for after in found.targets.get(key, ()):
            left[after] -= 1
            if not left[after]:
                ready.append(after)
    return done == len(found.steps)


@settings(max_examples=40)
@given(histories())
def test_condensing_loses_nothing_and_leads_nowhere_back(keeper: Keeper) -> None:
    trace = Looked(keeper.entries).trace
    for account in sorted(trace.last):
        for lineage in (trace.back(account), trace.forward(account)):
            found = condensed(trace, lineage)
            kept = [node for step in found.steps for node in step.nodes]
            assert len(kept) == len(set(kept))
            missing = set(lineage.nodes) - set(kept)
            beside = {"made", "received", "lost", "destroyed", "unaccounted", "changed"}
            assert {root_of(node.account).name for node in missing} <= beside
            assert edges_run_forward(found)
            assert all(way.source != way.target for way in found.ways)


@settings(max_examples=25)
@given(histories())
def test_what_flows_between_steps_is_what_flowed_between_contents(keeper: Keeper) -> None:
    """Each way's amounts are the edges between its contents, once each."""
    trace = Looked(keeper.entries).trace
    for account in sorted(trace.last):
        lineage = trace.back(account)
        found = condensed(trace, lineage)
        home = {node: step.key for step in found.steps for node in step.nodes}
        by_hand: dict[tuple[int, int, str], int] = {}
        for edge in set(lineage.edges):
            ends = home.get(edge.source), home.get(edge.target)
            if None not in ends and ends[0] != ends[1]:
                place = (*ends, edge.commodity)
                by_hand[place] = by_hand.get(place, 0) + edge.amount  # type: ignore[index, arg-type]
        assert by_hand == {
            (way.source, way.target, what): amount
            for way in found.ways
            for what, amount in way.amounts.items()
        }


@settings(max_examples=40)
@given(histories())
def test_the_tree_names_every_step_once_and_again_only_as_above(keeper: Keeper) -> None:
    book = Looked(keeper.entries)
    for account in sorted(book.trace.last):
        for direction in ("back", "forward"):
            report = trace_report(book, account, direction)  # type: ignore[arg-type]
            lines = tree(report)
            told = sum(len(s.accounts) if s.root in ("lot", "goods") else 1 for s in report.steps.steps)
            assert sum(line.detail != "as above" for line in lines) == told


def test_the_year_s_bottles_name_every_lot_that_could_be_in_them(year: Looked) -> None:
    """The reserve that topped cask 1 held rye 1 to wheat 1 by then; pears and rye 4 came later."""
    report = trace_report(year, "bottles rye L25-1")
    lots = {part.account for part in report.lots}
    assert {"lot/rye 25-1", "lot/rye 25-2", "lot/wheat 25-1", "goods/corks"} <= lots
    assert "lot/pears 25-1" not in lots
    assert "lot/rye 25-3" not in lots
    assert sum(part.alcohol_ul for part in report.alcohol) == year.flow.held["bottles/rye L25-1", "alcohol"]


def test_back_and_forward_of_the_year_agree(year: Looked) -> None:
    """A lot is in a place if, and only if, the place comes from the lot."""
    for lot in ("lot/rye 25-1", "lot/wheat 25-1", "lot/pears 25-1"):
        ends = {end.account for end in trace_report(year, lot, "forward").ends if not end.gone}
        back = {
            account
            for account in ends | {"cask/2", "cask/5", "vessel/reserve", "bottles/rye L25-1"}
            if lot in {part.account for part in trace_report(year, account).lots}
        }
        assert ends == back


def test_a_batch_is_followed_by_its_name(year: Looked) -> None:
    """Pears stay by themselves: a cask, a jar and the feints."""
    report = trace_report(year, "pears 1", "forward")
    assert {end.account for end in report.ends} == {"cask/5", "jar/pear reserve", "vessel/pear feints"}
    lots = {part.account: part.amount for part in trace_report(year, "pears 1").lots}
    assert set(lots) == {"lot/pears 25-1", "lot/pectin 25-1", "lot/fruit yeast 25-1"}
    assert lots["lot/pears 25-1"] == mg("444.5")


def test_json_has_steps_ways_and_entries(year: Looked) -> None:
    report = trace_report(year, "cask 2")
    data = trace_data(report)
    assert data["entries"] == sorted(report.entries)
    assert len(data["steps"]) == len(report.steps.steps)  # type: ignore[arg-type]
    assert data["people"] == ["Edda", "Jory"]


def test_the_answer_counts_lots_and_people(year: Looked) -> None:
    page = trace_page(trace_report(year, "cask 2"), "metric")
    assert page.answers[0] == "cask 2 comes from 7 lots of 3 suppliers."
    assert page.answers[1].endswith("by 2 people: Edda, Jory.")
