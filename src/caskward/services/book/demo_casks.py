"""What happens to the invented year's casks: gauged, sampled, topped, vatted, bottled, sold."""

from __future__ import annotations

from caskward.book import deeds
from caskward.book.amounts import Liquid, ul
from caskward.book.deeds import Bottling, Goods, Part
from caskward.book.entry import Entry
from caskward.services.book.demo_batch import RESERVE, reduce_to
from caskward.services.book.demo_farm import Farm, mixed_l, moment
from caskward.services.book.demo_figures import BOTTLE, CORK, HAND, LABEL

VAT, BOTTLES = "vessel/vat", "bottles/rye L25-1"
_WITHIN = Liquid(100_000, 150_000)
"""What sight glass and alcoholmeter together may be wrong by in a small cask."""
_SOAKED_LPA_PER_L, _SOAKED_L_PER_L = 0.035, 0.008
"""What new wood takes of each litre in exchange for its own water [L of pure alcohol, L]."""
_DRAUGHT_A_YEAR = 0.045
"""Share of its alcohol, and nearly as much of its volume, that a small cask breathes out."""


def sample(farm: Farm, day: str, cask: str, volume_l: str = "0.05") -> Entry:
    """A sample from a cask, by its volume."""
    part = deeds.some_of(farm.state, cask, ul(volume_l))
    act = farm.act(moment(day, 16), note="Nosed and tasted.", author=HAND)
    return farm.enter(deeds.sample(act, farm.state, part))


def put_right(farm: Farm, day: str, old: Entry) -> None:
    """A sample that was typed ten times too big, corrected."""
    cask = str(old.details["from"])
    there = deeds.all_of(farm.state, cask).liquid
    act = farm.act(old.done_at - farm.later, author=HAND)
    right = deeds.sample(act, farm.state, Part(cask, there.part(ul("0.05"))))
    farm.enter(deeds.correct(farm.act(moment(day, 9)), old, right, "50 mL were meant, 0.5 L was typed"))


def gauge(farm: Farm, day: str, cask: str, years: float, *, first: bool, new_wood: bool = True) -> bool:
    """A cask gauged after so many years since it was last; returns whether it differed from the book."""
    there = deeds.all_of(farm.state, cask).liquid
    fill_l = there.bulk_ul / 1e6
    wood = 1.0 if first and new_wood else 0.0
    lost_lpa = wood * _SOAKED_LPA_PER_L * fill_l + years * _DRAUGHT_A_YEAR * there.alcohol_ul / 1e6
    lost_l = wood * _SOAKED_L_PER_L * fill_l + years * _DRAUGHT_A_YEAR * fill_l
    volume_l = fill_l - lost_l
    found, readings = farm.read(volume_l, 100.0 * (there.alcohol_ul / 1e6 - lost_lpa) / volume_l)
    act = farm.act(moment(day, 10), note="Gauged in the rack.", readings=readings)
    entry = farm.enter(deeds.gauge(act, farm.state, cask, found, _WITHIN))
    return bool(entry.postings)


def explain(farm: Farm, day: str, cask: str, why: str) -> None:
    """Why a cask holds less than the book has."""
    act = farm.act(moment(day, 11))
    farm.enter(deeds.explain(act, farm.state, cask, why))


def top(farm: Farm, day: str, cask: str, volume_l: str) -> None:
    """A cask topped from the reserve."""
    part = deeds.some_of(farm.state, RESERVE, ul(volume_l))
    farm.enter(deeds.top(farm.act(moment(day, 15), author=HAND), farm.state, part, cask))


def vat_and_bottle(farm: Farm) -> None:
    """Cask 1 and a part of cask 2 together, reduced, and filled into bottles."""
    parts = [
        deeds.all_of(farm.state, "cask/1"),
        deeds.some_of(farm.state, "cask/2", ul("10")),
    ]
    found_ul = ul(round(mixed_l(*(part.liquid for part in parts)), 2))
    act = farm.act(moment("2025-11-24", 9), note="The first rye: cask 1 and a part of cask 2.")
    farm.enter(deeds.vat(act, farm.state, parts, VAT, found_ul=found_ul))
    reduce_to(farm, VAT, 46.0, moment("2025-11-25", 9), None)
    _bottle(farm)


def _bottle(farm: Farm) -> None:
    """As many half litres as the vat gives, but for what filter and hose keep."""
    count = (farm.state.contents(VAT)["bulk"] - ul("0.3")) // ul("0.5")
    goods = tuple(
        Goods(account, what, count) for account, what in (("goods/corks", CORK), ("goods/labels", LABEL))
    )
    lot = Bottling(BOTTLES, Goods("goods/bottles", BOTTLE, count), ul("0.5"), "46", goods)
    act = farm.act(
        moment("2025-12-01", 14), note="Filtered, filled, corked.", readings=(farm.strength(46.0)[1],)
    )
    farm.enter(deeds.bottle(act, farm.state, deeds.all_of(farm.state, VAT), lot))


def leave(farm: Farm, day: str, count: int, to: str) -> None:
    """Bottles that leave the house."""
    act = farm.act(moment(day, 17), author=HAND)
    farm.enter(deeds.send_bottles(act, farm.state, BOTTLES, count, to))


def stock_take(farm: Farm, day: str) -> None:
    """The feints' can holds less than the book has, and nobody knows why."""
    there = deeds.all_of(farm.state, "vessel/feints").liquid
    found, readings = farm.read(there.bulk_ul / 1e6 - 0.45, there.pct_vol)
    act = farm.act(
        moment(day, 12), note="Short by nearly half a litre; looked for, not found.", readings=readings
    )
    farm.enter(deeds.gauge(act, farm.state, "vessel/feints", found, Liquid(60_000, 100_000)))
