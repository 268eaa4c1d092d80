"""Deeds as commands: each is a row of a table, since all are read, entered and answered in the same way."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from caskward.cli.book_deeds_help import Row, rows
from caskward.cli.book_options import asked, doing, system_of
from caskward.cli.loose import Given, LooseCommand
from caskward.cli.still_parts import headline, notes, together
from caskward.cli.terminal import in_my_words, put, put_json, terminal

if TYPE_CHECKING:
    from caskward.services.book.acting import Recorded
    from caskward.services.book.opened import Book


def _command(row: Row) -> LooseCommand:
    def answer(given: Given) -> int:
        from caskward.services.book import verbs
        from caskward.services.book.opened import to_write

        asked_for = asked(given, row.verb)
        verbs.maker(row.verb)
        with to_write() as book:
            done = verbs.done_in(book, asked_for, doing(given, row.price_of or given.words))
            return show(book, done, given)

    return LooseCommand(f"book {row.verb}", row.about, row.more, row.words, row.options, answer)


def show(book: Book, done: Recorded, given: Given, more: tuple[str, ...] = ()) -> int:
    """Write what was entered, and what is in its places now."""
    from caskward.services.book import look, words

    after = look.after(book, done)
    if given.flag("--json"):
        put_json(look.recorded_json(done, after))
        return 0
    to, system = terminal(), system_of(given)
    first, *others = words.recorded(done, after, system)
    asks = [in_my_words(one) for one in others if "caskward book explain" in one]
    rest = [one for one in others if "caskward book explain" not in one]
    put(
        together(
            headline(first, to),
            notes(rest, to),
            notes(asks, to, "caution"),
            notes((*done.notes, *more), to),
        )
    )
    return 0


COMMANDS: Mapping[str, LooseCommand] = {row.verb: _command(row) for row in rows()}
