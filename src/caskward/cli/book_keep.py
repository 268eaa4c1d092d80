"""`caskward book check` and its kin: the book as a whole."""

from __future__ import annotations

import json

from caskward.cli.loose import JSON, Given, LooseCommand
from caskward.cli.still_parts import notes, together
from caskward.cli.terminal import put, put_json, terminal


def check(given: Given) -> int:
    """Prove the book; 3 if it does not hold."""
    from caskward.services.book import kept

    found = kept.check()
    if given.flag("--json"):
        put_json(json.dumps(kept.check_data(found), ensure_ascii=False, indent=2))
    else:
        to = terminal()
        put(together(notes(kept.check_sentences(found), to, "bold" if found.whole else "caution")))
    return 0 if found.whole else 3


COMMANDS = {
    "check": LooseCommand(
        "book check",
        "Prove the book: chain, sums, balances; says the first bad entry.",
        "Ends with 3 if something does not hold.",
        ("(none)",),
        (JSON,),
        check,
        "",
    ),
}
