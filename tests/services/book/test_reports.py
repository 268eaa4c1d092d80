"""Periods, an account that adds up to the millilitre, casks, costs, stock and marks, against sums by hand."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.book import deeds
from caskward.book.amounts import liquid, mg, ul
from caskward.errors import InputError, UnclearValue
from caskward.errors.book_read import AccountUnheard, BadMark, NothingOfIt, PeriodBackward, PeriodUnclear
from caskward.services.book.cask_list import cask_data, cask_list, cask_page
from caskward.services.book.cost_report import cost_data, cost_page, cost_report, cost_table
from caskward.services.book.looked import Looked
from caskward.services.book.marks import Duty, Marks, details_of, marks_of
from caskward.services.book.marks_typed import marks as typed_marks
from caskward.services.book.money import shown as money
from caskward.services.book.pages import HELP, Page
from caskward.services.book.period_report import PeriodReport, period_data, period_report, period_table
from caskward.services.book.period_words import period_page
from caskward.services.book.periods import Period, period
from caskward.services.book.shares_shown import LITRE, goods, proof_gallon, pure, thousandths
from caskward.services.book.stock_report import stock_data, stock_page, stock_report
from tests.support.keeper import START, Keeper, histories, small_farm

HOUR = timedelta(hours=1)
NOW = datetime(2026, 5, 20, 15).astimezone()


def days(given_words: str) -> tuple[str, str]:
    """First and last local day."""
    found = period(given_words, NOW)
    return f"{found.start.astimezone():%Y-%m-%d}", f"{found.end.astimezone() - HOUR:%Y-%m-%d}"


def whole(book: Keeper) -> Period:
    return Period(START, book.now + HOUR, "all of it")


def report_of(book: Keeper, **more: object) -> PeriodReport:
    return period_report(Looked(book.entries), whole(book), **more)  # type: ignore[arg-type]


# Periods -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "first", "last"),
    [
        ("2025", "2025-01-01", "2025-12-31"),
        ("2025 Q1", "2025-01-01", "2025-03-31"),
        ("q4 2025", "2025-10-01", "2025-12-31"),
        ("2024-02", "2024-02-01", "2024-02-29"),
        ("2025-12", "2025-12-01", "2025-12-31"),
        ("2025-03-09", "2025-03-09", "2025-03-09"),
        ("2025-03-01 to 2025-03-31", "2025-03-01", "2025-03-31"),
        ("from 2025-11 to 2026-01", "2025-11-01", "2026-01-31"),
        ("", "2026-01-01", "2026-12-31"),
        ("last year", "2025-01-01", "2025-12-31"),
        ("This month", "2026-05-01", "2026-05-31"),
        ("last month", "2026-04-01", "2026-04-30"),
        ("yesterday", "2026-05-19", "2026-05-19"),
    ],
)
def test_a_period_in_words(words: str, first: str, last: str) -> None:
    assert days(words) == (first, last)


@pytest.mark.parametrize("words", ["2025-13", "Q5 2025", "20255", "2025-02-30", "soon", "2025 to", "12"])
def test_what_is_no_period(words: str) -> None:
    with pytest.raises(PeriodUnclear):
        period(words, NOW)


def test_a_period_that_runs_backward() -> None:
    with pytest.raises(PeriodBackward, match="2025-03-05"):
        period("2025-03-05 to 2025-03-01", NOW)


# Figures that add up -----------------------------------------------------------------------------


@given(st.lists(st.integers(-(10**12), 10**12), max_size=12))
def test_what_is_shown_adds_up(parts: list[int]) -> None:
    for unit in (LITRE, proof_gallon()):
        shown = thousandths(parts, unit)
        assert sum(shown) == round(Fraction(sum(parts)) * 1000 / unit.ul)
        for part, count in zip(parts, shown, strict=True):
            assert abs(Fraction(part) * 1000 / unit.ul - count) < 1


def test_a_proof_gallon_is_half_a_us_gallon_of_alcohol_at_60_f() -> None:
    """231 cubic inches at 60 °F, half of it alcohol of specific gravity 0.7939 at 60/60 °F (27-cfr-30).

    Water weighs 0.99902 kg/L at 60 °F (*from memory*), alcohol 0.78924 at 20 °C (oiml-r22-1975): 1.8927 L at
    60 °F fill 1.9020 L at 20 °C. 0.7939 has four digits, good to 0.00005 of 0.8.
    """
    by_hand_l = 231 * 0.0254**3 * 1000 / 2 * (0.7939 * 0.99902) / 0.78924
    assert float(proof_gallon().ul) / 1e6 == pytest.approx(by_hand_l, rel=1.5e-4)


def test_goods_are_shown_to_the_gram() -> None:
    assert goods(mg("64.5"), "mass/rye", "metric") == "64.5 kg"
    assert goods(mg("0.157"), "mass/yeast", "metric") == "157 g"
    assert goods(ul("0.0415"), "volume/enzyme", "metric") == "41.5 mL"
    assert goods(33, "piece/cork", "us") == "33 pieces"
    assert goods(mg(10), "mass/rye", "us") == "22.05 lb"


def test_money_is_rounded_to_its_minor_unit() -> None:
    assert money(123450, "EUR") == "1,234.50 EUR"
    assert money(Fraction(1, 2), "EUR") == "0.01 EUR"
    assert money(1200, "JPY") == "1,200 JPY"


# The account of a period -------------------------------------------------------------------------


def test_the_account_by_hand() -> None:
    report = report_of(small_farm())
    account = next(one for one in period_page(report, "metric").sections if one.title.startswith("Account"))
    assert account.rows == (
        ("At the start", "0.000"),
        ("Made: fermentation", "+32.000"),
        ("Lost: stillage", "-1.770"),
        ("Sold: farm shop", "-3.900"),
        ("Destroyed: foreshots", "-0.700"),
        ("Unaccounted: measuring", "-1.030"),
        ("Unaccounted: open", "-0.500"),
        ("At the end", "24.100"),
    )


def adds_up(page: Page) -> bool:
    """Start and changes are the end, and so is what the places hold, digit by digit as printed."""
    for one in page.sections:
        figures = [Decimal(row[1].replace(",", "")) for row in one.rows] if one.strong else []
        if one.title.startswith("Account") and sum(figures[:-1]) != figures[-1]:
            return False
        if one.title.startswith("Where it is") and sum(figures[:-1]) != figures[-1]:
            return False
    return True


@given(histories())
def test_every_account_adds_up_as_printed(keeper: Keeper) -> None:
    report = report_of(keeper)
    assert adds_up(period_page(report, "metric"))
    assert adds_up(period_page(report, "us"))


def test_each_report_says_that_it_is_no_filing() -> None:
    book = Looked(small_farm().entries)
    pages = [
        period_page(report_of(small_farm()), "metric"),
        cask_page(cask_list(book, small_farm().now), "metric"),
        cost_page(cost_report(book)),
    ]
    for page in pages:
        assert page.notes[-1] == HELP
    assert "not a filing" in HELP


def test_losses_against_limits() -> None:
    """Handled are 32 L: stillage 1.77 L is 5.53 %, unaccounted 1.53 L is 4.78 %."""
    marks = Marks({"stillage": Decimal("5.5"), "unaccounted": Decimal("4.8")})
    report = report_of(small_farm(), marks=marks)
    losses = next(one for one in period_page(report, "metric").sections if one.title.startswith("Losses"))
    assert losses.rows == (
        ("stillage", "1.770", "5.53 %", "5.5 %", "over"),
        ("unaccounted", "1.530", "4.78 %", "4.8 %", "within"),
    )
    assert "Over your own limit: stillage 5.5 % (limit 5.5 %)." in period_page(report, "metric").answers


def test_duty_by_the_makers_rate() -> None:
    """3.9 L at 13.57 EUR are 52.92 EUR."""
    report = report_of(small_farm(), marks=Marks(duty=Duty(Decimal(1357), "EUR")))
    assert report.duty is not None
    assert report.duty.minor == 5292
    duty = period_page(report, "metric").sections[-1]
    assert duty.rows[-1] == ("Estimate", "52.92 EUR")


def test_a_loss_found_by_the_very_last_entry_counts() -> None:
    """10 L at 65 %vol, found to be 9.9 L at 64 %vol: 0.164 L of pure alcohol are gone."""
    book = small_farm()
    book.enter(deeds.gauge(book.act(), book.state, "cask/1", liquid("9.9", 64)))
    year = Period(START, START + 300 * 24 * HOUR, "a year")
    report = period_report(Looked(book.entries), year)
    assert [(one.account, one.lost_ul) for one in report.casks] == [("cask/1", ul("0.164"))]


def test_rows_and_json_are_whole_numbers_that_add_up() -> None:
    report = report_of(small_farm())
    rows = period_table(report).rows
    opening, closing = rows[0][4], next(row[4] for row in rows if row[2] == "closing")
    changes = [row[4] for row in rows if row[2] == "change"]
    held = [row[4] for row in rows if row[2] == "held"]
    assert isinstance(opening, int)
    assert opening + sum(changes) == closing == sum(held) == ul("24.1")  # type: ignore[arg-type]
    data = period_data(report)
    assert data["closing_ul"] == closing
    assert data["head"] == small_farm().entries[-1].hash


def test_as_it_was_known() -> None:
    book = small_farm()
    known = book.entries[7].recorded_at
    report = report_of(book, known_at=known)
    assert report.entries == 8
    assert report.head == book.entries[7].hash


def test_a_period_with_nothing_in_it() -> None:
    nothing = Period(START - 48 * HOUR, START - 24 * HOUR, "before")
    page = period_page(period_report(Looked(small_farm().entries), nothing), "metric")
    assert page.answers == ("The book has no alcohol in this period.",)


# Casks, costs, stock -----------------------------------------------------------------------------


def test_casks_of_a_moment() -> None:
    book = small_farm()
    found = cask_list(Looked(book.entries), book.now)
    (row, in_all) = cask_page(found, "metric").sections[0].rows
    assert row[:5] == ("cask 1", "10.000 L", "65.0 %vol", "6.500", "22.000 L")
    assert in_all[:4] == ("In all", "10.000 L", "65.0 %vol", "6.500")
    assert cask_data(found)["alcohol_ul"] == ul("6.5")
    with pytest.raises(NothingOfIt):
        cask_list(Looked(book.entries), START)


def test_all_money_is_somewhere() -> None:
    report = cost_report(Looked(small_farm().entries))
    by_place = sum(int(row[3]) for row in cost_table(report).rows if row[3] is not None)
    assert by_place + sum(line.minor for line in report.loose) == report.spent["EUR"]
    assert cost_data(report)["spent"] == report.spent


def test_costs_of_one_place_line_by_line() -> None:
    book = Looked(small_farm().entries)
    report = cost_report(book, "bottles L1")
    (sheet,) = report.sheets
    section = cost_page(report).sections[0]
    assert sum(line.minor for line in sheet.lines) == sheet.minor
    assert section.rows[-1] == ("In all", money(sheet.minor, "EUR"))
    assert sheet.minor_per_piece is not None
    assert money(sheet.minor_per_piece, "EUR") in cost_page(report).answers[0]


def test_stock_and_what_runs_low() -> None:
    book = small_farm()
    details = details_of(Marks(stock={"mass/rye": mg(25), "piece/bottle 500 mL": 60}))
    book.enter(deeds.note(book.act(), details=details))
    report = stock_report(Looked(book.entries))
    page = stock_page(report, "metric")
    assert page.sections[0].rows == (("rye", "20 kg", "25 kg", "5 kg"),)
    assert page.answers[1] == "Below your marks: rye."
    assert stock_data(report)["alcohol_ul"] == ul("24.1")
    assert pure(report.stock.alcohol_ul, LITRE) in page.answers[0]


# Marks and names ---------------------------------------------------------------------------------


def test_the_newest_mark_holds_and_a_withdrawn_one_does_not() -> None:
    book = small_farm()
    first = Marks({"stillage": Decimal(4), "evaporated": Decimal("3.5")}, duty=Duty(Decimal(1350), "EUR"))
    book.enter(deeds.note(book.act(), details=details_of(first)))
    second = book.enter(deeds.note(book.act(), details=details_of(Marks({"stillage": Decimal(2)}))))
    assert marks_of(book.entries).losses_pct == {"stillage": Decimal(2), "evaporated": Decimal("3.5")}
    book.enter(deeds.withdraw(book.act(), second, "not meant"))
    assert marks_of(book.entries) == first


def test_marks_as_typed() -> None:
    found = typed_marks(
        ["spent solids 12,5 %"], ["Rye 50 kg", "cork 100", "enzyme 200 mL"], "13.57 EUR", ["mass/rye"]
    )
    assert found.losses_pct == {"spent solids": Decimal("12.5")}
    assert found.stock == {"mass/rye": mg(50), "piece/cork": 100, "volume/enzyme": ul("0.2")}
    assert found.duty == Duty(Decimal(1357), "EUR")


@pytest.mark.parametrize(
    ("losses", "stocks"), [(["evaporated"], []), (["x 101 %"], []), ([], ["rye"]), ([], ["rye 5 bar"])]
)
def test_what_sets_no_mark(losses: list[str], stocks: list[str]) -> None:
    with pytest.raises(BadMark):
        typed_marks(losses, stocks, "")


def test_a_rate_needs_its_currency() -> None:
    with pytest.raises(InputError, match="currency"):
        typed_marks([], [], "13.50")


def test_names_as_a_maker_says_them() -> None:
    book = Looked(small_farm().entries)
    assert book.account("Cask 1") == "cask/1"
    assert book.account("cask/1") == "cask/1"
    assert book.account("rye 2") == "lot/rye 2"
    assert book.account("rye 1") == "lot/rye 1", "a lot, not the batch of that name"
    assert book.account("farm shop") == "sold/farm shop"
    with pytest.raises(AccountUnheard, match="cask 1"):
        book.account("csk 1")


def test_a_name_of_two_places_is_asked_about() -> None:
    book = small_farm()
    book.enter(deeds.declare(book.act(), {"vessel/1": ul(5)}))
    with pytest.raises(UnclearValue, match="vessel/1"):
        Looked(book.entries).account("1")
