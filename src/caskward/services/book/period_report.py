"""The account of a period: what came, what went and why, what is there, against the maker's own marks."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from caskward.book.canonical import moment_text
from caskward.book.cask_losses import CaskLoss, losses_of
from caskward.book.corrections import meant_kind
from caskward.book.entry import Entry
from caskward.book.reports import (
    AlcoholAccount,
    DutyEstimate,
    LossJudged,
    account_of,
    alcohol_account,
    corrected_elsewhere,
    duty_estimate,
    judge_losses,
    without_limit,
)
from caskward.book.stock import OPEN, OpenDifference, open_differences
from caskward.services.book.looked import Looked
from caskward.services.book.marks import CASKS_A_YEAR, Duty, Marks
from caskward.services.book.pages import HELP, Column, Table
from caskward.services.book.periods import Period

_LONG_ENOUGH = timedelta(days=180)


@dataclass(frozen=True, slots=True)
class Correction:
    """A correction: its number, which entry it put right, when, by whom, why.

    `first` is the entry that the first of several corrections put right.
    """

    number: int
    corrects: int
    at: datetime
    author: str
    meant: str
    why: str
    first: int


@dataclass(frozen=True, slots=True)
class PeriodReport:
    """The whole account of a period; all alcohol in µL at 20 °C.

    `open` are differences without a reason at its end; `duty` is an estimate at the maker's own rate;
    `unlimited` are causes of loss that no limit is set for. `later` are corrections made outside of the
    period of what was done in it, and `right` is the account with those counted in; `put_right` says that
    `account` is that one. `head` is the hash of the newest entry that it knows, so that it can be said what
    the report was made from.
    """

    period: Period
    account: AlcoholAccount
    losses: tuple[LossJudged, ...]
    unlimited: tuple[str, ...]
    casks: tuple[CaskLoss, ...]
    cask_limit_pct: Decimal | None
    open: tuple[OpenDifference, ...]
    corrections: tuple[Correction, ...]
    later: tuple[Correction, ...]
    right: AlcoholAccount
    put_right: bool
    duty: DutyEstimate | None
    rate: Duty | None
    currency: str
    known_at: datetime | None
    entries: int
    head: str
    invented: bool

    @property
    def judges_casks(self) -> bool:
        """Whether the period is long enough for a yearly rate: a gauge or two in a shorter one say little."""
        return self.period.end - self.period.start >= _LONG_ENOUGH

    def over_limit(self, cask: CaskLoss) -> bool:
        """Whether a cask loses more in a year than the maker's own limit."""
        limit, rate = self.cask_limit_pct, cask.pct_a_year
        return self.judges_casks and limit is not None and rate is not None and rate > float(limit)


def period_report(
    book: Looked,
    period: Period,
    marks: Marks | None = None,
    known_at: datetime | None = None,
    *,
    put_right: bool = False,
) -> PeriodReport:
    """The account of a period; `marks` are laid over the book's, `known_at` shows it as it was then.

    `put_right`: with each correction in the place of what it corrects, instead of as booked.
    """
    known = book.until(known_at)
    held_to = marks.over(known.marks) if marks else known.marks
    right = account_of(known.put_right, period.start, period.end)
    account = right if put_right else alcohol_account(known.entries, period.start, period.end)
    elsewhere = corrected_elsewhere(known.entries, period.start, period.end)
    duty = held_to.duty
    return PeriodReport(
        period=period,
        account=account,
        losses=judge_losses(account, held_to.of_period_pct),
        unlimited=without_limit(account, held_to.of_period_pct),
        casks=losses_of(known.put_right, period.start, _last_moment(known, period)),
        cask_limit_pct=held_to.losses_pct.get(CASKS_A_YEAR),
        open=open_differences(_open_at(known, period.end)),
        corrections=tuple(
            _correction(entry)
            for entry in known.entries
            if entry.corrects is not None and period.start <= entry.done_at < period.end
        ),
        later=tuple(_correction(entry, first.number) for first, entry in elsewhere),
        right=right,
        put_right=put_right,
        duty=duty_estimate(account, duty.minor_per_lpa) if duty else None,
        rate=duty,
        currency=duty.currency if duty else "",
        known_at=known_at,
        entries=len(known.entries),
        head=known.entries[-1].hash if known.entries else "",
        invented=book.invented,
    )


def _open_at(book: Looked, end: datetime) -> dict[str, dict[str, int]]:
    """What was open at the end of the period, by account and commodity."""
    sums: dict[str, dict[str, int]] = {}
    for entry in book.entries:
        for part in entry.postings if entry.done_at < end else ():
            if part.account.startswith(OPEN):
                there = sums.setdefault(part.account, {})
                there[part.commodity] = there.get(part.commodity, 0) + part.amount
    return {
        account: {what: amount for what, amount in there.items() if amount} for account, there in sums.items()
    }


def _last_moment(book: Looked, period: Period) -> datetime:
    """The end of the period, or the newest entry if that is before: nothing is known of later."""
    newest = max((entry.done_at for entry in book.entries), default=period.end)
    # A period does not hold its own end, and what was done last is to be in it.
    return min(period.end, max(newest + timedelta(microseconds=1), period.start))


def _correction(entry: Entry, first: int | None = None) -> Correction:
    return Correction(
        entry.number,
        entry.corrects or 0,
        entry.done_at,
        entry.author,
        meant_kind(entry) or "withdrawn",
        str(entry.details.get("why", "")),
        first or entry.corrects or 0,
    )


def period_data(report: PeriodReport) -> dict[str, object]:
    """The report as plain data for JSON: whole numbers as in the book, decimals as text."""
    account = report.account
    return {
        "what": "alcohol account",
        "note": HELP,
        "invented": report.invented,
        "from": moment_text(report.period.start),
        "until": moment_text(report.period.end),
        "known_at": moment_text(report.known_at) if report.known_at else None,
        "entries": report.entries,
        "head": report.head,
        "opening_ul": account.opening_ul,
        "lines": [asdict(line) for line in account.lines],
        "closing_ul": account.closing_ul,
        "moved_ul": account.moved_ul,
        "held_ul": dict(account.held_ul),
        "losses": [_loss_data(loss) for loss in report.losses],
        "casks": [
            {
                "account": one.account,
                "lost_ul": one.lost_ul,
                "pct_a_year": _rounded(one.pct_a_year),
                "over": report.over_limit(one),
            }
            for one in report.casks
        ],
        "cask_limit_pct_a_year": None if report.cask_limit_pct is None else str(report.cask_limit_pct),
        "no_limit_for": list(report.unlimited),
        "open": [asdict(one) for one in report.open],
        "corrections": [asdict(one) | {"at": moment_text(one.at)} for one in report.corrections],
        "put_right": report.put_right,
        "corrected_later": [asdict(one) | {"at": moment_text(one.at)} for one in report.later],
        "as_put_right": {
            "opening_ul": report.right.opening_ul,
            "lines": [asdict(line) for line in report.right.lines],
            "closing_ul": report.right.closing_ul,
        },
        "duty": _duty_data(report),
    }


def period_table(report: PeriodReport) -> Table:
    """The account as rows: opening, every cause, closing; then what each place holds."""
    account = report.account
    rows = [
        ("opening", "", account.opening_ul),
        *(("change", line.cause, line.alcohol_ul) for line in account.lines),
        ("closing", "", account.closing_ul),
        *(("held", place, amount_ul) for place, amount_ul in account.held_ul.items()),
    ]
    ends = moment_text(report.period.start), moment_text(report.period.end)
    return Table(
        "alcohol account",
        (
            Column("from"),
            Column("until"),
            Column("line"),
            Column("account"),
            Column("alcohol_ul", "whole"),
            Column("alcohol_l"),
        ),
        tuple((*ends, line, name, amount_ul, _litres(amount_ul)) for line, name, amount_ul in rows),
    )


def _litres(amount_ul: int) -> str:
    return f"{Decimal(amount_ul) / 1_000_000:.6f}"


def _loss_data(loss: LossJudged) -> dict[str, object]:
    return asdict(loss) | {"limit_pct": str(loss.limit_pct), "pct": _rounded(loss.pct), "over": loss.over}


def _duty_data(report: PeriodReport) -> dict[str, object] | None:
    duty = report.duty
    if duty is None:
        return None
    return {
        "alcohol_ul": duty.alcohol_ul,
        "minor_per_lpa": str(duty.minor_per_lpa),
        "minor": duty.minor,
        "currency": report.currency,
    }


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 4)
