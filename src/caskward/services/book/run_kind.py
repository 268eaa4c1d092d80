"""Whether a run at the still, as the book has it, was a strip or a spirit run."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, Literal

from caskward.book.accounts import ALCOHOL, BULK, family_of, root_of
from caskward.book.history import Happening, sides

Kind = Literal["strip", "spirit run"]

_STRONGEST_WASH_PCT: Final = 18.0
"""No usual yeast goes on beyond it, and low wines are seldom weaker; *common practice, no source*."""
_MOSTLY: Final = 0.5
"""So large a part of a charge's alcohol that came out of strips makes it a charge of low wines."""


def kinds(happened: Iterable[Happening]) -> dict[int, Kind]:
    """Every run of a batch by its number: what the deed says of itself, else what its charge tells.

    That is of low wines if it is stronger than a wash, or came out of strips however weak they were.
    """
    found: dict[int, Kind] = {}
    low_wines: dict[str, int] = {}
    """Alcohol from strips by the place where it stands [µL]."""
    for one in happened:
        outs, ins = _by_place(one, ALCOHOL)
        if one.kind == "moved":
            _move(low_wines, outs, ins)
        elif one.kind == "distilled":
            still = str(one.details.get("from", ""))
            found[one.number] = _kind_of(one, still, low_wines.pop(still, 0))
            if found[one.number] == "strip":
                for place, amount in ins.items():
                    if root_of(place).holds:
                        low_wines[place] = low_wines.get(place, 0) + amount
    return found


def _move(low_wines: dict[str, int], outs: dict[str, int], ins: dict[str, int]) -> None:
    for place in outs.keys() & low_wines.keys():
        for into, amount in ins.items():
            went = min(amount, low_wines[place])
            low_wines[into] = low_wines.get(into, 0) + went
            low_wines[place] -= went


def _kind_of(one: Happening, still: str, low_wines_ul: int) -> Kind:
    said = one.details.get("run")
    if said == "strip":
        return "strip"
    if said == "spirit run":
        return "spirit run"
    alcohol_ul, bulk_ul = (_by_place(one, family)[0].get(still, 0) for family in (ALCOHOL, BULK))
    strong = bulk_ul > 0 and 100.0 * alcohol_ul / bulk_ul > _STRONGEST_WASH_PCT
    return "spirit run" if strong or low_wines_ul > _MOSTLY * alcohol_ul else "strip"


def _by_place(one: Happening, family: str) -> tuple[dict[str, int], dict[str, int]]:
    """What left places and what came to them [µL]."""
    for commodity, side in sides(one).items():
        if family_of(commodity) == family:
            return side.outs, side.ins
    return {}, {}
