"""`caskward book correct`: what an older entry should have said."""

from __future__ import annotations

from caskward.cli import book_deeds
from caskward.cli.book_deeds_help import rows
from caskward.cli.book_options import BATCH, BY, LAST, NOTE, asked, doing
from caskward.cli.loose import Given, LooseCommand, Option
from caskward.errors import MissingValue, NotUnderstood

WHEN = Option("--at", "TIME", "When it was really done, if that was wrong.")
WHY = Option("--why", "WORDS", "Why: read the wrong line.")


def _of_deeds() -> tuple[Option, ...]:
    """Every option that a deed may have, once."""
    ours = {"--why", "--at", "--by", "--batch", "--note", "--key", "--show", "--json"}
    every = {one.name: one for row in rows() for one in row.own if one.name not in ours}
    return tuple(every.values())


def correct(given: Given) -> int:
    """Correct an entry, or take it back."""
    from caskward.services.book import acting, verbs
    from caskward.services.book.opened import to_write

    if not given.parts:
        raise MissingValue("book correct", "the number of an entry", '12 --why "it never happened"')
    number, *words = given.parts
    if not number.isdigit():
        raise NotUnderstood("the number of an entry", number, '12 move "tub 1" "pot still" 110 L')
    verb, parts = (words[0], tuple(words[1:])) if words else ("", ())
    make = verbs.maker(verb) if verb else None
    with to_write() as book:
        said = asked(given, verb, parts)
        done = acting.corrected(book, int(number), said, doing(given), given.text("--why"), make)
        return book_deeds.show(book, done, given)


COMMANDS = {
    "correct": LooseCommand(
        "book correct",
        "What an older entry should have said; it stays, and a new one puts it right.",
        "Behind its number the whole deed as it is right, worked out from what was there before it; without "
        "one, it never happened.",
        (
            '12 move "tub 1" "pot still" 110 L 8.1 % at 24 C --why "read the wrong line"',
            '12 --why "entered twice"',
        ),
        (WHY, WHEN, *_of_deeds(), BY, BATCH, NOTE, *LAST),
        correct,
        "NUMBER [DEED]",
    ),
}
