"""The invented year: marked as invented, lawful, the same every time, and as our own forecasts have it."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from caskward.book.accounts import ALCOHOL, BULK
from caskward.book.amounts import mg
from caskward.book.canonical import entry_line
from caskward.book.checks import check_book
from caskward.book.entry import Entry
from caskward.book.state import replay
from caskward.book.stock import open_differences
from caskward.errors import BookAlreadyThere
from caskward.planning.plan import Plan
from caskward.services import plans
from caskward.services.book.demo_book import INVENTED, demo_entries, write_demo
from caskward.services.book.demo_figures import BATCHES, LOTS
from caskward.services.book.looked import look
from caskward.services.book.marks import marks_of
from caskward.store.checking import check_book as check_stored
from caskward.store.journal import open_journal
from caskward.store.place import place_of


@pytest.fixture(scope="module")
def year() -> list[Entry]:
    return demo_entries()


def band(plan: Plan, stage: str, target: str) -> tuple[float, float]:
    found = next(t for c in plan.stages if c.key == stage for t in c.targets if t.key == target)
    return found.band.low, found.band.high


@pytest.fixture(scope="module")
def forecasts() -> dict[str, Plan]:
    made = {name: plans.plan_text(f"worlds = 256\n{plans.starting_point(name)}") for name in ("rye", "pears")}
    assert all(isinstance(plan, Plan) for plan in made.values())
    return made  # type: ignore[return-value]


def test_every_entry_says_that_it_is_invented(year: list[Entry]) -> None:
    assert year[0].note == INVENTED
    assert {entry.site for entry in year} == {"Low Marl Farm (invented)"}


def test_the_whole_year_is_lawful(year: list[Entry]) -> None:
    assert check_book(year) == []
    assert set(replay(year).totals().values()) == {0}


def test_the_same_seed_gives_the_same_hashes_and_another_seed_others(year: list[Entry]) -> None:
    assert [entry.hash for entry in demo_entries()] == [entry.hash for entry in year]
    assert demo_entries(seed=8)[-1].hash != year[-1].hash


@pytest.mark.parametrize("seed", [1, 8, 2026])
def test_other_years_are_lawful_too(seed: int) -> None:
    assert check_book(demo_entries(seed)) == []


def test_the_year_is_the_one_that_it_was(year: list[Entry]) -> None:
    """A regression snapshot only: figures or story were changed if it differs."""
    assert (len(year), year[-1].hash[:16]) == SNAPSHOT


SNAPSHOT = (240, "1364d10feb759023")


def test_it_has_what_a_year_has(year: list[Entry]) -> None:
    state = replay(year)
    standing = {batch.name: state.standing(batch.name) for batch in BATCHES}
    assert list(standing.values()).count("closed") == 5
    assert standing["rye 4"] == "open"
    assert sum(entry.kind == "corrected" for entry in year) == 1
    kinds = {entry.kind for entry in year}
    assert {"received", "mashed", "distilled", "filled", "sampled", "topped", "bottled", "sold"} <= kinds
    assert {"gauged", "explained", "measured", "reduced", "destroyed"} - kinds == {"destroyed"}
    assert {one.place for one in open_differences(state.balances)} == {"vessel feints"}
    assert sum(entry.kind == "explained" for entry in year) == 7


def test_what_was_received_was_used_or_is_there(year: list[Entry]) -> None:
    state = replay(year)
    for what in {lot.commodity for lot in LOTS if lot.commodity.startswith("mass/")}:
        came = sum(mg(lot.amount) for lot in LOTS if lot.commodity == what)
        used = sum(
            there.get(what, 0) for account, there in state.balances.items() if account.startswith("used/")
        )
        left = sum(
            there.get(what, 0) for account, there in state.balances.items() if account.startswith("lot/")
        )
        assert used > 0
        assert used + left == came


def entries_of(year: list[Entry], batch: str, kind: str) -> list[Entry]:
    return [entry for entry in year if entry.batch == batch and entry.kind == kind]


def came(entry: Entry, *accounts: str) -> tuple[float, float]:
    """Litres of pure alcohol and of liquid that came into places of these names' beginnings."""
    sums = {ALCOHOL: 0, BULK: 0}
    for part in entry.postings:
        if part.amount > 0 and part.account.startswith(accounts):
            sums[part.commodity] += part.amount
    return sums[ALCOHOL] / 1e6, sums[BULK] / 1e6


@pytest.mark.parametrize(("batch", "plan"), [("rye 1", "rye"), ("pears 1", "pears")])
def test_still_and_ferment_went_as_our_own_forecast_has_it(
    year: list[Entry], forecasts: dict[str, Plan], batch: str, plan: str
) -> None:
    """Within the band in which 8 of 10 forecasts lie; the batches were made after them, rounded."""
    runs = entries_of(year, batch, "distilled")
    strips = [came(run, "vessel/low wines") for run in runs if run.details["run"] == "strip"]
    hearts = [
        came(run, *(f"jar/{n}" for n in range(1, 9))) for run in runs if run.details["run"] == "spirit run"
    ]
    figures = {
        ("strip", "low_wines"): sum(bulk for _, bulk in strips),
        ("strip", "low_wines_strength"): 100
        * sum(lpa for lpa, _ in strips)
        / sum(bulk for _, bulk in strips),
        ("spirit", "heart_strength"): 100 * sum(lpa for lpa, _ in hearts) / sum(bulk for _, bulk in hearts),
        ("spirit", "heart"): sum(bulk for _, bulk in hearts),
    }
    for where, value in figures.items():
        low, high = band(forecasts[plan], *where)
        assert low <= value <= high, (where, value)


def test_a_ferment_makes_what_its_gravities_say(year: list[Entry]) -> None:
    """Alcohol by the drop of gravity, 131.25 %vol for each SG (*common practice, no source*)."""
    for batch in BATCHES:
        grown = [float(entry.readings[0].value) for entry in entries_of(year, batch.name, "measured")]
        (made,) = entries_of(year, batch.name, "converted")
        lpa, _ = came(made, "vessel/tub")
        assert 100 * lpa / float(batch.wash_l) == pytest.approx(131.25 * (grown[0] - grown[-1]), abs=0.6)


def test_marks_of_the_farm(year: list[Entry]) -> None:
    marks = marks_of(year)
    assert marks.losses_pct["stillage"] == Decimal(4)
    assert marks.stock["mass/rye"] == mg(50)
    assert marks.duty is not None
    assert (marks.duty.minor_per_lpa, marks.duty.currency) == (Decimal(1350), "EUR")


def test_written_it_is_the_same_book(year: list[Entry], tmp_path: Path) -> None:
    file = tmp_path / "demo.sqlite"
    written = write_demo(str(file))
    assert (written.entries, written.head) == (len(year), year[-1].hash)
    assert [entry_line(entry) for entry in look(str(file)).entries] == [entry_line(entry) for entry in year]
    with open_journal(place_of(str(file))) as book:
        assert check_stored(book.link).whole


def test_a_book_with_entries_is_left_alone(tmp_path: Path) -> None:
    file = tmp_path / "mine.sqlite"
    write_demo(str(file))
    before = file.read_bytes()
    with pytest.raises(BookAlreadyThere, match=r"another\.sqlite"):
        write_demo(str(file))
    assert file.read_bytes() == before
