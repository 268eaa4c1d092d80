"""What there is: materials, dry goods, spirit, casks, bottles; what runs low; what nobody has explained."""

from __future__ import annotations

from dataclasses import asdict, dataclass

from caskward.book.accounts import BULK, family_of, root_of
from caskward.book.stock import (
    GoodsHeld,
    LiquidHeld,
    OpenDifference,
    Stock,
    ToBuy,
    open_differences,
    running_low,
    stock_of,
)
from caskward.book.words import name_in_words, said
from caskward.services.book.looked import Looked
from caskward.services.book.pages import HELP, Column, Page, Section, Table
from caskward.services.book.shares_shown import decimal, goods, pure, pure_unit, thousandths, volume
from caskward.services.book.words import place, strength
from caskward.units.types import UnitSystem

_LIQUIDS = (("vessel", "In vessels"), ("jar", "In jars"), ("cask", "In casks"), ("bottles", "In bottles"))


@dataclass(frozen=True, slots=True)
class StockReport:
    """All that is there as booked, what is below the maker's own marks, and open differences."""

    stock: Stock
    low: tuple[ToBuy, ...]
    open: tuple[OpenDifference, ...]
    marked: bool
    invented: bool


def stock_report(book: Looked) -> StockReport:
    """The stock of a book."""
    state, marks = book.state, book.marks
    stock = stock_of(state.balances, state.rooms_ul)
    return StockReport(
        stock,
        running_low(stock, marks.stock),
        open_differences(state.balances),
        bool(marks.stock),
        book.invented,
    )


def stock_page(report: StockReport, system: UnitSystem) -> Page:
    """The stock for a screen or paper."""
    stock = report.stock
    materials = [row for row in stock.goods if family_of(row.commodity) != "piece"]
    pieces = [row for row in stock.goods if family_of(row.commodity) == "piece"]
    sections = (
        _low(report.low, system),
        _goods("Materials", materials, system),
        _goods("Dry goods", pieces, system),
        *(_liquids(title, stock.of(root), system) for root, title in _LIQUIDS),
        _open(report.open, system),
    )
    return Page(
        title="Stock",
        about="",
        answers=_answers(report, system),
        sections=tuple(one for one in sections if one.rows),
        notes=("Amounts are the book's: what was not recorded is not in them.", HELP),
        invented=report.invented,
        paper="us-letter" if system == "us" else "a4",
    )


def _answers(report: StockReport, system: UnitSystem) -> tuple[str, ...]:
    unit = pure_unit(system)
    there = f"{pure(report.stock.alcohol_ul, unit)} {unit.short} of pure alcohol are in the house."
    if report.low:
        names = ", ".join(name_in_words(one.commodity) for one in report.low)
        return there, f"Below your marks: {names}."
    if report.marked:
        return there, "Nothing is below your marks."
    return (there,)


def _low(low: tuple[ToBuy, ...], system: UnitSystem) -> Section:
    rows = tuple(
        (
            name_in_words(one.commodity),
            goods(one.there, one.commodity, system),
            goods(one.needed, one.commodity, system),
            goods(one.missing, one.commodity, system),
        )
        for one in low
    )
    return Section("Runs low", ("", "there", "your mark", "short by"), "lrrr", rows)


def _goods(title: str, rows: list[GoodsHeld], system: UnitSystem) -> Section:
    shown = tuple(
        (name_in_words(row.commodity), place(row.account), goods(row.amount, row.commodity, system))
        for row in sorted(rows, key=lambda row: (row.commodity, row.account))
    )
    return Section(title, ("", "lot", ""), "llr", shown)


def _liquids(title: str, rows: tuple[LiquidHeld, ...], system: UnitSystem) -> Section:
    unit = pure_unit(system)
    counts = thousandths([row.liquid.alcohol_ul for row in rows], unit)
    counted, roomy = any(row.pieces for row in rows), any(row.ullage_ul is not None for row in rows)
    shown = tuple(
        (
            place(row.account),
            *([str(row.pieces)] if counted else []),
            volume(row.liquid.bulk_ul, system),
            strength(row.liquid, system),
            decimal(count),
            *([_room(row, system)] if roomy else []),
        )
        for row, count in zip(rows, counts, strict=True)
    )
    head = ("", *(["pieces"] if counted else []), "holds", "strength", f"pure, {unit.short}")
    return Section(
        title, (*head, *(["room left"] if roomy else [])), "l" + "r" * (len(head) - 1 + roomy), shown
    )


def _room(row: LiquidHeld, system: UnitSystem) -> str:
    return "" if row.ullage_ul is None else volume(row.ullage_ul, system)


def _open(rows: tuple[OpenDifference, ...], system: UnitSystem) -> Section:
    shown = tuple(
        (
            row.place,
            name_in_words(row.commodity),
            said(abs(row.amount), row.commodity, system),
            "missing" if row.amount > 0 else "too much",
        )
        for row in rows
    )
    return Section("Not explained yet", ("", "", "", ""), "llrl", shown)


def stock_data(report: StockReport) -> dict[str, object]:
    """The stock as plain data for JSON."""
    return {
        "what": "stock",
        "note": HELP,
        "invented": report.invented,
        "alcohol_ul": report.stock.alcohol_ul,
        "liquids": [
            {
                "account": row.account,
                "alcohol_ul": row.liquid.alcohol_ul,
                "bulk_ul": row.liquid.bulk_ul,
                "room_ul": row.room_ul,
                "room_left_ul": row.ullage_ul,
                "pieces": row.pieces,
            }
            for row in report.stock.liquids
        ],
        "goods": [asdict(row) for row in report.stock.goods],
        "totals": report.stock.totals(),
        "low": [asdict(row) | {"missing": row.missing} for row in report.low],
        "open": [asdict(row) for row in report.open],
    }


def stock_table(report: StockReport) -> Table:
    """The stock as rows: account, commodity, whole amount."""
    rows: list[tuple[str, str, int]] = []
    for row in report.stock.liquids:
        rows += [(row.account, "alcohol", row.liquid.alcohol_ul), (row.account, BULK, row.liquid.bulk_ul)]
        rows += [(row.account, "piece", row.pieces)] if row.pieces else []
    rows += [(row.account, row.commodity, row.amount) for row in report.stock.goods]
    return Table(
        "stock",
        (Column("account"), Column("kind"), Column("commodity"), Column("amount", "whole")),
        tuple((account, root_of(account).name, what, amount) for account, what, amount in rows),
    )
