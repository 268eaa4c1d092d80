"""A book in memory with a clock of its own, and histories to try it with. All names are invented."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

from hypothesis import strategies as st

from caskward.book import deeds
from caskward.book.amounts import Liquid, liquid, mg, ul
from caskward.book.deeds import Act, Cost, Goods, Part
from caskward.book.entry import Deed, Entry
from caskward.book.state import State
from caskward.errors import CaskwardError

START = datetime(2031, 3, 1, 8, 0, tzinfo=UTC)


class Keeper:
    """Enters deeds an hour apart, each with a key of its own."""

    def __init__(self) -> None:
        self.state, self.now = State(), START
        self._acts = 0
        self.refused: list[CaskwardError] = []
        self.tried: list[tuple[Deed, datetime]] = []

    @property
    def entries(self) -> list[Entry]:
        return self.state.entries

    def act(self, batch: str | None = None, author: str = "Ada", **more: object) -> Act:
        self.now += timedelta(hours=1)
        self._acts += 1
        return Act(key=f"key {self._acts}", done_at=self.now, author=author, batch=batch, **more)  # type: ignore[arg-type]

    def enter(self, deed: Deed) -> Entry:
        self.tried.append((deed, self.now))
        return self.state.append(deed, self.now)

    def attempt(self, make: Callable[[], Deed]) -> Entry | None:
        """Enter what `make` gives, or keep the refusal."""
        try:
            return self.enter(make())
        except CaskwardError as refusal:
            self.refused.append(refusal)
            return None

    def holds(self, account: str) -> tuple[float, float]:
        """Litres of pure alcohol and of liquid in an account."""
        there = self.state.contents(account)
        return there.get("alcohol", 0) / 1e6, there.get("bulk", 0) / 1e6


def small_farm() -> Keeper:
    """One batch from two lots of rye to a cask and 40 bottles, with prices; every figure easy to follow.

    100 kg of rye (60 + 40), 400 L of wash at 8 %vol, two runs of 200 L to 50 L of low wines at 30 %vol, a
    spirit run to 40 L of heart at 65 %vol; 30 L fill the cask, and 20 L of those make 40 bottles of 500 mL.
    """
    keeper = Keeper()
    enter, act, state = keeper.enter, keeper.act, keeper.state
    enter(deeds.declare(act(), {"vessel/tub": ul(500), "vessel/still": ul(220), "cask/1": ul(32)}))
    prices = (Cost("rye", 6000, "EUR", "lot/rye 1"), Cost("rye", 5000, "EUR", "lot/rye 2"))
    lots = [Goods("lot/rye 1", "mass/rye", mg(80)), Goods("lot/rye 2", "mass/rye", mg(40))]
    enter(deeds.receive(act(author="Ben", costs=prices), lots, "Hollow Farm", {"supplier_lot": "H-7"}))
    glass = Cost("bottles", 5000, "EUR", "goods/bottles")
    enter(
        deeds.receive(act(costs=(glass,)), [Goods("goods/bottles", "piece/bottle 500 mL", 100)], "Glassworks")
    )
    enter(deeds.begin(act("rye 1")))
    used = [Goods("lot/rye 1", "mass/rye", mg(60)), Goods("lot/rye 2", "mass/rye", mg(40))]
    enter(deeds.mash(act("rye 1"), used, "vessel/tub", ul(405)))
    enter(deeds.convert(act("rye 1"), state, "vessel/tub", liquid(400, 8)))
    for jar in ("jar/low 1", "jar/low 2"):
        enter(deeds.move(act("rye 1"), state, Part("vessel/tub", liquid(200, 8)), "vessel/still"))
        run = deeds.Run(((jar, liquid(50, 30)),), left=liquid(150, "0.5"))
        energy = Cost("energy", 600, "EUR")
        enter(deeds.distil(act("rye 1", costs=(energy,)), state, "vessel/still", run))
    parts = [Part(jar, liquid(50, 30), empties=True) for jar in ("jar/low 1", "jar/low 2")]
    enter(deeds.vat(act("rye 1"), state, parts, "vessel/still"))
    run = deeds.Run(
        (("jar/heart", liquid(40, 65)), ("jar/feints", liquid(5, 40))),
        left=liquid(54, "0.5"),
        destroyed={"foreshots": liquid(1, 70)},
        within_ul=ul("2"),
    )
    enter(deeds.distil(act("rye 1"), state, "vessel/still", run))
    cask = Cost("cask", 9000, "EUR", "cask/1")
    enter(deeds.fill(act("rye 1", costs=(cask,)), state, Part("jar/heart", liquid(30, 65)), "cask/1"))
    bottling = deeds.Bottling("bottles/L1", Goods("goods/bottles", "piece/bottle 500 mL", 40), 500_000, 65)
    enter(deeds.bottle(act("rye 1"), state, Part("cask/1", liquid(20, 65)), bottling))
    enter(deeds.sell_bottles(act(), state, "bottles/L1", 12, "farm shop"))
    return keeper


# Random histories --------------------------------------------------------------------------------

PLACES = ("vessel/tub", "vessel/still", "vessel/vat", "jar/1", "jar/2", "cask/1", "cask/2")
BATCHES = ("one", "two")
WHYS = ("spilt", "tasting", "shop")


def histories(most: int = 40) -> st.SearchStrategy[Keeper]:
    """Books after random deeds; those that break a rule are left out, and kept as refusals."""
    step = st.tuples(
        st.integers(0, len(_DEEDS) - 1), st.integers(0, 10**6), st.integers(0, 10**6), st.integers(0, 10**6)
    )
    return st.lists(step, min_size=5, max_size=most).map(_history)


def _history(steps: list[tuple[int, int, int, int]]) -> Keeper:
    keeper = Keeper()
    rooms = {place: ul(300) for place in PLACES if not place.startswith("jar")}
    keeper.enter(deeds.declare(keeper.act(), rooms))
    for batch in BATCHES:
        keeper.enter(deeds.begin(keeper.act(batch)))
    lots = [Goods("lot/rye", "mass/rye", mg(500)), Goods("lot/oats", "mass/oats", mg(100))]
    keeper.enter(
        deeds.receive(keeper.act(costs=(Cost("grain", 33333, "EUR", "lot/rye"),)), lots, "Hollow Farm")
    )
    keeper.enter(deeds.receive_liquid(keeper.act(), "vessel/vat", liquid(100, 52), "Neighbour"))
    for which, one, two, three in steps:
        keeper.attempt(lambda w=which, a=one, b=two, c=three: _DEEDS[w](keeper, a, b, c))  # type: ignore[misc]
    return keeper


def _place(pick: int) -> str:
    return PLACES[pick % len(PLACES)]


def _filled(keeper: Keeper, pick: int) -> str:
    """A place that holds something, if one does."""
    filled = [place for place in PLACES if keeper.state.contents(place)] or list(PLACES)
    return filled[pick % len(filled)]


def _some(keeper: Keeper, account: str, pick: int) -> Liquid:
    """A part of what is in an account, to a hair over all of it."""
    there = keeper.state.contents(account)
    bulk_ul = there.get("bulk", 0) * (pick % 1001) // 1000
    return Liquid(there.get("alcohol", 0) * (pick % 1001) // 1000, bulk_ul)


def _mash(keeper: Keeper, one: int, two: int, three: int) -> Deed:
    goods = [Goods("lot/rye", "mass/rye", two * 50), Goods("lot/oats", "mass/oats", three * 10)]
    return deeds.mash(keeper.act(BATCHES[one % 2]), goods, _place(one), two * 200)


def _convert(keeper: Keeper, one: int, two: int, three: int) -> Deed:
    tub = _filled(keeper, one)
    bulk_ul = keeper.state.contents(tub).get("bulk", 0) * 99 // 100
    found = Liquid(bulk_ul * (two % 120) // 1000, bulk_ul)
    return deeds.convert(keeper.act(BATCHES[three % 2]), keeper.state, tub, found)


def _move(keeper: Keeper, one: int, two: int, three: int) -> Deed:
    source = _filled(keeper, one)
    part = Part(source, _some(keeper, source, three), empties=three % 3 == 0, within=Liquid(1000, 2000))
    return deeds.move(keeper.act(), keeper.state, part, _place(two))


def _distil(keeper: Keeper, one: int, two: int, three: int) -> Deed:
    still, act = (
        _filled(keeper, one),
        keeper.act(BATCHES[three % 2], costs=(Cost("energy", two % 997, "EUR"),)),
    )
    charge = _some(keeper, still, 1000)
    heart_ul, feints_ul = charge.alcohol_ul * 6 // 10, charge.alcohol_ul * (two % 4) // 10
    run = deeds.Run(
        (
            (_place(two), Liquid(heart_ul, heart_ul * 3 // 2)),
            (_place(three), Liquid(feints_ul, feints_ul * 3 + 1)),
        ),
        left=Liquid(charge.alcohol_ul // 50, charge.bulk_ul // 2),
    )
    return deeds.distil(act, keeper.state, still, run)


def _gauge(keeper: Keeper, one: int, two: int, three: int) -> Deed:
    place = _filled(keeper, one)
    there = _some(keeper, place, 980 + two % 21)
    return deeds.gauge(keeper.act(), keeper.state, place, there, Liquid(three, three * 2))


def _explain(keeper: Keeper, one: int, two: int, three: int) -> Deed:
    opened = [name for name in PLACES if keeper.state.contents(f"unaccounted/open/{name.replace('/', ' ')}")]
    return deeds.explain(
        keeper.act(), keeper.state, (opened or PLACES)[one % len(opened or PLACES)], WHYS[two % 3]
    )


def _leave(keeper: Keeper, one: int, two: int, three: int) -> Deed:
    way, place = (deeds.sell, deeds.destroy, deeds.lose, deeds.sample)[three % 4], _filled(keeper, one)
    return way(keeper.act(), keeper.state, Part(place, _some(keeper, place, two % 400)), WHYS[two % 3])


def _reduce(keeper: Keeper, one: int, two: int, three: int) -> Deed:
    place = _filled(keeper, one)
    found_ul = keeper.state.contents(place).get("bulk", 0) + two * 9 // 10
    return deeds.reduce(keeper.act(), keeper.state, place, two, found_ul)


def _bottle(keeper: Keeper, one: int, two: int, three: int) -> Deed:
    source, count = _place(one), 1 + two % 40
    there = _some(keeper, source, 1000)
    glass = Goods("received/Glassworks", "piece/bottle 500 mL", count)
    bottling = deeds.Bottling(f"bottles/L{three % 2}", glass, 500_000, f"{there.pct_vol:.6f}")
    part = Part(source, there.part(count * 500_000), within=Liquid(1000, 2000))
    return deeds.bottle(keeper.act("one"), keeper.state, part, bottling)


def _sell(keeper: Keeper, one: int, two: int, three: int) -> Deed:
    return deeds.sell_bottles(
        keeper.act(), keeper.state, f"bottles/L{one % 2}", 1 + two % 12, WHYS[three % 3]
    )


def _mend(keeper: Keeper, one: int, two: int, three: int) -> Deed:
    old = keeper.entries[one % len(keeper.entries)]
    if two % 2 or old.kind not in ("sampled", "moved", "lost", "sold"):
        return deeds.withdraw(keeper.act(), old, "never happened")
    place = _filled(keeper, three)
    right = deeds.lose(keeper.act(), keeper.state, Part(place, _some(keeper, place, two % 500)), "spilt")
    return deeds.correct(keeper.act(), old, right, "another jar")


_DEEDS: tuple[Callable[[Keeper, int, int, int], Deed], ...] = (
    *(_mash, _convert, _move, _move, _distil, _gauge, _explain, _leave, _reduce, _bottle, _sell, _mend),
)
