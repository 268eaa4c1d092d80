"""Whether a run at the still, as the book has it, was a strip or a spirit run."""

from __future__ import annotations

from typing import Final, Literal

from caskward.book.accounts import ALCOHOL, BULK, family_of
from caskward.book.history import Happening, sides

Kind = Literal["", "strip", "spirit run"]

_STRONGEST_WASH_PCT: Final = 18.0
"""No usual yeast goes on beyond it, and low wines are seldom weaker; *common practice, no source*."""


def kind_of(one: Happening) -> Kind:
    """What the deed says of itself, else what its charge's strength tells; "" for anything but a run."""
    if one.kind != "distilled":
        return ""
    said = one.details.get("run")
    if said == "strip":
        return "strip"
    if said == "spirit run":
        return "spirit run"
    return "spirit run" if _charge_pct_vol(one) > _STRONGEST_WASH_PCT else "strip"


def _charge_pct_vol(one: Happening) -> float:
    """Strength of what the still held before [%vol]; 0 for nothing."""
    still = str(one.details.get("from", ""))
    came_ul = dict.fromkeys((ALCOHOL, BULK), 0)
    for commodity, side in sides(one).items():
        if (family := family_of(commodity)) in came_ul:
            came_ul[family] += side.outs.get(still, 0)
    return 100.0 * came_ul[ALCOHOL] / came_ul[BULK] if came_ul[BULK] else 0.0
