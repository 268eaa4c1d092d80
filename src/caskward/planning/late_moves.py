"""What each move does to a wish and its method: one function each, for a move that is tried and one done."""

from __future__ import annotations

from dataclasses import replace

from caskward.catalogue.fact import Fact
from caskward.catalogue.kinds import Material
from caskward.catalogue.load import Catalogue
from caskward.planning.intent import Intent, SpiritStock
from caskward.planning.late import Rinse, Sugar, TopUp
from caskward.planning.method import Method

Planned = tuple[Intent, Method]


def held_longer(intent: Intent, method: Method, hours: float) -> Planned:
    """The mash's last rest held so much longer [h]."""
    return intent, replace(method, late=replace(method.late, hold_h=method.late.hold_h + hours))


def sugar_of(intent: Intent, catalogue: Catalogue) -> Material:
    """The bill's own sugar or syrup, else white sugar from the shelf."""
    own = (i.material for i in intent.bill if i.material.prepare == "dissolve")
    return next(own, catalogue.material("cane-sugar"))


def sweetened(intent: Intent, method: Method, sugar: Sugar) -> Planned:
    """So much sugar in all stirred in before the yeast."""
    return intent, replace(method, late=replace(method.late, sugar=sugar))


def rinsed_with(intent: Intent, method: Method, how: Rinse) -> Planned:
    """The spent solids rinsed."""
    return intent, replace(method, late=replace(method.late, rinse=how))


def strips_stopped(intent: Intent, method: Method, stop_pct_vol: float) -> Planned:
    """Every strip ended when the spout shows this [%vol]."""
    cuts = replace(intent.cuts, strip_stop_pct_vol=stop_pct_vol)
    return replace(intent, cuts=cuts), replace(method, strip_stop_pct_vol=stop_pct_vol)


def charged_with(intent: Intent, method: Method, more: tuple[SpiritStock, ...]) -> Planned:
    """Spirits in store put into the charge, beside those that are in it."""
    return intent, replace(method, spirits_in=(*method.spirits_in, *more))


def heart_ended(intent: Intent, method: Method, end_pct_vol: float) -> Planned:
    """The heart run on until the spout shows this [%vol]."""
    cuts = replace(method.cuts, heart_end_pct_vol=end_pct_vol)
    wished = replace(intent.cuts, heart_end_pct_vol=end_pct_vol)
    return replace(intent, cuts=wished), replace(method, cuts=cuts)


def filled_at(intent: Intent, method: Method, entry_pct_vol: float, *, is_cut: bool) -> Planned:
    """The cask filled at this strength [%vol]; a heart still to be cut may run on to it, too."""
    cuts = method.cuts if is_cut else replace(method.cuts, least_heart_pct_vol=entry_pct_vol)
    wished = replace(intent.cask, entry_pct_vol=entry_pct_vol, settle_pct_vol=None)
    return replace(intent, cask=wished), replace(method, entry_pct_vol=entry_pct_vol, cuts=cuts)


def topped_up(intent: Intent, method: Method, top_up: TopUp) -> Planned:
    """Spirit of another batch added."""
    return intent, replace(method, late=replace(method.late, top_up=top_up))


def filled_to(intent: Intent, method: Method, fill_l: float) -> Planned:
    """So much wanted in the same cask [L]."""
    wished = replace(intent.cask, fill_share=fill_l / intent.cask.capacity_l)
    return replace(intent, cask=wished), replace(method, fill_l=wished.fill_l)


def in_cask_of(intent: Intent, method: Method, capacity_l: float, wood_area_m2: Fact) -> Planned:
    """Another cask [L, m²], as full as the one that was wished."""
    wished = replace(intent.cask, capacity_l=capacity_l, wood_area_m2=wood_area_m2)
    return replace(intent, cask=wished), replace(method, fill_l=wished.fill_l)
