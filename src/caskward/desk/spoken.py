"""Sentences as a page says them: where one advises a command, the page's own place or button stands instead.

Errors and services write their sentences once, for every face; at a terminal the way on is a command. What
only a terminal can do (to open the desk, to bring back a damaged book) stays as it is.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Final

from caskward.desk.deeds import DEEDS

_IN_THE_BOOK: Final = "in the Book, under Not explained yet."
_ON_ITS_PAGE: Final = "Give it one on its page."
_ASK: Final = "Tub, on the page of its batch"
_RESTORE: Final = "and have your last copy brought back by whoever looks after this machine"
_RULES: Final[tuple[tuple[str, str], ...]] = (
    (r"Say it with: caskward book explain .*", f"Say it {_IN_THE_BOOK}"),
    (r"When you know why: caskward book explain PLACE REASON", f"When you know why, say it {_IN_THE_BOOK}"),
    (r"Give it one: caskward book plan .*", _ON_ITS_PAGE),
    (r"Plan it anew: caskward book plan .*", "Plan it anew on its page, under Its plan."),
    (r'\bname the other batch: --batch "[^"]*"', "choose the other batch"),
    (r'say which, like --batch "[^"]*"', "choose which one below the field"),
    (
        r"What there is: caskward book stock, and what there was: caskward book balances",
        "What there is stands in Stores, what there was in the Book.",
    ),
    (r"What there is: caskward book balances", "What there is stands in the Book, under Accounts."),
    (r"or see: caskward book entries", "or look into the Book."),
    (r"\((?:caskward )?book correct (\d+) [^)]*\)", r"(“This was wrong” on the page of entry \1)"),
    (r"(?:caskward )?book correct (\d+) --why .*", r"“This was wrong”, on the page of entry \1"),
    (r"\(caskward book mash ([^)]*)\)", r"(“Mash in” with \1)"),
    (r"says: caskward proof (.*)", r"says Gauging, under Reduce: \1"),
    (r", and --found with the volume that you measured then", ", and then gauge what is there"),
    (r"; --found says what you measured\.", "; a gauge says what you measured."),
    (r" Add, for example: --by \w+", " Sign in with your name, so that it stands under it."),
    (r" Add, for example: --original [\d.]+", " Its strength can be asked for in Gauging."),
    (r" All of it: --put-right", ""),
    (r"Write one [^.;]*?with: caskward .*", "Leave its name out of the plan's file."),
    (r'caskward tub ask [^ "]+(?: --reading "[^"]*")*', _ASK),
    (r'caskward tub ask "[^"]*"(?: --reading "[^"]*")*', _ASK),
    (r"\bcaskward tub ask\b", _ASK),
    (r"All of them: caskward materials", "New batch lists them as you type."),
    (r"; name others with --feints", ""),
    (r"look at --least and --limit again", "look at what must stay in it and at its charge limit again"),
    (r"Check --limit\.", "Check its charge limit."),
    (r"what --least must cover", "what must stay covered"),
    (r"Run it as it is: --charges full-then-rest", "Run the rest as a smaller charge."),
    (r", or run equal charges: --charges equal", ", or run equal charges."),
    (r'such as: --reading ("[^"]*")', r"such as: \1"),
    (r'ferment: --reading ("[^"]*")', r"ferment: \1"),
    (r"; for a spirit say --spirit", ""),
    (r'Put its name first: caskward book bottle "[^"]*" to (.*)', r"Put its name first, like: \1"),
    (r"with: caskward book check; then bring back your last backup with: caskward book restore", _RESTORE),
    (r"then bring back your last backup with: caskward book restore", _RESTORE),
    (r"with: caskward book check", "under Proof and copies, in the Book"),
)
"""What advises a command, and what a page says instead; the first that fits a place holds."""
_DEED: Final = re.compile(r"\bcaskward book (\w+) ")
_NEEDS: Final = re.compile(r"^book (\w+) needs ")
_ACCOUNT: Final = re.compile(
    r"((?:^|from |in |into |gauge |no place |to ))\b(cask|jar|vessel|lot|goods|bottles)/"
    r"(?=[\w(])([^:;/'\"]*?)(?=:| first\b|\. | cannot\b| is both\b|\.$)"
)
"""An account in a refusal of the book, up to what the sentence goes on with; an account by itself is left."""
_OTHER: Final = re.compile(
    r"(?:[:;,]|\.|^)?\s*(?:\b(?:or|and|with|see|by|then))?:?\s*"
    r"\bcaskward (?:plan|still|tub|gauge|proof|card|materials|book (?!restore)\w+)\b(?:[^.;]|\.(?=\w))*"
)
"""Any other command, with what leads up to it."""
_ASIDE: Final = re.compile(r"\s*\(--[a-z][^)]*\)")
_COMPILED: Final = tuple((re.compile(found, re.DOTALL), instead) for found, instead in _RULES)


def spoken(sentence: str) -> str:
    """A sentence with every command that it advises said as a page says it."""
    sentence = _ACCOUNT.sub(_place, _NEEDS.sub(_needed, sentence))
    if "caskward " not in sentence and "--" not in sentence and "book correct " not in sentence:
        return sentence
    said = sentence
    for found, instead in _COMPILED:
        said = found.sub(instead, said)
    said = _OTHER.sub(".", _DEED.sub(_deed, said))
    # Taking a clause out may leave its full stop beside another's.
    return (_ASIDE.sub("", said) if said == sentence else _ASIDE.sub("", said).replace("..", ".")).strip()


def _needed(found: re.Match[str]) -> str:
    """What a deed still needs, by what its button says."""
    known = DEEDS.get(found[1])
    return f"“{known.name}” needs " if known else found[0]


def _place(found: re.Match[str]) -> str:
    """An account as the place that it is: `cask/3` is cask 3, `vessel/spirit` is spirit."""
    kind = "" if found[2] in ("vessel", "lot", "goods") else f"{found[2]} "
    return f"{found[1]}{kind}{found[3]}"


def _deed(found: re.Match[str]) -> str:
    """A deed by what its button says."""
    known = DEEDS.get(found[1])
    return f"“{known.name}” with " if known else found[0]


def finalized(exact: type[str]) -> Callable[[object], object]:
    """What a template puts out: sentences as a page says them; what is marked exact stays to the letter."""

    def said(value: object) -> object:
        return spoken(value) if isinstance(value, str) and not isinstance(value, exact) else value

    return said
