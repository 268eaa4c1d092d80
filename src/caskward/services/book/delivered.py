"""What a delivery was of, and who brought it: goods by their mass or number, never spirit as goods."""

from __future__ import annotations

import re

from caskward.errors.book_asked import NoMassSaid, StrengthInName
from caskward.services.book.asked import Reader
from caskward.services.book.goods_said import Weighed, weighed
from caskward.services.gauging_said import pieces

_HOLDER = "sack|bag|barrel|tote|drum|pallet|bale|bin|box|boxe|crate|bucket|case"
_HELD = re.compile(rf"\d+\s+((?:{_HOLDER})(?:s(?=\s+\S)|(?=\s+of\s)))\s+(?:of\s+)?\S.*", re.IGNORECASE)


def delivered(text: str) -> Weighed:
    """`50 kg rye`, `200 corks`.

    Raises:
        StrengthInName: it is spirit, most likely. NoMassSaid: of sacks nobody said how much is in them.
        NoUnit: there is no amount.
    """
    strength = _strength_in(text)
    if strength:
        raise StrengthInName(text, strength)
    part, held = weighed(text), _HELD.fullmatch(text)
    if held and part.family == "piece":
        raise NoMassSaid(text, held[1])
    return part


def supplier_in(source: Reader) -> str:
    """The name behind `from`; an amount behind that is left."""
    whole = source.tokens
    text = " ".join(token.text for token in whole)
    if not any(piece.kind in ("volume", "mass", "reading") for piece in pieces(text)):
        return source.rest()
    end = next((at for at, token in enumerate(whole) if at and token.text[0].isdigit()), len(whole))
    source.at, name = end, " ".join(token.text for token in whole[:end])
    strength = _strength_in(name)
    if strength:
        raise StrengthInName(name, strength)
    return name


def _strength_in(text: str) -> str:
    return next((piece.text for piece in pieces(text) if piece.kind == "reading"), "")
