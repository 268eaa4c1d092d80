"""Where something came from or went to, condensed: contents that behaved alike become one step.

A content to which only more was added is one with what it became. Steps of the same place, batch and kind
whose sources and targets are the same ones become one (the coarsest such grouping): three strips of a tub are
one step, and so are seven jars of a heart. Steps that follow one another never become one, since they lie at
different distances from where all began.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from caskward.book.accounts import root_of
from caskward.book.trace import Edge, Lineage, Node, Trace


@dataclass(frozen=True, slots=True)
class Step:
    """Contents that behaved alike.

    Args:
        key: its number within the lineage, in the order of time.
        accounts: their places, each once. nodes: every content; times: how often there was one.
        batch: the one batch of the entries that made them, empty if of none or several.
        first, last: when the earliest and the latest of them came to be.
        people: who recorded them.
    """

    key: int
    accounts: tuple[str, ...]
    nodes: tuple[Node, ...]
    times: int
    batch: str
    first: datetime
    last: datetime
    people: tuple[str, ...]

    @property
    def root(self) -> str:
        """The root of its accounts: `cask`, `lot`, `sold` ..."""
        return root_of(self.accounts[0]).name


@dataclass(frozen=True, slots=True)
class Way:
    """What went from one step into another: whole amounts by commodity."""

    source: int
    target: int
    amounts: Mapping[str, int]


@dataclass(frozen=True)
class Condensed:
    """A lineage in steps; `starts` are the steps that were asked about."""

    steps: tuple[Step, ...]
    ways: tuple[Way, ...]
    starts: tuple[int, ...]
    sources: dict[int, list[int]] = field(default_factory=dict)
    targets: dict[int, list[int]] = field(default_factory=dict)

    def step(self, key: int) -> Step:
        """A step by its number."""
        return self.steps[key]


_BESIDE = frozenset({"made", "lost", "destroyed", "unaccounted", "changed"})
"""What a step gave to these, or had from them, is told in words and not followed."""


def condensed(trace: Trace, lineage: Lineage) -> Condensed:
    """The lineage in steps, without what was lost beside and without the suppliers of lots."""
    starts = set(lineage.starts)
    nodes = [node for node in lineage.nodes if node in starts or not _beside(node, lineage)]
    edges = [edge for edge in set(lineage.edges) if {edge.source, edge.target} <= set(nodes)]
    edges.sort(key=lambda edge: (edge.number, edge.source, edge.target, edge.commodity))
    home = _merged(nodes, edges)
    edges = [edge for edge in edges if home[edge.source] != home[edge.target]]
    kind = {node: _kind(trace, node) for node in nodes}
    steps = _steps(trace, _alike(home, edges, kind), home)
    key_of = {node: step.key for step in steps for node in step.nodes}
    ways = _ways(edges, key_of)
    found = Condensed(steps, ways, tuple(dict.fromkeys(key_of[node] for node in lineage.starts)))
    for way in ways:
        found.sources.setdefault(way.target, []).append(way.source)
        found.targets.setdefault(way.source, []).append(way.target)
    return found


def _beside(node: Node, lineage: Lineage) -> bool:
    root = root_of(node.account).name
    if root != "received":
        return root in _BESIDE
    targets = {edge.target.account for edge in lineage.edges if edge.source == node}
    return bool(targets) and all(root_of(account).name in ("lot", "goods") for account in targets)


def _merged(nodes: Iterable[Node], edges: Iterable[Edge]) -> dict[Node, Node]:
    """Each content, and the later one of the same place that all of it became a part of."""
    into: dict[Node, set[Node]] = {}
    for edge in edges:
        into.setdefault(edge.source, set()).add(edge.target)
    home = {node: node for node in nodes}
    for node in sorted(home, key=lambda one: one.number, reverse=True):
        only = into.get(node, set())
        if len(only) == 1:
            (later,) = only
            if later.account == node.account and root_of(node.account).holds:
                home[node] = home[later]
    return home


def _kind(trace: Trace, node: Node) -> tuple[str, str]:
    """What two contents must have in common to be one step at all: place or root, and batch."""
    root = root_of(node.account)
    happening = trace.happenings.get(node.number)
    batch = (happening.batch or "") if happening else ""
    return (root.name if root.name in ("jar", "lot", "goods") else node.account), batch


def _alike(
    home: Mapping[Node, Node], edges: Iterable[Edge], kind: Mapping[Node, tuple[str, str]]
) -> dict[int, list[Node]]:
    """The coarsest grouping by kind in which all of a group have sources and targets in the same groups."""
    homes = sorted(set(home.values()), key=lambda node: (node.number, node.account))
    pairs = {(home[edge.source], home[edge.target]) for edge in edges}
    sources: dict[Node, set[Node]] = {}
    targets: dict[Node, set[Node]] = {}
    for source, target in pairs:
        sources.setdefault(target, set()).add(source)
        targets.setdefault(source, set()).add(target)
    group = _numbered({node: kind[node] for node in homes})
    while True:
        signs = {
            node: (
                group[node],
                frozenset(group[one] for one in sources.get(node, ())),
                frozenset(group[one] for one in targets.get(node, ())),
            )
            for node in homes
        }
        finer = _numbered(signs)
        if max(finer.values(), default=0) == max(group.values(), default=0):
            break
        group = finer
    members: dict[int, list[Node]] = {}
    for node in sorted(home, key=lambda node: (node.number, node.account)):
        members.setdefault(group[home[node]], []).append(node)
    return members


def _numbered(signs: Mapping[Node, object]) -> dict[Node, int]:
    """Each sign as a number, in the order in which the signs first come."""
    numbers: dict[object, int] = {}
    return {node: numbers.setdefault(sign, len(numbers)) for node, sign in signs.items()}


def _steps(trace: Trace, groups: Mapping[int, list[Node]], home: Mapping[Node, Node]) -> tuple[Step, ...]:
    ordered = sorted(groups.values(), key=lambda nodes: (nodes[-1].number, nodes[0].account))
    return tuple(
        _step(trace, key, nodes, len({home[node] for node in nodes})) for key, nodes in enumerate(ordered)
    )


def _step(trace: Trace, key: int, nodes: list[Node], times: int) -> Step:
    said = [trace.happenings[node.number] for node in nodes]
    batches = {one.batch for one in said if one.batch}
    return Step(
        key=key,
        accounts=tuple(dict.fromkeys(node.account for node in nodes)),
        nodes=tuple(nodes),
        times=times,
        batch=batches.pop() if len(batches) == 1 else "",
        first=min(one.at for one in said),
        last=max(one.at for one in said),
        people=tuple(sorted({one.said_by.author for one in said})),
    )


def _ways(edges: Iterable[Edge], key_of: Mapping[Node, int]) -> tuple[Way, ...]:
    sums: dict[tuple[int, int], dict[str, int]] = {}
    for edge in edges:
        source, target = key_of[edge.source], key_of[edge.target]
        there = sums.setdefault((source, target), {})
        there[edge.commodity] = there.get(edge.commodity, 0) + edge.amount
    return tuple(Way(*ends, amounts) for ends, amounts in sorted(sums.items()))
