"""Remedies: moves still possible that raise the chance of a full cask, each solved over what is believed."""

from __future__ import annotations

from dataclasses import dataclass, replace

from caskward.catalogue.load import Catalogue
from caskward.errors import OutOfRange, RemedyOutOfDate
from caskward.planning.forecast import Chain, forecast
from caskward.planning.intent import Intent, SpiritStock
from caskward.planning.method import Method
from caskward.planning.observing import Settings
from caskward.planning.plan import Band, Unit, band
from caskward.planning.readings import Reading
from caskward.planning.remedy_kinds import Closed, Move, RemedyKey, Shelf
from caskward.planning.remedy_moves import closed, moves
from caskward.planning.remedy_prices import Cost, Warned, cost_of, warnings_of
from caskward.planning.remedy_trials import Trial, Tried, base_chain, deviates_under, solved
from caskward.planning.remedy_weights import Takes, as_good, helps, takes_of
from caskward.planning.sizing import Sized, worlds_for
from caskward.planning.update import Belief

_LEAST_GAIN = 0.01
"""Chance that a move must add to be worth a word."""
_FEW = 256
"""Worlds in which an amount is first looked for."""


@dataclass(frozen=True)
class Outlook:
    """What is to be expected: chance, spirit at entry strength, what is wanted, where the cask settles."""

    chance: float
    fill_l: Band
    wanted_l: float
    settled_pct_vol: Band


@dataclass(frozen=True)
class Remedy:
    """A move, solved: how much of it, what it leads to, what it costs.

    amount: of the move, in its unit, above 0. now, then: the figure it changes, before and after. aim: the
    chance it was solved for; `reaches` says whether it gets there, else it goes as far as it may. takes: what
    it takes, of what a batch takes.
    changes_wish: the cask gets something else than was asked for. intent, method: what is then planned;
    before, readings: what it was solved from.
    """

    key: RemedyKey
    unit: Unit
    amount: float
    now: float
    then: float
    aim: float
    outlook_before: Outlook
    outlook: Outlook
    cost: Cost
    takes: Takes
    warnings: tuple[Warned, ...]
    changes_wish: bool
    intent: Intent
    method: Method
    before: Method
    readings: tuple[Reading, ...]

    @property
    def chance(self) -> float:
        """Chance of a full cask after it."""
        return self.outlook.chance

    @property
    def reaches(self) -> bool:
        """True where the chance comes to what was aimed for."""
        return self.chance >= self.aim

    @property
    def helps(self) -> bool:
        """False for one that hardly changes anything."""
        return helps(self.outlook_before.chance, self.chance, self.aim)

    @property
    def gain(self) -> float:
        """Chance that it adds."""
        return self.chance - self.outlook_before.chance

    @property
    def gain_for_what_it_takes(self) -> float:
        """Chance added for each whole batch's worth of what it takes."""
        return self.gain / self.takes.together


def remedies(
    belief: Belief,
    catalogue: Catalogue,
    aim: float | None = None,
    spirits: tuple[SpiritStock, ...] = (),
    top_up_pct_vol: float | None = None,
) -> tuple[Remedy, ...]:
    """Moves that are not over and raise the chance, solved for the wanted one, by rank.

    Those that get there come first, those that hardly help last; among them the one that gains most for what
    it takes. None where the chance is as good as what was wanted.

    Args:
        aim: chance to reach, 0 to 1; the intent's confidence where none is given.
        spirits: feints and low wines in store beside those that the intent names.
        top_up_pct_vol: strength of the other batch [%vol]; entry strength where none is given.

    Raises:
        OutOfRange: a chance that cannot be; another batch that is weaker than the fill.
    """
    aim = belief.sized.intent.confidence if aim is None else aim
    _checked(belief.sized.method, aim, top_up_pct_vol)
    if as_good(belief.chance, aim, len(belief.z)):
        return ()
    base = base_chain(belief)
    every = max(len(belief.z) // _FEW, 1)
    few = base_chain(belief, every)
    found = []
    for move in moves(base, Shelf(catalogue, belief.readings, spirits, top_up_pct_vol)):
        last = solved(Trial(belief, move, 1, base), Trial(belief, move, every, few), aim)
        if last is not None and last.chance >= belief.chance + _LEAST_GAIN:
            found.append(_remedy(belief, base, move, aim, last))
    in_order = sorted(found, key=_order)
    best = {remedy.key: remedy for remedy in reversed(in_order)}
    return tuple(remedy for remedy in in_order if best[remedy.key] is remedy)


def _checked(method: Method, aim: float, top_up_pct_vol: float | None) -> None:
    if not 0.0 < aim <= 1.0:
        raise OutOfRange("The chance to aim for", aim * 10.0, "in 10", 0.0, 10.0)
    entry = method.entry_pct_vol
    if top_up_pct_vol is not None and not entry <= top_up_pct_vol <= 96.0:
        hint = "Weaker spirit would bring the cask under its entry strength."
        raise OutOfRange("The strength of the other batch", top_up_pct_vol, "%vol", entry, 96.0, hint)


def not_open(
    belief: Belief,
    catalogue: Catalogue,
    spirits: tuple[SpiritStock, ...] = (),
    top_up_pct_vol: float | None = None,
) -> tuple[Closed, ...]:
    """Moves that are over, or have no room, and why."""
    return closed(base_chain(belief), Shelf(catalogue, belief.readings, spirits, top_up_pct_vol))


def _order(remedy: Remedy) -> tuple[bool, bool, float]:
    return not remedy.helps, not remedy.reaches, -remedy.gain_for_what_it_takes


def _remedy(belief: Belief, base: Chain, move: Move, aim: float, last: Tried) -> Remedy:
    cost = cost_of(base, last.chain)
    return Remedy(
        key=move.key,
        unit=move.unit,
        amount=round(abs(move.shown(last.amount) - move.now), 9),
        now=move.now,
        then=move.shown(last.amount),
        aim=aim,
        outlook_before=_outlook(Tried(0.0, base)),
        outlook=_outlook(last),
        cost=cost,
        takes=takes_of(base, last.chain, cost),
        warnings=warnings_of(base, last.chain),
        changes_wish=last.intent.cask != base.intent.cask,
        intent=last.intent,
        # What was logged is the belief's own; a plan does not hold it.
        method=replace(last.method, mash_log=(), mash_ph_log=()),
        before=belief.sized.method,
        readings=belief.readings,
    )


def _outlook(tried: Tried) -> Outlook:
    filled = tried.chain.filled
    return Outlook(
        chance=tried.chance,
        fill_l=band(filled.reduced.volume_l),
        wanted_l=tried.method.fill_l,
        settled_pct_vol=band(filled.cask_record.settled_pct_vol),
    )


def adopt(belief: Belief, remedy: Remedy) -> Belief:
    """The same batch with a remedy as its plan; what was believed stays.

    Unknowns that a changed wish brings with it are as likely as ever.

    Raises:
        RemedyOutOfDate: it was solved from another plan, or before the last reading.
    """
    if remedy.before != belief.sized.method or remedy.readings != belief.readings:
        raise RemedyOutOfDate
    intent, method = remedy.intent, remedy.method
    worlds = belief.sized.worlds if intent.cask == belief.sized.intent.cask else worlds_for(intent)
    return under(belief, Sized(intent, method, forecast(intent, method, worlds), worlds))


def under(belief: Belief, sized: Sized) -> Belief:
    """What is believed, with another plan from here on; unknowns that a changed wish brings are as ever."""
    if sized.intent.cask == belief.sized.intent.cask:
        return replace(belief, sized=sized, settings=Settings(sized))
    unknowns, names, z = deviates_under(belief, sized.intent)
    return replace(belief, sized=sized, unknowns=unknowns, names=names, z=z, settings=Settings(sized))
