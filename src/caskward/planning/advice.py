"""Advice: changes to a wish that would make it possible, each one already solved."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache
from itertools import chain, combinations

from caskward.catalogue.load import Catalogue
from caskward.errors import ImpossibleIntent, InputError
from caskward.planning.checks import checked
from caskward.planning.intent import BillItem, Intent
from caskward.planning.limits import Limit, limits
from caskward.planning.sizing import WITHIN, Sized, size
from caskward.planning.strengths import said
from caskward.units import show

_THINNEST_L_KG = 2.4
"""Thickest mash that still stirs [L water per kg bill]; *common practice, no source*."""
_WEAKEST_HEART_PCT_VOL = 45.0
_FEWEST_HEADS = 0.03
_LEAST = 2
"""A refusal shows at least so many ways out, if there are any."""
_FEW_WORLDS, _FIRST_LOOK = 256, 0.03


@dataclass(frozen=True)
class Change:
    """One way to change a wish, in the words a maker would use."""

    words: str
    intent: Intent


@dataclass(frozen=True)
class Alternative:
    """A change that works, and the batch it leads to."""

    words: str
    sized: Sized


def alternatives(intent: Intent, catalogue: Catalogue, most: int = 4) -> tuple[Alternative, ...]:
    """Changes that make an impossible wish possible; the mildest step of each kind that works.

    Each is solved by `sizing.size` on the wish's own seed, and kept only when no limit is broken and the
    batch is not one that another change led to. Where single changes give fewer than two answers, two
    kinds are tried together.
    """
    return tuple(ways_out(intent, catalogue, most))


def _always() -> bool:
    return True


def ways_out(
    intent: Intent, catalogue: Catalogue, most: int = 4, go_on: Callable[[], bool] = _always
) -> Iterator[Alternative]:
    """The same one by one, as each is found, for whoever would not wait for the last.

    `go_on` is asked before each kind of change: once it says no, no more are looked for.
    """
    found: list[Alternative] = []
    kinds = [(ladder,) for ladder in _LADDERS]
    for kind in chain(kinds, combinations(_PAIRED, 2)):
        if len(found) >= (most if len(kind) == 1 else _LEAST) or not go_on():
            break
        steps = kind[0](intent, catalogue) if len(kind) == 1 else _together(intent, catalogue, *kind)
        works = _first_that_works(steps)
        if works is not None and not any(_same_batch(works, other) for other in found):
            found.append(works)
            yield works


def _same_batch(one: Alternative, other: Alternative) -> bool:
    return one.sized.method == other.sized.method


def broken(sized: Sized) -> tuple[Limit, ...]:
    """Limits that a sized batch breaks: a heart too weak before all else, then the worst first."""
    found = (limit for limit in limits(sized) if limit.broken)
    return tuple(sorted(found, key=lambda limit: limit.kind != "heart"))


def _first_that_works(ladder: Iterator[Change]) -> Alternative | None:
    """The mildest change that works: looked for in few worlds, then solved in all.

    Most kinds help more the further they go, a few too far: where neither the last step nor the middle
    one helps, the rest are not tried.
    """
    steps = list(ladder)
    works = cache(lambda place: _works(steps[place]))
    if not steps or not (works(len(steps) - 1) or (len(steps) > 2 and works(len(steps) // 2))):
        return None
    for place, change in enumerate(steps):
        if works(place):
            sized = _solved(change.intent)
            if sized is not None:
                return Alternative(change.words, sized)
    return None


def _works(change: Change) -> bool:
    return _solved(replace(change.intent, worlds=_FEW_WORLDS), _FIRST_LOOK) is not None


def _solved(intent: Intent, within: float = WITHIN) -> Sized | None:
    try:
        sized = size(checked(intent), within=within)
    except (ImpossibleIntent, InputError):
        return None
    return None if broken(sized) else sized


def _together(intent: Intent, catalogue: Catalogue, first: Ladder, second: Ladder) -> Iterator[Change]:
    """The middle steps of two kinds together, then their last ones."""
    for place in (0.5, 1.0):
        one = _at(list(first(intent, catalogue)), place)
        other = _at(list(second(one.intent, catalogue)), place) if one else None
        if one and other:
            yield Change(f"{one.words}, and {other.words}", other.intent)


def _at(steps: list[Change], place: float) -> Change | None:
    return steps[min(int(place * len(steps)), len(steps) - 1)] if steps else None


def _more_ferments(intent: Intent, _: Catalogue) -> Iterator[Change]:
    for count in (*range(intent.most_ferments + 1, intent.most_ferments + 4), 6, 9, 12):
        if count > intent.most_ferments:
            yield Change(f"{count} ferments, one after the other", replace(intent, most_ferments=count))


def _now_l_kg(intent: Intent) -> float:
    if intent.water_l_per_kg is not None:
        return intent.water_l_per_kg
    return sum(i.share * i.material.water_l_per_kg.likely for i in intent.bill)


def _thicker_mash(intent: Intent, _: Catalogue) -> Iterator[Change]:
    now = _now_l_kg(intent)
    for share in (0.92, 0.84, 0.76, 0.68):
        ratio = round(now * share, 1)
        if ratio >= _THINNEST_L_KG:
            yield Change(
                f"a thicker mash, {ratio:g} L of water to the kilogram", replace(intent, water_l_per_kg=ratio)
            )


def _thinner_mash(intent: Intent, _: Catalogue) -> Iterator[Change]:
    now = max(_now_l_kg(intent), 1.0)
    for share in (1.2, 1.5, 2.0, 3.0):
        ratio = round(now * share, 1)
        yield Change(
            f"a thinner mash, {ratio:g} L of water to the kilogram", replace(intent, water_l_per_kg=ratio)
        )


def _longer_heart(intent: Intent, _: Catalogue) -> Iterator[Change]:
    for step in (3.0, 6.0, 9.0):
        end = intent.cuts.heart_end_pct_vol - step
        if end >= _WEAKEST_HEART_PCT_VOL:
            cuts = replace(intent.cuts, heart_end_pct_vol=end)
            yield Change(
                f"a longer heart, to {said(end, intent.show)} at the spout", replace(intent, cuts=cuts)
            )


def _lower_strength(intent: Intent, _: Catalogue) -> Iterator[Change]:
    cask = intent.cask
    for step in (2.0, 4.0, 7.0, 10.0):
        if cask.entry_pct_vol is not None:
            lower = cask.entry_pct_vol - step
            changed, words = (
                replace(cask, entry_pct_vol=lower),
                f"a lower entry strength, {said(lower, intent.show)}",
            )
        else:
            lower = (cask.settle_pct_vol or 0.0) - step
            changed, words = (
                replace(cask, settle_pct_vol=lower),
                f"a cask that settles at {said(lower, intent.show)}",
            )
        if lower >= 40.0:
            yield Change(words, replace(intent, cask=changed))


def _shelf_sugar(intent: Intent, catalogue: Catalogue) -> Iterator[Change]:
    sugar = catalogue.material("cane-sugar")
    if any(i.material.key == sugar.key for i in intent.bill) or intent.practice.key == "sugar":
        return
    for share in (0.05, 0.1, 0.2, 0.3):
        bill = tuple(replace(i, share=i.share * (1.0 - share)) for i in intent.bill)
        words = f"{share * 100:.0f} % of the bill as sugar from the shelf (its legal name may change)"
        ratio = intent.water_l_per_kg
        yield Change(words, replace(intent, bill=(*bill, BillItem(sugar, share)), water_l_per_kg=ratio))


def _press(intent: Intent, catalogue: Catalogue) -> Iterator[Change]:
    if intent.gear.straining.press_recovery.high > 0:
        return
    gear = replace(intent.gear, straining=catalogue.straining("press"))
    yield Change("pressing the grain or fruit", replace(intent, gear=gear))


def _buy_more(intent: Intent, _: Catalogue) -> Iterator[Change]:
    if not intent.stock.buys_more:
        yield Change(
            "what the store lacks bought", replace(intent, stock=replace(intent.stock, buys_more=True))
        )


def _stronger_yeast(intent: Intent, catalogue: Catalogue) -> Iterator[Change]:
    yeast = catalogue.yeast("high-tolerance")
    if yeast.tolerance_pct_vol.likely > intent.yeast.tolerance_pct_vol.likely:
        yield Change("a yeast that stands more alcohol", replace(intent, yeast=yeast))


def _less_sure(intent: Intent, _: Catalogue) -> Iterator[Change]:
    for confidence in (0.7, 0.6, 0.5):
        if confidence < intent.confidence:
            words = f"settling for {confidence * 10:.0f} in 10 confidence"
            yield Change(words, replace(intent, confidence=confidence))


def _other_cask(intent: Intent, catalogue: Catalogue) -> Iterator[Change]:
    sizes = sorted(
        (c for c in catalogue.casks.values() if c.capacity_l < intent.cask.capacity_l),
        key=lambda c: -c.capacity_l,
    )
    for size_of_cask in sizes[:4]:
        cask = replace(
            intent.cask, capacity_l=size_of_cask.capacity_l, wood_area_m2=size_of_cask.wood_area_m2
        )
        yield Change(
            f"a smaller cask, {show.volume(size_of_cask.capacity_l, intent.show)}", replace(intent, cask=cask)
        )


def _fewer_feints(intent: Intent, _: Catalogue) -> Iterator[Change]:
    spirits = intent.stock.spirits
    for share, words in ((0.5, "half the spirits in store"), (0.25, "a quarter of the spirits in store")):
        used = tuple(replace(one, volume_l=one.volume_l * share) for one in spirits)
        if used:
            yield Change(
                f"{words}, the rest kept", replace(intent, stock=replace(intent.stock, spirits=used))
            )
    if spirits:
        yield Change(
            "the spirits in store left out", replace(intent, stock=replace(intent.stock, spirits=()))
        )


def _fewer_heads(intent: Intent, _: Catalogue) -> Iterator[Change]:
    for share in (0.75, 0.5):
        heads = round(intent.cuts.heads_share * share, 3)
        if heads > _FEWEST_HEADS:
            words = f"fewer heads, {heads * 100:.1f} % of the charge's alcohol"
            yield Change(words, replace(intent, cuts=replace(intent.cuts, heads_share=heads)))


def _stronger_charge(intent: Intent, _: Catalogue) -> Iterator[Change]:
    for stop in (8.0, 12.0, 16.0, 20.0):
        if stop > intent.cuts.strip_stop_pct_vol:
            cuts = replace(intent.cuts, strip_stop_pct_vol=stop)
            yield Change(
                f"stronger low wines, each strip stopped at {said(stop, intent.show)}",
                replace(intent, cuts=cuts),
            )


def _lower_minimum(intent: Intent, _: Catalogue) -> Iterator[Change]:
    gear = intent.gear
    for share in (0.75, 0.5, 0.25):
        least_l = round(max(gear.strip_still.minimum_charge_l, gear.spirit_still.minimum_charge_l) * share, 1)
        if least_l > 0:
            strip_still = replace(
                gear.strip_still, minimum_charge_l=min(least_l, gear.strip_still.minimum_charge_l)
            )
            spirit_still = replace(
                gear.spirit_still, minimum_charge_l=min(least_l, gear.spirit_still.minimum_charge_l)
            )
            changed = replace(gear, strip_still=strip_still, spirit_still=spirit_still)
            words = f"a still that stays covered with {show.volume(least_l, intent.show)}"
            yield Change(words, replace(intent, gear=changed))


def _taller_head(intent: Intent, catalogue: Catalogue) -> Iterator[Change]:
    kind, now = catalogue.still("pot-lyne-arm"), intent.gear.spirit_still
    if kind.reflux_spirit.likely > now.reflux_spirit.likely:
        own = replace(now, kind=kind, learned="")
        still = replace(own, reflux_strip=kind.reflux_strip, reflux_spirit=kind.reflux_spirit)
        gear = replace(intent.gear, spirit_still=still)
        yield Change("a taller head or a rising lyne arm on the still", replace(intent, gear=gear))


Ladder = Callable[[Intent, Catalogue], Iterator[Change]]
_LADDERS: tuple[Ladder, ...] = (
    _more_ferments,
    _thicker_mash,
    _longer_heart,
    _lower_strength,
    _stronger_charge,
    _shelf_sugar,
    _press,
    _buy_more,
    _fewer_feints,
    _fewer_heads,
    _stronger_yeast,
    _thinner_mash,
    _taller_head,
    _lower_minimum,
    _less_sure,
    _other_cask,
)
_PAIRED: tuple[Ladder, ...] = (
    _more_ferments,
    _lower_strength,
    _thinner_mash,
    _thicker_mash,
    _stronger_charge,
    _shelf_sugar,
    _other_cask,
)
"""Kinds worth trying two at a time."""
