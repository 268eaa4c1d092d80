"""The invented farm as it stands today: the year has just ended, and a batch with a plan is under way.

Figures are the same on every day; only the days move with the calendar. What the batch took is what its own
plan says, so that the two agree whatever is learned of physics meanwhile.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Final

from caskward.book import deeds
from caskward.book.amounts import shared_out
from caskward.book.entry import Entry
from caskward.services import plans, wish_form
from caskward.services.book import plan_kept
from caskward.services.book.demo_batch import STILL, TUB, BatchCourse
from caskward.services.book.demo_book import DemoWritten, live_the_year, write_entries
from caskward.services.book.demo_farm import Farm
from caskward.services.book.demo_figures import (
    BATCHES,
    MALT,
    OATS,
    RYE,
    SEED,
    SWEET,
    THIN,
    YEAST,
    Batch,
    Lot,
)
from caskward.services.book.plan_kept import Prepared

NAME: Final = "rye 5"
_YEAR_ENDS: Final = date(2025, 12, 31)
_DAYS_AGO: Final = 6
"""So long ago is the mash: the second strip was yesterday, whatever the hour."""
_STRIPS_DONE: Final = 2
_STOCK: Final = {
    "spirit-0-kind": "feints",
    "spirit-0-volume": "8 L",
    "spirit-0-strength": "40.5 %",
    "store-0-material": "rye",
    "store-0-amount": "92 kg",
    "store-1-material": "barley malt",
    "store-1-amount": "30.5 kg",
    "store-2-material": "oats",
    "store-2-amount": "35.5 kg",
}
"""What is in store once the year has ended."""
_YEAST_LOT: Final = Lot("", "lot/yeast 25-2", YEAST, "0.5", 2250, "the yeast shop", "Y-2341")


def write_today(place: str, now: datetime | None = None, seed: int = SEED) -> DemoWritten:
    """Write the farm's book as it stands today into a book that is empty or not there yet.

    Raises:
        BookAlreadyThere: the book has entries. StoreError, InputError: as `opened`.
    """
    return write_entries(place, today_entries(now or datetime.now(UTC), seed))


def today_entries(now: datetime, seed: int = SEED) -> list[Entry]:
    """The year, moved so that it has just ended, and the batch under way. now: an aware moment."""
    first = now.astimezone(UTC).date() - timedelta(days=_DAYS_AGO)
    farm = Farm(seed, later=timedelta(days=(first - _YEAR_ENDS).days - 1))
    live_the_year(farm)
    farm.later = timedelta()
    _ready_for_it(farm, first - timedelta(days=1))
    Course(farm, first).run()
    return farm.entries


def _ready_for_it(farm: Farm, day: date) -> None:
    """The last batch of the year is closed, and yeast comes in for the next one."""
    last = next(one.name for one in BATCHES if not one.closed)
    at = datetime.combine(day, datetime.min.time(), UTC)
    farm.enter(deeds.close(farm.act(at + timedelta(hours=9), last)))
    farm.receive(_YEAST_LOT, at + timedelta(hours=10))


class Course(BatchCourse):
    """The batch under way: mashed, fermented, two of its strips done."""

    def __init__(self, farm: Farm, first: date) -> None:
        text = wish_form.text_with(plans.starting_point("rye"), _STOCK)
        self.plan = plan_kept.prepared(text)
        super().__init__(farm, _batch(self.plan, first))

    def run(self) -> None:
        """Everything until now."""
        self._plan()
        self._mash()
        self._row("mash 3 h: 1.064, 62 C", 20.4)
        self._ferment()
        self._row("wash: 8.6 %, 304 L", 9.5)
        self._first_strips()

    def rows(self, day: int, sg: str, warm_c: float) -> dict[str, list[str]]:
        """Each gravity of the ferment as its plan follows it; the first one is the mash's."""
        return {"rows": [f"ferment {day} d: {sg}, {warm_c:g} C"]} if day else {}

    def _plan(self) -> None:
        farm = self.farm
        farm.enter(deeds.begin(farm.act(self.at(6), self.batch.name, "A cask to follow the year's own.")))
        farm.enter(self.plan.deed(farm.act(self.at(6.2), self.batch.name)))

    def _begin(self) -> None:
        """It is begun with its plan."""

    def _row(self, row: str, hour: float) -> None:
        act = self.farm.act(self.at(hour), self.batch.name)
        self.farm.enter(deeds.measure(act, TUB, {"rows": [row]}))

    def _first_strips(self) -> None:
        farm, batch = self.farm, self.batch
        wash = deeds.all_of(farm.state, TUB).liquid
        for strip, charge_ul in enumerate(shared_out(wash.bulk_ul, [1] * batch.strips)[:_STRIPS_DONE]):
            self.days += strip
            hour = 11.0 if strip == 0 else 7.0
            part = deeds.some_of(farm.state, TUB, charge_ul)
            farm.enter(deeds.move(farm.act(self.at(hour), batch.name), farm.state, part, STILL))
            self._strip_once(part.liquid, self.at(hour + 3.2))


def _batch(plan: Prepared, first: date) -> Batch:
    """The year's last batch once more, with what the plan says to take."""
    bill, counts = plan.method["bill_kg"], plan.method["counts"]
    assert isinstance(bill, dict) and isinstance(counts, dict)  # noqa: PT018 - as it was made just now
    last = next(one for one in BATCHES if not one.closed)
    return replace(
        last,
        name=NAME,
        day=first.isoformat(),
        cooks=int(counts["cooks"]),
        cooked={RYE: _kg(bill["rye"]), OATS: _kg(bill["oats"])},
        after={MALT: _kg(bill["barley-malt"])},
        small={THIN: "0.039", SWEET: "0.055", YEAST: "0.225"},
        tub_l="441",
        wash_l="386",
        wash_pct="8.6",
        solids_l="82",
        strips=int(counts["strips"]),
        cask="cask/7",
        gravities=("1.064", "1.030", "1.007", "0.998"),
    )


def _kg(kg: str) -> str:
    return f"{float(kg):g}"
