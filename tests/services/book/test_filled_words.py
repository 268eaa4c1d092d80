"""Once the cask is filled, the book says with what, beside what the plan wanted of it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from caskward.book.history import as_put_right
from caskward.planning.plan import Band
from caskward.properties import alcohol
from caskward.services import plans
from caskward.services.book import acting, batch_record, batches, filled_words, verbs
from caskward.services.book.asked import Asked
from caskward.services.book.batch_record import BatchRecord
from caskward.services.book.opened import Book
from caskward.services.plan_doubt import Next, Possible
from tests.services.book.conftest import MAUD, Do, asked_of

WANTED_L = 24.25
"""97 % of the 25 L of the plan."""
LITRES_IN_A_GALLON = 3.785411784
"""By definition."""
RYE_5 = replace(MAUD, batch="rye 5")


@pytest.fixture
def farm(book: Book, do: Do) -> Do:
    """Spirit of 63 % in a tank, three casks, and a batch with a plan for 25 L."""
    for line in ("tank 100 L", "cask 1 30 L", "cask 2 30 L", "cask 3 30 L"):
        do(f"declare {line}")
    wish = f"worlds = 256\n{plans.starting_point('rye')}"
    batches.begin(book, Asked("begin", ("rye 5",)), MAUD, (wish, None))
    do('receive 60 L 63 % at 20 C into tank from "Old Mill"')
    return do


def record(book: Book) -> BatchRecord:
    return batch_record.record_of(book, "rye 5")


def said(book: Book, system: str = "metric") -> str:
    found = filled_words.filled(record(book), system)
    return found.sentence if found else ""


def fill(do: Do, words: str):
    return do(f"fill tank {words} 63 % at 20 C", doing=RYE_5).entry


def test_nothing_is_said_before_the_fill(farm: Do, book: Book) -> None:
    assert said(book) == ""


def test_less_than_was_wanted_is_said_in_the_makers_units(farm: Do, book: Book) -> None:
    fill(farm, "cask 1 21.3 L")
    assert said(book) == "Cask 1 is filled: 21.30 L at 63.0 %vol; 24.25 L were wanted, 2.95 L less."
    gallons = [f"{litres / LITRES_IN_A_GALLON:.3f} gal" for litres in (21.3, WANTED_L, WANTED_L - 21.3)]
    us = said(book, "us")
    proof = f"{float(alcohol.proof_60f(63.0)):.1f} proof"
    assert us == f"Cask 1 is filled: {gallons[0]} at {proof}; {gallons[1]} were wanted, {gallons[2]} less."


@pytest.mark.parametrize(
    ("litres", "end"),
    [("24.05", ", as wanted."), ("24.45", ", as wanted."), ("23.9", " less."), ("24.6", " more.")],
)
def test_within_a_hundredth_it_is_as_wanted(farm: Do, book: Book, litres: str, end: str) -> None:
    fill(farm, f"cask 1 {litres} L")
    assert said(book).endswith(end)
    assert ("wanted," in said(book)) == (end != ", as wanted.")


def test_what_went_in_by_several_deeds_is_one_sum(farm: Do, book: Book) -> None:
    fill(farm, "cask 1 12 L")
    assert "24.2 L were wanted, 12.2 L less" in said(book)
    fill(farm, "cask 1 12.25 L")
    assert said(book).startswith("Cask 1 is filled: 24.2 L at 63.0 %vol, as wanted")
    fill(farm, "cask 2 10 L")
    assert said(book) == "Cask 1 and cask 2 are filled: 34.2 L at 63.0 %vol; 24.2 L were wanted, 10.0 L more."


def test_another_batchs_share_of_the_cask_is_not_its_own(farm: Do, book: Book) -> None:
    farm("begin rye 6")
    farm("fill tank cask 1 4 L 63 % at 20 C", doing=replace(MAUD, batch="rye 6"))
    fill(farm, "cask 1 20 L")
    assert "20.00 L at" in said(book)


def test_what_was_moved_from_one_cask_to_another_counts_once(farm: Do, book: Book) -> None:
    fill(farm, "cask 1 24.25 L")
    farm("move cask 1 to tank all", doing=RYE_5)
    assert said(book).startswith("Cask 1 is filled"), "it was filled, whatever came after"
    fill(farm, "cask 2 24.25 L")
    assert said(book) == "Cask 2 is filled: 24.2 L at 63.0 %vol, as wanted."


def test_a_correction_is_what_is_said_and_a_fill_taken_back_is_none(farm: Do, book: Book) -> None:
    wrong = fill(farm, "cask 1 24.25 L")
    right = asked_of("fill tank cask 1 20.25 L 63 % at 20 C")
    done = acting.corrected(book, wrong.number, right, RYE_5, "read the wrong line", verbs.maker("fill"))
    assert "20.25 L at 63.0 %vol; 24.25 L were wanted, 4.00 L less" in said(book)
    acting.corrected(book, done.entry.number, Asked("", ()), RYE_5, "it was another day", None)
    assert [one.kind for one in as_put_right(record(book).entries)] == ["begun", "planned"]
    assert said(book) == ""


def test_without_a_plan_nothing_is_compared(farm: Do, book: Book) -> None:
    farm("begin pear 1")
    farm("fill tank cask 3 20 L 63 % at 20 C", doing=replace(MAUD, batch="pear 1"))
    found = filled_words.filled(batch_record.record_of(book, "pear 1"), "metric")
    assert found
    assert found.sentence == "Cask 3 is filled: 20.0 L at 63.0 %vol."


def test_the_forecast_stands_while_planned_runs_are_to_bring_more(
    farm: Do, book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    for line in ("declare pot still 130 L", "declare tub 200 L", "declare low wines 100 L"):
        farm(line)
    for line in (
        'receive 50 kg rye from "Hill Farm"',
        "mash 50 kg rye into tub 160 L at 64 C",
        "convert tub 160 L 8 % at 20 C",
        "move tub to pot still 80 L 8 % at 20 C",
        "distil pot still into low wines 21 L 27 % at 20 C, left 57 L 0.8 % at 20 C",
        "move tub to pot still all",
        "distil pot still into low wines 21 L 27 % at 20 C, left 57 L 0.8 % at 20 C",
        "move low wines to pot still 21 L 27 % at 20 C",
        "distil pot still into jar 1 6 L 70 % at 20 C, left 13 L 3 % at 20 C",
        "fill jar 1 cask 1 all",
    ):
        farm(line, doing=RYE_5)
    monkeypatch.setattr(BatchRecord, "runs_planned", property(lambda _: (2, 2)))
    assert record(book).runs.entered == (2, 1)
    assert said(book) == "", "half of the low wines waits for the second run"
    monkeypatch.setattr(BatchRecord, "runs_planned", property(lambda _: (2, 1)))
    assert said(book).startswith("Cask 1 is filled")


def possible(stage: str, quantity: str, at_h: float = 0.0) -> Possible:
    band = Band(1.0, 2.0, 3.0)
    return Possible(stage, quantity, "", "L", at_h, 0.0, 5.0, 0.1, 1.0, 0.1, band, now=True)  # type: ignore[arg-type]


def test_what_the_fill_tells_is_not_asked_for_but_a_cask_days_later_is(farm: Do, book: Book) -> None:
    later = possible("cask", "strength", 240.0)
    readings = (possible("heart", "volume"), possible("cask", "volume"), possible("cask", "strength"), later)
    band = Band(1.0, 2.0, 3.0)
    asked = Next("", "", False, "metric", "fill", "", "L", band, "heart", {}, readings, (), 64, 1)  # noqa: FBT003
    assert filled_words.without_fill(record(book), asked).readings == readings
    fill(farm, "cask 1 24 L")
    assert filled_words.without_fill(record(book), asked).readings == (later,)
