"""Every cask that holds something at a date: what, how strong, since when, how much room is left."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from caskward.book.amounts import Liquid
from caskward.book.canonical import moment_text
from caskward.book.reports import CaskLine, cask_inventory
from caskward.errors.book_read import NothingOfIt
from caskward.services.book.looked import Looked
from caskward.services.book.moments import shown
from caskward.services.book.pages import HELP, Column, Page, Section, Table
from caskward.services.book.shares_shown import decimal, pure_unit, thousandths, volume
from caskward.services.book.words import place, strength
from caskward.units.types import UnitSystem


@dataclass(frozen=True, slots=True)
class CaskList:
    """The casks of a moment, as the book knows it now: corrections are put right."""

    at: datetime
    casks: tuple[CaskLine, ...]
    invented: bool

    @property
    def whole(self) -> Liquid:
        """What all casks hold together."""
        return Liquid(
            sum(one.liquid.alcohol_ul for one in self.casks), sum(one.liquid.bulk_ul for one in self.casks)
        )


def cask_list(book: Looked, at: datetime) -> CaskList:
    """The casks at a moment; raises `NothingOfIt` if none held anything."""
    casks = cask_inventory(book.entries, at) if book.entries else ()
    if not casks:
        raise NothingOfIt("filled cask", f"on {shown(at)[:10]}")
    return CaskList(at, casks, book.invented)


def cask_page(found: CaskList, system: UnitSystem) -> Page:
    """The inventory for a screen or paper."""
    unit, whole = pure_unit(system), found.whole
    counts = thousandths([one.liquid.alcohol_ul for one in found.casks], unit)
    rows = [_row(one, decimal(count), system) for one, count in zip(found.casks, counts, strict=True)]
    of_all = (volume(whole.bulk_ul, system), strength(whole, system), decimal(sum(counts)))
    rows.append(("In all", *of_all, "", "", ""))
    count = len(found.casks)
    casks = "1 cask holds" if count == 1 else f"{count} casks hold"
    head = ("", "holds", "strength", f"pure, {unit.short}", "room left", "filled", "gauged")
    return Page(
        title="Casks",
        about=f"on {shown(found.at)[:10]}",
        answers=(
            f"{casks} {volume(whole.bulk_ul, system)}, {decimal(sum(counts))} {unit.short} of pure alcohol.",
        ),
        sections=(Section("Inventory", head, "lrrrrll", tuple(rows), frozenset({len(rows) - 1})),),
        notes=("Strengths and volumes are the book's, not what a cask has breathed out since.", HELP),
        invented=found.invented,
        paper="us-letter" if system == "us" else "a4",
    )


def _row(one: CaskLine, alcohol: str, system: UnitSystem) -> tuple[str, ...]:
    room_ul = None if one.room_ul is None else one.room_ul - one.liquid.bulk_ul
    return (
        place(one.account),
        volume(one.liquid.bulk_ul, system),
        strength(one.liquid, system),
        alcohol,
        "-" if room_ul is None else volume(room_ul, system),
        shown(one.filled_at)[:10],
        "-" if one.last_gauged_at is None else shown(one.last_gauged_at)[:10],
    )


def cask_data(found: CaskList) -> dict[str, object]:
    """The inventory as plain data for JSON."""
    whole = found.whole
    return {
        "what": "cask inventory",
        "note": HELP,
        "invented": found.invented,
        "at": moment_text(found.at),
        "casks": [
            {
                "account": one.account,
                "alcohol_ul": one.liquid.alcohol_ul,
                "bulk_ul": one.liquid.bulk_ul,
                "pct_vol": round(one.liquid.pct_vol, 3),
                "room_ul": one.room_ul,
                "filled_at": moment_text(one.filled_at),
                "batch": one.batch,
                "last_gauged_at": moment_text(one.last_gauged_at) if one.last_gauged_at else None,
            }
            for one in found.casks
        ],
        "alcohol_ul": whole.alcohol_ul,
        "bulk_ul": whole.bulk_ul,
    }


def cask_table(found: CaskList) -> Table:
    """The inventory as rows."""
    names = ("at", "cask", "filled_at", "batch", "last_gauged_at")
    amounts = ("alcohol_ul", "bulk_ul", "room_ul")
    return Table(
        "casks",
        (*(Column(name) for name in names), *(Column(name, "whole") for name in amounts), Column("pct_vol")),
        tuple(
            (
                moment_text(found.at),
                one.account,
                moment_text(one.filled_at),
                one.batch,
                moment_text(one.last_gauged_at) if one.last_gauged_at else None,
                one.liquid.alcohol_ul,
                one.liquid.bulk_ul,
                one.room_ul,
                f"{one.liquid.pct_vol:.3f}",
            )
            for one in found.casks
        ),
    )
