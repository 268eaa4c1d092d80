"""Marks put into the book, and shown."""

from __future__ import annotations

from dataclasses import replace

from caskward.book import deeds
from caskward.book.deeds import Act
from caskward.book.words import name_in_words
from caskward.services.book import money
from caskward.services.book.acting import Doing, Made, Recorded, record
from caskward.services.book.asked import Asked, View
from caskward.services.book.marks import CASKS_A_YEAR, Duty, Marks, details_of
from caskward.services.book.opened import Book
from caskward.services.book.pages import Page, Section
from caskward.services.book.shares_shown import goods
from caskward.units.types import UnitSystem

_NONE = "You have set no marks yet."


def set_marks(book: Book, marks: Marks, asked: Asked, doing: Doing) -> Recorded:
    """Enter marks as a note; the newest value of each holds."""

    def make(_: Asked, act: Act, __: View) -> Made:
        noted = act if act.note else replace(act, note="Marks set.")
        return Made(deeds.note(noted, details=details_of(marks)))

    return record(book, asked, doing, make)


def rate_in_words(duty: Duty) -> tuple[str, str]:
    """What the rate is for, and the rate, as it was typed."""
    if duty.by_proof_gallon is not None:
        return "each proof gallon", money.shown(duty.by_proof_gallon, duty.currency)
    return "each litre of pure alcohol", money.shown(duty.minor_per_lpa, duty.currency)


def marks_page(marks: Marks, system: UnitSystem, *, invented: bool) -> Page:
    """All marks that hold."""
    losses = tuple((cause, f"{limit} %") for cause, limit in marks.of_period_pct.items())
    a_year = marks.losses_pct.get(CASKS_A_YEAR)
    casks = (("each cask", f"{a_year} %"),) if a_year is not None else ()
    stock = tuple((name_in_words(what), goods(least, what, system)) for what, least in marks.stock.items())
    duty = (rate_in_words(marks.duty),) if marks.duty else ()
    sections = (
        Section("Most that may be lost, of all that a period handles", ("", ""), "lr", losses),
        Section("Most that a cask may lose in a year", ("", ""), "lr", casks),
        Section("Least that should be there", ("", ""), "lr", stock),
        Section("Rate that duty is estimated at", ("", ""), "lr", duty),
    )
    shown = tuple(section for section in sections if section.rows)
    return Page("Marks", "your own limits", () if shown else (_NONE,), shown, (), invented)


def marks_data(marks: Marks) -> dict[str, object]:
    """The marks as plain data for JSON."""
    return {"what": "marks", **details_of(marks)}
