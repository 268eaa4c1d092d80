"""A lineage in words: the answer, a tree of its steps, the lots, whose alcohol it is, where it went."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from caskward.book.accounts import name_of, root_of
from caskward.book.words import name_in_words
from caskward.services.book.lineage import Step
from caskward.services.book.moments import shown
from caskward.services.book.pages import HELP, Page, Section
from caskward.services.book.shares_shown import decimal, goods, pure_unit, thousandths
from caskward.services.book.trace_report import EndPart, LotPart, TraceReport
from caskward.services.book.words import amount, place
from caskward.units.types import UnitSystem

_MIXED = (
    "A place is mixed through: what leaves it comes from all that went in, however little. What was lost or "
    "thrown away on the way is left out here; the trace as JSON has every entry."
)


@dataclass(frozen=True, slots=True)
class TreeLine:
    """A line of the tree: bars of the branches it lies in, what stands there, and when and by whom.

    A `leaf` is a lot that nothing more is behind.
    """

    bars: str
    words: str
    detail: str
    leaf: bool = False


def trace_page(report: TraceReport, system: UnitSystem) -> Page:
    """The lineage for a screen or paper, without its tree."""
    way = "back to the sacks" if report.direction == "back" else "forward to the bottles"
    sections = (_lots(report, system), _alcohol(report, system), _ends(report, system))
    return Page(
        title="Trace",
        about=f"{called(report.account)}, {way}",
        answers=_answers(report),
        sections=tuple(one for one in sections if one.rows),
        notes=(_MIXED, HELP),
        invented=report.invented,
        paper="us-letter" if system == "us" else "a4",
    )


def _answers(report: TraceReport) -> tuple[str, ...]:
    who = _several(len(report.people), "person", "people")
    names = ", ".join(report.people)
    wrote = f"{_several(len(report.entries), 'entry', 'entries')} lie on the way, by {who}: {names}."
    if report.direction == "back":
        lots = _several(len(report.lots), "lot", "lots")
        suppliers = _several(len({part.supplier for part in report.lots}), "supplier", "suppliers")
        return (f"{called(report.account)} comes from {lots} of {suppliers}.", wrote)
    return (*_went(report.ends), wrote)


def _went(ends: tuple[EndPart, ...]) -> tuple[str, ...]:
    if not ends:
        return ("It went nowhere but into what is used up or lost.",)
    casks = sum(root_of(end.account).name == "cask" for end in ends)
    bottles = sum(end.pieces for end in ends if root_of(end.account).name == "bottles")
    sold = sum(end.pieces for end in ends if root_of(end.account).name == "sold")
    others = sum(root_of(end.account).name in ("vessel", "jar") for end in ends)
    parts = [
        "in the lot itself, unused"
        if any(root_of(end.account).name in ("lot", "goods") for end in ends)
        else "",
        f"in {_several(casks, 'cask', 'casks')}" if casks else "",
        f"in {_several(bottles, 'bottle', 'bottles')} here" if bottles else "",
        f"in {_several(sold, 'bottle', 'bottles')} sold" if sold else "",
        f"in {_several(others, 'other place', 'other places')}" if others else "",
    ]
    found = [part for part in parts if part]
    return (f"Some of it is {', '.join(found)}." if found else "Some of it left the house.",)


def _several(count: int, one: str, many: str) -> str:
    return f"{count} {one if count == 1 else many}"


# The tree ----------------------------------------------------------------------------------------


def tree(report: TraceReport) -> tuple[TreeLine, ...]:
    """Every step once, the nearest first.

    A single way goes on straight below; of several the shorter ones stand as branches, and the longest goes
    on below them, so that a year of batches still fits a narrow terminal.
    """
    return tuple(_Tree(report).lines())


class _Tree:
    def __init__(self, report: TraceReport) -> None:
        self.report, self.steps = report, report.steps
        self.next = self.steps.sources if report.direction == "back" else self.steps.targets
        self.word = "from" if report.direction == "back" else "into"
        self.seen: set[int] = set()
        self.lots = {part.account: part for part in report.lots}

    def lines(self) -> Iterator[TreeLine]:
        for key in self.steps.starts:
            yield from self._step(key, "", "")

    def _step(self, key: int, bars: str, lead: str) -> Iterator[TreeLine]:
        """A step and all behind it; a long trunk is walked in a loop, only branches go deeper."""
        while True:
            step = self.steps.step(key)
            if key in self.seen:
                yield TreeLine(bars, f"{lead}{label(step)}", "as above")
                return
            self.seen.add(key)
            yield from self._said(step, bars, lead)
            kids = sorted(self.next.get(key, ()), key=lambda one: (self._size(one), one))
            if not kids:
                return
            straight = self._goes_on(kids)
            for kid in kids[:-1] if straight else kids:
                yield from self._branch(kid, bars)
            if not straight:
                return
            key, lead = kids[-1], f"{self.word} "

    def _goes_on(self, kids: list[int]) -> bool:
        """Whether the last of these goes on straight below: sacks at the end stand as a list."""
        last = self.steps.step(kids[-1])
        return self._size(last.key) > 1 or (len(kids) == 1 and last.root not in ("lot", "goods"))

    def _branch(self, key: int, bars: str) -> Iterator[TreeLine]:
        inner = list(self._step(key, f"{bars}│  ", ""))
        first, *rest = inner
        if all(line.leaf for line in inner):
            yield from (TreeLine(bars, f"• {line.words}", line.detail, leaf=True) for line in inner)
            return
        yield TreeLine(bars, f"• {first.words}", first.detail)
        yield from rest

    def _said(self, step: Step, bars: str, lead: str) -> Iterator[TreeLine]:
        if step.root in ("lot", "goods"):
            leaf = not self.next.get(step.key)
            for account in step.accounts:
                part = self.lots.get(account)
                came = f"{shown(part.received_at)[:10]} · {part.author}" if part else _when(step)
                yield TreeLine(bars, f"{lead}{self._lot(account)}", came, leaf)
            return
        yield TreeLine(bars, f"{lead}{label(step)}", _when(step))

    def _lot(self, account: str) -> str:
        part = self.lots.get(account)
        if part is None:
            return f"lot {place(account)}"
        return f"lot {place(account)}: {name_in_words(part.commodity)}, {supplied(part)}"

    def _size(self, key: int) -> int:
        """How many steps lie behind one that were not shown yet, itself included; 0 if it was."""
        waiting, found = [key], set()
        while waiting:
            one = waiting.pop()
            if one not in found and one not in self.seen:
                found.add(one)
                waiting += self.next.get(one, ())
        return len(found)


def supplied(part: LotPart) -> str:
    """`the maltings, M 4471`."""
    return ", ".join(text for text in (part.supplier, part.product, part.supplier_lot) if text)


def label(step: Step) -> str:
    """`still, 3 times`, `jars 1 to 7, 14 times`, `cask 2`."""
    names = [called(account) for account in step.accounts]
    if step.root == "jar" and len(names) > 1:
        plain = [name.removeprefix("jar ") for name in names]
        names = [f"jars {plain[0]} to {plain[-1]}" if _in_a_row(plain) else f"jars {', '.join(plain)}"]
    times = f", {step.times} times" if step.times > len(step.accounts) else ""
    return ", ".join(names) + times


def called(account: str) -> str:
    """A place by its name, an end with what it is: `cask 2`, `sold: farm gate`, `batch rye 1`."""
    root = root_of(account).name
    if root == "made":
        return f"batch {account.rpartition('/')[2]}"
    return place(account) if root_of(account).holds else f"{root}: {name_of(account)}"


def _in_a_row(names: list[str]) -> bool:
    """Whether the names count on: 1, 2, 3."""
    return (
        len(names) > 2
        and names[0].isdecimal()
        and names == [str(int(names[0]) + n) for n in range(len(names))]
    )


def _when(step: Step) -> str:
    first, last = shown(step.first)[:10], shown(step.last)[:10]
    days = first if first == last else f"{first} to {last[5:] if last[:4] == first[:4] else last}"
    return " · ".join(text for text in (step.batch, days, ", ".join(step.people)) if text)


# The tables --------------------------------------------------------------------------------------


def _lots(report: TraceReport, system: UnitSystem) -> Section:
    rows = tuple(
        (
            place(part.account),
            name_in_words(part.commodity),
            goods(part.amount, part.commodity, system) if part.amount else "",
            supplied(part),
        )
        for part in report.lots
    )
    return Section("Lots that it came from", ("", "", "in it", "from"), "llrl", rows)


def _alcohol(report: TraceReport, system: UnitSystem) -> Section:
    unit = pure_unit(system)
    counts = thousandths([part.alcohol_ul for part in report.alcohol], unit)
    whole = sum(part.alcohol_ul for part in report.alcohol)
    rows = tuple(
        (_origin(part.origin), decimal(count), f"{100.0 * part.alcohol_ul / whole:.1f} %" if whole else "")
        for part, count in zip(report.alcohol, counts, strict=True)
    )
    return Section("Whose alcohol it is", ("", unit.short, ""), "lrr", rows)


def _origin(account: str) -> str:
    root, name = root_of(account).name, name_of(account)
    if root == "made":
        how, _, batch = name.partition("/")
        return f"batch {batch}, by {how}"
    if root == "unaccounted":
        return f"found too much: {name.partition('/')[2] or name}"
    return f"{root}: {name}"


def _ends(report: TraceReport, system: UnitSystem) -> Section:
    what = name_in_words(report.commodity) if report.commodity else ""
    rows = tuple(
        (
            called(end.account),
            goods(end.amount, report.commodity, system) if report.commodity and end.amount else "",
            _holds(end, system),
        )
        for end in sorted(report.ends, key=lambda end: end.gone)
    )
    head = ("", f"{what} in it" if what else "", "all of it")
    return Section("Where it is, and whom it went to", head, "lrl", rows)


def _holds(end: EndPart, system: UnitSystem) -> str:
    pieces = f"{end.pieces} pieces, " if end.pieces else ""
    return f"{pieces}{amount(end.liquid, system)}" if end.liquid.bulk_ul else pieces.rstrip(", ")
