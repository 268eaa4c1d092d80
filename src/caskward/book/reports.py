"""The alcohol account of a period, losses against the maker's own limits, casks at a date, a duty estimate.

A help for the maker's own records; no filing with any authority. A period runs from its start up to, and not
including, its end. Accounts are read as booked, so that a period once reported stays as it was: a correction
counts when it is made.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal

from caskward.book.accounts import ALCOHOL, BULK, root_of
from caskward.book.amounts import UL_PER_L, Liquid
from caskward.book.canonical import moment_from_text
from caskward.book.entry import Entry
from caskward.book.history import Happening, as_booked, as_put_right

IN, OUT = ("made", "received"), ("lost", "sold", "destroyed", "sampled")


@dataclass(frozen=True, slots=True)
class AccountLine:
    """Pure alcohol [µL] by one cause: `made/fermentation` above zero, `lost/stillage` below."""

    cause: str
    alcohol_ul: int


@dataclass(frozen=True, slots=True)
class AlcoholAccount:
    """Pure alcohol of a period [µL]: opening + lines = closing, exactly.

    `lines` are what came in, then what went out and what is unaccounted, by cause. `moved_ul` is what went
    from place to place, which changes no sum. `corrected` are the numbers of corrections made in the period.
    """

    start: datetime
    end: datetime
    opening_ul: int
    lines: tuple[AccountLine, ...]
    closing_ul: int
    moved_ul: int
    held_ul: Mapping[str, int]
    corrected: tuple[int, ...]

    def total_ul(self, *roots: str) -> int:
        """The sum of all lines of some roots: `lost`, `sold` ..."""
        return sum(line.alcohol_ul for line in self.lines if line.cause.partition("/")[0] in roots)


def alcohol_account(
    entries: Iterable[Entry],
    start: datetime,
    end: datetime,
    known_at: datetime | None = None,
    *,
    put_right: bool = False,
) -> AlcoholAccount:
    """The account of a period; `known_at` leaves out what was recorded later, to see a report as it was.

    `put_right`: each correction stands where its original was, so it counts when the thing was done.
    """
    known = [entry for entry in entries if known_at is None or entry.recorded_at <= known_at]
    rows = as_put_right(known) if put_right else as_booked(known)
    return account_of(rows, start, end)


def account_of(rows: Iterable[Happening], start: datetime, end: datetime) -> AlcoholAccount:
    """The account of a period from what happened, as `alcohol_account`."""
    held: dict[str, int] = {}
    sums: dict[str, int] = {}
    opening_ul, moved_ul, corrected = 0, 0, []
    for row in rows:
        if row.at >= end:
            continue
        net = _alcohol(row)
        within = row.at >= start
        if within and row.kind == "corrected":
            corrected.append(row.number)
        for account, amount in net.items():
            if root_of(account).holds:
                held[account] = held.get(account, 0) + amount
                opening_ul += 0 if within else amount
            elif within:
                cause = "/".join(account.split("/")[:2])
                sums[cause] = sums.get(cause, 0) - amount
        moved_ul += _moved_ul(row, net) if within else 0
    order = (*IN, *OUT, "unaccounted")
    lines = [AccountLine(cause, amount) for cause, amount in sums.items() if amount]
    lines.sort(key=lambda line: (order.index(root_of(line.cause).name), line.cause))
    return AlcoholAccount(
        start=start,
        end=end,
        opening_ul=opening_ul,
        lines=tuple(lines),
        closing_ul=sum(held.values()),
        moved_ul=moved_ul,
        held_ul={account: amount for account, amount in sorted(held.items()) if amount},
        corrected=tuple(corrected),
    )


def _alcohol(row: Happening) -> dict[str, int]:
    """What an account of a happening got of pure alcohol, without zeros."""
    sums: dict[str, int] = {}
    for part in row.postings:
        if part.commodity == ALCOHOL:
            sums[part.account] = sums.get(part.account, 0) + part.amount
    return {account: amount for account, amount in sums.items() if amount}


def held_by(commodity: str, rows: Iterable[Happening]) -> dict[str, int]:
    """What each place holds of a commodity after these happenings, without zeros."""
    sums: dict[str, int] = {}
    for row in rows:
        for part in row.postings:
            if part.commodity == commodity and root_of(part.account).holds:
                sums[part.account] = sums.get(part.account, 0) + part.amount
    return {account: amount for account, amount in sorted(sums.items()) if amount}


def _moved_ul(row: Happening, net: Mapping[str, int]) -> int:
    """Alcohol from place to place: the lesser of what left places and what came into them."""
    if row.kind == "corrected":
        return 0
    parts = [amount for account, amount in net.items() if root_of(account).holds]
    return min(sum(part for part in parts if part > 0), -sum(part for part in parts if part < 0))


def corrected_elsewhere(
    entries: Iterable[Entry], start: datetime, end: datetime
) -> tuple[tuple[Entry, Entry], ...]:
    """Corrections made outside of a period of what was done in it, each behind the first entry of it.

    The account as booked counts them when they were made, so only as put right does it know of them.
    """
    firsts: dict[int, Entry] = {}
    found = []
    for entry in entries:
        first = firsts.get(entry.corrects, entry) if entry.corrects else entry
        firsts[entry.number] = first
        if entry.corrects is None or start <= entry.done_at < end:
            continue
        meant_at = entry.details.get("done_at")
        times = [first.done_at, *([moment_from_text(meant_at)] if isinstance(meant_at, str) else [])]
        if any(start <= at < end for at in times):
            found.append((first, entry))
    return tuple(found)


# Losses ------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class LossJudged:
    """A loss against a limit of the maker's own, both in per cent of all alcohol that the period handled.

    `cause` is what stands behind `lost/`, or `unaccounted`.
    """

    cause: str
    lost_ul: int
    handled_ul: int
    limit_pct: Decimal

    @property
    def pct(self) -> float:
        """The loss in per cent of what was handled; 0 if nothing was."""
        return 100.0 * self.lost_ul / self.handled_ul if self.handled_ul else 0.0

    @property
    def over(self) -> bool:
        """Whether it is over its limit, decided in whole numbers."""
        return self.lost_ul * 100 > self.limit_pct * self.handled_ul


def judge_losses(account: AlcoholAccount, limits_pct: Mapping[str, Decimal]) -> tuple[LossJudged, ...]:
    """Each limit against the account: losses in per cent of opening plus all that came in.

    `limits_pct` [0–100] by cause as behind `lost/`; `unaccounted` is for all that nobody has explained.
    """
    handled_ul = account.opening_ul + account.total_ul(*IN)
    return tuple(
        LossJudged(cause, _lost_ul(account, cause), handled_ul, limit) for cause, limit in limits_pct.items()
    )


def without_limit(account: AlcoholAccount, limits_pct: Mapping[str, Decimal]) -> tuple[str, ...]:
    """The causes of loss of the period, as behind `lost/`, that no limit is set for."""
    lost = [line.cause.partition("/")[2] for line in account.lines if root_of(line.cause).name == "lost"]
    open_too = ["unaccounted"] if account.total_ul("unaccounted") else []
    return tuple(cause for cause in (*lost, *open_too) if cause not in limits_pct)


def _lost_ul(account: AlcoholAccount, cause: str) -> int:
    if cause == "unaccounted":
        return abs(account.total_ul("unaccounted"))
    return -sum(line.alcohol_ul for line in account.lines if line.cause == f"lost/{cause}")


# Casks -------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class CaskLine:
    """A cask at a date: what is in it, since when, for which batch; `room_ul` is its declared volume [µL]."""

    account: str
    liquid: Liquid
    room_ul: int | None
    filled_at: datetime
    batch: str | None
    last_gauged_at: datetime | None


def cask_inventory(entries: Sequence[Entry], at: datetime) -> tuple[CaskLine, ...]:
    """Every cask that holds something at that moment, as the book knows it now: corrections are put right."""
    rows = [row for row in as_put_right(entries) if row.at <= at]
    rooms_ul = {
        account: room for row in rows if row.kind == "declared" for account, room in _rooms(row).items()
    }
    alcohol, bulk = held_by(ALCOHOL, rows), held_by(BULK, rows)
    filled, gauged_at = _filled_and_gauged(rows)
    return tuple(
        CaskLine(
            account,
            Liquid(alcohol.get(account, 0), bulk_ul),
            rooms_ul.get(account),
            filled[account].at,
            filled[account].batch,
            gauged_at.get(account),
        )
        for account, bulk_ul in bulk.items()
        if root_of(account).name == "cask"
    )


def _filled_and_gauged(rows: Sequence[Happening]) -> tuple[dict[str, Happening], dict[str, datetime]]:
    """What last came into each place when it was empty, and when the place was last gauged."""
    filled: dict[str, Happening] = {}
    gauged_at: dict[str, datetime] = {}
    held_ul: dict[str, int] = {}
    for row in sorted(rows, key=lambda row: (row.at, row.number)):
        of = row.details.get("of")
        if row.kind == "gauged" and isinstance(of, str):
            gauged_at[of] = row.at
        for (account, commodity), change_ul in row.net().items():
            if commodity == BULK:
                there_ul = held_ul.get(account, 0)
                if there_ul <= 0 < change_ul or account not in filled:
                    filled[account] = row
                held_ul[account] = there_ul + change_ul
    return filled, gauged_at


def _rooms(row: Happening) -> dict[str, int]:
    rooms = row.details.get("rooms_ul")
    return (
        {name: room for name, room in rooms.items() if isinstance(room, int)}
        if isinstance(rooms, Mapping)
        else {}
    )


# Duty --------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class DutyEstimate:
    """What duty might come to at the maker's own rate [minor units by litre of pure alcohol].

    An estimate for the maker's purse: which alcohol is liable, and when, only the local law says.
    """

    alcohol_ul: int
    minor_per_lpa: Decimal
    minor: int


def duty_estimate(
    account: AlcoholAccount, minor_per_lpa: Decimal, roots: Sequence[str] = ("sold",)
) -> DutyEstimate:
    """Alcohol that went to these ends in the period, times the rate; rounded to a minor unit, half up."""
    alcohol_ul = max(-account.total_ul(*roots), 0)
    due = Decimal(alcohol_ul) * minor_per_lpa / UL_PER_L
    return DutyEstimate(alcohol_ul, minor_per_lpa, int(due.to_integral_value(rounding=ROUND_HALF_UP)))
