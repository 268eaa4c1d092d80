"""Pages go before first looks, first looks before other thought; and nobody waits for long."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable

import pytest

from caskward import pace
from caskward.desk import right_of_way
from caskward.desk.right_of_way import Rank, RightOfWay, as_page, page_waits

SOON_S = 20.0
LONG_S = 600.0
"""Longer than any test: who passes was let pass."""


@pytest.fixture
def let_long(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Everything that ends a standstill by itself takes long, but for what is named."""

    def let(**but: float) -> None:
        for name in ("_MOVES_S", "_PATIENCE_S"):
            monkeypatch.setattr(right_of_way, name, but.get(name, LONG_S))
        monkeypatch.setattr(right_of_way, "_LONGEST_S", dict.fromkeys(Rank, but.get("_LONGEST_S", LONG_S)))

    let()
    return let


class Passes:
    """Somebody who gives way, in a thread of its own."""

    def __init__(self, way: RightOfWay, rank: Rank) -> None:
        self._thread = threading.Thread(target=way.give_way, args=(rank,), daemon=True)
        self._thread.start()

    def soon(self) -> bool:
        self._thread.join(SOON_S)
        return not self._thread.is_alive()

    def stands(self) -> bool:
        time.sleep(0.05)
        return self._thread.is_alive()


@pytest.mark.parametrize(
    ("going", "asks"), [(Rank.LOOK, Rank.THOUGHT), (Rank.PAGE, Rank.THOUGHT), (Rank.PAGE, Rank.LOOK)]
)
def test_a_lower_rank_stands_still_until_the_higher_is_done(let_long, going: Rank, asks: Rank) -> None:
    way = RightOfWay()
    with way.first(going):
        one = Passes(way, asks)
        assert one.stands()
    assert one.soon()


@pytest.mark.parametrize(
    ("going", "asks"), [(Rank.LOOK, Rank.LOOK), (Rank.LOOK, Rank.PAGE), (Rank.PAGE, Rank.PAGE)]
)
def test_its_own_rank_and_a_lower_one_hold_nobody_up(let_long, going: Rank, asks: Rank) -> None:
    way = RightOfWay()
    with way.first(going):
        assert Passes(way, asks).soon()


@pytest.mark.parametrize("asks", [Rank.THOUGHT, Rank.LOOK])
def test_nobody_waits_for_long_for_a_page_that_does_not_end(let_long, asks: Rank) -> None:
    let_long(_LONGEST_S=0.2)
    way = RightOfWay()
    with as_page(way):
        assert Passes(way, asks).soon()
        assert Passes(way, asks).soon(), "its turn is over"


def test_however_many_pages_are_asked_for_thought_goes_on(let_long) -> None:
    let_long(_PATIENCE_S=0.2)
    way = RightOfWay()
    with way.first(Rank.PAGE), way.first(Rank.PAGE):
        assert Passes(way, Rank.THOUGHT).soon()
        assert Passes(way, Rank.THOUGHT).soon()


def test_a_first_look_that_waits_for_what_a_thought_holds_locked_gets_it(let_long) -> None:
    let_long(_MOVES_S=0.2)
    way, held, holds = RightOfWay(), threading.Lock(), threading.Event()

    def think() -> None:
        with held:
            holds.set()
            way.give_way(Rank.THOUGHT)

    with way.first(Rank.LOOK):
        threading.Thread(target=think, daemon=True).start()
        assert holds.wait(SOON_S)
        assert held.acquire(timeout=SOON_S)


def test_a_first_look_that_breathes_keeps_its_right(let_long) -> None:
    let_long(_MOVES_S=5.0)
    way = RightOfWay()
    with way.first(Rank.LOOK):
        (going,) = way._going
        going.moved_s -= LONG_S
        assert Passes(way, Rank.THOUGHT).soon(), "it stands itself"
        way.give_way(Rank.LOOK)
        assert Passes(way, Rank.THOUGHT).stands(), "it goes on"


def test_a_page_that_waits_for_a_thought_lets_it_go_on(let_long) -> None:
    way = RightOfWay()
    with as_page(way):
        page_waits()
        assert Passes(way, Rank.THOUGHT).soon()
    page_waits()  # outside a request it is nobody's turn that ends


def test_a_request_that_fails_is_no_longer_first(let_long) -> None:
    way = RightOfWay()
    with pytest.raises(ConnectionError), as_page(way):
        raise ConnectionError
    assert Passes(way, Rank.THOUGHT).soon()


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
