"""`caskward book entries`, `account` and `balances`: what is recorded."""

from __future__ import annotations

import json

from caskward.cli.answers import system_for
from caskward.cli.layout import table
from caskward.cli.loose import JSON, SHOW, Given, LooseCommand, Option
from caskward.cli.still_parts import headline, notes, together
from caskward.cli.terminal import put, put_json, terminal
from caskward.errors import MissingValue, NotUnderstood

LAST = Option("--last", "N", "So many at most.")


def entries(given: Given) -> int:
    """Write entries, the newest last; or one of them whole."""
    from caskward.services.book import look
    from caskward.services.book.opened import to_read

    with to_read() as book:
        system = system_for(given.text("--show"), look.typed(book))
        if given.words:
            found = look.one(book, _number(given.words))
        else:
            found = look.entries(
                book, given.count("--last", "a number of entries") or 20, given.text("--batch")
            )
    if given.flag("--json"):
        put_json(json.dumps([look.entry_dict(one) for one in found], ensure_ascii=False, indent=2))
        return 0
    to = terminal()
    if given.words:
        put("\n".join(look.whole(found[0], system, to.width)))
    elif not found:
        put("Nothing is recorded yet.")
    else:
        first, *rest = look.entry_lines(found, system, to.width)
        put("\n".join([to.paint(first, "dim"), *rest]))
    return 0


def balances(given: Given) -> int:
    """Write what is where."""
    from caskward.services.book import look
    from caskward.services.book.opened import to_read

    with to_read() as book:
        system = system_for(given.text("--show"), look.typed(book))
        found = look.balances(book, given.words, everything=given.flag("--all"))
    if given.flag("--json"):
        put_json(json.dumps(found, ensure_ascii=False, indent=2))
        return 0
    to = terminal()
    lines = table(look.balance_rows(found, system), "lrrr", to.width)
    put("\n".join([to.paint(lines[0], "dim"), *lines[1:]]) if found else "Nothing is there.")
    return 0


def account(given: Given) -> int:
    """Write an account's newest postings."""
    from caskward.services.book import look
    from caskward.services.book.opened import to_read

    if not given.words:
        raise MissingValue("book account", "which account", "cask 12")
    with to_read() as book:
        system = system_for(given.text("--show"), look.typed(book))
        leaf = look.account(book, given.words, given.count("--last", "a number of lines") or 30)
    if given.flag("--json"):
        put_json(json.dumps(look.leaf_dict(leaf), ensure_ascii=False, indent=2))
        return 0
    to = terminal()
    lines = table(look.leaf_rows(leaf, system), "rlllrr", to.width)
    more = notes(["There are older lines: --last 200 shows more."], to) if leaf.more else []
    put(
        together(
            headline(look.leaf_sentence(leaf, system), to),
            [to.paint(lines[0], "dim"), *lines[1:]] if leaf.lines else [],
            more,
        )
    )
    return 0


def _number(words: str) -> int:
    if not words.isdigit():
        raise NotUnderstood("the number of an entry", words, "12")
    return int(words)


COMMANDS = {
    "entries": LooseCommand(
        "book entries",
        "What was recorded, the newest last.",
        "With a number, that entry whole.",
        ("12              entry 12 with its postings and readings",),
        (LAST, Option("--batch", "NAME", "All of a batch."), SHOW, JSON),
        entries,
        "[NUMBER]",
    ),
    "balances": LooseCommand(
        "book balances",
        "What is where.",
        "Places and what they hold, and differences that nobody has explained yet.",
        ("cask              only accounts whose name begins so",),
        (Option("--all", "", "Sources and ends, too."), SHOW, JSON),
        balances,
        "[BEGINNING]",
    ),
    "account": LooseCommand(
        "book account",
        "What went into a place and out of it.",
        "Any account: a place, lost/spilt/rye 5, made/fermentation/rye 5.",
        ("cask 12", "rye lot 31"),
        (LAST, SHOW, JSON),
        account,
        "NAME",
    ),
}
