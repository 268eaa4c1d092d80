"""What the book has of a batch's alcohol on its way: from its deeds, else from readings of a whole.

A reading of a whole has volume and strength: `wash: 8.4 %, 340 L`. Where a deed says the same, the deed
holds, for its balance is in the accounts.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from caskward.book.accounts import ALCOHOL, family_of, root_of
from caskward.book.history import Happening, sides
from caskward.planning.readings import Reading
from caskward.services import river
from caskward.services.book.run_kind import Kind, kinds
from caskward.services.river import ReachKey, Recorded, SideKind

_UL_IN_L: Final = 1e6
_LEFT_SHARE: Final = 0.03
"""A larger part that still stands before a still is to be distilled, too; a smaller one stays in hoses and
vessels; *common practice, no source*."""
_OF_STAGE: Final[dict[str, ReachKey]] = {
    "wash": "wash",
    "strip": "low wines",
    "charge": "charge",
    "heart": "heart",
    "cask": "cask",
}
_SAID: Final = {"spent solids": river.IN_SOLIDS}
"""What the forecast calls a cause of the book."""


def recorded_of(happened: Sequence[Happening], readings: Iterable[Reading]) -> Recorded:
    """Litres of pure alcohol by reach and by side stream.

    Args:
        happened: everything of the batch, corrections put right. readings: of its rows.
    """
    book = _Book(happened)
    reaches = {**_read(readings), **book.reaches()}
    return Recorded(reaches, book.sides(), book.so_far())


def _read(readings: Iterable[Reading]) -> dict[ReachKey, float]:
    figures: dict[ReachKey, dict[str, float]] = {}
    for one in readings:
        if one.stage in _OF_STAGE and not one.bound and not one.at_l and not one.at_h:
            figures.setdefault(_OF_STAGE[one.stage], {})[one.quantity] = one.value
    return {
        key: of["volume"] * of["strength"] / 100.0
        for key, of in figures.items()
        if {"volume", "strength"} <= of.keys()
    }


class _Book:
    """The alcohol of one batch's deeds, deed by deed."""

    def __init__(self, happened: Sequence[Happening]) -> None:
        self._moves = [(one, *_alcohol(one)) for one in happened]
        self._kinds = kinds(happened)
        self._strips, self._runs = self._of_kind("strip"), self._of_kind("spirit run")
        self._fills = [(outs, ins) for one, outs, ins in self._moves if one.kind == "filled"]

    def _of_kind(self, kind: Kind) -> list[tuple[dict[str, int], dict[str, int]]]:
        return [(outs, ins) for one, outs, ins in self._moves if self._kinds.get(one.number) == kind]

    def reaches(self) -> dict[ReachKey, float]:
        """What came through each reach."""
        fermented = sum(
            amount
            for one, outs, _ in self._moves
            if one.kind == "converted"
            for account, amount in outs.items()
            if root_of(account).name == "made"
        )
        found: dict[ReachKey, float] = {
            "tub": fermented,
            "wash": self._stripped() + self._unstripped() if self._strips else 0,
            "low wines": sum(_kept(ins) for _, ins in self._strips),
            "charge": sum(sum(outs.values()) for outs, _ in self._runs),
            "heart": self._heart(),
            "cask": sum(_kept(ins) for _, ins in self._fills),
        }
        return {key: amount / _UL_IN_L for key, amount in found.items() if amount > 0}

    def so_far(self) -> frozenset[ReachKey]:
        """Reaches of which a part is still to pass."""
        wash, low_wines = self._stripped(), sum(_kept(ins) for _, ins in self._strips)
        unrun = self._left_in(
            {account for _, ins in self._strips for account in ins if root_of(account).holds}
        )
        stripping = bool(self._strips) and self._unstripped() > _LEFT_SHARE * wash
        running = bool(self._runs) and (stripping or unrun > _LEFT_SHARE * low_wines)
        found: list[ReachKey] = ["low wines"] if stripping else []
        return frozenset([*found, *(("charge", "heart", "cask") if running else ())])

    def _stripped(self) -> int:
        return sum(sum(outs.values()) for outs, _ in self._strips)

    def _unstripped(self) -> int:
        """Wash that stands in its tubs, or in a still that has not run."""
        stills = {account for outs, _ in self._strips for account in outs}
        places = self._wash_places(stills)
        into = sum(
            amount
            for one, outs, ins in self._moves
            if one.kind == "moved" and outs.keys() & places
            for account, amount in ins.items()
            if account in stills
        )
        waits = into - sum(
            amount for outs, _ in self._strips for name, amount in outs.items() if name in stills
        )
        return max(self._left_in(places), 0) + max(waits, 0)

    def _left_in(self, places: set[str]) -> int:
        """What went into places and has not left them."""
        return sum(
            sum(amount for account, amount in ins.items() if account in places)
            - sum(amount for account, amount in outs.items() if account in places)
            for _, outs, ins in self._moves
        )

    def sides(self) -> dict[tuple[ReachKey, str, SideKind], float]:
        """What left on the way, or came in."""
        found: dict[tuple[ReachKey, str, SideKind], float] = {}
        for one, _, ins in self._moves:
            for account, amount in ins.items():
                key = _left(self._kinds.get(one.number), account)
                if key:
                    found[key] = found.get(key, 0.0) + amount / _UL_IN_L
        from_store = self._from_store()
        if from_store > 0:
            found["low wines", river.FEINTS_IN, "in"] = from_store / _UL_IN_L
        heart, came = self._heart(), sum(_kept(ins) for _, ins in self._runs)
        if heart and came > heart:
            found["charge", river.FEINTS_OUT, "feints"] = (came - heart) / _UL_IN_L
        in_casks = sum(_kept(ins) for _, ins in self._fills)
        if in_casks and heart > in_casks:
            found["heart", river.OVER, "over"] = (heart - in_casks) / _UL_IN_L
        return found

    def _heart(self) -> int:
        """What came together in the places from which casks were filled, before the first was."""
        places = {account for outs, _ in self._fills for account in outs}
        return sum(
            amount
            for one, _, ins in self._moves
            if one.kind in ("moved", "distilled")
            for account, amount in ins.items()
            if account in places
        )

    def _from_store(self) -> int:
        """What went into a spirit run's still from elsewhere than its strips' low wines."""
        stills = {account for outs, _ in self._runs for account in outs}
        low_wines = {account for _, ins in self._strips for account in ins}
        tubs = {outs_of for one, outs, _ in self._moves if one.kind == "moved" for outs_of in outs}
        others = tubs - low_wines - self._wash_places(stills)
        return sum(
            amount
            for one, outs, ins in self._moves
            if one.kind == "moved" and stills & ins.keys()
            for account, amount in outs.items()
            if account in others
        )

    def _wash_places(self, stills: set[str]) -> set[str]:
        """Where wash was: its tubs, and what it was moved to on its way to a still."""
        places = self._washes() - stills
        for one, outs, ins in self._moves:
            if one.kind == "moved" and outs.keys() & places:
                places |= {account for account in ins if root_of(account).holds} - stills
        return places

    def _washes(self) -> set[str]:
        return {account for one, _, ins in self._moves if one.kind == "converted" for account in ins}


def _alcohol(one: Happening) -> tuple[dict[str, int], dict[str, int]]:
    """Alcohol out of and into accounts [µL]."""
    for commodity, side in sides(one).items():
        if family_of(commodity) == ALCOHOL:
            return side.outs, side.ins
    return {}, {}


def _kept(ins: dict[str, int]) -> int:
    """What went into places, without what was lost, thrown away or is asked about."""
    return sum(amount for account, amount in ins.items() if root_of(account).holds)


def _left(run: Kind | None, account: str) -> tuple[ReachKey, str, SideKind] | None:
    root, _, rest = account.partition("/")
    cause = rest.partition("/")[0]
    if root not in ("lost", "destroyed"):
        return None
    if run == "strip":
        return "wash", river.LEFT_BY_STRIPS if root == "lost" else cause, "lost"
    if run == "spirit run":
        return "charge", river.LEFT_BY_RUNS if root == "lost" else river.FORESHOTS, "lost"
    return "tub", _SAID.get(cause, cause), "lost"
