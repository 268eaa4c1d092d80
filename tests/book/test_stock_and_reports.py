"""What there is, and the account of a period, against sums done by hand."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest

from caskward.book import deeds
from caskward.book.amounts import liquid, mg, ul
from caskward.book.cask_losses import cask_losses
from caskward.book.deeds import Part
from caskward.book.reports import alcohol_account, cask_inventory, duty_estimate, judge_losses
from caskward.book.stock import OpenDifference, ToBuy, open_differences, running_low, shopping, stock_of
from caskward.errors.book import MoreThanIsHeld
from tests.support.keeper import START, Keeper, small_farm

HOUR = timedelta(hours=1)


def lines(book: Keeper, first: int, last: int) -> dict[str, int]:
    account = alcohol_account(book.entries, START + first * HOUR, START + last * HOUR)
    return {line.cause: line.alcohol_ul for line in account.lines}


def test_all_that_is_there() -> None:
    book = small_farm()
    stock = stock_of(book.state.balances, book.state.rooms_ul)
    assert [row.account for row in stock.liquids] == ["jar/feints", "jar/heart", "cask/1", "bottles/L1"]
    assert stock.alcohol_ul == ul("24.1")
    (cask,) = stock.of("cask")
    assert (cask.liquid, cask.ullage_ul) == (liquid(10, 65), ul(22))
    assert stock.of("bottles")[0].pieces == 28
    assert stock.totals() == {"mass/rye": mg(20), "piece/bottle 500 mL": 60}


def test_what_a_plan_needs_and_what_runs_low() -> None:
    book = small_farm()
    stock = stock_of(book.state.balances)
    wanted = shopping(stock, {"mass/rye": mg(55), "mass/oats": mg(20), "piece/bottle 500 mL": 50})
    assert [row.missing for row in wanted] == [mg(35), mg(20), 0]
    assert running_low(stock, {"mass/rye": mg(25), "piece/bottle 500 mL": 60}) == (
        ToBuy("mass/rye", mg(25), mg(20)),
    )


def test_the_account_of_everything() -> None:
    book = small_farm()
    account = alcohol_account(book.entries, START, book.now + HOUR)
    assert [(line.cause, line.alcohol_ul) for line in account.lines] == [
        ("made/fermentation", ul(32)),
        ("lost/stillage", -ul("1.77")),
        ("sold/farm shop", -ul("3.9")),
        ("destroyed/foreshots", -ul("0.7")),
        ("unaccounted/measuring", -ul("1.03")),
        ("unaccounted/open", -ul("0.5")),
    ]
    assert (account.opening_ul, account.closing_ul) == (0, ul("24.1"))
    assert account.held_ul == {
        "bottles/L1": ul("9.1"),
        "cask/1": ul("6.5"),
        "jar/feints": ul(2),
        "jar/heart": ul("6.5"),
    }
    # Into the still 16 + 16 + 30, out of it 15 + 15 + 28, the cask 19.5, the bottles 13.
    assert account.moved_ul == ul("152.5")


def test_a_period_takes_its_start_and_leaves_its_end() -> None:
    """The wash was gauged 6 h after the start, the first run made 8 h after it."""
    book = small_farm()
    assert lines(book, 6, 8) == {"made/fermentation": ul(32)}
    assert lines(book, 7, 9) == {"lost/stillage": -ul("0.75"), "unaccounted/open": -ul("0.25")}
    assert lines(book, 0, 6) == {}


def test_a_reported_period_stays_as_it_was() -> None:
    """A correction counts when it is made, and is named; the period before it is the same as ever."""
    book = small_farm()
    old, until = book.entries[-1], book.now + HOUR
    reported = alcohol_account(book.entries, START, until)
    book.now = until
    book.enter(deeds.withdraw(book.act(), old, "another farm"))
    assert alcohol_account(book.entries, START, until) == reported
    after = alcohol_account(book.entries, until, book.now + HOUR)
    assert [(line.cause, line.alcohol_ul) for line in after.lines] == [("sold/farm shop", ul("3.9"))]
    assert (after.corrected, after.moved_ul) == ((16,), 0)


def test_what_was_entered_late_can_be_left_out() -> None:
    book = small_farm()
    reported_at = book.now
    reported = alcohol_account(book.entries, START, reported_at + HOUR)
    book.now += timedelta(days=3)
    late = deeds.Act(key="late", done_at=START + 2 * HOUR, author="Ben")
    book.enter(deeds.receive_liquid(late, "jar/x", liquid(1, 50), "Neighbour"))
    assert alcohol_account(book.entries, START, reported_at + HOUR) != reported
    assert alcohol_account(book.entries, START, reported_at + HOUR, known_at=reported_at) == reported


def test_losses_against_the_makers_own_limits() -> None:
    """1.77 of 32 L are 5.53 %, 1.53 L unaccounted 4.78 %."""
    book = small_farm()
    account = alcohol_account(book.entries, START, book.now + HOUR)
    limits = {"stillage": Decimal("5.5"), "unaccounted": Decimal(5), "transfer": Decimal(0)}
    judged = judge_losses(account, limits)
    assert [(row.cause, round(row.pct, 2), row.over) for row in judged] == [
        ("stillage", 5.53, True),
        ("unaccounted", 4.78, False),
        ("transfer", 0.0, False),
    ]
    at_the_limit = judge_losses(account, {"stillage": Decimal("5.53125")})
    assert not at_the_limit[0].over


def test_casks_at_a_date() -> None:
    book = small_farm()
    assert cask_inventory(book.entries, START + 12 * HOUR) == ()
    (filled,) = cask_inventory(book.entries, START + 13 * HOUR)
    assert (filled.liquid, filled.room_ul, filled.batch) == (liquid(30, 65), ul(32), "rye 1")
    assert (filled.filled_at, filled.last_gauged_at) == (START + 13 * HOUR, None)
    book.enter(deeds.gauge(book.act(), book.state, "cask/1", liquid("9.5", 65)))
    gauged_at = book.now
    book.enter(deeds.sample(book.act(), book.state, Part("cask/1", liquid("0.1", 65))))
    (now,) = cask_inventory(book.entries, book.now)
    assert (now.liquid, now.filled_at, now.last_gauged_at) == (
        liquid("9.4", 65),
        filled.filled_at,
        gauged_at,
    )


def test_a_cask_filled_again_counts_from_then() -> None:
    book = small_farm()
    book.enter(deeds.move(book.act(), book.state, Part("cask/1", liquid(10, 65), empties=True), "jar/x"))
    book.enter(deeds.fill(book.act("rye 1"), book.state, Part("jar/x", liquid(10, 65)), "cask/1"))
    assert cask_inventory(book.entries, book.now)[0].filled_at == book.now


def test_what_duty_might_come_to() -> None:
    """3.9 L of pure alcohol sold at 13.03 a litre are 50.817, so 50.82; foreshots only if asked for."""
    book = small_farm()
    account = alcohol_account(book.entries, START, book.now + HOUR)
    assert duty_estimate(account, Decimal("1303")).minor == 5082
    assert duty_estimate(account, Decimal("1303"), ("sold", "destroyed")).alcohol_ul == ul("4.6")
    assert duty_estimate(account, Decimal("0.5")).minor == 2
    assert duty_estimate(account, Decimal("1303"), ("sampled",)).minor == 0


def test_what_casks_lost_in_a_year() -> None:
    """10 L of pure alcohol held for a year; 0.2 L gauged away half-way, 1 L drawn at the end of it.

    On the average 9.9 L were held, and 0.2 of those are 2.02 per cent.
    """
    book = Keeper()
    book.enter(deeds.declare(book.act(), {"cask/1": ul(32)}))
    book.enter(deeds.receive_liquid(book.act(), "cask/1", liquid(20, 50), "Neighbour"))
    start = book.now
    book.now = start + timedelta(days=365.25 / 2) - HOUR
    book.enter(deeds.gauge(book.act(), book.state, "cask/1", liquid("19.6", 50)))
    book.now = start + timedelta(days=365.25) - 2 * HOUR
    book.enter(deeds.explain(book.act(), book.state, "cask/1", "evaporation"))
    book.enter(deeds.sell(book.act(), book.state, Part("cask/1", liquid(2, 50)), "shop"))
    (loss,) = cask_losses(book.entries, start, start + timedelta(days=365.25))
    assert loss.lost_ul == ul("0.2")
    assert loss.pct_a_year == pytest.approx(100 * 0.2 / 9.9, rel=1e-12)
    (second,) = cask_losses(book.entries, book.now + HOUR, book.now + 2 * HOUR)
    assert (second.lost_ul, second.pct_a_year) == (0, 0.0)
    assert cask_losses(book.entries, start - 2 * HOUR, start - HOUR) == ()


def test_a_gauge_that_finds_too_much_makes_up_for_a_loss() -> None:
    book = Keeper()
    book.enter(deeds.declare(book.act(), {"cask/1": ul(32)}))
    book.enter(deeds.receive_liquid(book.act(), "cask/1", liquid(20, 50), "Neighbour"))
    for volume in ("19.6", "19.7"):
        book.enter(deeds.gauge(book.act(), book.state, "cask/1", liquid(volume, 50)))
    (loss,) = cask_losses(book.entries, START, book.now + HOUR)
    assert loss.lost_ul == ul("0.15")


def test_a_loss_beside_a_bottling_is_counted_in_part() -> None:
    """Of 6.5 L from the cask 0.325 are lost in bottling, and nothing else is."""
    book = small_farm()
    glass = deeds.Goods("goods/bottles", "piece/bottle 500 mL", 19)
    lot = deeds.Bottling("bottles/L2", glass, 500_000, 65)
    book.enter(deeds.bottle(book.act("rye 1"), book.state, deeds.all_of(book.state, "cask/1"), lot))
    (loss,) = cask_losses(book.entries, START, book.now + HOUR)
    assert loss.lost_ul == ul("0.325")


def test_what_a_reason_is_still_asked_for() -> None:
    book = small_farm()
    assert open_differences(book.state.balances) == (OpenDifference("vessel still", "alcohol", ul("0.5")),)
    book.enter(deeds.explain(book.act(), book.state, "vessel/still", "vapour"))
    assert open_differences(book.state.balances) == ()


def test_parts_that_nobody_measured_are_at_the_books_strength() -> None:
    book = small_farm()
    assert deeds.all_of(book.state, "jar/heart").liquid == liquid(10, 65)
    assert deeds.some_of(book.state, "jar/heart", ul(4)).liquid == liquid(4, 65)
    with pytest.raises(MoreThanIsHeld, match="the book has 10 L"):
        deeds.some_of(book.state, "jar/heart", ul(11))


def test_a_cask_that_is_topped_counts_from_its_filling() -> None:
    book = small_farm()
    book.enter(deeds.top(book.act(), book.state, Part("jar/heart", liquid(2, 65)), "cask/1"))
    assert cask_inventory(book.entries, book.now)[0].filled_at == START + 13 * HOUR


def test_a_correction_moves_nothing() -> None:
    book = small_farm()
    book.enter(deeds.move(book.act(), book.state, Part("jar/heart", liquid(2, 65)), "jar/x"))
    until, before = book.now + HOUR, book.entries[-1]
    book.now = until
    right = deeds.move(book.act(), book.state, Part("jar/heart", liquid(1, 65)), "jar/x")
    book.enter(deeds.correct(book.act(), before, right, "misread"))
    after = alcohol_account(book.entries, until, book.now + HOUR)
    assert (after.moved_ul, after.lines, after.corrected) == (0, (), (17,))


def test_a_loss_at_the_very_start_of_a_period_is_in_it() -> None:
    book = small_farm()
    book.enter(deeds.lose(book.act(), book.state, Part("cask/1", liquid(1, 65)), "leak"))
    (within,) = cask_losses(book.entries, book.now, book.now + HOUR)
    (before,) = cask_losses(book.entries, book.now - HOUR, book.now)
    assert (within.lost_ul, before.lost_ul) == (ul("0.65"), 0)
