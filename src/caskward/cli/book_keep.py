"""`caskward book check`, `backup`, `restore`, `export`, `import`: the book as a whole."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import TYPE_CHECKING

from caskward.cli.loose import JSON, Given, LooseCommand, Option
from caskward.cli.still_parts import notes, together
from caskward.cli.terminal import put, put_json, terminal
from caskward.errors import MissingValue

if TYPE_CHECKING:
    from caskward.services.book.kept import Done

OVERWRITE = Option("--overwrite", "", "Put it in the place of what is there.")


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


def backup(given: Given) -> int:
    """Copy the book."""
    from caskward.services.book import kept

    return _with_file(given, "backup", "farm-2026-03-01.sqlite",
                      lambda file: kept.back_up(file, overwrite=given.flag("--overwrite")))  # fmt: skip


def restore(given: Given) -> int:
    """Bring the book back from a copy."""
    from caskward.services.book import kept

    return _with_file(given, "restore", "farm-2026-03-01.sqlite",
                      lambda file: kept.restore(file, overwrite=given.flag("--overwrite")))  # fmt: skip


def export(given: Given) -> int:
    """Write all entries as lines of JSON, into a file or to the screen."""
    from caskward.services.book import kept

    if given.words:
        return _with_file(given, "export", "farm.jsonl", kept.export)
    for line in kept.lines():
        put(line)
    return 0


def take_in(given: Given) -> int:
    """Take an export into an empty book."""
    from caskward.services.book import kept

    return _with_file(given, "import", "farm.jsonl", kept.take_in)


def _with_file(given: Given, name: str, example: str, work: Callable[[str], Done]) -> int:
    if not given.words:
        raise MissingValue(f"book {name}", "the name of a file", example)
    done = work(given.words)
    if given.flag("--json"):
        put_json(json.dumps(dict(done.figures), ensure_ascii=False, indent=2))
    else:
        put(together(notes([done.sentence], terminal(), "bold")))
    return 0


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
    "backup": LooseCommand(
        "book backup",
        "Copy the book into a file, while it is in use; the copy is proved.",
        "One SQLite file, whatever keeps the book itself. Keep it on another disk.",
        ("farm-2026-03-01.sqlite",),
        (OVERWRITE, JSON),
        backup,
        "FILE",
    ),
    "restore": LooseCommand(
        "book restore",
        "Bring the book back from a backup.",
        "A book that is there is left alone unless it is to be overwritten; then it is copied aside first.",
        ("farm-2026-03-01.sqlite --overwrite",),
        (OVERWRITE, JSON),
        restore,
        "FILE",
    ),
    "export": LooseCommand(
        "book export",
        "Write every entry as a line of JSON.",
        "Without a file they go to the screen.",
        ("farm.jsonl",),
        (JSON,),
        export,
        "[FILE]",
    ),
    "import": LooseCommand(
        "book import",
        "Take an export into an empty book: the same hashes, the same balances.",
        "CASKWARD_BOOK names the book.",
        ("farm.jsonl",),
        (JSON,),
        take_in,
        "FILE",
    ),
}
