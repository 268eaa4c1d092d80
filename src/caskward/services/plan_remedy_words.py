"""Moves that raise the chance of a full cask, in a maker's words and units."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from caskward.planning.remedy_prices import Warned
from caskward.planning.strengths import said
from caskward.services.plan_remedy import Offer, RemedyReport
from caskward.services.words import banded, counted, figure
from caskward.units import show
from caskward.units.types import UnitSystem

_A_LITTLE: Final = 0.05
SIZED_ANEW: Final = (
    "A line written into the file holds from the next plan on, which is sized anew, kilograms and all. For "
    'the batch under way, --take and the name of a move, such as --take "heart end", shows every figure with '
    "it."
)


def headline(of: RemedyReport, system: UnitSystem) -> str:
    """Whether anything needs doing, and the first thing to do."""
    now, aim = show.in_ten(of.chance_now), show.in_ten(of.aim)
    if of.taken is not None:
        then = show.in_ten(of.taken.chance)
        return f"{move(of.taken, system)}: the cask then fills with {then} confidence, {now} as it stands."
    if of.chance_now >= of.aim:
        return f"Nothing needs mending: the cask fills with {now} confidence, and {aim} was wanted."
    if not of.offers:
        return f"The cask fills with {now} confidence. No move that is still open raises that."
    first = of.offers[0]
    begin = f"The cask fills with {now} confidence, {aim} was wanted."
    there = [o for o in of.offers if o.reaches]
    if not there:
        most = f"{show.in_ten(first.chance)} if you {_small(move(first, system))}"
        return f"{begin} No one move gets there; {most}."
    ways = "One move gets there" if len(there) == 1 else f"{len(there)} moves get there, each alone"
    return f"{begin} {ways}. First: {_small(move(first, system))}."


def move(of: Offer, system: UnitSystem) -> str:
    """What to do, in one sentence without its stop."""
    return _MOVES[of.key](of, system)


def _small(words: str) -> str:
    return words[:1].lower() + words[1:]


def _sugar(of: Offer, system: UnitSystem) -> str:
    shared = f", shared over {of.tubs} tubs" if of.tubs > 1 else ""
    return f"Stir {show.mass(of.amount, system)} of {of.of} into the mash before the yeast{shared}"


def _top_up(of: Offer, system: UnitSystem) -> str:
    strength = "" if of.also_pct_vol is None else f" at {said(of.also_pct_vol, system)}"
    return f"Add {show.volume(of.amount, system)} of spirit from another batch{strength}"


def _hold(of: Offer, _: UnitSystem) -> str:
    return f"Hold the last rest {show.duration(of.amount)} longer, {show.duration(of.then)} in all"


def _rinse(of: Offer, system: UnitSystem) -> str:
    each = show.volume(0.5 * of.amount, system)
    return (
        f"Rinse the spent grain or fruit twice, with {each} of water each time, and strip what runs off too"
    )


def _changed(begin: str) -> Callable[[Offer, UnitSystem], str]:
    """A move whose figure changes from what it is now."""
    return lambda of, system: (
        f"{begin} {figure(of.then, of.unit, system)}, not {figure(of.now, of.unit, system)}"
    )


_MOVES: Final[dict[str, Callable[[Offer, UnitSystem], str]]] = {
    "hold": _hold,
    "sugar": _sugar,
    "rinse": _rinse,
    "strip stop": lambda of, s: _changed(
        "Run every strip on until the spout shows"
        if of.then < of.now
        else "End every strip when the spout shows"
    )(of, s),
    "feints": lambda of, s: f"Put {show.volume(of.amount, s)} of the spirits in store into the charge",
    "heart end": _changed("Let the heart run on until the spout shows"),
    "entry strength": _changed("Fill the cask at"),
    "top-up": _top_up,
    "fill": _changed("Put less into the cask:"),
    "smaller cask": _changed("Take a smaller cask:"),
}


def offer_rows(of: RemedyReport, system: UnitSystem) -> list[list[str]]:
    """Moves by rank: name, chance, spirit, what is wanted of it, cost."""
    head = ["move", "chance", "spirit", "wanted", "costs"]
    rows = [
        [
            "as it stands",
            show.in_ten(of.chance_now),
            banded(of.fill_now, "L", system),
            _litres(of.wanted_l, system),
            "",
        ]
    ]
    rows += [
        [
            o.key,
            show.in_ten(o.chance),
            banded(o.fill_l, "L", system),
            _litres(o.wanted_l, system),
            _money(o, of),
        ]
        for o in of.offers
    ]
    return [head, *rows]


def _litres(volume_l: float, system: UnitSystem) -> str:
    return figure(volume_l, "L", system)


def _money(one: Offer, of: RemedyReport) -> str:
    if one.money is None or (abs(one.money) < 0.005 and one.unpriced):
        return "not priced" if one.unpriced else "nothing"
    if abs(one.money) < 0.005:
        return "nothing"
    if one.money < 0.0:
        return f"saves {show.money(-one.money, of.currency)}"
    return f"{show.money(one.money, of.currency)}{' and more' if one.unpriced else ''}"


def told(of: Offer, report: RemedyReport, system: UnitSystem) -> str:
    """A move with all that goes with it: work, what to mind, the line for the file."""
    parts = [f"{move(of, system)}.", _work(of, report), *(_WARNED[w.key](w, system) for w in of.warnings)]
    return " ".join(part for part in (*parts, file_line(of, system)) if part)


def _work(of: Offer, report: RemedyReport) -> str:
    parts = []
    if of.money is not None and of.money >= 0.005:
        parts.append(show.money(of.money, report.currency))
    if of.energy_kwh > _A_LITTLE:
        parts.append(show.energy_kwh(of.energy_kwh))
    if of.hours > _A_LITTLE:
        parts.append(f"{show.duration(of.hours)} more at the pot and still")
    if of.hands_h > _A_LITTLE:
        parts.append(f"{show.duration(of.hands_h)} of hands")
    cost = f"It takes {', '.join(parts)}." if parts else ""
    unpriced = ", ".join(name.replace("-", " ") for name in of.unpriced)
    return f"{cost} {f'Without a price: {unpriced}.' if unpriced else ''}".strip()


def file_line(of: Offer, system: UnitSystem) -> str:
    """The line that makes it the plan, where the file has one for it."""
    lines = {
        "strip stop": f'under [cuts] strip_stop = "{of.then:.1f} %"',
        "heart end": f'under [cuts] heart_end = "{of.then:.1f} %"',
        "entry strength": f'under [cask] entry_strength = "{of.then:.1f} %", without a settle_strength',
        "fill": f'under [cask] fill = "{100.0 * of.fill_share:.4g} %"',
        "smaller cask": f'under [cask] capacity = "{show.volume(of.then, system)}"',
    }
    line = lines.get(of.key)
    return f"Write this into your file: {line}." if line else "Done by hand: the file has no line for it."


_WARNED: Final[dict[str, Callable[[Warned, UnitSystem], str]]] = {
    "name": lambda w, _: (
        f"Sugar beside the bill, {show.share(w.value)} of it, may change what the spirit may be called."
    ),
    "tolerance": lambda w, _: f"In {show.share(w.value)} of batches strength then stops the yeast.",
    "tub": lambda w, s: f"The tub is then filled to {show.volume(w.value, s)} of {show.volume(w.limit, s)}.",
    "charge": lambda w, s: f"The charge is thinned to {said(w.value, s)}.",
    "settles lower": lambda w, s: f"The cask then settles at {said(w.value, s)}, not {said(w.limit, s)}.",
    "under legal strength": lambda w, s: (
        f"One time in ten it settles at {said(w.value, s)} or less, under the {said(w.limit, s)} that most "
        "rules ask at bottling."
    ),
    "air": lambda w, _: f"{show.share(w.value)} of the cask stays air: it ages faster and more evaporates.",
    "cover": lambda w, s: (
        f"{show.volume(w.value, s)} of water goes into the charge to keep the still covered."
    ),
    "more strips": lambda w, _: f"It makes {counted(w.value, 'strip')}, not {w.limit:.0f}.",
    "more runs": lambda w, _: f"It makes {counted(w.value, 'spirit run')}, not {w.limit:.0f}.",
    "tails": lambda w, s: (
        f"Hearts seldom run under {said(w.limit, s)}: smell and taste each jar before it goes in."
    ),
    "other batch": lambda w, s: (
        f"Write the {show.volume(w.value, s)} into the account of both batches, and mind the label."
    ),
}


def figure_rows(of: RemedyReport, system: UnitSystem) -> list[list[str]]:
    """Every figure that the move taken changes: as it stands, and with it."""
    rows = [
        [f.words[:1].upper() + f.words[1:], banded(f.before, f.unit, system), banded(f.now, f.unit, system)]
        for f in of.figures
    ]
    return [["", "as it stands", "with it"], *(row for row in rows if row[1] != row[2])]
