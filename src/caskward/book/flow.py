"""What each place's content is made of: alcohol by origin, materials, money, carried along by what moves.

All is in whole numbers and shared out by largest remainders, so that nothing is lost or made: the alcohol of
all origins in a place is its balance, to the µL; all money ever spent is somewhere, to the cent.

Alcohol goes as it is posted. Materials and money ride on what carries them: on the alcohol where there is
some, else on the liquid's volume; with dry goods on their amount. A place is mixed through: what leaves it
has the make-up of all. A loss, or foreshots thrown away, takes its materials with it but leaves its money to
what went on beside it, else to what stayed: that has to earn it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from caskward.book.accounts import ALCOHOL, BULK, family_of, root_of
from caskward.book.amounts import shared_out
from caskward.book.frozen import FrozenMap
from caskward.book.history import Happening, Sides, sides, without_changed

MONEY = "money"
_LIQUID = (ALCOHOL, BULK)
_BEARS_NO_COST = frozenset({"lost", "destroyed", "unaccounted", "sampled", "changed"})
_SHORT = "unaccounted/not there yet"


@dataclass(frozen=True, slots=True)
class Tag:
    """Where a part of a content comes from.

    `commodity` is `alcohol`, a material or `money/EUR`; `origin` is the account that alcohol came from, the
    lot of a material, or what money was spent on; `number` is the entry's.
    """

    commodity: str
    origin: str
    number: int


Pool = dict[Tag, int]


@dataclass
class Flow:
    """The make-up of every account, and money that nothing carries."""

    pools: dict[str, Pool] = field(default_factory=dict)
    held: dict[tuple[str, str], int] = field(default_factory=dict)
    unplaced: Pool = field(default_factory=dict)

    def content(self, account: str, family: str) -> Pool:
        """The parts of an account's make-up of one family: `alcohol`, `mass`, `money` ..."""
        pool = self.pools.get(account, {})
        return {tag: amount for tag, amount in pool.items() if family_of(tag.commodity) == family}


def flow_of(happenings: Iterable[Happening]) -> Flow:
    """Follow everything through a history; for what really happened take one that is put right."""
    flow = Flow()
    for happening in happenings:
        _Step(flow, happening).take()
        for place, amount in happening.net().items():
            flow.held[place] = flow.held.get(place, 0) + amount
    return flow


class _Step:
    """One happening, worked through: out of the sources, into what receives."""

    def __init__(self, flow: Flow, happening: Happening) -> None:
        self.flow, self.happening = flow, happening
        self.sides = sides(happening)
        self.riders: Pool = {}

    def take(self) -> None:
        self._liquid()
        for commodity, side in self.sides.items():
            if family_of(commodity) not in _LIQUID:
                self._goods(commodity, side)
        self._costs()

    # Alcohol, and what rides on a liquid -------------------------------------------------------------

    def _liquid(self) -> None:
        alcohol, targets = self._side(ALCOHOL), self._liquid_targets()
        if targets:
            for account, amount, held in self._carriers():
                self._unload(account, amount, held, targets, self._riding(account))
        pool: Pool = {}
        for account, amount in alcohol.outs.items():
            _merge(pool, self._alcohol_out(account, amount))
        for account, amount in alcohol.ins.items():
            _merge(self._pool(account), self._drawn(pool, amount))
        self._land(self.riders, targets)

    def _liquid_targets(self) -> dict[str, int]:
        return self._side(ALCOHOL).ins or without_changed(self._side(BULK).ins)

    def _carriers(self) -> list[tuple[str, int, int]]:
        """Places that liquid leaves: how much, and of how much; in alcohol, or in volume if there is none."""
        alcohol_outs, held = self._side(ALCOHOL).outs, self.flow.held
        strong = [(account, out, held.get((account, ALCOHOL), 0)) for account, out in alcohol_outs.items()]
        weak = [
            (account, out, held.get((account, BULK), 0))
            for account, out in self._side(BULK).outs.items()
            if not held.get((account, ALCOHOL), 0)
        ]
        return [row for row in (*strong, *weak) if root_of(row[0]).holds]

    def _alcohol_out(self, account: str, amount: int) -> Pool:
        if not root_of(account).holds:
            return {Tag(ALCOHOL, account, self.happening.number): amount}
        taken = self._drawn(self.flow.content(account, ALCOHOL), amount)
        _merge(self._pool(account), _opposite(taken))
        return taken

    def _drawn(self, pool: Pool, amount: int) -> Pool:
        """So much out of a pool of alcohol, in its make-up; what it lacks is owed by what comes in later."""
        there = {tag: part for tag, part in pool.items() if part > 0}
        whole = sum(there.values())
        parts = shared_out(min(amount, whole), list(there.values()))
        taken = {tag: part for tag, part in zip(there, parts, strict=False) if part}
        if amount > whole:
            taken[Tag(ALCOHOL, _SHORT, self.happening.number)] = amount - whole
        _merge(pool, _opposite(taken))
        return taken

    # What rides --------------------------------------------------------------------------------------

    def _riding(self, account: str) -> list[Tag]:
        """What rides on a liquid: all but the alcohol, and the glass that the liquid is in."""
        held = self.flow.held
        return [
            tag
            for tag in self._pool(account)
            if tag.commodity != ALCOHOL and not held.get((account, tag.commodity), 0)
        ]

    def _unload(
        self, account: str, amount: int, held: int, ins: Mapping[str, int], tags: Iterable[Tag]
    ) -> None:
        """What rides on so much of what is held leaves the account's pool and waits to land."""
        pool = self._pool(account)
        stays = max(held - amount, 0)
        for tag in tags:
            stays_whole = family_of(tag.commodity) == MONEY and stays and not _bearing(ins)
            leaves = 0 if stays_whole else shared_out(pool[tag], [amount, stays])[0]
            _merge(pool, {tag: -leaves})
            _merge(self.riders, {tag: leaves})

    def _land(self, riders: Pool, ins: Mapping[str, int]) -> None:
        """Share out what waits among what received; money only among what bears cost, if any does."""
        for tag, amount in riders.items():
            targets = ins
            if family_of(tag.commodity) == MONEY:
                targets = _bearing(ins) or ins
            if not targets:
                _merge(self.flow.unplaced, {tag: amount})
            parts = shared_out(amount, list(targets.values()))
            for account, part in zip(targets, parts, strict=False):
                _merge(self._pool(account), {tag: part})
        riders.clear()

    # Materials and dry goods -------------------------------------------------------------------------

    def _goods(self, commodity: str, side: Sides) -> None:
        for account, amount in side.outs.items():
            if root_of(account).holds:
                held = self.flow.held.get((account, commodity), 0)
                self._unload(account, amount, held, side.ins, self._riding_on(account, commodity))
        self._land(self.riders, side.ins)
        fresh = sum(amount for account, amount in side.outs.items() if not root_of(account).holds)
        for account, part in zip(side.ins, shared_out(fresh, list(side.ins.values())), strict=False):
            _merge(self._pool(account), {Tag(commodity, account, self.happening.number): part})

    def _riding_on(self, account: str, commodity: str) -> list[Tag]:
        """Of full bottles only the glass: the rest has gone with the alcohol."""
        tags = list(self._pool(account))
        return [tag for tag in tags if tag.commodity == commodity] if root_of(account).liquid else tags

    # Money -------------------------------------------------------------------------------------------

    def _costs(self) -> None:
        rows = self.happening.details.get("costs", ())
        for row in rows if isinstance(rows, tuple) else ():
            if isinstance(row, FrozenMap):
                self._cost(row)

    def _cost(self, row: FrozenMap) -> None:
        minor, account = row.get("minor"), row.get("account") or self.happening.into
        tag = Tag(f"{MONEY}/{row.get('currency')}", str(row.get("what")), self.happening.number)
        spent: Pool = {tag: minor if isinstance(minor, int) else 0}
        if isinstance(account, str) and account:
            _merge(self._pool(account), spent)
        else:
            self._land(spent, self._liquid_targets() or self._goods_targets())

    def _goods_targets(self) -> dict[str, int]:
        rows = [side.ins for commodity, side in self.sides.items() if family_of(commodity) not in _LIQUID]
        return rows[0] if len(rows) == 1 else {}

    # Shared ------------------------------------------------------------------------------------------

    def _side(self, commodity: str) -> Sides:
        return self.sides.get(commodity, Sides({}, {}))

    def _pool(self, account: str) -> Pool:
        return self.flow.pools.setdefault(account, {})


def _bearing(ins: Mapping[str, int]) -> dict[str, int]:
    return {account: amount for account, amount in ins.items() if root_of(account).name not in _BEARS_NO_COST}


def _opposite(pool: Pool) -> Pool:
    return {tag: -amount for tag, amount in pool.items()}


def _merge(pool: Pool, more: Mapping[Tag, int]) -> None:
    for tag, amount in more.items():
        total = pool.get(tag, 0) + amount
        if total:
            pool[tag] = total
        else:
            pool.pop(tag, None)
