"""The story of one cask since it was last filled: its levels, what its gauges lost, what that would leave.

Nothing here is a model of wood and air: a pace is what this cask's own gauges found, within what their
instruments may be wrong by, and an outlook is what would be left if it went on like the slowest and like the
fastest of them. The first pace after a fill is left out of it, for wood takes a share of its own then.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from caskward.book.accounts import ALCOHOL, BULK
from caskward.book.amounts import Liquid
from caskward.book.canonical import moment_from_text
from caskward.book.cask_losses import cask_losses
from caskward.book.entry import Entry
from caskward.book.history import Happening, as_put_right
from caskward.services.book.opened import Book
from caskward.units import convert

LEAST_DAYS: Final = 30.0
"""A gauge sooner after the one before says little of a year; *common practice, no source*."""
LONG_AGO_DAYS: Final = 30.0
"""A level that old is told with what may be left of it today."""
_PAGE, _MOST_PAGES = 200, 6
_MOMENT: Final = timedelta(microseconds=1)


@dataclass(frozen=True, slots=True)
class Level:
    """What a cask held after something was done: µL of pure alcohol and of liquid at 20 °C."""

    number: int
    at: datetime
    kind: str
    liquid: Liquid


@dataclass(frozen=True, slots=True)
class Rate:
    """Per cent a year of what was there: as found, and by how much both gauges' instruments may shift it."""

    low: float
    mid: float
    high: float


@dataclass(frozen=True, slots=True)
class Pace:
    """What a cask lost between two gauges, or from its fill to the first. first: whether it is that."""

    start: datetime
    end: datetime
    alcohol: Rate
    liquid: Rate
    first: bool


@dataclass(frozen=True, slots=True)
class Outlook:
    """What would be there at a moment: by the fastest pace that may have been, the last, the slowest."""

    at: datetime
    fast: Liquid
    as_last: Liquid
    slow: Liquid


@dataclass(frozen=True, slots=True)
class CaskStory:
    """A cask since it was last filled. whole: whether all of it was read; a longer one has only its end.

    batches: those whose spirit went in. lost_pct: of pure alcohol, in per cent a year since it was filled;
    None before any gauge found a loss. ahead: today, where nothing was done of late, and a year from now.
    """

    account: str
    filled_at: datetime | None
    batches: tuple[str, ...]
    levels: tuple[Level, ...]
    paces: tuple[Pace, ...]
    lost_pct: float | None
    ahead: tuple[Outlook, ...]
    whole: bool = True


def story(book: Book, account: str, now: datetime) -> CaskStory:
    """The story of a cask; without levels where it is empty."""
    times, whole = _since_filled(book, account)
    entries = [found for number in sorted(times) if (found := book.entry(number)) is not None]
    happened = sorted(as_put_right(entries), key=lambda one: (one.at, one.number))
    levels = tuple(_levels(account, happened)) if whole else ()
    if not levels or not levels[-1].liquid.bulk_ul:
        return CaskStory(account, None, (), (), (), None, (), whole)
    paces = tuple(_paces(account, entries, happened, levels))
    return CaskStory(
        account=account,
        filled_at=levels[0].at,
        batches=tuple(dict.fromkeys(one.batch for one in happened if one.batch and _fills(one, account))),
        levels=levels,
        paces=paces,
        lost_pct=_lost_pct(account, entries, levels[0].at, paces),
        ahead=tuple(_outlook(levels[-1], paces, now)),
        whole=whole,
    )


def filled_at(book: Book, accounts: Iterable[str]) -> Mapping[str, datetime]:
    """When each cask that holds something was filled, from empty; none where that is too far back to read."""
    found: dict[str, datetime] = {}
    for account in accounts:
        times, whole = _since_filled(book, account)
        if whole and times:
            found[account] = times[min(times)]
    return found


def _since_filled(book: Book, account: str) -> tuple[dict[int, datetime], bool]:
    """Entries since the cask was last empty, with their times; and whether that reaches so far."""
    times: dict[int, datetime] = {}
    older: tuple[int, int] | None = None
    for _ in range(_MOST_PAGES):
        page = book.account_page(account, before=older, limit=_PAGE, commodity=BULK)
        for line in page.lines:
            if line.after == 0 and line.amount < 0:
                return times, True
            times[line.number] = moment_from_text(line.done_at)
        older = page.older
        if older is None:
            return times, True
    return times, False


def _levels(account: str, happened: Sequence[Happening]) -> Iterable[Level]:
    alcohol_ul = bulk_ul = 0
    for one in happened:
        net = one.net()
        alcohol_ul += net.get((account, ALCOHOL), 0)
        bulk_ul += net.get((account, BULK), 0)
        yield Level(one.number, one.at, one.kind, Liquid(alcohol_ul, bulk_ul))


def _fills(one: Happening, account: str) -> bool:
    return one.kind != "gauged" and one.net().get((account, BULK), 0) > 0


def _paces(
    account: str, entries: Sequence[Entry], happened: Sequence[Happening], levels: Sequence[Level]
) -> Iterable[Pace]:
    start, first = levels[0].at, True
    for n, one in enumerate(happened):
        days = (one.at - start).total_seconds() / 86400.0
        if one.kind != "gauged" or days < LEAST_DAYS:
            continue
        # A gauge closes its own span and does not count in the next.
        losses = cask_losses(entries, start if first else start + _MOMENT, one.at + _MOMENT)
        mid_pct = next((row.pct_a_year for row in losses if row.account == account), None)
        if mid_pct is not None:
            before, after = levels[n - 1].liquid, levels[n].liquid
            doubt = _within(one)
            yield Pace(
                start=start,
                end=one.at,
                alcohol=_rate(mid_pct, doubt.alcohol_ul, after.alcohol_ul, days),
                liquid=_rate(
                    _a_year(before.bulk_ul - after.bulk_ul, before.bulk_ul, days),
                    doubt.bulk_ul, after.bulk_ul, days,
                ),
                first=first,
            )  # fmt: skip
        start, first = one.at, False


def _within(of: Happening) -> Liquid:
    """What the instruments of a gauge may be wrong by, as the book has it."""
    within = of.details.get("within")
    known = isinstance(within, tuple) and len(within) == 2
    return Liquid(int(str(within[0])), int(str(within[1]))) if known else Liquid(0, 0)  # type: ignore[index]


def _rate(mid_pct: float, doubt_ul: int, held_ul: int, days: float) -> Rate:
    """Both ends of a span were gauged, so the doubt counts twice, as a root of squares."""
    doubt_pct = math.sqrt(2.0) * _a_year(doubt_ul, held_ul, days)
    return Rate(mid_pct - doubt_pct, mid_pct, mid_pct + doubt_pct)


def _a_year(part_ul: int, whole_ul: int, days: float) -> float:
    return 100.0 * part_ul / max(whole_ul, 1) * (convert.YEAR_H / 24.0) / days


def _lost_pct(account: str, entries: Sequence[Entry], start: datetime, paces: Sequence[Pace]) -> float | None:
    """Since the fill up to the last gauge: what is lost after it nobody has seen yet."""
    if not paces:
        return None
    losses = cask_losses(entries, start, paces[-1].end + _MOMENT)
    return next((row.pct_a_year for row in losses if row.account == account), None)


def _outlook(last: Level, paces: Sequence[Pace], now: datetime) -> Iterable[Outlook]:
    own = [pace for pace in paces if not pace.first]
    if not own:
        return
    today = max(now, last.at)
    moments = [today] if (today - last.at) / timedelta(days=1) > LONG_AGO_DAYS else []
    for at in (*moments, today + timedelta(hours=convert.YEAR_H)):
        years = (at - last.at) / timedelta(hours=convert.YEAR_H)
        yield Outlook(
            at=at,
            fast=_left(last, years, max(p.alcohol.high for p in own), max(p.liquid.high for p in own)),
            as_last=_left(last, years, own[-1].alcohol.mid, own[-1].liquid.mid),
            slow=_left(last, years, min(p.alcohol.low for p in own), min(p.liquid.low for p in own)),
        )


def _left(of: Level, years: float, alcohol_pct: float, liquid_pct: float) -> Liquid:
    """No cask gains by air: a pace below nothing is a gauge's own doubt."""
    share = [(1.0 - min(max(pct, 0.0), 100.0) / 100.0) ** years for pct in (alcohol_pct, liquid_pct)]
    bulk_ul = round(of.liquid.bulk_ul * share[1])
    return Liquid(min(round(of.liquid.alcohol_ul * share[0]), bulk_ul), bulk_ul)
