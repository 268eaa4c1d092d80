"""Moves still open to a batch that raise the chance of a full cask, solved, and what each leads to."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final, get_args

from caskward.catalogue.load import load
from caskward.errors import NotOffered, NotUnderstood, UnknownName
from caskward.planning.intent import SpiritStock
from caskward.planning.plan import Band, Unit, band
from caskward.planning.remedies import Remedy, adopt, not_open, remedies
from caskward.planning.remedy_kinds import Closed, RemedyKey
from caskward.planning.remedy_moves import RINSES
from caskward.planning.remedy_prices import Warned
from caskward.planning.remedy_weights import Takes, as_good
from caskward.planning.strengths import read_strength, said
from caskward.services.batch_typed import Rows
from caskward.services.kept_beliefs import Say, quiet
from caskward.services.plan_ferment import StandsStill, standing
from caskward.services.plan_figures import OUTCOMES, Figure, figure_of
from caskward.services.plan_judged import may_be_wrong, notes_of_doubted
from caskward.services.plan_remedy_shut import why_shut
from caskward.services.plan_update import Told, told
from caskward.services.tub_ask import TubAnswer, of_batch
from caskward.services.tub_typed import items_of, quantity_and_value
from caskward.units import convert, parse, show
from caskward.units.types import UnitSystem

_KEYS: Final[tuple[RemedyKey, ...]] = get_args(RemedyKey)
_STORE: Final = '--feints "8 L, 28 %"'


@dataclass(frozen=True)
class RemedyAsk:
    """What is asked beside the plan and its readings, as typed; nothing where it was not said.

    aim: chance to reach. feints: spirits in store that the file does not name. top_up: strength of another
    batch. take: the move to look at as if it were the plan.
    """

    aim: str = ""
    feints: tuple[str, ...] = ()
    top_up: str = ""
    take: str = ""


@dataclass(frozen=True)
class Offer:
    """A move, solved.

    amount: of the move, in its unit; now, then: the figure it changes. of: the sugar's name. also_pct_vol: of
    spirit that is added. tubs: how many share it. filled: the cask was read before. helps: false for one that
    hardly changes anything. gain: chance added. takes: money, hours, alcohol and wish, each as a share of the
    whole batch's; takes_together: all of them. row: what to write into the log once it is done.
    """

    key: RemedyKey
    unit: Unit
    amount: float
    now: float
    then: float
    of: str
    also_pct_vol: float | None
    tubs: int
    filled: bool
    chance: float
    gain: float
    takes: Takes
    takes_together: float
    helps: bool
    reaches: bool
    changes_wish: bool
    fill_l: Band
    wanted_l: float
    settled_pct_vol: Band
    fill_share: float
    money: float | None
    unpriced: tuple[str, ...]
    energy_kwh: float
    hours: float
    hands_h: float
    extra_lpa: float
    warnings: tuple[Warned, ...]
    in_row: float
    row: str


@dataclass(frozen=True)
class RemedyReport:
    """Moves by rank, and where one is taken, every figure as it stands and with it.

    stands, tub: a ferment that stands still, or may, and what may be wrong with it and what to do, which
    comes before every move; it has no price. doubted: a ferment's last row, where it may be wrong. needed:
    false where the chance is as good as what was wanted. closed: moves that are not open, and why; in_vain:
    open, and they do not raise the chance.
    """

    name: str
    place: str
    invented: bool
    show: UnitSystem
    currency: str
    aim: float
    needed: bool
    chance_now: float
    fill_now: Band
    wanted_l: float
    entry_pct_vol: float
    offers: tuple[Offer, ...]
    closed: tuple[Closed, ...]
    in_vain: tuple[RemedyKey, ...]
    taken: Offer | None
    figures: tuple[Figure, ...]
    notes: tuple[str, ...]
    worlds: int
    seed: int
    stands: StandsStill | None = None
    tub: TubAnswer | None = None
    doubted: str = ""


def remedy(
    source: str,
    rows: Rows,
    folder: Path | None = None,
    asked: RemedyAsk | None = None,
    say: Say = quiet,
) -> RemedyReport:
    """Solve every move that is still open.

    Args:
        source: the plan's file. rows: its readings. folder: of the file. asked: what else was typed.

    Raises:
        InputError: a plan, a reading or an amount that cannot be used; a move that is not offered.
    """
    asked = asked or RemedyAsk()
    aim, spirits, top_up = _aim(asked.aim), _spirits(asked.feints), _top_up(asked.top_up)
    key = _key(asked.take)
    return remedy_of(told(source, rows, folder, say), aim, spirits, top_up, key, say)


def remedy_of(
    batch: Told,
    aim: float | None = None,
    spirits: tuple[SpiritStock, ...] = (),
    top_up_pct_vol: float | None = None,
    take: str = "",
    say: Say = quiet,
) -> RemedyReport:
    """The same of a batch whose readings are in."""
    sized, now = batch.sized, batch.now
    aim = sized.intent.confidence if aim is None else aim
    say("Trying what can still be done ...")
    found = remedies(now, load(), aim, spirits, top_up_pct_vol)
    closed = not_open(now, load(), spirits, top_up_pct_vol)
    needed = not as_good(now.chance, aim, len(now.z))
    taken = next((r for r in found if r.key == take), None)
    if take and taken is None:
        shut_for = next((why_shut(c) for c in closed if c.key == take), "")
        raise NotOffered(take, tuple(r.key for r in found), shut_for)
    shut = {c.key for c in closed} | {r.key for r in found}
    filled = batch.last == "cask"
    stands = standing(batch.read)
    return RemedyReport(
        name=sized.intent.name,
        place=sized.intent.place,
        invented=sized.intent.invented,
        show=sized.intent.show,
        currency=sized.intent.prices.currency,
        aim=aim,
        needed=needed,
        chance_now=now.chance,
        fill_now=band(now.course.available_l),
        wanted_l=sized.method.fill_l,
        entry_pct_vol=sized.method.entry_pct_vol,
        offers=tuple(_offer(r, sized.intent.show, filled=filled) for r in found),
        closed=closed if needed else (),
        in_vain=tuple(k for k in _KEYS if k not in shut) if needed else (),
        taken=None if taken is None else _offer(taken, sized.intent.show, filled=filled),
        figures=() if taken is None else _figures(batch, taken),
        notes=(*batch.notes, *batch.said_of_pairs, *notes_of_doubted(batch.read, batch.pairs)),
        worlds=len(now.z),
        seed=sized.intent.seed,
        stands=stands,
        tub=_tub(batch) if needed and stands is not None and stands.likely else None,
        doubted=_doubted(batch, stands),
    )


def _doubted(batch: Told, stands: StandsStill | None) -> str:
    """The last row of a ferment that may be wrong; "" of any other, and where it shows that it stands."""
    last = batch.readings[-1] if batch.readings else None
    if last is None or last.stage != "ferment" or (stands is not None and stands.likely):
        return ""
    doubted = {r.said for r in may_be_wrong(batch.read, batch.pairs) if r.stage == "ferment"}
    return last.said if last.said in doubted else ""


def _tub(batch: Told) -> TubAnswer | None:
    """What may be wrong with a ferment that stands; nothing where all of it is as planned."""
    found = of_batch(batch.sized, [r for r in batch.readings if r.stage == "ferment"])
    return None if found.dry or found.answer.as_planned else found


def _offer(of: Remedy, system: UnitSystem, *, filled: bool) -> Offer:
    late, cost = of.method.late, of.cost
    sugar = "" if late.sugar is None else late.sugar.material.name
    offer = Offer(
        key=of.key,
        unit=of.unit,
        amount=of.amount,
        now=of.now,
        then=of.then,
        of=sugar[:1].lower() + sugar[1:] if of.key == "sugar" else "",
        also_pct_vol=_poured_pct_vol(of),
        tubs=of.method.ferments,
        filled=filled,
        chance=of.chance,
        gain=of.gain,
        takes=of.takes,
        takes_together=of.takes.together,
        helps=of.helps,
        reaches=of.reaches,
        changes_wish=of.changes_wish,
        fill_l=of.outlook.fill_l,
        wanted_l=of.outlook.wanted_l,
        settled_pct_vol=of.outlook.settled_pct_vol,
        fill_share=of.intent.cask.fill_share,
        money=cost.money,
        unpriced=cost.unpriced,
        energy_kwh=cost.energy_kwh,
        hours=cost.hours,
        hands_h=cost.hands_h,
        extra_lpa=cost.extra_lpa,
        warnings=of.warnings,
        in_row=_in_row(of),
        row="",
    )
    return replace(offer, row=row_of(offer, system))


def _in_row(of: Remedy) -> float:
    """The figure that the row of a log has: of rinses the litres of each, of a hold all its hours."""
    late = of.method.late
    if of.key == "rinse" and late.rinse is not None:
        return late.rinse.litres_each
    if of.key == "hold":
        return late.hold_h
    return of.amount if of.key in ("feints", "top-up") else of.then


def _poured_pct_vol(of: Remedy) -> float | None:
    """Strength of spirit that goes in; of several from store, all together."""
    late = of.method.late
    if of.key == "top-up" and late.top_up is not None:
        return late.top_up.pct_vol
    if of.key != "feints":
        return None
    more = of.method.spirits_in[len(of.before.spirits_in) :]
    return sum(s.volume_l * s.pct_vol for s in more) / sum(s.volume_l for s in more)


def row_of(of: Offer, system: UnitSystem) -> str:
    """What to write into the log once a move is done; as fine as it was solved, so that it can be read."""
    if of.key == "hold":
        return f"hold: {show.duration(of.in_row)}"
    if of.key == "sugar":
        return f"sugar: {_kg(of.in_row, system)}"
    value = said(of.in_row, system) if of.unit == "pct_vol" else _litres(of.in_row, system)
    strength = "" if of.also_pct_vol is None else f", {said(of.also_pct_vol, system)}"
    return f"{of.key}: {f'{RINSES} x ' if of.key == 'rinse' else ''}{value}{strength}"


def _litres(volume_l: float, system: UnitSystem) -> str:
    if system == "us":
        return f"{convert.us_gallons_from_litres(volume_l):.4g} gal"
    return f"{volume_l:.4g} L"


def _kg(mass_kg: float, system: UnitSystem) -> str:
    return f"{convert.pounds_from_kg(mass_kg):.4g} lb" if system == "us" else f"{mass_kg:.4g} kg"


def _figures(batch: Told, taken: Remedy) -> tuple[Figure, ...]:
    """Every figure as the batch stands and with the move."""
    stands, with_it = batch.now.course, adopt(batch.now, taken).course
    return tuple(figure_of(o, stands, with_it) for o in OUTCOMES.values())


# As typed ----------------------------------------------------------------------------------------


def _aim(given: str) -> float | None:
    return parse.share(given, what="the confidence to reach") if given else None


def _top_up(given: str) -> float | None:
    return read_strength(given, what="the strength of the other batch") if given else None


def _spirits(given: Sequence[str]) -> tuple[SpiritStock, ...]:
    return tuple(_spirit(text) for text in given)


def _spirit(text: str) -> SpiritStock:
    read = dict(quantity_and_value(item) for item in items_of(text))
    if set(read) != {"volume", "strength"}:
        raise NotUnderstood("feints in store, with their strength", text, _STORE)
    return SpiritStock("feints", read["volume"], read["strength"])


def _key(given: str) -> str:
    name = " ".join(given.lower().split())
    if name and name not in _KEYS:
        close = difflib.get_close_matches(name, _KEYS, n=1)
        raise UnknownName("move", given, close[0] if close else None, _KEYS)
    return name
