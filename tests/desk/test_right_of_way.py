"""Pages go before first looks, first looks before other thought; and nobody waits for long."""

from __future__ import annotations

import threading
import time

import pytest

from caskward import pace
from caskward.desk.right_of_way import Rank, RightOfWay, as_page, page_waits


def waited_s(way: RightOfWay, rank: Rank) -> float:
    begun_s = time.monotonic()
    way.give_way(rank)
    return time.monotonic() - begun_s


def test_a_lower_rank_stands_still_until_the_higher_is_done() -> None:
    way, stood = RightOfWay(), threading.Event()
    passed: list[str] = []

    def think() -> None:
        stood.set()
        way.give_way(Rank.THOUGHT)
        passed.append("thought")

    with way.first(Rank.LOOK):
        thread = threading.Thread(target=think)
        thread.start()
        stood.wait(5.0)
        time.sleep(0.05)
        assert passed == []
    thread.join(5.0)
    assert passed == ["thought"]


@pytest.mark.parametrize(
    ("going", "asks"), [(Rank.LOOK, Rank.LOOK), (Rank.LOOK, Rank.PAGE), (Rank.PAGE, Rank.PAGE)]
)
def test_its_own_rank_and_a_lower_one_hold_nobody_up(going: Rank, asks: Rank) -> None:
    way = RightOfWay()
    with way.first(going):
        assert waited_s(way, asks) < 0.1


def test_nobody_waits_for_long_for_a_page_that_does_not_end() -> None:
    way = RightOfWay()
    with as_page(way):
        assert 0.05 < waited_s(way, Rank.LOOK) < 2.0
        assert waited_s(way, Rank.LOOK) < 0.1, "its turn is over"


def test_a_page_that_waits_for_a_thought_lets_it_go_on() -> None:
    way = RightOfWay()
    with as_page(way):
        page_waits()
        assert waited_s(way, Rank.THOUGHT) < 0.1
    page_waits()  # outside a request it is nobody's turn that ends


def test_what_breathes_gives_way_only_where_it_was_told_to() -> None:
    counted: list[int] = []
    pace.breathe()
    with pace.giving_way(lambda: counted.append(1)):
        pace.breathe()
        other = threading.Thread(target=pace.breathe)
        other.start()
        other.join(5.0)
    pace.breathe()
    assert counted == [1]
