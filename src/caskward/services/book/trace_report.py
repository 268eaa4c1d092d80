"""From a cask or bottle back to every sack, product and person; from a sack forward to every bottle."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Literal

from caskward.book.accounts import ALCOHOL, BULK, family_of, root_of
from caskward.book.amounts import Liquid
from caskward.book.canonical import moment_text
from caskward.book.flow import Flow
from caskward.book.trace import Edge, Lineage, Trace
from caskward.services.book.lineage import Condensed, condensed
from caskward.services.book.looked import Looked
from caskward.services.book.pages import HELP

Direction = Literal["back", "forward"]


@dataclass(frozen=True, slots=True)
class LotPart:
    """A lot that something came from: what it is, whose, and how much of it is in there [mg, µL, pieces]."""

    account: str
    commodity: str
    amount: int
    supplier: str
    supplier_lot: str
    product: str
    received_at: datetime
    author: str
    entry: int


@dataclass(frozen=True, slots=True)
class EndPart:
    """Where something is now, or whom it went to: how much of the lot is in it, and what it is."""

    account: str
    amount: int
    liquid: Liquid
    pieces: int
    gone: bool


@dataclass(frozen=True, slots=True)
class AlcoholPart:
    """So much of the alcohol came from there: a batch's ferment, or a supplier [µL]."""

    origin: str
    alcohol_ul: int


@dataclass(frozen=True)
class TraceReport:
    """A lineage, in steps and in sums.

    `lots` are those it came from (back), `ends` where it is and went (forward), `alcohol` whose it is (back).
    `commodity` is the material of the lot that was asked about, empty if it was none.
    """

    direction: Direction
    account: str
    commodity: str
    steps: Condensed
    lots: tuple[LotPart, ...]
    ends: tuple[EndPart, ...]
    alcohol: tuple[AlcoholPart, ...]
    people: tuple[str, ...]
    entries: tuple[int, ...]
    invented: bool


def trace_report(book: Looked, typed: str, direction: Direction = "back") -> TraceReport:
    """The lineage of an account.

    Raises:
        AccountUnheard, UnclearValue: which account is meant. NothingInIt: it has no history.
    """
    account, trace = book.account(typed), book.trace
    lineage = _back(trace, account) if direction == "back" else trace.forward(account)
    commodity = _commodity(lineage, account)
    return TraceReport(
        direction=direction,
        account=account,
        commodity=commodity,
        steps=condensed(trace, lineage),
        lots=_lots(trace, lineage, account) if direction == "back" else (),
        ends=_ends(trace.flow, lineage, account, commodity) if direction == "forward" else (),
        alcohol=_alcohol(trace.flow, account) if direction == "back" else (),
        people=lineage.people,
        entries=lineage.entries,
        invented=book.invented,
    )


def _back(trace: Trace, account: str) -> Lineage:
    """What an account came from; of what was made in a batch what its ferments came from."""
    if root_of(account).name != "made":
        return trace.back(account)
    ferments = dict.fromkeys(edge.target for edge in trace.edges if edge.source.account == account)
    found = [trace.back(node.account, node.number) for node in ferments]
    return Lineage(
        tuple(ferments),
        tuple(dict.fromkeys(node for one in found for node in one.nodes)),
        tuple(dict.fromkeys(edge for one in found for edge in one.edges)),
        tuple(sorted({number for one in found for number in one.entries})),
        tuple(sorted({name for one in found for name in one.people})),
    )


def _commodity(lineage: Lineage, account: str) -> str:
    """What a lot is a lot of."""
    if root_of(account).name not in ("lot", "goods"):
        return ""
    return next((edge.commodity for edge in lineage.edges if account in _ends_of(edge)), "")


def _ends_of(edge: Edge) -> tuple[str, str]:
    return edge.source.account, edge.target.account


def _lots(trace: Trace, lineage: Lineage, account: str) -> tuple[LotPart, ...]:
    within = _within(trace, lineage, account)
    parts = []
    for edge in lineage.edges:
        if root_of(edge.source.account).name == "received" and _is_goods(edge.target.account):
            happening = trace.happenings[edge.number]
            parts.append(
                LotPart(
                    edge.target.account,
                    edge.commodity,
                    within.get(edge.target.account, 0),
                    edge.source.account.partition("/")[2],
                    str(happening.details.get("supplier_lot", "")),
                    str(happening.details.get("product", "")),
                    happening.at,
                    happening.said_by.author,
                    edge.number,
                )
            )
    return tuple(
        sorted(set(parts), key=lambda part: (root_of(part.account).name != "lot", part.entry, part.account))
    )


def _within(trace: Trace, lineage: Lineage, account: str) -> dict[str, int]:
    """How much of each lot is in an account; of a batch how much went into it."""
    sums: dict[str, int] = {}
    if root_of(account).name == "made":
        used = [edge for edge in lineage.edges if _is_goods(edge.source.account)]
        parts = [(edge.source.account, edge.amount) for edge in used if not _is_goods(edge.target.account)]
    else:
        parts = [(tag.origin, amount) for tag, amount in trace.materials(account).items()]
    for lot, amount in parts:
        sums[lot] = sums.get(lot, 0) + amount
    return sums


def _is_goods(account: str) -> bool:
    return root_of(account).name in ("lot", "goods")


def _ends(flow: Flow, lineage: Lineage, account: str, commodity: str) -> tuple[EndPart, ...]:
    accounts = dict.fromkeys(node.account for node in lineage.nodes)
    # What is still in the place that was asked about comes first: a recall begins at home.
    parts = [_end(flow, one, account, commodity) for one in dict.fromkeys((account, *accounts))]
    return tuple(part for part in parts if part is not None)


def _end(flow: Flow, account: str, lot: str, commodity: str) -> EndPart | None:
    """A place that holds some still, or an end outside the house."""
    root = root_of(account)
    there = {what: amount for (place, what), amount in flow.held.items() if place == account and amount}
    if not (root.holds or root.name in ("sold", "sampled")) or not there:
        return None
    pool = flow.content(account, family_of(commodity)) if commodity else {}
    return EndPart(
        account,
        sum(amount for tag, amount in pool.items() if tag.origin == lot),
        Liquid(there.get(ALCOHOL, 0), there.get(BULK, 0)),
        sum(amount for what, amount in there.items() if family_of(what) == "piece"),
        not root.holds,
    )


def _alcohol(flow: Flow, account: str) -> tuple[AlcoholPart, ...]:
    sums: dict[str, int] = {}
    for tag, amount in flow.content(account, ALCOHOL).items():
        sums[tag.origin] = sums.get(tag.origin, 0) + amount
    rows = sorted(sums.items(), key=lambda row: (-row[1], row[0]))
    return tuple(AlcoholPart(origin, amount) for origin, amount in rows if amount)


def trace_data(report: TraceReport) -> dict[str, object]:
    """The lineage as plain data for JSON."""
    return {
        "what": "trace",
        "note": HELP,
        "invented": report.invented,
        "direction": report.direction,
        "account": report.account,
        "lots": [_dated(asdict(one)) for one in report.lots],
        "ends": [_end_data(one) for one in report.ends],
        "alcohol": [asdict(one) for one in report.alcohol],
        "people": list(report.people),
        "entries": list(report.entries),
        "starts": list(report.steps.starts),
        "steps": list(_steps_data(report.steps)),
        "ways": [
            {"from": way.source, "to": way.target, "amounts": dict(way.amounts)} for way in report.steps.ways
        ],
    }


def _end_data(one: EndPart) -> dict[str, object]:
    return {
        "account": one.account,
        "of_the_lot": one.amount,
        "alcohol_ul": one.liquid.alcohol_ul,
        "bulk_ul": one.liquid.bulk_ul,
        "pieces": one.pieces,
        "gone": one.gone,
    }


def _steps_data(steps: Condensed) -> Iterable[Mapping[str, object]]:
    for step in steps.steps:
        yield {
            "step": step.key,
            "accounts": list(step.accounts),
            "times": step.times,
            "batch": step.batch or None,
            "first": moment_text(step.first),
            "last": moment_text(step.last),
            "people": list(step.people),
            "entries": sorted({node.number for node in step.nodes}),
        }


def _dated(row: dict[str, object]) -> dict[str, object]:
    return {name: moment_text(value) if isinstance(value, datetime) else value for name, value in row.items()}
