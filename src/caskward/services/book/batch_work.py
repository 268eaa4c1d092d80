"""Where the work of a batch stands: its plan's stage at hand, by what was done and read, and since when."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from caskward.book.accounts import ALCOHOL, BULK, family_of, name_of, root_of
from caskward.book.history import Happening, sides
from caskward.catalogue.load import load
from caskward.errors import CaskwardError
from caskward.planning.plan import Band, StageCard
from caskward.planning.readings import Reading
from caskward.services.book import batch_record, batch_tub
from caskward.services.book.batch_record import BatchRecord
from caskward.services.book.run_kind import Kind
from caskward.services.book.shopping import names_alike
from caskward.services.book.yeasts import is_yeast

Cards = Mapping[str, StageCard]
NO_HEARTS: Final = ("still", "pot", "boiler", "tub", "feints", "low wines")
"""What a vessel is called in which no heart is kept."""
_ROUGHLY: Final = 0.15
"""Part of a cook that may be missing where several are told at once; *common practice, no source*."""
_FINAL_GRAVITY_ERROR: Final = 0.0015
"""One careful reading's error, as `readings` has it: a gravity so far above its band may lie in it."""


@dataclass(frozen=True, slots=True)
class Work:
    """The stage at hand.

    key: of the plan's card. step: its part, where it has several: `in` while the mash still takes malt,
    `rest` once all is together. number, count: which of several cooks or runs, 1 of 1 otherwise. begun: since
    when it goes on; None where the book does not tell.
    """

    key: str
    step: str = ""
    number: int = 1
    count: int = 1
    begun: datetime | None = None


def by_key(cards: Sequence[StageCard]) -> dict[str, StageCard]:
    """Stages of a plan by their keys."""
    return {one.key: one for one in cards}


def figure_of(card: StageCard | None, key: str) -> Band | None:
    """A figure of a stage; None if it has none of that key."""
    return next((one.band for one in card.targets if one.key == key), None) if card else None


def count_of(card: StageCard | None, key: str, without: int = 1) -> int:
    """How many of something a stage has."""
    found = figure_of(card, key)
    return without if found is None else round(found.mid)


def work_at(of: BatchRecord, cards: Cards, now: datetime) -> Work:
    """The stage at hand of a batch whose plan has these cards."""
    at = batch_record.stage_now(of)
    if at in ("", "cook", "convert"):
        return _mashing(of, cards, now) if batch_tub.yeast_at(of) is None else _fermenting(of, cards, now)
    if at == "ferment":
        return _fermenting(of, cards, now)
    if at in ("separate", "strip"):
        return _stripping(of, cards)
    return Work("clean") if at == "fill" else _spirit(of, cards, at)


# The tub -----------------------------------------------------------------------------------------


def mashed(of: BatchRecord) -> list[Happening]:
    """Every time something was mashed in."""
    return [one for one in of.happened if one.kind == "mashed"]


def cooks_done(of: BatchRecord, cards: Cards) -> int:
    """How many cooks are in the tub: one for each time, more where so many kilos went in at once."""
    later = _names(cards.get("convert")) | _names(cards.get("pitch"))
    card = cards.get("cook")
    times = sum(1 for one in mashed(of) if _is_cook(one, _names(card) - later, later))
    each_kg = sum(one.band.mid for one in card.targets if one.key.startswith("kg.")) if card else 0.0
    kilos = sum(_used_kg(one, _names(card)) for one in mashed(of))
    return max(times, int(kilos / each_kg + _ROUGHLY)) if each_kg > 0.0 else times


def _is_cook(one: Happening, own: set[str], later: set[str]) -> bool:
    """Whether a cook went in: what the plan cooks, or anything but yeast and enzymes, which fill no tub."""
    found = _used(one)
    if found & own:
        return True
    fills = any(part.commodity == BULK and part.amount > 0 for part in one.postings)
    yeast = any(is_yeast(name_of(p.commodity)) for p in one.postings if root_of(p.account).name == "used")
    return fills and not yeast and not (found and found <= later)


def is_malt_in(of: BatchRecord, cards: Cards) -> bool:
    """Whether anything of what is stirred in after the cooks was recorded."""
    malt = _names(cards.get("convert"))
    return bool(malt) and any(_used(one) & malt for one in mashed(of))


def _mashing(of: BatchRecord, cards: Cards, now: datetime) -> Work:
    count = count_of(cards.get("cook"), "cooks") if "cook" in cards else 0
    done, followed = cooks_done(of, cards), any(row.stage == "mash" for row in of.rows_read)
    into, malt = mashed(of), _names(cards.get("convert"))
    stirred_in = is_malt_in(of, cards)
    if done < count and not stirred_in and (done or not followed):
        return Work("cook", "", done + 1, count, into[-1].at if into else None)
    if "convert" not in cards:
        return Work("pitch")
    is_in = followed or not malt or stirred_in
    begun = batch_tub.clock(of, "mash", now).begun if is_in else (into[-1].at if into else None)
    if is_in and is_clear(of) and "pitch" in cards:
        return Work("pitch", begun=begun)
    return Work("convert", "rest" if is_in else "in", begun=begun)


def hold_h(cards: Cards) -> float:
    """How long the mash is held at its rest [h]: by the slowest label that sweetens there, or the malt."""
    card = cards.get("convert")
    if card is None:
        return 0.0
    holds = [t.band.mid for t in card.targets if t.key.startswith("hold.") or t.key == "malt_hold"]
    return holds[-1] if holds else 0.0


def is_held(cards: Cards, work: Work, now: datetime) -> bool:
    """Whether a mash has rested as long as it is held; so it is taken where the book does not tell."""
    return work.begun is None or (now - work.begun) / timedelta(hours=1) >= hold_h(cards)


def is_clear(of: BatchRecord) -> bool:
    """Whether the last starch test of the mash was clear."""
    tests = [one for one in of.read if one.stage == "mash" and one.quantity == "starch"]
    return bool(tests) and tests[-1].value < 0.5


def _fermenting(of: BatchRecord, cards: Cards, now: datetime) -> Work:
    ends = figure_of(cards.get("ferment"), "gravity")
    last = last_gravity(of)
    if ends is not None and last is not None and last.value <= ends.high + _FINAL_GRAVITY_ERROR:
        return Work("separate")
    return Work("ferment", begun=batch_tub.clock(of, "ferment", now).begun)


def last_gravity(of: BatchRecord) -> Reading | None:
    """The last gravity of the ferment."""
    found = [one for one in of.read if one.stage == "ferment" and one.quantity.startswith("gravity")]
    return found[-1] if found else None


def _names(card: StageCard | None) -> set[str]:
    """Every name of the materials of a stage."""
    keys = [one.key.removeprefix("kg.") for one in card.targets if one.key.startswith("kg.")] if card else []
    return {name for key in keys for name in names_of(key)}


def names_of(key: str) -> set[str]:
    """Every name of a material, as names are held against each other."""
    try:
        found = load().material(key)
    except CaskwardError:
        return names_alike(key)
    return names_alike(found.key, found.name, found.plural, *found.aliases)


def _used_kg(one: Happening, names: set[str]) -> float:
    """Kilograms of these materials that were used."""
    return sum(
        part.amount / 1e6
        for part in one.postings
        if root_of(part.account).name == "used"
        and family_of(part.commodity) == "mass"
        and names_alike(name_of(part.commodity)) & names
    )


def _used(one: Happening) -> set[str]:
    """Names of the materials that were used."""
    used = {name_of(part.commodity) for part in one.postings if root_of(part.account).name == "used"}
    return names_alike(*used) if used else set()


# The still ---------------------------------------------------------------------------------------


def _stripping(of: BatchRecord, cards: Cards) -> Work:
    count, done = count_of(cards.get("strip"), "runs"), _distilled(of, "strip")
    over = any(one.stage == "strip" and one.of_whole for one in of.read)
    log = of.runs
    if log.now and log.now[0] == "strip" and log.is_running(log.now):
        number = log.now[1]
        return Work("strip", "runs", number, max(count, number))
    if over or done >= count:
        return Work("charge") if "charge" in cards else Work("spirit", "", 1, _runs(cards))
    return Work("strip", "", done + 1, count)


def _runs(cards: Cards) -> int:
    return count_of(cards.get("spirit"), "runs")


def _spirit(of: BatchRecord, cards: Cards, at: str) -> Work:
    count = _runs(cards)
    if at == "charge":
        return Work("spirit", "", 1, count)
    number = run_due(of, count)
    if not number:
        return Work("fill" if _is_heart_reduced(of) else "reduce")
    goes_on = of.runs.now == ("run", number) and of.runs.is_running(("run", number))
    return Work("spirit", "runs" if goes_on else "", number, max(count, number))


def run_due(of: BatchRecord, planned: int) -> int:
    """The spirit run that goes on or comes next; 0 once as many as planned are done, or the heart is whole.

    A run is done once the book has it as a deed, or its own heart is chosen. The heart is whole by a choice
    of all runs, by its own row, by water that brings it down, by a cask that takes it.
    """
    log = of.runs
    chosen = {number for kind, number in log.hearts if kind == "run"}
    done = chosen | set(range(1, _distilled(of, "spirit run") + 1))
    if len(done) >= planned or log.whole or _is_heart_closed(of):
        return 0
    if log.now and log.now[0] == "run" and log.is_running(log.now) and log.now[1] not in done:
        return log.now[1]
    return next(number for number in range(1, planned + 1) if number not in done)


def _is_heart_closed(of: BatchRecord) -> bool:
    read = any(one.stage == "heart" for one in of.read)
    return read or _is_heart_reduced(of) or any(one.kind == "filled" for one in of.happened)


def _is_heart_reduced(of: BatchRecord) -> bool:
    """Whether water went to the heart: not to low wines, which are brought down for the still."""
    low_wines, spirit = set[str](), set[str]()
    begun = min((row.number for row in of.rows_read if row.stage in ("run", "heart")), default=None)
    for one in of.happened:
        side = sides(one).get(ALCOHOL)
        ins = set(side.ins) if side else set[str]()
        outs = set(side.outs) if side else set[str]()
        kind = of.run_kinds.get(one.number)
        if kind == "spirit run" or outs & spirit:
            spirit |= ins
        elif kind == "strip" or outs & low_wines:
            low_wines |= ins
        is_after = bool(spirit) or (begun is not None and begun < one.number)
        is_heart = (one.into in spirit or one.into not in low_wines) and _may_hold_heart(one.into)
        if one.kind == "reduced" and is_after and is_heart:
            return True
    return False


def _may_hold_heart(account: str) -> bool:
    return not any(word in name_of(account).casefold() for word in NO_HEARTS)


def _distilled(of: BatchRecord, kind: Kind) -> int:
    return sum(1 for one in of.run_kinds.values() if one == kind)
