"""`caskward book report` and its kin: what came and went in a period, casks at a date, costs, marks."""

from __future__ import annotations

from datetime import datetime

from caskward.cli.book_page import OPTIONS, put_report, system_of
from caskward.cli.loose import JSON, Given, LooseCommand, Option
from caskward.cli.terminal import my_name, put, put_json

_LIMIT = Option(
    "--limit",
    "L",
    'A limit for this report: "evaporated 4 %", "casks 6 % a year". May be given several times.',
    several=True,
)
_DUTY = Option(
    "--duty", "RATE", 'Your rate a litre of pure alcohol: "13.50 EUR"; or "13.50 USD per proof gallon".'
)
_KNOWN = Option("--known", "WHEN", "As the book stood then: leave out what was recorded later.")
_RIGHT = Option("--put-right", "", "With each correction where its original was, not when it was made.")


def report(given: Given) -> int:
    """The alcohol account of a period."""
    from caskward.services.book import marks_typed, moments, period_report, period_words, periods
    from caskward.services.book.looked import look

    now = datetime.now().astimezone()
    period = periods.period(given.words, now)
    known = given.text(_KNOWN.name)
    marks = marks_typed.marks(given.texts(_LIMIT.name), (), given.text(_DUTY.name))
    known_at = moments.moment(known, now) if known else None
    right = given.flag(_RIGHT.name)
    book = look()
    found = period_report.period_report(book, period, marks, known_at, put_right=right)
    page = period_words.period_page(found, system_of(given, book.system))
    put_report(
        given,
        page,
        lambda: period_report.period_data(found),
        lambda: period_report.period_table(found),
    )
    return 0


def casks(given: Given) -> int:
    """Every cask that holds something at a date."""
    from caskward.services.book import cask_list, moments
    from caskward.services.book.looked import look

    book = look()
    found = cask_list.cask_list(book, moments.moment(given.words, datetime.now().astimezone()))
    page = cask_list.cask_page(found, system_of(given, book.system))
    put_report(given, page, lambda: cask_list.cask_data(found), lambda: cask_list.cask_table(found))
    return 0


def costs(given: Given) -> int:
    """What the content of a place has cost, or of all places."""
    from caskward.services.book import cost_report
    from caskward.services.book.looked import look

    book = look()
    found = cost_report.cost_report(book, given.words)
    page = cost_report.cost_page(found, system_of(given, book.system) == "us")
    put_report(given, page, lambda: cost_report.cost_data(found), lambda: cost_report.cost_table(found))
    return 0


def demo(given: Given) -> int:
    """Write the invented year into a book of its own."""
    from caskward.services.book.demo_book import DEMO_FILE, INVENTED, write_demo

    written = write_demo(given.words or DEMO_FILE)
    if given.flag(JSON.name):
        import json

        put_json(json.dumps({"place": written.place, "entries": written.entries, "head": written.head}))
        return 0
    put(
        f"{INVENTED}\n{written.entries} entries of a year are in {written.place}\n\nTo look into it:\n"
        f"   export CASKWARD_BOOK={written.place}\n"
        f"   {my_name()} book report 2025\n"
        f"   {my_name()} book trace cask 2\n"
        f"   {my_name()} book stock"
    )
    return 0


COMMANDS = {
    "report": LooseCommand(
        "book report",
        "The alcohol account of a period: what was there, what came, what went and why, what is there.",
        "Losses are held against your own limits (book marks). A help for your own records, no filing.",
        (
            "2026 | 2026 Q2 | 2026-03 | last month   a year, a quarter, a month",
            "2026-01-01 to 2026-03-31                two days, the last one included",
            "(none)                                  this year",
        ),
        (_LIMIT, _DUTY, _KNOWN, _RIGHT, *OPTIONS),
        report,
        "[PERIOD]",
    ),
    "casks": LooseCommand(
        "book casks",
        "Every cask that holds something, now or at a date.",
        "Corrections are put right: it is what the book knows today of that day.",
        ("2026-03-31   the day; without one, now",),
        OPTIONS,
        casks,
        "[DAY]",
    ),
    "costs": LooseCommand(
        "book costs",
        "What it cost: by litre of pure alcohol and by bottle.",
        "Prices of lots, energy and casks go with what moves; a loss leaves its cost to what stays.",
        ('cask 2 | "bottles rye L26-1"   one place; without one, all',),
        OPTIONS,
        costs,
        "[PLACE]",
    ),
    "demo": LooseCommand(
        "book demo",
        "Write a book to look at: an invented year of a small farm, with six batches, casks and bottles.",
        "It goes into a file of its own, never into a book that has entries. The same every time.",
        ("low-marl-farm.sqlite   the file; that one if you name none",),
        (JSON,),
        demo,
        "[FILE]",
    ),
}
