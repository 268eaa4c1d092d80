"""A batch as it was made: what was mashed in truth, and the moves that were made on the way.

What was done is as certain as a plan: it changes the method in every world alike. Kilograms that differ from
the plan's bring pots, tubs and runs of their own.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from caskward.catalogue.load import Catalogue
from caskward.errors import UnknownName
from caskward.errors.batch_done import NotInTheBill
from caskward.planning.done_checks import refuse, refuse_kilograms
from caskward.planning.forecast import Chain
from caskward.planning.intent import Intent, SpiritStock
from caskward.planning.late import Rinse, Sugar, TopUp
from caskward.planning.late_moves import (
    Planned,
    charged_with,
    filled_at,
    filled_to,
    heart_ended,
    held_longer,
    in_cask_of,
    rinsed_with,
    strips_stopped,
    sugar_of,
    sweetened,
    topped_up,
)
from caskward.planning.method import Method
from caskward.planning.readings import STAGES, Stage
from caskward.planning.remedy_kinds import RemedyKey
from caskward.planning.remedy_trials import runs_counted, strips_counted
from caskward.planning.sizing import Sized, counted_again, worlds_for

DoneKey = RemedyKey | Literal["mashed", "chosen heart"]
AT_THE_CASK: Final = ("entry strength", "top-up", "less full", "smaller cask")


@dataclass(frozen=True)
class Done:
    """Something that was done.

    amount: its figure [h longer; kg; L of each rinse; %vol; L], as its key has it. times: rinses. pct_vol: of
    spirit that went in. bill_kg: what was mashed, by material. water_l: with how much water, where that was
    said. after: the stage read last before it was done. said: as typed.
    """

    key: DoneKey
    amount: float = 0.0
    times: int = 1
    pct_vol: float = 0.0
    bill_kg: Mapping[str, float] | None = None
    water_l: float | None = None
    after: Stage | None = None
    said: str = ""


def as_done(sized: Sized, steps: Sequence[Done], catalogue: Catalogue) -> Sized:
    """The same batch with what was done in the place of what was planned.

    Raises:
        NotInTheBill: a material that the plan does not know.
        DoneCannotBe, NothingOfTheKind: a slip of the pen.
    """
    if not steps:
        return sized
    intent, method = sized.intent, sized.method
    for step in sorted(steps, key=lambda step: step.key != "mashed"):
        refuse(step.key, step.amount, step.said, step.times, intent, method)
        if step.key == "top-up":
            refuse("top-up strength", step.pct_vol, step.said, 1, intent, method)
        intent, method = _DOES[step.key](intent, method, step, catalogue)
        if step.key == "mashed":
            method = counted_again(intent, method, sized.worlds)
    same = intent.cask == sized.intent.cask
    worlds = sized.worlds if same else worlds_for(intent)
    wash_was_read = any(s.key == "rinse" and _was_read(s, "wash") for s in steps)
    chain = strips_counted(Chain(intent, method, worlds), wash_was_read=wash_was_read)
    chain = runs_counted(chain)
    return Sized(intent, chain.method, chain.course, worlds)


def _was_read(step: Done, stage: Stage) -> bool:
    """True where a stage had been read before something was done."""
    return step.after is not None and STAGES.index(step.after) >= STAGES.index(stage)


# What each of them does ---------------------------------------------------------------------------


def _mashed(intent: Intent, method: Method, step: Done, catalogue: Catalogue) -> Planned:
    """What was not named was mashed as planned; water goes with the kilograms, unless it was said."""
    given = {_called(name, intent, catalogue): kg for name, kg in (step.bill_kg or {}).items()}
    for key, kg in given.items():
        refuse_kilograms(key, kg, step.said, intent, method)
    bill_kg = {key: given.get(key, kg) for key, kg in method.bill_kg.items()}
    water_l = method.water_l * sum(bill_kg.values()) / method.total_kg
    return intent, replace(method, bill_kg=bill_kg, water_l=water_l if step.water_l is None else step.water_l)


def _called(name: str, intent: Intent, catalogue: Catalogue) -> str:
    """The key of a material in the bill, by its key, its name, or another name that the catalogue knows."""
    bill = {item.material.key: item.material for item in intent.bill}
    for key, material in bill.items():
        if name.casefold() in (key.casefold(), material.name.casefold()):
            return key
    try:
        found = catalogue.material(name).key
    except UnknownName:
        found = ""
    if found not in bill:
        raise NotInTheBill(name, tuple(bill))
    return found


def _hold(intent: Intent, method: Method, step: Done, _: Catalogue) -> Planned:
    return held_longer(intent, method, step.amount)


def _sugar(intent: Intent, method: Method, step: Done, catalogue: Catalogue) -> Planned:
    return sweetened(intent, method, Sugar(sugar_of(intent, catalogue), step.amount))


def _rinse(intent: Intent, method: Method, step: Done, _: Catalogue) -> Planned:
    return rinsed_with(intent, method, Rinse(step.times, step.amount, apart=_was_read(step, "wash")))


def _strip_stop(intent: Intent, method: Method, step: Done, _: Catalogue) -> Planned:
    return strips_stopped(intent, method, step.amount)


def _feints(intent: Intent, method: Method, step: Done, _: Catalogue) -> Planned:
    return charged_with(intent, method, (SpiritStock("feints", step.amount, step.pct_vol),))


def _heart_end(intent: Intent, method: Method, step: Done, _: Catalogue) -> Planned:
    return heart_ended(intent, method, step.amount)


def _chosen_heart(intent: Intent, method: Method, step: Done, _: Catalogue) -> Planned:
    return intent, replace(method, late=replace(method.late, chosen=TopUp(step.amount, step.pct_vol)))


def _entry_strength(intent: Intent, method: Method, step: Done, _: Catalogue) -> Planned:
    return filled_at(intent, method, step.amount, is_cut=_was_read(step, "heart"))


def _top_up(intent: Intent, method: Method, step: Done, _: Catalogue) -> Planned:
    return topped_up(intent, method, TopUp(step.amount, step.pct_vol))


def _less_full(intent: Intent, method: Method, step: Done, _: Catalogue) -> Planned:
    return filled_to(intent, method, step.amount)


def _smaller_cask(intent: Intent, method: Method, step: Done, catalogue: Catalogue) -> Planned:
    return in_cask_of(intent, method, step.amount, catalogue.cask(step.amount).wood_area_m2)


_DOES: Final[Mapping[DoneKey, Callable[[Intent, Method, Done, Catalogue], Planned]]] = {
    "mashed": _mashed,
    "hold": _hold,
    "sugar": _sugar,
    "rinse": _rinse,
    "strip stop": _strip_stop,
    "feints": _feints,
    "heart end": _heart_end,
    "chosen heart": _chosen_heart,
    "entry strength": _entry_strength,
    "top-up": _top_up,
    "less full": _less_full,
    "smaller cask": _smaller_cask,
}
