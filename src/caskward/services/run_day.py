"""What a run's page says while it runs: where it stands, what comes next, figures litre by litre."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from caskward.catalogue.load import load
from caskward.planning.plan import Band
from caskward.planning.readings import QUANTITIES
from caskward.planning.strengths import said
from caskward.services.batch_receivers import RunKey
from caskward.services.run_forecast import RunForecast, head_at_litres, spout_at_litres
from caskward.services.run_log import RunLog
from caskward.services.run_rows import AtLitres
from caskward.services.words import banded, figure
from caskward.units.types import UnitSystem

NAMES: Final = {"strip": "Strip", "run": "Spirit run"}
_STAGES: Final = {"strip": ("strip",), "run": ("spirit", "charge")}
_ROWS: Final = 10
EIGHT_IN_TEN_SD: Final = 1.2816
"""Standard deviations on either side of the middle between which 8 in 10 of a normal distribution lie."""
_NOTHING_L: Final = 1e-3
_ROOM_OVER: Final = 1.05
"""By how much a charge may be larger than believed before litres over it are called impossible."""


@dataclass(frozen=True)
class Standing:
    """Where a run stands. headline: first; sentences: what comes next; figures: what was read last.

    look_again: what was recorded that can hardly be.
    """

    headline: str
    sentences: tuple[str, ...]
    figures: tuple[tuple[str, str], ...]
    look_again: tuple[str, ...] = ()


@dataclass(frozen=True)
class RunChoice:
    """A run that can be looked at: its name, whether it goes on, whether the book has it as a deed."""

    key: RunKey
    name: str
    begun: bool
    entered: bool


def name_of(key: RunKey, runs: int = 0) -> str:
    """`Strip 2 of 4`, `Spirit run 1`."""
    kind, number = key
    return f"{NAMES[kind]} {number}" + (f" of {runs}" if runs >= number > 0 and runs > 1 else "")


def run_at(log: RunLog, stage: str, strips: int = 0, runs: int = 0) -> RunKey:
    """The run that hands are at: the one that rows speak of, else the first that the book has not.

    Args:
        stage: of the batch. strips, runs: how many the plan has; 0 where that is not known.
    """
    if log.now is not None:
        return log.now
    next_strip, next_run = (entered + 1 for entered in log.entered)
    before_runs = stage in ("", "cook", "convert", "ferment", "separate", "strip")
    begun_runs = any(kind == "run" for (kind, _), _ in log.begun)
    if before_runs and not begun_runs and not 0 < strips < next_strip:
        return "strip", next_strip
    return "run", min(next_run, runs) if runs else next_run


def choices(log: RunLog, strips: int, runs: int, here: RunKey | None = None) -> tuple[RunChoice, ...]:
    """Every run of the plan, and every other that is begun, entered or looked at, in their order."""
    begun = {key for key, _ in log.begun}
    strips, runs = max(strips, log.entered[0]), max(runs, log.entered[1])
    keys: set[RunKey] = {
        *(("strip", n + 1) for n in range(strips)),
        *(("run", n + 1) for n in range(runs)),
        *begun,
        *([here] if here else []),
    }
    in_order = sorted(keys, key=lambda key: (key[0] != "strip", key[1]))
    return tuple(
        RunChoice(key, name_of(key), log.is_running(key) and not log.is_entered(key), log.is_entered(key))
        for key in in_order
    )


def cautions(key: RunKey, tags: tuple[str, ...] = ()) -> tuple[str, ...]:
    """What to mind at a still, the shortest list there is; where a plan is known its cards say the same."""
    found = (one for stage in _STAGES[key[0]] for one in load().cautions.at(stage, *tags))
    return tuple(dict.fromkeys(one.text for one in found))


def standing(log: RunLog, key: RunKey, of: RunForecast | None, system: UnitSystem) -> Standing:
    """Where a run stands. of: None without a plan, or while it is worked out."""
    over_l = log.over_l(key)
    begun = log.is_running(key)
    if log.is_entered(key) and not begun:
        return Standing(f"{name_of(key)} is over: it stands in the book.", (), ())
    if of is None:
        headline = f"{_over(over_l, system)}." if begun else "Nothing is recorded of this run yet."
        return Standing(headline, (), _figures(log, key, system))
    sentences = _running(of, over_l, system) if begun else _before(of, system)
    headline, *rest = sentences
    here = _now_expected(of, over_l, system) if begun else ()
    look = (*_too_much(of, over_l, system), *_against(log, key, of, system))
    return Standing(headline, (*rest, *here), _figures(log, key, system), look)


def rows(of: RunForecast, log: RunLog, key: RunKey, system: UnitSystem) -> tuple[tuple[str, ...], ...]:
    """Litres, what is expected at the spout and at the head there, what was read there."""
    litres = [of.litres[k] for k in range(0, len(of.litres), max(len(of.litres) // _ROWS, 1))]
    found = [(at_l, *_expected(of, at_l, system), "") for at_l in litres]
    read = [(one, said(one.value, system)) for one in log.spouts]
    read += [(one, figure(one.value, "C", system)) for one in log.heads]
    found += [(one.at_l, *_expected(of, one.at_l, system), text) for one, text in read if one.of == key]
    found.sort(key=lambda row: row[0])
    return tuple((figure(at_l, "L", system) if at_l else "0", *rest) for at_l, *rest in found)


# The parts ---------------------------------------------------------------------------------------


def _over(over_l: float, system: UnitSystem) -> str:
    return f"{figure(over_l, 'L', system)} over" if over_l > _NOTHING_L else "Begun; nothing is over yet"


def _before(of: RunForecast, system: UnitSystem) -> list[str]:
    first = banded(of.spout_pct_vol[0], "pct_vol", system)
    end, stop = banded(of.end_l, "L", system), said(of.stop_pct_vol, system)
    found = [
        f"{name_of(of.key, of.runs)} has not begun: expect first drops at {first}.",
        f"About {banded(of.charge_l, 'L', system)} at {banded(of.charge_pct_vol, 'pct_vol', system)} "
        f"goes into the still, and {end} come over until the spout shows {stop}.",
    ]
    if of.heart_from_l and of.heart_to_l:
        begin = banded(of.heart_from_l, "L", system)
        found.append(
            f"By the plan's cuts the heart runs from {begin} to {banded(of.heart_to_l, 'L', system)}."
        )
    return found


def _running(of: RunForecast, over_l: float, system: UnitSystem) -> list[str]:
    over, stop = _over(over_l, system), said(of.stop_pct_vol, system)
    end = f"The spout shows {stop} at {banded(of.end_l, 'L', system)}, where the plan stops."
    heart_to = of.heart_to_l
    if heart_to is None or of.heart_from_l is None:
        return [f"{over}; {_to_go(of.end_l, over_l, system)} to the stop.", end]
    heart_end = said(of.heart_end_pct_vol, system)
    if over_l < of.heart_from_l.mid:
        begin = banded(of.heart_from_l, "L", system)
        return [
            f"{over}: foreshots and heads by the plan's cuts.",
            f"The heart begins at {begin} and ends at {heart_end}, at {banded(heart_to, 'L', system)}.",
        ]
    if over_l < heart_to.low:
        ends = f"The plan ends it at {heart_end}, expected at {banded(heart_to, 'L', system)}."
        return [f"{over}: heart, {_to_go(heart_to, over_l, system)} to go.", ends, end]
    if over_l < heart_to.high:
        return [f"{over}: the heart's end is near. The plan ends it at {heart_end}; your nose decides.", end]
    return [f"{over}: past the heart's end by the plan, {heart_end}.", end]


def _to_go(end: Band, over_l: float, system: UnitSystem) -> str:
    low, mid, high = (max(v - over_l, 0.0) for v in (end.low, end.mid, end.high))
    return banded(Band(low, mid, high), "L", system) if mid > 0.0 else "nothing"


def _too_much(of: RunForecast, over_l: float, system: UnitSystem) -> tuple[str, ...]:
    """More over than went in."""
    if over_l <= _ROOM_OVER * of.charge_l.high:
        return ()
    over, charge = figure(over_l, "L", system), banded(of.charge_l, "L", system)
    return (
        f"{over} are recorded as over, but the still was charged with about {charge}: say a receiver's "
        "volume again under its name, or correct the entry.",
    )


def _against(log: RunLog, key: RunKey, of: RunForecast, system: UnitSystem) -> tuple[str, ...]:
    """The last reading beside what is expected there."""
    last = _last(log.spouts, key)
    expected = spout_at_litres(of, last.at_l) if last else None
    if last is None or expected is None or alike(last.value, expected):
        return ()
    side = "under" if last.value < expected.low else "over"
    return (
        f"The last reading, {said(last.value, system)} at {figure(last.at_l, 'L', system)}, lies {side} what "
        f"is expected there, {banded(expected, 'pct_vol', system)}: read it again, with the sample's warmth.",
    )


def alike(value: float, expected: Band, quantity: str = "spout") -> bool:
    """Whether a reading lies where 8 in 10 would, with the error of reading it."""
    error = EIGHT_IN_TEN_SD * QUANTITIES[quantity].sd
    low, high = (math.hypot(end - expected.mid, error) for end in (expected.low, expected.high))
    return expected.mid - low <= value <= expected.mid + high


def _figures(log: RunLog, key: RunKey, system: UnitSystem) -> tuple[tuple[str, str], ...]:
    """What was read last: strength at the spout, warmth at the head."""
    found = []
    if spout := _last(log.spouts, key):
        found.append((f"spout at {figure(spout.at_l, 'L', system)}", said(spout.value, system)))
    if head := _last(log.heads, key):
        found.append((f"head at {figure(head.at_l, 'L', system)}", figure(head.value, "C", system)))
    return tuple(found)


def _now_expected(of: RunForecast, over_l: float, system: UnitSystem) -> tuple[str, ...]:
    spout, head = _expected(of, over_l, system)
    return (f"Expected here: {spout} at the spout, {head} at the head.",) if spout and head else ()


def _last(read: tuple[AtLitres, ...], key: RunKey) -> AtLitres | None:
    own = [one for one in read if one.of == key]
    return own[-1] if own else None


def _expected(of: RunForecast, at_l: float, system: UnitSystem) -> tuple[str, str]:
    spout, head = spout_at_litres(of, at_l), head_at_litres(of, at_l)
    return (
        banded(spout, "pct_vol", system) if spout else "",
        banded(head, "C", system) if head else "",
    )
