"""Whether something of the stores is yeast that ferments, by its name."""

from __future__ import annotations

import re
from functools import cache
from typing import Final

from caskward.catalogue.load import load
from caskward.services.book.shopping import names_alike

_FEEDS: Final = (
    r"(?:nutrients?|foods?|feed|energi[sz]ers?|extracts?|hulls?|husks?|ghosts?|vitamins?|salts?)\b"
)
_DEAD: Final = r"\b(?:inactive|inactivated|dead|killed|autoly[sz]ed|for|without)\s+"
_YEAST: Final = re.compile(r"yeast(?:['’]s|s['’]?)?(?![\s-]+" + _FEEDS + ")")
_NOT_IT: Final = re.compile(_DEAD + r"(?:[a-z'’]+\s+){0,2}?yeast")


def is_yeast(name: str) -> bool:
    """Whether what is called so ferments: yeast by its name or the catalogue's, and not what yeast eats."""
    plain = name.casefold()
    if names_alike(name) & _known():
        return True
    return bool(_YEAST.search(plain)) and not _NOT_IT.search(plain)


@cache
def _known() -> frozenset[str]:
    every = load().yeasts.values()
    return frozenset(names_alike(*(name for one in every for name in (one.name, *one.aliases))))
