"""`caskward book begin`, `plan` and `forecast`: a batch, its plan, and what is believed of it now."""

from __future__ import annotations

from caskward.cli import book_deeds
from caskward.cli.answers import system_for
from caskward.cli.book_options import AT, BY, KEY, NOTE, asked, doing
from caskward.cli.loose import JSON, SHOW, Given, LooseCommand, Option
from caskward.cli.terminal import patience, put, put_json, terminal
from caskward.errors import MissingValue

PLAN = Option("--plan", "FILE", "Its plan: your file, or a starting point's name.")


def begin(given: Given) -> int:
    """Begin a batch, with a plan if one is given."""
    from caskward.services import plans
    from caskward.services.book import batches
    from caskward.services.book.opened import to_write

    plan = plans.wish(given.text("--plan")) if given.text("--plan") else None
    with to_write() as book:
        with patience("Planning ...") as say:
            done = batches.begin(book, asked(given, "begin"), doing(given), plan, say)
        more = (f"Its plan is entry {done[1].entry.number}.",) if len(done) > 1 else ()
        return book_deeds.show(book, done[0], given, more)


def plan(given: Given) -> int:
    """Give a batch its plan, or another one."""
    from dataclasses import replace

    from caskward.services import plans
    from caskward.services.book import batches, plan_kept
    from caskward.services.book.opened import to_write

    if not given.parts:
        raise MissingValue("book plan", "the batch and its plan's file", '"rye 5" mine.toml')
    *name, file = given.parts
    with to_write() as book:
        with patience("Planning ...") as say:
            ready = plan_kept.prepared(*plans.wish(file), say)
        of = replace(doing(given), batch=" ".join(name) or given.text("--batch"))
        return book_deeds.show(book, batches.planned(book, asked(given, "plan"), of, ready), given)


def forecast(given: Given) -> int:
    """Write what is believed of a batch by its plan and its readings."""
    from caskward.cli import plan_update
    from caskward.services import still_run
    from caskward.services.book import batches
    from caskward.services.book.opened import to_read

    with to_read() as book, patience("Working it out ...") as say:
        report = batches.forecast(book, given.words, say)
    if given.flag("--json"):
        put_json(still_run.as_json(report))
    else:
        system = system_for(given.text("--show"), ()) if given.text("--show") else report.show
        put(plan_update.as_text(report, system, terminal()))
    return 0


COMMANDS = {
    "begin": LooseCommand(
        "book begin",
        "A batch begins.",
        "With a plan, what it was sized to is kept as it is; book forecast holds the batch's readings to it.",
        ("rye 5 --plan mine.toml",),
        (PLAN, AT, BY, NOTE, KEY, SHOW, JSON),
        begin,
        "NAME",
    ),
    "plan": LooseCommand(
        "book plan",
        "A batch gets its plan, or another one: the last holds.",
        "Without a name it is of the only batch that is open.",
        ('"rye 5" mine.toml',),
        (Option("--batch", "NAME", "For which batch."), AT, BY, NOTE, KEY, SHOW, JSON),
        plan,
        "[NAME] FILE",
    ),
    "forecast": LooseCommand(
        "book forecast",
        "What is believed of a batch now, by its plan and all that was measured.",
        "As plan update, with the rows that book measure has kept.",
        ("rye 5",),
        (SHOW, JSON),
        forecast,
        "[NAME]",
    ),
}
