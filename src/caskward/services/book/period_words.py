"""The account of a period in words and columns, the same on screen and paper."""

from __future__ import annotations

from collections.abc import Mapping

from caskward.book.accounts import name_of, root_of
from caskward.book.reports import AlcoholAccount, LossJudged
from caskward.book.words import name_in_words, said
from caskward.services.book import money
from caskward.services.book.marks_kept import rate_in_words
from caskward.services.book.moments import shown
from caskward.services.book.pages import Page, Section
from caskward.services.book.period_report import PeriodReport
from caskward.services.book.shares_shown import (
    LITRE,
    PureUnit,
    decimal,
    proof_gallon,
    pure,
    pure_unit,
    thousandths,
)
from caskward.services.book.words import place
from caskward.units.types import UnitSystem

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
        _duty(report),
    )
    return Page(
        title="Alcohol account",
        about=report.period.words
        + (", as put right since" if report.put_right else "")
        + (f", as known {shown(report.known_at)}" if report.known_at else ""),
        answers=_answers(report, unit),
        sections=tuple(section for section in sections if section.rows),
        invented=report.invented,
        paper="us-letter" if system == "us" else "a4",
    )


def cause_in_words(cause: str) -> str:
    """`Lost: stillage` of `lost/stillage`."""
    return f"{_ROOTS[root_of(cause).name]}: {name_of(cause)}"


def _answers(report: PeriodReport, unit: PureUnit) -> tuple[str, ...]:
    said_so = _summed(report.account, unit)
    head = said_so or "The book has no alcohol in this period."
    return (head, *_corrected_later(report, unit), *(_judged(report) if said_so else ()), *_asked(report))


def _summed(account: AlcoholAccount, unit: PureUnit) -> str:
    """The account in a sentence; nothing if it is empty."""
    if not (account.opening_ul or account.closing_ul or account.lines):
        return ""
    counts = _counts(account, unit)
    came = sum(
        count
        for line, count in zip(account.lines, counts[1:], strict=True)
        if root_of(line.cause).name in ("made", "received")
    )
    closing = sum(counts)
    went = counts[0] + came - closing
    return (
        f"{decimal(counts[0])} {unit.short} of pure alcohol at the start, {decimal(came)} came in, "
        f"{decimal(went)} went out: {decimal(closing)} {unit.short} are there at the end."
    )


def _corrected_later(report: PeriodReport, unit: PureUnit) -> tuple[str, ...]:
    """What was corrected outside of the period of what was done in it."""
    if not report.later:
        return ()
    numbers = tuple(dict.fromkeys(str(one.first) for one in report.later))
    days = " and ".join(dict.fromkeys(shown(one.at)[:10] for one in report.later))
    who, were = ("Entry", "was") if len(numbers) == 1 else ("Entries", "were")
    which = f"{who} {', '.join(numbers)} of this period {were} corrected on"
    if report.put_right:
        return (f"{which} {days}, which is counted in here.",)
    right = _summed(report.right, unit) or "no alcohol in this period."
    return (f"{which} {days}, which is not counted in here. As put right: {right} All of it: --put-right",)


def _judged(report: PeriodReport) -> tuple[str, ...]:
    return tuple(line for line in (_over(report), _without_limit(report)) if line)


def _over(report: PeriodReport) -> str:
    over = [f"{one.cause} {one.pct:.2g} % (limit {one.limit_pct} %)" for one in report.losses if one.over]
    over += [
        f"{place(one.account)} {one.pct_a_year:.1f} % a year (limit {report.cask_limit_pct} %)"
        for one in report.casks
        if report.over_limit(one)
    ]
    if over:
        return f"Over your own limit: {', '.join(over)}."
    if not report.losses and (report.cask_limit_pct is None or not report.judges_casks):
        return ""
    return "Every loss that you set a limit for is within it."


def _without_limit(report: PeriodReport) -> str:
    """The losses that nothing was held against: silence would pass for a good mark."""
    rates = [one for one in report.casks if one.pct_a_year and one.lost_ul > 0]
    named = list(report.unlimited)
    if report.judges_casks and report.cask_limit_pct is None and rates:
        worst = max(rates, key=lambda one: one.pct_a_year or 0.0)
        named.append(f"what a cask loses in a year ({place(worst.account)}: {worst.pct_a_year:.1f} %)")
    return f"No limit is set for: {', '.join(named)}." if named else ""


def _asked(report: PeriodReport) -> tuple[str, ...]:
    if not report.open:
        return ()
    places = ", ".join(dict.fromkeys(one.place for one in report.open))
    return (f"A reason is still asked for: {places}.",)


def _account(report: PeriodReport, unit: PureUnit) -> Section:
    account, counts = report.account, _counts(report.account, unit)
    lines = [
        (cause_in_words(line.cause), _signed(count))
        for line, count in zip(account.lines, counts[1:], strict=True)
    ]
    rows = (("At the start", decimal(counts[0])), *lines, ("At the end", decimal(sum(counts))))
    moved = f"Moved from place to place, which changes no sum: {pure(account.moved_ul, unit)} {unit.short}."
    last = len(rows) - 1
    return Section(f"Account, {unit.words}", ("", unit.short), "lr", rows, frozenset({0, last}), (moved,))


def _counts(account: AlcoholAccount, unit: PureUnit) -> list[int]:
    """Opening and every line, so rounded that they add up to the closing."""
    return thousandths([account.opening_ul, *(line.alcohol_ul for line in account.lines)], unit)


def _signed(count: int) -> str:
    return decimal(count) if count < 0 else f"+{decimal(count)}"


def _losses(report: PeriodReport, unit: PureUnit) -> Section:
    counts = dict(
        zip((line.cause for line in report.account.lines), _counts(report.account, unit)[1:], strict=True)
    )
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
    long, limit = report.judges_casks, report.cask_limit_pct
    rows = tuple(
        (
            place(one.account),
            pure(one.lost_ul, unit),
            f"{one.pct_a_year:.1f} %" if long and one.pct_a_year is not None else "",
            f"{limit} %" if long and limit is not None else "",
            ("over" if report.over_limit(one) else "within") if long and limit is not None else "",
        )
        for one in report.casks
    )
    note = ("What new wood drank counts here too; a cask not gauged since shows nothing.",) if rows else ()
    head = ("", unit.short, "a year" if long else "", "limit" if long and limit is not None else "", "")
    return Section("What casks lost", head, "lrrrl", rows, sentences=note)


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


def _duty(report: PeriodReport) -> Section:
    duty, rate = report.duty, report.rate
    if duty is None or rate is None:
        return Section("", (), "", ())
    # Counted in the unit that the rate is for, whatever the rest is shown in: the two are multiplied.
    unit = LITRE if rate.by_proof_gallon is None else proof_gallon()
    of, shown_rate = rate_in_words(rate)
    rows = (
        ("Sold, as the book has it", f"{pure(duty.alcohol_ul, unit)} {unit.short}"),
        (f"Your rate, {of}", shown_rate),
        ("Estimate", money.shown(duty.minor, report.currency)),
    )
    which = "Which alcohol is liable, when, and at which rate, only your law says."
    return Section("Duty, estimated", ("", ""), "lr", rows, frozenset({2}), (which,))
