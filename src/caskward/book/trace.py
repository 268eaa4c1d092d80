"""From a bottle back to every sack and person, and from a sack forward to every bottle.

The content of a place since something last came in is one node; what moves is an edge. A place is mixed
through, so a content comes from all that went into it, however little; nothing that a recall must reach is
rounded away.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

from caskward.book.accounts import ALCOHOL, BULK, root_of
from caskward.book.amounts import shared_out
from caskward.book.flow import Flow, Pool, flow_of
from caskward.book.history import Happening, Sides, sides, without_changed
from caskward.errors.book import NothingInIt


@dataclass(frozen=True, slots=True, order=True)
class Node:
    """The content of a place, or of a source or an end, since this entry put something in."""

    account: str
    number: int


@dataclass(frozen=True, slots=True)
class Edge:
    """So much of a commodity from one content into another, by an entry."""

    source: Node
    target: Node
    commodity: str
    amount: int
    number: int


@dataclass(frozen=True, slots=True)
class Lineage:
    """All that a content came from, or all that it went into.

    `nodes` begin with the starts and go on in the order in which they are reached; `edges` are those between
    them; `people` are the authors of every entry on the way, `entries` their numbers.
    """

    starts: tuple[Node, ...]
    nodes: tuple[Node, ...]
    edges: tuple[Edge, ...]
    entries: tuple[int, ...]
    people: tuple[str, ...]

    def of(self, *roots: str) -> tuple[Node, ...]:
        """The nodes whose account has one of these roots: `lot`, `bottles`, `sold` ..."""
        return tuple(node for node in self.nodes if root_of(node.account).name in roots)


@dataclass
class Trace:
    """The graph of all contents of a history, and what each account's content is made of."""

    flow: Flow
    edges: list[Edge] = field(default_factory=list)
    last: dict[str, Node] = field(default_factory=dict)
    happenings: dict[int, Happening] = field(default_factory=dict)

    def back(self, account: str, number: int | None = None) -> Lineage:
        """Everything that a place's last content, or all that ever went to an end, came from.

        With a number only what that entry put there, and what was there already.
        """
        starts = {self._last(account)} if number is None else {Node(account, number)}
        if number is None and not root_of(account).holds:
            starts |= {node for node in self._into if node.account == account}
        return self._walk(sorted(starts), self._into, "source")

    def forward(self, account: str, number: int | None = None) -> Lineage:
        """Everything that anything ever in an account went into, or only what one entry put there."""
        if number is not None:
            return self._walk([Node(account, number)], self._out, "target")
        starts = {node for node in self._out if node.account == account}
        if account in self.last or not starts:
            starts.add(self._last(account))
        return self._walk(sorted(starts), self._out, "target")

    def materials(self, account: str) -> Pool:
        """How much of each lot of material is in an account's content, as far as it is mixed through."""
        parts = [self.flow.content(account, family) for family in ("mass", "volume", "piece")]
        return {tag: amount for part in parts for tag, amount in part.items()}

    @cached_property
    def _into(self) -> dict[Node, list[Edge]]:
        found: dict[Node, list[Edge]] = {}
        for edge in self.edges:
            found.setdefault(edge.target, []).append(edge)
        return found

    @cached_property
    def _out(self) -> dict[Node, list[Edge]]:
        found: dict[Node, list[Edge]] = {}
        for edge in self.edges:
            found.setdefault(edge.source, []).append(edge)
        return found

    def _last(self, account: str) -> Node:
        if account not in self.last:
            raise NothingInIt(account, "history")
        return self.last[account]

    def _walk(
        self, starts: list[Node], edges: Mapping[Node, list[Edge]], end: Literal["source", "target"]
    ) -> Lineage:
        waiting, seen, found = list(starts), set(starts), []
        for node in waiting:
            for edge in edges.get(node, ()):
                found.append(edge)
                other = edge.source if end == "source" else edge.target
                if other not in seen:
                    seen.add(other)
                    waiting.append(other)
        numbers = sorted({edge.number for edge in found} | {node.number for node in waiting})
        people = {self.happenings[number].said_by.author for number in numbers if number in self.happenings}
        return Lineage(tuple(starts), tuple(waiting), tuple(found), tuple(numbers), tuple(sorted(people)))


def trace_of(happenings: Iterable[Happening]) -> Trace:
    """The trace of a history that is put right."""
    happenings = list(happenings)
    trace = Trace(flow_of(happenings))
    held: dict[tuple[str, str], int] = {}
    for happening in happenings:
        trace.happenings[happening.number] = happening
        _link(trace, held, happening)
        for place, amount in happening.net().items():
            held[place] = held.get(place, 0) + amount
    return trace


def _link(trace: Trace, held: Mapping[tuple[str, str], int], happening: Happening) -> None:
    """A new node for whatever received something, and an edge to it from each source and from what stayed."""
    before, both = dict(trace.last), sides(happening)
    for commodity, side in both.items():
        outs, ins = without_changed(side.outs), without_changed(side.ins)
        if not outs:
            continue
        for target, amount in ins.items():
            node = Node(target, happening.number)
            if trace.last.get(target) != node:
                trace.last[target] = node
                trace.edges += _stays(before.get(target), node, held, both)
            for source, part in zip(outs, shared_out(amount, list(outs.values())), strict=True):
                if part:
                    origin = _origin(source, happening.number, before)
                    trace.edges.append(Edge(origin, node, commodity, part, happening.number))


def _origin(account: str, number: int, before: Mapping[str, Node]) -> Node:
    here = Node(account, number)
    return before.get(account, here) if root_of(account).holds else here


def _stays(
    old: Node | None, node: Node, held: Mapping[tuple[str, str], int], both: Mapping[str, Sides]
) -> list[Edge]:
    """What is left of the old content is a part of the new one."""
    if old is None or not root_of(node.account).holds:
        return []
    rows = []
    for commodity in dict.fromkeys((ALCOHOL, BULK, *both)):
        goes = both[commodity].outs.get(node.account, 0) if commodity in both else 0
        left = held.get((node.account, commodity), 0) - goes
        if left > 0:
            rows.append(Edge(old, node, commodity, left, node.number))
    return rows
