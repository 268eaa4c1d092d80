"""Moves that may still be open in a batch: how far each can go, and the method it leads to."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np

from caskward.catalogue.kinds import Material
from caskward.catalogue.load import Catalogue
from caskward.planning.forecast import Chain
from caskward.planning.intent import Intent, SpiritStock
from caskward.planning.late import Rinse, Sugar, TopUp
from caskward.planning.method import Method
from caskward.planning.plan import Unit
from caskward.planning.readings import Reading, Stage
from caskward.planning.sizing import NEARLY_ALL
from caskward.planning.update import STAGES

RemedyKey = Literal[
    "hold",
    "sugar",
    "rinse",
    "strip stop",
    "feints",
    "heart end",
    "entry strength",
    "top-up",
    "fill",
    "smaller cask",
]

_MOST_HOLD_H = 6.0
"""Longest that a rest is held over its time: sour bacteria come after; *common practice, no source*."""
_CONVERSION_SHORT = 0.03
"""Share of more sugar from which a longer hold is worth the wait; *common practice, no source*."""
_RINSES = 2
"""Rinses of the spent solids; a third brings little; *common practice, no source*."""
_LOWEST_STRIP_STOP_PCT_VOL = 0.5
"""Under that a strip boils water; *common practice, no source*."""
_HIGHEST_STRIP_STOP_PCT_VOL = 15.0
"""Over that too much is left in the pot; *common practice, no source*."""
_WEAKEST_SPOUT_PCT_VOL = 45.0
"""Lowest end of a heart that is still offered; *common practice, no source*."""
_LEAST_ENTRY_PCT_VOL, _MOST_LOWER_PCT_VOL = 45.0, 10.0
"""Weakest fill that is offered, and how far it may lie under the plan's; *common practice, no source*."""
_LEAST_FILL = 0.5
"""Emptiest cask that is offered, as a share of what it holds; *common practice, no source*."""

_OVER_FROM: Final[Mapping[RemedyKey, Stage]] = {
    "hold": "ferment",
    "sugar": "ferment",
    "rinse": "strip",
    "strip stop": "charge",
    "feints": "charge",
    "heart end": "heart",
    "entry strength": "cask",
    "top-up": "cask",
    "fill": "cask",
    "smaller cask": "cask",
}
"""The stage whose first reading says that it is too late."""


@dataclass(frozen=True)
class Move:
    """A move and how far it goes.

    first: the stage of a chain from which it is felt. amount: from 0 to `most` in steps of `step`; the more,
    the fuller the cask. now, shown: the figure it changes, before, and at an amount. make: intent and
    method at an amount.
    """

    key: RemedyKey
    first: str
    unit: Unit
    step: float
    most: float
    now: float
    shown: Callable[[float], float]
    make: Callable[[float], tuple[Intent, Method]]


@dataclass(frozen=True)
class Shelf:
    """What was read, and what is at hand: spirits in store, strength of another batch [%vol]."""

    catalogue: Catalogue
    readings: tuple[Reading, ...] = ()
    spirits: tuple[SpiritStock, ...] = ()
    top_up_pct_vol: float | None = None


def begun(readings: tuple[Reading, ...], stage: Stage) -> bool:
    """True where a stage, or one after it, has been read."""
    return any(STAGES.index(r.stage) >= STAGES.index(stage) for r in readings)


def over(readings: tuple[Reading, ...], key: RemedyKey) -> bool:
    """True where a move comes too late. While a strip runs, its stop is still open."""
    gauged = any(r.stage == "strip" and r.quantity != "spout" for r in readings)
    return begun(readings, _OVER_FROM[key]) or (key == "strip stop" and gauged)


def moves(base: Chain, shelf: Shelf) -> Iterator[Move]:
    """Every move that is not over and has room, in the order of the work."""
    for key, ways in _WAYS.items():
        if not over(shelf.readings, key):
            yield from (move for move in ways(base, shelf) if move.most >= move.step)


def _longer_hold(base: Chain, _: Shelf) -> Iterator[Move]:
    """Only where conversion is short: a longer hold still makes sugar."""
    if base.rests is None:
        return
    intent, method = base.intent, base.method

    def held(hours: float) -> tuple[Intent, Method]:
        return intent, replace(method, late=replace(method.late, hold_h=method.late.hold_h + hours))

    longest = base.changed("converted", *held(_MOST_HOLD_H))
    now_kg, then_kg = (float(np.mean(chain.converted.tub.fermentable_kg)) for chain in (base, longest))
    if then_kg < (1.0 + _CONVERSION_SHORT) * now_kg:
        return
    now_h = base.rests.rests[-1].to_h - base.rests.rests[-1].from_h
    yield Move("hold", "converted", "h", 0.25, _MOST_HOLD_H, now_h, lambda x: now_h + x, held)


def sugar_of(intent: Intent, catalogue: Catalogue) -> Material:
    """The bill's own sugar or syrup, else white sugar from the shelf."""
    own = (i.material for i in intent.bill if i.material.prepare == "dissolve")
    return next(own, catalogue.material("cane-sugar"))


def _sugar(base: Chain, shelf: Shelf) -> Iterator[Move]:
    intent, method = base.intent, base.method
    late = method.late
    material = sugar_of(intent, shelf.catalogue) if late.sugar is None else late.sugar.material
    now_kg = 0.0 if late.sugar is None else late.sugar.kg

    def sweetened(kg: float) -> tuple[Intent, Method]:
        return intent, replace(method, late=replace(late, sugar=Sugar(material, now_kg + kg)))

    tub = intent.gear.tub
    now_l = base.mash.tub.volume_l
    room_l = tub.working_l * method.ferments - float(np.quantile(now_l, NEARLY_ALL))
    l_kg = float(np.max(base.changed("mash", *sweetened(1.0)).mash.tub.volume_l - now_l))
    most_kg = max(room_l, 0.0) / l_kg
    yield Move("sugar", "mash", "kg", 0.1, most_kg, now_kg, lambda x: now_kg + x, sweetened)


def _rinse(base: Chain, shelf: Shelf) -> Iterator[Move]:
    """Two rinses, each with at most what the solids hold."""
    intent, method = base.intent, base.method
    held_l = float(np.median(base.strained[1].held_l))
    if method.late.rinse is not None or held_l <= 0.0:
        return
    apart = begun(shelf.readings, "wash")

    def rinsed(litres: float) -> tuple[Intent, Method]:
        how = Rinse(_RINSES, litres / _RINSES, apart)
        return intent, replace(method, late=replace(method.late, rinse=how))

    yield Move("rinse", "rinsed", "L", 1.0, _RINSES * held_l, 0.0, lambda x: x, rinsed)


def _strip_stop(base: Chain, _: Shelf) -> Iterator[Move]:
    """A later stop wins alcohol; an earlier one makes stronger low wines, and more of those is heart."""
    now = base.method.strip_stop_pct_vol

    def stopped(change: float) -> tuple[Intent, Method]:
        stop = round(now + change, 6)
        cuts = replace(base.intent.cuts, strip_stop_pct_vol=stop)
        return replace(base.intent, cuts=cuts), replace(base.method, strip_stop_pct_vol=stop)

    later, earlier = now - _LOWEST_STRIP_STOP_PCT_VOL, _HIGHEST_STRIP_STOP_PCT_VOL - now
    for most, way in ((later, -1.0), (earlier, 1.0)):
        shown, make = _along(now, way), _making(stopped, way)
        yield Move("strip stop", "low_wines", "pct_vol", 0.1, most, now, shown, make)


def _along(now: float, way: float) -> Callable[[float], float]:
    return lambda amount: now + way * amount


def _making(
    changed: Callable[[float], tuple[Intent, Method]], way: float
) -> Callable[[float], tuple[Intent, Method]]:
    return lambda amount: changed(way * amount)


def spare_spirits(base: Chain, shelf: Shelf) -> tuple[SpiritStock, ...]:
    """Spirits in store beyond those that the plan uses."""
    used = {(s.kind, s.pct_vol): 0.0 for s in base.method.spirits_in}
    for one in base.method.spirits_in:
        used[one.kind, one.pct_vol] += one.volume_l
    spare = []
    for one in (*base.intent.stock.spirits, *shelf.spirits):
        taken_l = min(used.get((one.kind, one.pct_vol), 0.0), one.volume_l)
        used[one.kind, one.pct_vol] = used.get((one.kind, one.pct_vol), 0.0) - taken_l
        if one.volume_l > taken_l:
            spare.append(replace(one, volume_l=one.volume_l - taken_l))
    return tuple(spare)


def _feints(base: Chain, shelf: Shelf) -> Iterator[Move]:
    """What is spare in store, all kinds in proportion."""
    spare = spare_spirits(base, shelf)
    all_l = sum(s.volume_l for s in spare)
    intent, method = base.intent, base.method

    def charged(litres: float) -> tuple[Intent, Method]:
        more = tuple(replace(s, volume_l=s.volume_l * litres / all_l) for s in spare)
        return intent, replace(method, spirits_in=(*method.spirits_in, *more))

    yield Move("feints", "feints_in", "L", 0.1, all_l, 0.0, lambda x: x, charged)


def _heart_end(base: Chain, _: Shelf) -> Iterator[Move]:
    """A longer heart; the forecast ends it where the whole of it would fall under entry strength."""
    now = base.method.cuts.heart_end_pct_vol

    def ended(lower: float) -> tuple[Intent, Method]:
        end = round(now - lower, 6)
        cuts = replace(base.method.cuts, heart_end_pct_vol=end)
        wished = replace(base.intent.cuts, heart_end_pct_vol=end)
        return replace(base.intent, cuts=wished), replace(base.method, cuts=cuts)

    most = now - max(_WEAKEST_SPOUT_PCT_VOL, base.method.cuts.tails_stop_pct_vol)
    yield Move("heart end", "run", "pct_vol", 0.5, most, now, lambda x: now - x, ended)


def _entry_strength(base: Chain, shelf: Shelf) -> Iterator[Move]:
    """Weaker into the cask; where the heart is still to come, it may run on to that strength too."""
    now = base.method.entry_pct_vol
    is_cut = begun(shelf.readings, "heart")

    def lowered(lower: float) -> tuple[Intent, Method]:
        entry = round(now - lower, 6)
        cuts = base.method.cuts if is_cut else replace(base.method.cuts, least_heart_pct_vol=entry)
        wished = replace(base.intent.cask, entry_pct_vol=entry, settle_pct_vol=None)
        return replace(base.intent, cask=wished), replace(base.method, entry_pct_vol=entry, cuts=cuts)

    most = min(_MOST_LOWER_PCT_VOL, now - _LEAST_ENTRY_PCT_VOL)
    first = "filled" if is_cut else "run"
    yield Move("entry strength", first, "pct_vol", 0.1, most, now, lambda x: now - x, lowered)


def _top_up(base: Chain, shelf: Shelf) -> Iterator[Move]:
    """Spirit of another batch, no weaker than the fill."""
    method = base.method
    entry = method.entry_pct_vol
    pct_vol = entry if shelf.top_up_pct_vol is None else shelf.top_up_pct_vol
    if method.late.top_up is not None or pct_vol < entry:
        return

    def topped(litres: float) -> tuple[Intent, Method]:
        return base.intent, replace(method, late=replace(method.late, top_up=TopUp(litres, pct_vol)))

    yield Move("top-up", "filled", "L", 0.1, method.fill_l, 0.0, lambda x: x, topped)


def _less_fill(base: Chain, _: Shelf) -> Iterator[Move]:
    cask, now_l = base.intent.cask, base.method.fill_l

    def filled(less_l: float) -> tuple[Intent, Method]:
        fill_l = now_l - less_l
        wished = replace(cask, fill_share=fill_l / cask.capacity_l)
        return replace(base.intent, cask=wished), replace(base.method, fill_l=wished.fill_l)

    most = now_l - _LEAST_FILL * cask.capacity_l
    yield Move("fill", "filled", "L", 0.1, most, now_l, lambda x: now_l - x, filled)


def _smaller_cask(base: Chain, shelf: Shelf) -> Iterator[Move]:
    """The next smaller sizes, as full as the one that was wished."""
    cask = base.intent.cask
    known = (c for c in shelf.catalogue.casks.values() if c.capacity_l < cask.capacity_l)
    sizes = sorted(known, key=lambda c: -c.capacity_l)

    def size_of(steps: float) -> tuple[Intent, Method]:
        size = sizes[max(int(np.ceil(steps - 1e-9)), 1) - 1]
        wished = replace(cask, capacity_l=size.capacity_l, wood_area_m2=size.wood_area_m2)
        return replace(base.intent, cask=wished), replace(base.method, fill_l=wished.fill_l)

    def capacity_l(steps: float) -> float:
        return size_of(steps)[0].cask.capacity_l

    yield Move("smaller cask", "filled", "L", 1.0, float(len(sizes)), cask.capacity_l, capacity_l, size_of)


_WAYS: Final[Mapping[RemedyKey, Callable[[Chain, Shelf], Iterator[Move]]]] = {
    "hold": _longer_hold,
    "sugar": _sugar,
    "rinse": _rinse,
    "strip stop": _strip_stop,
    "feints": _feints,
    "heart end": _heart_end,
    "entry strength": _entry_strength,
    "top-up": _top_up,
    "fill": _less_fill,
    "smaller cask": _smaller_cask,
}
