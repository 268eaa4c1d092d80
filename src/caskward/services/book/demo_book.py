"""An invented year of Low Marl Farm as a book: to look at, to learn from, to test with.

Six batches from sacks to casks, feints carried over, casks gauged, sampled and topped, a vatting, a bottling,
sales, one correction, one difference that nobody could explain. Every deed goes through the same acts and
rules as a maker's own, and the same seed gives the same hashes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

from caskward.book import deeds
from caskward.book.amounts import mg, ul
from caskward.book.canonical import entry_line
from caskward.book.entry import Entry
from caskward.errors import BookAlreadyThere
from caskward.services.book import demo_casks as casks
from caskward.services.book.demo_batch import BatchCourse
from caskward.services.book.demo_farm import Farm, moment
from caskward.services.book.demo_figures import BATCHES, LOTS, ROOMS_L, SEED
from caskward.services.book.marks import Duty, Marks, details_of
from caskward.services.book.opened import to_write
from caskward.store.exchange import import_lines

EVAPORATED, SOAKED = "evaporated", "wood and air"
"""New wood takes alcohol for its own water in the first weeks, while some goes off through it."""
DEMO_FILE = "low-marl-farm.sqlite"
_ELSEWHERE = "Name a new file for the invented year, like: caskward book demo another.sqlite"
INVENTED = "An invented book: every figure, name and person in it is made up."


@dataclass(frozen=True, slots=True)
class DemoWritten:
    """Where the invented book is, how many entries it has, and the hash of the newest."""

    place: str
    entries: int
    head: str


def write_demo(place: str, seed: int = SEED) -> DemoWritten:
    """Write the year into a book that is empty or not there yet.

    Raises:
        BookAlreadyThere: the book has entries, which stay as they are. StoreError, InputError: as `opened`.
    """
    return write_entries(place, demo_entries(seed))


def write_entries(place: str, entries: list[Entry]) -> DemoWritten:
    """Write entries into a book that is empty or not there yet; raises as `write_demo`."""
    with to_write(place) as book:
        there = book.head()
        if there is not None:
            raise BookAlreadyThere(str(book.place), there.number, _ELSEWHERE)
        import_lines(book.link, (entry_line(entry) for entry in entries))
        return DemoWritten(str(book.place), len(entries), entries[-1].hash)


def demo_entries(seed: int = SEED) -> list[Entry]:
    """The whole year as entries of a book."""
    farm = Farm(seed)
    live_the_year(farm)
    return farm.entries


def live_the_year(farm: Farm) -> None:
    """All that is done in the year."""
    _first_day(farm)
    lots, batches = list(LOTS), list(BATCHES)
    days = sorted([*_DAYS, *(lot.received for lot in lots), *(batch.day for batch in batches)])
    for day in dict.fromkeys(days):
        for hour, lot in enumerate([lot for lot in lots if lot.received == day]):
            farm.receive(lot, moment(day, 8 + hour))
        for batch in batches:
            if batch.day == day:
                BatchCourse(farm, batch).run()
        if day in _DAYS:
            _DAYS[day](farm)


def _first_day(farm: Farm) -> None:
    """The book begins: what it is, the vessels, the maker's marks, and feints from before it."""
    farm.enter(deeds.note(farm.act(moment("2025-01-02", 8), note=INVENTED), details={"invented": True}))
    rooms = {account: ul(volume_l) for account, volume_l in ROOMS_L.items()}
    farm.enter(deeds.declare(farm.act(moment("2025-01-02", 8.2)), rooms))
    act = farm.act(moment("2025-01-02", 8.5), note="What we mean to keep to.")
    farm.enter(deeds.note(act, details=details_of(MARKS)))
    found, readings = farm.read(8.0, 28.0)
    act = farm.act(moment("2025-01-02", 9), note="There when the book began.", readings=readings)
    farm.enter(deeds.receive_liquid(act, "vessel/feints", found, "stock taken over"))


MARKS = Marks(
    losses_pct={
        "stillage": Decimal(4),
        "spent solids": Decimal(20),
        "evaporated": Decimal(4),
        "unaccounted": Decimal("0.4"),
    },
    stock={"mass/rye": mg(50), "mass/malted barley": mg(20), "mass/oats": mg(16), "piece/bottle 500 mL": 60},
    duty=Duty(Decimal(1350), "EUR"),
)
"""The farm's own limits, least stocks and a rate of duty, all invented."""


def _end_of_march(farm: Farm) -> None:
    casks.sample(farm, "2025-03-31", "cask/1")
    casks.sample(farm, "2025-03-31", "cask/2")
    casks.gauge(farm, "2025-03-31", "cask/2", 0.0, first=False)


def _midyear(farm: Farm) -> None:
    for cask, years in (("cask/1", 0.42), ("cask/2", 0.3), ("cask/3", 0.16)):
        casks.gauge(farm, "2025-06-30", cask, years, first=True)
        casks.explain(farm, "2025-06-30", cask, SOAKED)
    casks.top(farm, "2025-06-30", "cask/1", "0.6")
    casks.sample(farm, "2025-06-30", "cask/3")


def _september(farm: Farm) -> None:
    casks.sample(farm, "2025-09-15", "cask/1")
    wrong = casks.sample(farm, "2025-09-15", "cask/2", "0.5")
    casks.sample(farm, "2025-09-15", "cask/4")
    casks.put_right(farm, "2025-09-17", wrong)


def _vatting(farm: Farm) -> None:
    for cask, years in (("cask/1", 0.4), ("cask/2", 0.4)):
        casks.gauge(farm, "2025-11-23", cask, years, first=False)
        casks.explain(farm, "2025-11-23", cask, EVAPORATED)
    casks.vat_and_bottle(farm)


def _december(farm: Farm) -> None:
    for day, count, to in (
        ("2025-12-05", 12, "sold/farm gate"),
        ("2025-12-13", 24, "sold/winter market"),
        ("2025-12-13", 1, "lost/broken"),
        ("2025-12-19", 9, "sold/farm gate"),
        ("2025-12-20", 6, "sold/guest tables"),
    ):
        casks.leave(farm, day, count, to)


def _year_end(farm: Farm) -> None:
    for cask, years, new in (("cask/3", 0.5, False), ("cask/4", 0.54, True)):
        casks.gauge(farm, "2025-12-30", cask, years, first=new)
        casks.explain(farm, "2025-12-30", cask, SOAKED if new else EVAPORATED)
    casks.stock_take(farm, "2025-12-30")


_DAYS: dict[str, Callable[[Farm], None]] = {
    "2025-03-31": _end_of_march,
    "2025-06-30": _midyear,
    "2025-09-15": _september,
    "2025-11-23": _vatting,
    "2025-12-05": _december,
    "2025-12-30": _year_end,
}
