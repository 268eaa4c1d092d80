"""Once a batch's cask is filled: what went in beside what its plan wanted, in place of a forecast."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

from caskward.book.accounts import ALCOHOL, BULK
from caskward.book.amounts import UL_PER_L, Liquid
from caskward.services import batch_answers
from caskward.services.batch_answers import ChanceLine, Sure
from caskward.services.book import batch_record, plan_kept, words
from caskward.services.book.batch_record import BatchRecord
from caskward.services.plan_doubt import Next
from caskward.services.plan_update import PlanUpdate
from caskward.services.words import volumes_alike
from caskward.units import parse, show
from caskward.units.types import UnitSystem

_AS_WANTED: Final = 0.01
"""So near to what was wanted, as a share of it, is as wanted; *common practice, no source*."""
_WENT: Final = ("filled", "moved")
_OF_THE_FILL: Final = ("volume", "strength")


@dataclass(frozen=True, slots=True)
class Filled:
    """What went into a batch's casks [L at 20 °C]; wanted_l: by its plan, 0 without one.

    casks: which are filled. went_in: how much, how strong. beside: what was wanted; "" without a plan.
    """

    casks: str
    went_in: str
    beside: str
    filled_l: float
    wanted_l: float

    @property
    def sentence(self) -> str:
        """All of it."""
        return f"{self.casks}: {self.went_in}{self.beside}."


def filled(of: BatchRecord, system: UnitSystem) -> Filled | None:
    """What is in its casks; None while nothing is, or while runs that are planned are to bring more."""
    went = _went_in(of)
    if not went:
        return None
    liquid = Liquid(sum(one.alcohol_ul for one in went.values()), sum(one.bulk_ul for one in went.values()))
    filled_l, wanted_l = liquid.bulk_ul / UL_PER_L, _wanted_l(of)
    less_l = wanted_l - filled_l
    if less_l > _AS_WANTED * wanted_l and _goes_on(of):
        return None
    shown, beside = show.volume(filled_l, system), ", as wanted" if wanted_l else ""
    if wanted_l and abs(less_l) > _AS_WANTED * wanted_l:
        shown, wanted, apart = volumes_alike((filled_l, wanted_l, abs(less_l)), system)
        beside = f"; {wanted} were wanted, {apart} {'less' if less_l > 0.0 else 'more'}"
    went_in = f"{shown} at {words.strength(liquid, system)}"
    return Filled(_are_filled([*went]), went_in, beside, filled_l, wanted_l)


def sure(of: Filled, report: PlanUpdate | None, system: UnitSystem) -> Sure:
    """The same in the place of how sure it is. report: where it is worked out, for what to look at again."""
    scale_l = 1.05 * max(of.filled_l, of.wanted_l)
    share = of.filled_l / scale_l
    return Sure(
        headline=f"{of.casks}.",
        expected=f"{of.went_in} went in{of.beside}.",
        width="",
        low=share,
        mid=share,
        high=share,
        wanted=of.wanted_l / scale_l,
        cautions=batch_answers.look_again(report, system) if report else (),
        notes=(),
    )


def line(of: Filled, report: PlanUpdate | None, system: UnitSystem) -> ChanceLine:
    """The same in a line."""
    again = batch_answers.look_again(report, system) if report else ()
    return ChanceLine(of.sentence, again[0] if again else "", max(len(again) - 1, 0))


def without_fill(of: BatchRecord, found: Next) -> Next:
    """What to read next, without what is over or what the fill tells; days later a cask is read again."""
    if not filled(of, "metric"):
        return found
    left = [r for r in found.readings if r.stage == "cask" and (r.at_h or r.quantity not in _OF_THE_FILL)]
    return replace(found, readings=tuple(left))


def _went_in(of: BatchRecord) -> dict[str, Liquid]:
    """Cask by cask, up to its last fill: what was moved out again for another cask is not there twice."""
    casks = batch_record.casks(of)
    last = max((n for n, one in enumerate(of.happened) if one.kind == "filled"), default=-1)
    sums = {cask: {ALCOHOL: 0, BULK: 0} for cask in casks}
    for one in of.happened[: last + 1]:
        for part in one.postings if one.kind in _WENT else ():
            if part.account in sums and part.commodity in sums[part.account]:
                sums[part.account][part.commodity] += part.amount
    return {cask: Liquid(held[ALCOHOL], held[BULK]) for cask, held in sums.items() if held[BULK] > 0}


def _goes_on(of: BatchRecord) -> bool:
    """Whether a run that is planned, and low wines or wash for it, are still there."""
    return "cask" in of.recorded.so_far and of.runs.entered[1] < of.runs_planned[1]


def _wanted_l(of: BatchRecord) -> float:
    if not of.plan:
        return 0.0
    cask: dict[str, Any] = tomllib.loads(plan_kept.plan_in(of.name, of.entries).intent)["cask"]
    return parse.volume_l(str(cask["capacity"])) * parse.share(cask.get("fill", "97 %"))


def _are_filled(casks: Sequence[str]) -> str:
    named = " and ".join(words.place(one) for one in casks)
    return f"{named[:1].upper()}{named[1:]} {'is' if len(casks) == 1 else 'are'} filled"
