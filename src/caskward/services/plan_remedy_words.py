"""Moves that raise the chance of a full cask, in a maker's words and units."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from caskward.planning.strengths import said
from caskward.services.plan_remedy import Offer, RemedyReport, row_of
from caskward.services.plan_remedy_cautions import cautions
from caskward.services.plan_remedy_shut import why_shut
from caskward.services.plan_update_words import figures_alike
from caskward.services.tub_ask_words import check_sentence
from caskward.services.tub_mend_words import mend
from caskward.services.words import banded, figure
from caskward.units import show
from caskward.units.types import UnitSystem

_A_LITTLE: Final = 0.05
RANK: Final = (
    "By rank: those that get there first, then by the chance they add for what they take. What a move takes "
    "is money, hours, alcohol and what it gives up of your wish, each as a share of the whole batch's, added "
    "up."
)


def headline(of: RemedyReport, system: UnitSystem) -> str:
    """Whether anything needs doing, and the first thing to do."""
    now, aim = _chance(of.chance_now), _chance(of.aim)
    if of.taken is not None:
        then = _chance(of.taken.chance)
        return f"{move(of.taken, system)}: the cask then fills in {then}, {now} as it stands."
    if not of.needed:
        held = f"{aim} were wanted" if of.chance_now >= of.aim else f"as good as the {aim} that were wanted"
        return f"Nothing needs mending: the cask fills in {now}, {held}."
    return f"The cask fills in {now}, {aim} were wanted. {_what_first(of, system)}"


def _what_first(of: RemedyReport, system: UnitSystem) -> str:
    """What to do first: put a ferment right that stands, else the best move."""
    if of.stands is not None and of.stands.likely:
        return "Put the ferment right first; every move below counts on nothing being done to it."
    if not of.offers:
        return "No move that is still open raises that."
    first = of.offers[0]
    what = _small(move(first, system))
    there = [o for o in of.offers if o.reaches]
    if there:
        ways = "One move gets there" if len(there) == 1 else f"{len(there)} moves get there, each alone"
        return f"{ways}. First: {what}."
    if not first.helps:
        return f"What is still open hardly helps: {_chance(first.chance)} if you {what}."
    return f"No one move gets there. First: {what}; then it is {_chance(first.chance)}."


def mend_rows(of: RemedyReport, system: UnitSystem) -> list[str]:
    """What may be wrong with a ferment that stands, the likeliest first, and what to do: it has no price."""
    if of.tub is None:
        return []
    tub = of.tub
    return [
        f"If {cause.words} ({show.in_ten(min(cause.chance, 1.0))}): {mend(tub, cause.mends[0], system)} "
        "Not priced."
        for cause in tub.answer.causes
        if cause.mends
    ]


def mend_check(of: RemedyReport, system: UnitSystem) -> str:
    """The check that tells the causes apart; empty where none is needed."""
    check = None if of.tub is None else of.tub.answer.check
    return "" if check is None else check_sentence(check, system)


def _chance(of: float) -> str:
    """So fine that what is short of a wish never reads like it."""
    if of > 0.99:
        return "over 99 of 100 batches"
    return "under 1 of 100 batches" if of < 0.01 else f"{int(100.0 * of + 1e-9)} of 100 batches"


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
    where = "the cask" if of.filled else "the heart"
    return f"Add {show.volume(of.amount, system)} of spirit from another batch{strength} to {where}"


def _entry_strength(of: Offer, system: UnitSystem) -> str:
    then, now = said(of.then, system), said(of.now, system)
    if of.filled:
        return f"Fill the cask up with water: then it is as if it had been filled at {then}, not {now}"
    return f"Fill the cask at {then}, not {now}"


def _less_full(of: Offer, system: UnitSystem) -> str:
    then, now = show.volume(of.then, system), show.volume(of.now, system)
    if of.filled:
        return f"Let the cask stand with {then} in it, not {now}"
    return f"Put less into the cask: {then}, not {now}"


def _smaller_cask(of: Offer, system: UnitSystem) -> str:
    then, now = show.volume(of.then, system), show.volume(of.now, system)
    begin = "Move it into a smaller cask" if of.filled else "Take a smaller cask"
    return f"{begin}: {then}, not {now}"


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
    "entry strength": _entry_strength,
    "top-up": _top_up,
    "less full": _less_full,
    "smaller cask": _smaller_cask,
}


def offer_rows(of: RemedyReport, system: UnitSystem) -> list[list[str]]:
    """Moves by rank: name, chance, spirit, cost, share of a batch; those that hardly help apart."""
    head = ["move", "in 100", "spirit", "costs", "takes"]
    rows = [["as it stands", _hundred(of.chance_now), banded(of.fill_now, "L", system), "", ""]]
    helping = [o for o in of.offers if o.helps]
    rows += [_offer_row(o, of, system) for o in helping]
    little = [o for o in of.offers if not o.helps]
    if little:
        rows += [["hardly helps:", "", "", "", ""], *(_offer_row(o, of, system) for o in little)]
    return [head, *rows]


def _offer_row(one: Offer, of: RemedyReport, system: UnitSystem) -> list[str]:
    return [
        one.key,
        _hundred(one.chance),
        banded(one.fill_l, "L", system),
        _costs(one, of),
        taken_in_all(one),
    ]


def taken_in_all(of: Offer) -> str:
    """What a move takes, in hundredths of a batch: shares added up, so that it may be more than a whole."""
    return f"{100.0 * of.takes_together:.0f} %"


def _hundred(of: float) -> str:
    return "over 99" if of > 0.99 else "under 1" if of < 0.01 else f"{int(100.0 * of + 1e-9)}"


def _costs(one: Offer, of: RemedyReport) -> str:
    """What it costs, short enough for a table: money and hours, or either and what has no price."""
    short = {"spirits in store": "stored spirit", "spirit of another batch": "spirit", "cask": "a cask"}
    if one.key == "sugar":
        short |= dict.fromkeys(one.unpriced, "sugar")
    unpriced = [short.get(name, "price not given") for name in one.unpriced if name != "energy"]
    parts = []
    if one.money is not None and abs(one.money) >= 0.005:
        saved = "saves " if one.money < 0.0 else ""
        parts.append(saved + show.money(abs(one.money), of.currency))
    if one.hours + one.hands_h > _A_LITTLE and not (parts and unpriced):
        parts.append(show.duration(one.hours + one.hands_h))
    return " + ".join([*parts, *unpriced]) or ("not priced" if one.unpriced else "nothing")


def closed_sentences(of: RemedyReport) -> list[str]:
    """Moves that are not open, those with one reason together; and those that are in vain."""
    by_reason: dict[str, list[str]] = {}
    for one in of.closed:
        by_reason.setdefault(why_shut(one), []).append(one.key)
    shut = "; ".join(f"{_listed(keys)} ({why})" for why, keys in by_reason.items())
    sentences = [f"Not open: {shut}."] if shut else []
    if of.in_vain:
        sentences.append(f"Open, but in vain: {_listed(of.in_vain)}.")
    return sentences


def _listed(keys: Sequence[str]) -> str:
    return f"{', '.join(keys[:-1])} and {keys[-1]}" if len(keys) > 1 else keys[0]


def told(of: Offer, report: RemedyReport, system: UnitSystem) -> str:
    """A move with all that goes with it: work, what to mind, the row for the log."""
    row = f'Once it is done, a row of your log says so: "{row_of(of, system)}".'
    parts = (f"{move(of, system)}.", _work(of, report), *cautions(of, system), row)
    return " ".join(part for part in parts if part)


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
    return f"{cost} {f'Price not given: {unpriced}.' if unpriced else ''}".strip()


def figure_rows(of: RemedyReport, system: UnitSystem) -> list[list[str]]:
    """Every figure that the move taken changes: as it stands, and with it."""
    rows = [[f.words[:1].upper() + f.words[1:], *figures_alike(f, system)] for f in of.figures]
    return [["", "as it stands", "with it"], *(row for row in rows if row[1] != row[2])]
