"""Where a batch's doubt comes from, and which reading would take most of it away."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

import numpy as np

from caskward.planning.belief.settling import Settled, settles, settles_yes_or_no
from caskward.planning.belief.shares import shares
from caskward.planning.likelihood import MODEL_SD
from caskward.planning.log_slips import log_of
from caskward.planning.observing import Watched
from caskward.planning.plan import Band, Unit, band
from caskward.planning.readings import QUANTITIES, STAGES, Reading, Stage
from caskward.planning.unknowns import Unknown
from caskward.planning.update import Belief
from caskward.services.batch_typed import Rows
from caskward.services.kept_beliefs import Say, quiet
from caskward.services.plan_ferment import StandsStill, standing
from caskward.services.plan_figures import Outcome, outcome
from caskward.services.plan_judged import may_be_wrong, notes_of_doubted
from caskward.services.plan_possible import possible, possible_now, tells_the_end
from caskward.services.plan_update import Told, told
from caskward.stages.stream import Worlds
from caskward.units.types import UnitSystem

_RATHER: Final = 0.005
_OF_A_HEART: Final = ("heart", "cask")
"""Stages of which there is nothing to read where there is no heart."""


@dataclass(frozen=True)
class Share:
    """An unknown's part of an outcome's doubt: shares of its variance, by the plan and now."""

    name: str
    words: str
    owner: str
    before: float
    now: float


@dataclass(frozen=True)
class Why:
    """Where the doubt of an outcome comes from. together: goes with no unknown alone."""

    name: str
    place: str
    invented: bool
    show: UnitSystem
    outcome: str
    words: str
    unit: Unit
    before: Band
    now: Band
    shares: tuple[Share, ...]
    together_before: float
    together: float
    last: Stage | None
    notes: tuple[str, ...]
    worlds: int
    seed: int


@dataclass(frozen=True)
class Possible:
    """A reading that can be taken: its moment, its work, and what it is expected to leave of the doubt.

    share: of the outcome's variance that it takes away. width_after: of the 80 % band, expected.
    expects: what it would show, 8 times in 10 between low and high. now: it can be taken at this point of the
    batch; others come later. again: the row that was read of it and may be wrong; "" where there is none.
    telling: it shows whether a ferment stands, or goes on.
    """

    stage: Stage
    quantity: str
    words: str
    unit: str
    at_h: float
    at_l: float
    minutes: float
    share: float
    width_after: float
    narrower_per_minute: float
    expects: Band
    now: bool
    again: str = ""
    telling: bool = False


@dataclass(frozen=True)
class Next:
    """Readings that can be taken now, then those that come later; of each the best for its work first.

    What may be wrong and can be read again comes before all others, then what tells whether a ferment stands.
    """

    name: str
    place: str
    invented: bool
    show: UnitSystem
    outcome: str
    words: str
    unit: Unit
    now: Band
    last: Stage | None
    times: Mapping[str, int]
    readings: tuple[Possible, ...]
    notes: tuple[str, ...]
    worlds: int
    seed: int
    stands: StandsStill | None = None


def why(source: str, rows: Rows, folder: Path | None = None, of: str = "fill", say: Say = quiet) -> Why:
    """Share of an outcome's variance by unknown, before the readings and after them.

    Raises:
        InputError: a plan, a reading or an outcome's name that cannot be used.
    """
    wanted = outcome(of)
    return why_of(told(source, rows, folder, say), wanted)


def why_of(batch: Told, wanted: Outcome) -> Why:
    """The same of a batch whose readings are in."""
    plan_values, now_values = (wanted.of(course) for course in (batch.before.course, batch.now.course))
    by_plan, now = (_shares(batch.before, plan_values), _shares(batch.now, now_values))
    words = _words(batch.now)
    found = [
        Share(name, *words[name], by_plan[0].get(name, 0.0), now[0].get(name, 0.0))
        for name in dict.fromkeys((*now[0], *by_plan[0]))
    ]
    intent = batch.sized.intent
    return Why(
        intent.name,
        intent.place,
        intent.invented,
        intent.show,
        wanted.name,
        wanted.words,
        wanted.unit,
        band(plan_values),
        band(now_values),
        tuple(s for s in found if max(s.before, s.now) >= _RATHER),
        by_plan[1],
        now[1],
        batch.last,
        (*batch.notes, *batch.said_of_pairs, *notes_of_doubted(batch.read, batch.pairs)),
        len(batch.now.z),
        intent.seed,
    )


def _shares(belief: Belief, values: Worlds) -> tuple[Mapping[str, float], float]:
    found = shares(values, belief.z, belief.names)
    return found.of, found.together


def _words(belief: Belief) -> dict[str, tuple[str, str]]:
    """Words and owner of every unknown that has a deviate of its own; of two that move together, the later's.

    One still in two runs is one unknown: the name it has in the spirit run speaks of the still alone.
    """
    by_name: dict[str, Unknown] = {}
    for unknown in belief.unknowns:
        by_name[unknown.name if unknown.name in belief.names else unknown.moves_with] = unknown
    return {name: (inside(by_name[name].words), by_name[name].owner) for name in belief.names}


def inside(words: str) -> str:
    """An unknown in the middle of a sentence: a material's name begins small there."""
    return re.sub(r"\bin the [A-Z]", lambda found: found[0].lower(), words)


def best_next(
    source: str, rows: Rows, folder: Path | None = None, of: str = "fill", say: Say = quiet
) -> Next:
    """Readings of the stage read last and of those that come next, by what each takes of the doubt.

    Raises:
        InputError: a plan, a reading or an outcome's name that cannot be used.
    """
    wanted = outcome(of)
    return next_of(told(source, rows, folder, say), wanted)


def next_of(batch: Told, wanted: Outcome) -> Next:
    """The same of a batch whose readings are in."""
    values = wanted.of(batch.now.course)
    intent, method = batch.sized.intent, batch.sized.method
    stands = standing(batch.read)
    ranked = _ranked(_weighed(batch, values, stands))
    return Next(
        intent.name,
        intent.place,
        intent.invented,
        intent.show,
        wanted.name,
        wanted.words,
        wanted.unit,
        band(values),
        batch.last,
        {"ferment": method.ferments, "strip": method.strips, "run": method.spirit_runs},
        ranked,
        (*batch.notes, *batch.said_of_pairs),
        len(batch.now.z),
        intent.seed,
        stands,
    )


def from_stage(of: Next, stage: Stage) -> Next:
    """The same of a batch that is known to have come so far, though nothing of the stage was read.

    What comes first of it is what can be taken now. Where nothing of it is ranked, all stays as it is.
    """
    left = [one for one in of.readings if STAGES.index(one.stage) >= STAGES.index(stage)]
    if not left or any(one.now for one in left):
        return replace(of, readings=tuple(left) or of.readings)
    first = min(left, key=_moment)
    at_once = [replace(one, now=_moment(one) == _moment(first)) for one in left]
    return replace(of, readings=_ranked(at_once))


def from_litres(of: Next, stage: Stage, over_l: float) -> Next:
    """The same of a run of which so much has come over: what was to be read before is past.

    Where nothing of it is left that can be taken now, what is nearest is. over_l: at 20 °C.
    """
    left = [one for one in of.readings if one.stage != stage or not 0.0 < one.at_l <= over_l]
    if len(left) == len(of.readings) or not left:
        return of
    if not any(one.now for one in left):
        first = min(left, key=_moment)
        left = [replace(one, now=_moment(one) == _moment(first)) for one in left]
    return replace(of, readings=_ranked(left))


def _ranked(found: Iterable[Possible]) -> tuple[Possible, ...]:
    return tuple(
        sorted(
            found,
            key=lambda one: (
                not one.now,
                not one.again,
                not one.telling,
                -one.narrower_per_minute,
                -one.share,
            ),
        )
    )


def _moment(of: Possible) -> tuple[int, float, float]:
    """What is read of a whole stage comes after what is read on its way."""
    running = of.at_h > 0.0 or of.at_l > 0.0
    return STAGES.index(of.stage), of.at_h if running else math.inf, of.at_l


def _weighed(batch: Told, values: Worlds, stands: StandsStill | None) -> Iterator[Possible]:
    """Every reading that can be taken, with what it is expected to do."""
    doubted = may_be_wrong(batch.read, batch.pairs)
    tried, now = list(possible(batch, doubted, stands)), band(values)
    wide = now.high - now.low
    belief = batch.now
    watched = Watched(batch.sized, belief.worlds, belief.readings, belief.settings, tried)
    at_hand = {id(r) for r in possible_now(batch, tried, stands)}
    rows = {(r.stage, of.second if (of := log_of(r)) else r.quantity): r.said for r in doubted}
    for reading in tried:
        shows = watched.expected(reading)
        settled, kind = _settles(reading, shows, values, belief), QUANTITIES[reading.quantity]
        made = shows[shows > 0.0] if reading.stage in _OF_A_HEART else shows
        if not made.size:
            continue
        kept = settled.width_after / settled.width if settled.width > 0.0 else 1.0
        yield Possible(
            reading.stage,
            reading.quantity,
            kind.words,
            kind.unit,
            reading.at_h,
            reading.at_l,
            kind.minutes,
            settled.share,
            wide * kept,
            wide * (1.0 - kept) / kind.minutes,
            band(made),
            id(reading) in at_hand,
            rows.get((reading.stage, reading.quantity), "") if id(reading) in at_hand else "",
            id(reading) in at_hand and tells_the_end(batch, reading, stands),
        )


def _settles(reading: Reading, shows: Worlds, values: Worlds, belief: Belief) -> Settled:
    kind = QUANTITIES[reading.quantity]
    if kind.yes_or_no:
        return settles_yes_or_no(values, shows)
    own = kind.sd * (float(np.median(shows)) if kind.relative else 1.0)
    model = MODEL_SD.get((reading.stage, reading.quantity), 0.0)
    return settles(values, shows, float(np.hypot(own, model)), seed=belief.sized.intent.seed)
