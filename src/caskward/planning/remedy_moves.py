"""Moves that may still be open in a batch: how far each can go, and the method it leads to."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from typing import Final

import numpy as np

from caskward.planning.forecast import Chain
from caskward.planning.intent import SpiritStock
from caskward.planning.late import Rinse, Sugar
from caskward.planning.late_moves import (
    Planned,
    charged_with,
    heart_ended,
    held_longer,
    rinsed_with,
    strips_stopped,
    sugar_of,
    sweetened,
)
from caskward.planning.remedy_cask import entry_strength, less_full, smaller_cask, top_up
from caskward.planning.remedy_kinds import (
    Closed,
    ClosedKey,
    Move,
    RemedyKey,
    Shelf,
    begun,
    over,
    over_from,
)
from caskward.planning.sizing import NEARLY_ALL
from caskward.stages.stream import Stream

_MOST_HOLD_H = 6.0
"""Longest that a rest is held over its time: sour bacteria come after; *common practice, no source*."""
_CONVERSION_SHORT = 0.03
"""Share of more sugar from which a longer hold is worth the wait; *common practice, no source*."""
_SWEETEST = 0.3
"""Share of solubles in the sweetest must that is still offered; *common practice, no source*."""
RINSES = 2
"""Rinses of the spent solids; a third brings little; *common practice, no source*."""
_LOWEST_STRIP_STOP_PCT_VOL = 0.5
"""Under that a strip boils water; *common practice, no source*."""
_HIGHEST_STRIP_STOP_PCT_VOL = 15.0
"""Over that too much is left in the pot; *common practice, no source*."""
_WEAKEST_SPOUT_PCT_VOL = 45.0
"""Lowest end of a heart that is still offered; *common practice, no source*."""


def moves(base: Chain, shelf: Shelf) -> Iterator[Move]:
    """Every move that is not over and has room, in the order of the work."""
    yield from (way for way in ways(base, shelf) if isinstance(way, Move))


def closed(base: Chain, shelf: Shelf) -> tuple[Closed, ...]:
    """Every move that is not open, and why, in the order of the work."""
    every = tuple(ways(base, shelf))
    open_keys = {way.key for way in every if isinstance(way, Move)}
    shut = {way.key: way for way in every if isinstance(way, Closed) and way.key not in open_keys}
    return tuple(shut.values())


def ways(base: Chain, shelf: Shelf) -> Iterator[Move | Closed]:
    """Every move, open or not."""
    for key, found in _WAYS.items():
        if over(shelf.readings, key):
            yield Closed(key, "over", over_from(key))
            continue
        for way in found(base, shelf):
            if isinstance(way, Closed) or way.most >= way.step:
                yield way
            else:
                yield Closed(key, _NO_ROOM.get(key, "as far"))


def _longer_hold(base: Chain, _: Shelf) -> Iterator[Move | Closed]:
    """Only where conversion is short: a longer hold still makes sugar."""
    if base.rests is None:
        yield Closed("hold", "no starch")
        return
    intent, method = base.intent, base.method

    def held(hours: float) -> Planned:
        return held_longer(intent, method, hours)

    longest = base.changed("converted", *held(_MOST_HOLD_H))
    now_kg, then_kg = (float(np.mean(chain.converted.tub.fermentable_kg)) for chain in (base, longest))
    if then_kg < (1.0 + _CONVERSION_SHORT) * now_kg:
        yield Closed("hold", "converted")
        return
    now_h = base.rests.rests[-1].to_h - base.rests.rests[-1].from_h
    yield Move("hold", "converted", "h", 0.25, _MOST_HOLD_H, now_h, lambda x: now_h + x, held)


def _sugar(base: Chain, shelf: Shelf) -> Iterator[Move | Closed]:
    intent, method = base.intent, base.method
    late = method.late
    material = sugar_of(intent, shelf.catalogue) if late.sugar is None else late.sugar.material
    now_kg = 0.0 if late.sugar is None else late.sugar.kg

    def with_kg(kg: float) -> Planned:
        return sweetened(intent, method, Sugar(material, now_kg + kg))

    tub = intent.gear.tub
    now_l = base.mash.tub.volume_l
    room_l = tub.working_l * method.ferments - float(np.quantile(now_l, NEARLY_ALL))
    l_kg = float(np.max(base.changed("mash", *with_kg(1.0)).mash.tub.volume_l - now_l))
    most_kg = min(max(room_l, 0.0) / l_kg, _sweetest_kg(base.mash.tub))
    yield Move("sugar", "mash", "kg", 0.1, most_kg, now_kg, lambda x: now_kg + x, with_kg)


def _sweetest_kg(must: Stream) -> float:
    """Sugar that brings a must to the sweetest that yeast is set to."""
    wet_kg = must.water_kg + must.dissolved_kg
    more_kg = (_SWEETEST * wet_kg - must.dissolved_kg) / (1.0 - _SWEETEST)
    return max(float(np.min(more_kg)), 0.0)


def _rinse(base: Chain, shelf: Shelf) -> Iterator[Move | Closed]:
    """Two rinses, each with at most what the solids hold."""
    intent, method = base.intent, base.method
    held_l = float(np.median(base.strained[1].held_l)) if intent.leaves_solids else 0.0
    if method.late.rinse is not None or held_l <= 0.0:
        yield Closed("rinse", "no solids" if method.late.rinse is None else "done")
        return
    apart = begun(shelf.readings, "wash")

    def rinsed(litres: float) -> Planned:
        return rinsed_with(intent, method, Rinse(RINSES, litres / RINSES, apart))

    yield Move("rinse", "rinsed", "L", 1.0, RINSES * held_l, 0.0, lambda x: x, rinsed)


def _strip_stop(base: Chain, _: Shelf) -> Iterator[Move | Closed]:
    """A later stop wins alcohol; an earlier one makes stronger low wines, and more of those is heart."""
    now = base.method.strip_stop_pct_vol

    def stopped(change: float) -> Planned:
        return strips_stopped(base.intent, base.method, round(now + change, 6))

    later, earlier = now - _LOWEST_STRIP_STOP_PCT_VOL, _HIGHEST_STRIP_STOP_PCT_VOL - now
    for most, way in ((later, -1.0), (earlier, 1.0)):
        shown, make = _along(now, way), _making(stopped, way)
        yield Move("strip stop", "low_wines", "pct_vol", 0.1, most, now, shown, make)


def _along(now: float, way: float) -> Callable[[float], float]:
    return lambda amount: now + way * amount


def _making(changed: Callable[[float], Planned], way: float) -> Callable[[float], Planned]:
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


def _feints(base: Chain, shelf: Shelf) -> Iterator[Move | Closed]:
    """What is spare in store, all kinds in proportion."""
    spare = spare_spirits(base, shelf)
    all_l = sum(s.volume_l for s in spare)
    intent, method = base.intent, base.method

    def charged(litres: float) -> Planned:
        more = tuple(replace(s, volume_l=s.volume_l * litres / all_l) for s in spare)
        return charged_with(intent, method, more)

    yield Move("feints", "feints_in", "L", 0.1, all_l, 0.0, lambda x: x, charged)


def _heart_end(base: Chain, _: Shelf) -> Iterator[Move | Closed]:
    """A longer heart; the forecast ends it where the whole of it would fall under entry strength."""
    now = base.method.cuts.heart_end_pct_vol

    def ended(lower: float) -> Planned:
        return heart_ended(base.intent, base.method, round(now - lower, 6))

    most = now - max(_WEAKEST_SPOUT_PCT_VOL, base.method.cuts.tails_stop_pct_vol)
    yield Move("heart end", "run", "pct_vol", 0.5, most, now, lambda x: now - x, ended)


_WAYS: Final[Mapping[RemedyKey, Callable[[Chain, Shelf], Iterator[Move | Closed]]]] = {
    "hold": _longer_hold,
    "sugar": _sugar,
    "rinse": _rinse,
    "strip stop": _strip_stop,
    "feints": _feints,
    "heart end": _heart_end,
    "entry strength": entry_strength,
    "top-up": top_up,
    "less full": less_full,
    "smaller cask": smaller_cask,
}
_NO_ROOM: Final[Mapping[RemedyKey, ClosedKey]] = {
    "sugar": "tub full",
    "rinse": "no solids",
    "feints": "none in store",
}
"""Why a move without room is not open, where that is not that the plan goes as far already."""
