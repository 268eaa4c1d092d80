"""The account of a period in words and columns, the same on screen and paper."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta

from caskward.book.accounts import name_of, root_of
from caskward.book.reports import LossJudged
from caskward.book.words import name_in_words, said
from caskward.services.book import money
from caskward.services.book.moments import shown
from caskward.services.book.pages import Page, Section
from caskward.services.book.period_report import PeriodReport
from caskward.services.book.shares_shown import PureUnit, decimal, pure, pure_unit, thousandths
from caskward.services.book.words import place
from caskward.units.types import UnitSystem

_LONG_ENOUGH = timedelta(days=180)
"""A gauge or two in a shorter period say little about a year."""
_ROOTS = {
    "made": "Made",
    "received": "Received",
    "lost": "Lost",
    "sold": "Sold",
    "destroyed": "Destroyed",
    "sampled": "Sampled",
    "unaccounted": "Unaccounted",
}


def period_page(report: PeriodReport, system: UnitSystem) -> Page:
    """The report for a screen or paper."""
    unit = pure_unit(system)
    sections = (
        _account(report, unit),
        _losses(report, unit),
        _casks(report, unit),
        _held(report, unit),
        _open(report, system),
        _corrections(report),
        _duty(report, unit),
    )
    return Page(
        title="Alcohol account",
        about=report.period.words + (f", as known {shown(report.known_at)}" if report.known_at else ""),
        answers=_answers(report, unit),
        sections=tuple(section for section in sections if section.rows),
        invented=report.invented,
        paper="us-letter" if system == "us" else "a4",
    )


def cause_in_words(cause: str) -> str:
    """`Lost: stillage` of `lost/stillage`."""
    return f"{_ROOTS[root_of(cause).name]}: {name_of(cause)}"


def _answers(report: PeriodReport, unit: PureUnit) -> tuple[str, ...]:
    account = report.account
    if not (account.opening_ul or account.closing_ul or account.lines):
        return ("The book has no alcohol in this period.",)
    counts = _counts(report, unit)
    came = sum(
        count
        for line, count in zip(account.lines, counts[1:], strict=True)
        if root_of(line.cause).name in ("made", "received")
    )
    closing = sum(counts)
    went = counts[0] + came - closing
    said_so = (
        f"{decimal(counts[0])} {unit.short} of pure alcohol at the start, {decimal(came)} came in, "
        f"{decimal(went)} went out: {decimal(closing)} {unit.short} are there at the end."
    )
    return (said_so, *_judged(report), *_asked(report))


def _judged(report: PeriodReport) -> tuple[str, ...]:
    over = [loss for loss in report.losses if loss.over]
    if not report.losses:
        return ()
    if not over:
        return ("Every loss is within your own limits.",)
    named = ", ".join(f"{loss.cause} {loss.pct:.2g} % (limit {loss.limit_pct} %)" for loss in over)
    return (f"Over your own limit: {named}.",)


def _asked(report: PeriodReport) -> tuple[str, ...]:
    if not report.open:
        return ()
    places = ", ".join(dict.fromkeys(one.place for one in report.open))
    return (f"A reason is still asked for: {places}.",)


def _account(report: PeriodReport, unit: PureUnit) -> Section:
    account, counts = report.account, _counts(report, unit)
    lines = [
        (cause_in_words(line.cause), _signed(count))
        for line, count in zip(account.lines, counts[1:], strict=True)
    ]
    rows = (("At the start", decimal(counts[0])), *lines, ("At the end", decimal(sum(counts))))
    moved = f"Moved from place to place, which changes no sum: {pure(account.moved_ul, unit)} {unit.short}."
    last = len(rows) - 1
    return Section(f"Account, {unit.words}", ("", unit.short), "lr", rows, frozenset({0, last}), (moved,))


def _counts(report: PeriodReport, unit: PureUnit) -> list[int]:
    """Opening and every line, so rounded that they add up to the closing."""
    account = report.account
    return thousandths([account.opening_ul, *(line.alcohol_ul for line in account.lines)], unit)


def _signed(count: int) -> str:
    return decimal(count) if count < 0 else f"+{decimal(count)}"


def _losses(report: PeriodReport, unit: PureUnit) -> Section:
    counts = dict(zip((line.cause for line in report.account.lines), _counts(report, unit)[1:], strict=True))
    rows = tuple(_loss(loss, counts) for loss in report.losses)
    of = f"Of all that was handled: {pure(report.losses[0].handled_ul, unit)} {unit.short}" if rows else ""
    return Section(
        "Losses against your own limits",
        ("", unit.short, "of all", "limit", ""),
        "lrrrl",
        rows,
        sentences=(f"{of}, at the start and come in.",) if rows else (),
    )


def _loss(loss: LossJudged, counts: Mapping[str, int]) -> tuple[str, ...]:
    if loss.cause == "unaccounted":
        lost = abs(sum(count for cause, count in counts.items() if root_of(cause).name == "unaccounted"))
    else:
        lost = -counts.get(f"lost/{loss.cause}", 0)
    return (
        loss.cause,
        decimal(lost),
        f"{loss.pct:.2f} %",
        f"{loss.limit_pct} %",
        "over" if loss.over else "within",
    )


def _casks(report: PeriodReport, unit: PureUnit) -> Section:
    long = report.period.end - report.period.start >= _LONG_ENOUGH
    rows = tuple(
        (
            place(one.account),
            pure(one.lost_ul, unit),
            f"{one.pct_a_year:.1f} %" if long and one.pct_a_year is not None else "",
        )
        for one in report.casks
    )
    note = ("What new wood drank counts here too; a cask not gauged since shows nothing.",) if rows else ()
    head = ("", unit.short, "a year" if long else "")
    return Section("What casks lost", head, "lrr", rows, sentences=note)


def _held(report: PeriodReport, unit: PureUnit) -> Section:
    held = report.account.held_ul
    counts = thousandths(list(held.values()), unit)
    rows = [(place(account), decimal(count)) for account, count in zip(held, counts, strict=True)]
    rows.append(("In all", decimal(sum(counts))))
    return Section("Where it is at the end", ("", unit.short), "lr", tuple(rows), frozenset({len(rows) - 1}))


def _open(report: PeriodReport, system: UnitSystem) -> Section:
    rows = tuple(
        (
            one.place,
            name_in_words(one.commodity),
            said(abs(one.amount), one.commodity, system),
            "missing" if one.amount > 0 else "too much",
        )
        for one in report.open
    )
    tell = ("When you know why: caskward book explain PLACE REASON",) if rows else ()
    return Section("Not explained yet", ("", "", "", ""), "llrl", rows, sentences=tell)


def _corrections(report: PeriodReport) -> Section:
    rows = tuple(
        (f"entry {one.number}", f"entry {one.corrects}", f"{shown(one.at)[:10]} {one.author}", one.why)
        for one in report.corrections
    )
    return Section("Corrected in the period", ("", "puts right", "when, by", "why"), "llll", rows)


def _duty(report: PeriodReport, unit: PureUnit) -> Section:
    duty = report.duty
    if duty is None:
        return Section("", (), "", ())
    rows = (
        ("Sold, as the book has it", f"{pure(duty.alcohol_ul, unit)} {unit.short}"),
        ("Your rate, each litre of pure alcohol", money.shown(duty.minor_per_lpa, report.currency)),
        ("Estimate", money.shown(duty.minor, report.currency)),
    )
    which = "Which alcohol is liable, when, and at which rate, only your law says."
    return Section("Duty, estimated", ("", ""), "lr", rows, frozenset({2}), (which,))
