"""`caskward book stock`, `shopping` and `marks`: what there is, what to buy, what should be there."""

from __future__ import annotations

import json
import sys
from pathlib import Path

from caskward.cli.book_options import BY, KEY, NOTE, asked, doing
from caskward.cli.book_page import OPTIONS, SHOWN, page_as_text, put_report, system_of
from caskward.cli.loose import JSON, Given, LooseCommand, Option
from caskward.cli.terminal import put, put_json, terminal
from caskward.errors import MissingValue

_LOSS = Option(
    "--loss", "L", 'The most that may be lost: "evaporated 4 %", "casks 6 % a year".', several=True
)
_STOCK = Option("--stock", "S", 'The least that should be there: "rye 50 kg", "cork 100".', several=True)
_DUTY = Option(
    "--duty", "RATE", 'Your duty a litre of pure alcohol: "13.50 EUR"; or "13.50 USD per proof gallon".'
)


def stock(given: Given) -> int:
    """What there is, and what runs low."""
    from caskward.services.book import stock_report
    from caskward.services.book.looked import look

    book = look()
    found = stock_report.stock_report(book)
    page = stock_report.stock_page(found, system_of(given, book.system))
    put_report(given, page, lambda: stock_report.stock_data(found), lambda: stock_report.stock_table(found))
    return 0


def shopping(given: Given) -> int:
    """What a plan needs beyond what there is; 3 where the plan itself cannot be met."""
    from caskward.services import Refusal, plans
    from caskward.services.book import shopping as lists
    from caskward.services.book.looked import look

    if not given.words:
        raise MissingValue("book shopping", "the name of your plan's file", "mine.toml")
    book = look()
    piped = sys.stdin.buffer.read() if given.words == "-" else None
    outcome = (
        plans.plan_file(Path(given.words)) if piped is None else plans.plan_bytes(piped, "What is piped in")
    )
    if isinstance(outcome, Refusal):
        from caskward.cli.plan import show

        return show(outcome, as_json=given.flag(JSON.name))
    found = lists.shopping_for(outcome, book)
    system = system_of(given) if given.text(SHOWN.name) else outcome.show
    page = lists.shopping_page(found, system)
    put_report(given, page, lambda: dict(lists.shopping_data(found)), lambda: lists.shopping_table(found))
    return 0


def marks(given: Given) -> int:
    """Set marks, or show those that hold."""
    from caskward.services.book import marks_kept, marks_typed
    from caskward.services.book.looked import look
    from caskward.services.book.opened import to_write

    if any(given.flag(option.name) for option in (_LOSS, _STOCK, _DUTY)):
        with to_write() as book:
            known = {commodity for there in book.balances().values() for commodity in there}
            wanted = marks_typed.marks(
                given.texts(_LOSS.name), given.texts(_STOCK.name), given.text(_DUTY.name), sorted(known)
            )
            marks_kept.set_marks(book, wanted, asked(given, "marks"), doing(given))
    seen = look()
    if given.flag(JSON.name):
        put_json(json.dumps(marks_kept.marks_data(seen.marks), ensure_ascii=False, indent=2))
    else:
        page = marks_kept.marks_page(seen.marks, system_of(given, seen.system), invented=seen.invented)
        put(page_as_text(page, terminal()))
    return 0


COMMANDS = {
    "stock": LooseCommand(
        "book stock",
        "What there is: materials, dry goods, spirit, casks, bottles; what runs low.",
        "Low is what is below your own marks (book marks).",
        ("(none)",),
        OPTIONS,
        stock,
        "",
    ),
    "shopping": LooseCommand(
        "book shopping",
        "What to buy for a plan: what it needs, less what is in the book.",
        "What the plan's file says is in store does not count here: the book does.",
        ("mine.toml   your plan's file, or a starting point: pears, rye or wheat-panela",),
        OPTIONS,
        shopping,
        "PLAN",
    ),
    "marks": LooseCommand(
        "book marks",
        "Your own marks: the most that may be lost, the least that should be there, a rate of duty.",
        "They are kept in the book, each with its day and author; the newest value of each holds.",
        ("(none)   show those that hold",),
        (_LOSS, _STOCK, _DUTY, BY, NOTE, KEY, JSON, SHOWN),
        marks,
        "[OPTIONS]",
    ),
}
