"""What it cost: every place's content by litre of pure alcohol and by bottle, or one of them line by line."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from caskward.book.accounts import ROOTS, root_of
from caskward.book.costs import CostLine, CostSheet, costs_of, not_placed, spent
from caskward.errors.book_read import NothingOfIt
from caskward.services.book import money
from caskward.services.book.looked import Looked
from caskward.services.book.pages import HELP, Column, Page, Section, Table
from caskward.services.book.shares_shown import LITRE, pure
from caskward.services.book.words import place

_ENDS = (
    "What went beside or was lost leaves its cost to what stayed. Duty, rent and your hours are not in it."
)


@dataclass(frozen=True, slots=True)
class CostReport:
    """Sheets of one account or of all; `spent`: all money by currency [minor units]; `loose`: on no place."""

    account: str
    sheets: tuple[CostSheet, ...]
    spent: dict[str, int]
    loose: tuple[CostLine, ...]
    invented: bool


def cost_report(book: Looked, typed: str = "") -> CostReport:
    """The costs of one account, or of everything that carries some; raises `NothingOfIt` if there is none."""
    flow = book.flow
    account = book.account(typed) if typed.strip() else ""
    accounts = [account] if account else sorted(flow.pools, key=_order)
    sheets = tuple(sheet for name in accounts for sheet in costs_of(flow, name))
    if not sheets:
        raise NothingOfIt("costs", f"in {account}" if account else "at all")
    return CostReport(account, sheets, spent(flow), not_placed(flow), book.invented)


def _order(account: str) -> tuple[int, str]:
    return list(ROOTS).index(root_of(account).name), account


def cost_page(report: CostReport, paper_us: bool = False) -> Page:
    """The costs for a screen or paper."""
    sections = _by_line(report) if report.account else _by_place(report)
    return Page(
        title="Costs",
        about=f"of {place(report.account)}" if report.account else "of everything in the book",
        answers=tuple(_answer(report, currency) for currency in _currencies(report)),
        sections=sections,
        notes=(_ENDS, HELP),
        invented=report.invented,
        paper="us-letter" if paper_us else "a4",
    )


def _currencies(report: CostReport) -> list[str]:
    return list(dict.fromkeys(sheet.currency for sheet in report.sheets))


def _answer(report: CostReport, currency: str) -> str:
    if not report.account:
        return (
            f"{money.shown(report.spent[currency], currency)} were spent, and each cent of it is somewhere."
        )
    sheet = next(sheet for sheet in report.sheets if sheet.currency == currency)
    each = [_each(sheet.minor_per_lpa, currency, "a litre of pure alcohol")]
    each += [_each(sheet.minor_per_piece, currency, "a bottle")] if root_of(report.account).liquid else []
    known = ", ".join(one for one in each if one)
    return f"{money.shown(sheet.minor, currency)} in all{f': {known}' if known else ''}."


def _each(minor: Fraction | None, currency: str, of: str) -> str:
    return "" if minor is None else f"{money.shown(minor, currency)} {of}"


def _by_line(report: CostReport) -> tuple[Section, ...]:
    return tuple(
        Section(
            f"What it is made of, {sheet.currency}",
            ("", ""),
            "lr",
            (
                *((line.what, money.shown(line.minor, sheet.currency)) for line in sheet.lines),
                ("In all", money.shown(sheet.minor, sheet.currency)),
            ),
            frozenset({len(sheet.lines)}),
        )
        for sheet in report.sheets
    )


def _by_place(report: CostReport) -> tuple[Section, ...]:
    sections = []
    for currency in _currencies(report):
        sheets = [sheet for sheet in report.sheets if sheet.currency == currency]
        rows = [_row(sheet) for sheet in sheets]
        loose = report.spent[currency] - sum(sheet.minor for sheet in sheets)
        if loose:
            rows.append(("Spent, but on nothing that is kept", money.shown(loose, currency), "", "", ""))
        rows.append(("In all", money.shown(report.spent[currency], currency), "", "", ""))
        head = ("", "cost", "pure, L", "a litre pure", "a bottle")
        title = f"By place, {currency}"
        sections.append(Section(title, head, "lrrrr", tuple(rows), frozenset({len(rows) - 1})))
    return tuple(sections)


def _row(sheet: CostSheet) -> tuple[str, ...]:
    liquid = root_of(sheet.account).liquid
    by_piece = sheet.minor_per_piece if "piece" in root_of(sheet.account).takes and sheet.alcohol_ul else None
    return (
        place(sheet.account),
        money.shown(sheet.minor, sheet.currency),
        pure(sheet.alcohol_ul, LITRE) if sheet.alcohol_ul else "",
        _each(sheet.minor_per_lpa, sheet.currency, "").strip() if sheet.alcohol_ul and liquid else "",
        _each(by_piece, sheet.currency, "").strip(),
    )


def cost_data(report: CostReport) -> dict[str, object]:
    """The costs as plain data for JSON; whole minor units."""
    return {
        "what": "costs",
        "note": HELP,
        "invented": report.invented,
        "spent": report.spent,
        "sheets": [
            {
                "account": sheet.account,
                "currency": sheet.currency,
                "minor": sheet.minor,
                "alcohol_ul": sheet.alcohol_ul,
                "pieces": sheet.pieces,
                "minor_per_lpa": _float(sheet.minor_per_lpa),
                "minor_per_piece": _float(sheet.minor_per_piece),
                "lines": [{"what": line.what, "minor": line.minor} for line in sheet.lines],
            }
            for sheet in report.sheets
        ],
        "not_placed": [{"what": line.what, "minor": line.minor} for line in report.loose],
    }


def _float(value: Fraction | None) -> float | None:
    return None if value is None else round(float(value), 4)


def cost_table(report: CostReport) -> Table:
    """The costs as rows: account, what for, whole minor units."""
    return Table(
        "costs",
        (Column("account"), Column("what"), Column("currency"), Column("minor", "whole")),
        tuple(
            (sheet.account, line.what, sheet.currency, line.minor)
            for sheet in report.sheets
            for line in sheet.lines
        ),
    )
