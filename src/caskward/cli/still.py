"""`caskward still`: the still's questions, each a command of its own below this one."""

from __future__ import annotations

import re
from collections.abc import Sequence

from caskward.cli.questions import Questions

QUESTIONS = {
    "run": "See a spirit run before you light the burner.",
    "strip": "See the strips of a wash, and where stopping pays.",
    "choose": "Choose the jars that go into the cask.",
    "feints": "See where feints settle when they go back each time.",
    "learn": "Learn your still from its logged runs.",
    "methanol": "See what methanol a bill may bring, beside legal limits.",
}
"""Every question, in the order of the help; each is the `COMMAND` of a module `still_...`."""

_JOINS = re.compile(r"[x×]|\d.*", re.IGNORECASE)
_UNIT = re.compile(r"(?:ml|cl|dl|l|litres?|liters?|gal|gallons?|qt|pt|oz),?", re.IGNORECASE)


def rows_joined(typed: Sequence[str]) -> list[str]:
    """`--receivers 24 x 1 L` without quotes, as one value."""
    words = list(typed)
    if "--receivers" in words:
        at = words.index("--receivers") + 1
        end = at + 1
        while end < len(words) and (_JOINS.fullmatch(words[end]) or _UNIT.fullmatch(words[end])):
            end += 1
        words[at:end] = [" ".join(words[at:end])] if at < len(words) else []
    return words


COMMAND = Questions(
    "still",
    "See a still's work before it is lit: runs, strips, jars, feints, and what its own runs taught.",
    QUESTIONS,
    rows_joined,
)
