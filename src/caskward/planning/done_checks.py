"""What can have been done in a batch at all; what is out of reach of gear and cask is a slip of the pen."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from caskward.errors.batch_done import DoneCannotBe, NothingOfTheKind
from caskward.planning.intent import Intent
from caskward.planning.mash_forecast import planned_rests
from caskward.planning.method import Method
from caskward.planning.readings import MOST_HOURS
from caskward.planning.strengths import said
from caskward.units import show
from caskward.units.types import UnitSystem

_MOST_OF_PLAN: Final = 5.0
"""Times what was planned that may have been mashed in truth; more is a slip of unit or comma."""
_MOST_RINSES: Final = 6
_STRIP_STOPS_PCT_VOL: Final = (0.1, 40.0)
_HEART_ENDS_PCT_VOL: Final = (20.0, 90.0)
_LEAST_ENTRY_PCT_VOL: Final = 40.0
"""Under that a cask holds no spirit; *from memory*, of the laws of most countries."""


@dataclass(frozen=True)
class Reach:
    """From where to where a figure can lie, in a unit."""

    low: float
    high: float
    shown: Callable[[float, UnitSystem], str]


def refuse(key: str, amount: float, said_as: str, times: int, intent: Intent, method: Method) -> None:
    """See to it that something can have been done.

    Raises:
        DoneCannotBe: a figure out of reach. NothingOfTheKind: nothing there to do it to.
    """
    if key == "hold" and planned_rests(intent, method) is None:
        raise NothingOfTheKind(said_as, "this bill has no starch to convert")
    if key == "rinse" and intent.gear.straining.held_kg_per_kg_insolubles.high <= 0.0:
        raise NothingOfTheKind(said_as, "this plan strains nothing, so there are no spent solids")
    if key == "rinse" and not intent.leaves_solids:
        raise NothingOfTheKind(said_as, "this bill dissolves whole, so there are no spent solids")
    reach = _reach(key, intent, method)
    system = intent.show
    if reach is not None and not reach.low <= amount <= reach.high:
        low, high = (reach.shown(v, system) for v in (reach.low, reach.high))
        raise DoneCannotBe(said_as, f"from {low} to {high}" if reach.low > 0.0 else f"up to {high}")
    if times > _MOST_RINSES:
        raise DoneCannotBe(said_as, f"up to {_MOST_RINSES} times")


def refuse_kilograms(key: str, kg: float, said_as: str, intent: Intent, method: Method) -> None:
    """The same of one material that was mashed."""
    most_kg = _MOST_OF_PLAN * method.total_kg
    if kg > most_kg:
        raise DoneCannotBe(said_as, f"up to {show.mass(most_kg, intent.show)} of {key}, five times this plan")


def _reach(key: str, intent: Intent, method: Method) -> Reach | None:
    cask_l, entry = intent.cask.capacity_l, method.entry_pct_vol
    tubs_l = intent.gear.tub.working_l * method.ferments
    reaches = {
        "hold": Reach(0.0, MOST_HOURS["mash"], lambda v, _: show.duration(v)),
        "sugar": Reach(0.0, tubs_l, show.mass),
        "rinse": Reach(0.0, tubs_l, show.volume),
        "strip stop": Reach(*_STRIP_STOPS_PCT_VOL, said),
        "feints": Reach(0.0, intent.gear.spirit_still.charge_limit_l * method.spirit_runs, show.volume),
        "heart end": Reach(*_HEART_ENDS_PCT_VOL, said),
        "chosen heart": Reach(0.0, intent.gear.spirit_still.charge_limit_l * method.spirit_runs, show.volume),
        "entry strength": Reach(_LEAST_ENTRY_PCT_VOL, 96.0, said),
        "top-up": Reach(0.0, cask_l, show.volume),
        "top-up strength": Reach(entry, 96.0, said),
        "less full": Reach(0.0, cask_l, show.volume),
        "smaller cask": Reach(0.0, cask_l, show.volume),
    }
    return reaches.get(key)
