"""What a batch's rows say of its runs, put together: receivers as they stand, readings, what was taken."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from caskward.errors import InputError
from caskward.errors.batch_receivers import NoSuchReceiver
from caskward.planning.jars import Mark
from caskward.planning.readings import Reading
from caskward.services import batch_done, batch_receivers, batch_typed
from caskward.services.batch_receivers import FORESHOTS, RunKey, RunKind, Said, Vessel

_RECEIVER: Final = re.compile(
    r"\s*(jars?|cans?|foreshots)\b(\s*\w[\w .-]*?)?\s*:(.*)", re.DOTALL | re.IGNORECASE
)
_LATER: Final = ("charge", "run", "heart", "cask")
"""Stages whose readings say that no strip runs any more."""


@dataclass(frozen=True)
class Receiver:
    """One receiver as it stands.

    volume_l: at 20 °C. from_l: what had come over in its run when it was put under. pct_vol: None where it
    was not read. mark: None as yet.
    """

    of: RunKey
    name: str
    vessel: Vessel
    volume_l: float
    from_l: float = 0.0
    pct_vol: float | None = None
    mark: Mark | None = None
    smells: tuple[str, ...] = ()

    @property
    def to_l(self) -> float:
        """What had come over in its run when it was taken away [L]."""
        return self.from_l + self.volume_l

    @property
    def discarded(self) -> bool:
        """True where it goes nowhere that a person drinks from."""
        return self.mark is not None and self.mark.place == "discard"


@dataclass(frozen=True)
class AtLitres:
    """Something read when so many litres had come over: a strength [%vol at 20 °C] or a warmth [°C]."""

    of: RunKey
    at_l: float
    value: float


@dataclass(frozen=True)
class RunLog:
    """Everything of a batch's runs, in order.

    begun: runs, as rows came to speak of them, with the number of rows before each. taken: names of what went
    into the heart. started: runs whose first drop a row tells. now: the run that rows belong to; None before
    any.
    """

    receivers: tuple[Receiver, ...] = ()
    spouts: tuple[AtLitres, ...] = ()
    heads: tuple[AtLitres, ...] = ()
    begun: tuple[tuple[RunKey, int], ...] = ()
    taken: tuple[str, ...] = ()
    started: frozenset[RunKey] = frozenset()

    @property
    def now(self) -> RunKey | None:
        """The run that rows belong to; None before any."""
        return self.begun[-1][0] if self.begun else None

    def of_run(self, key: RunKey) -> tuple[Receiver, ...]:
        """The receivers of one run, in the order in which they were filled."""
        return tuple(one for one in self.receivers if one.of == key)

    def of_kind(self, kind: RunKind) -> tuple[Receiver, ...]:
        """The receivers of all strips, or of all spirit runs."""
        return tuple(one for one in self.receivers if one.of[0] == kind)

    def over_l(self, key: RunKey) -> float:
        """How much has come over in a run, as far as it is recorded [L]."""
        in_receivers = sum(one.volume_l for one in self.of_run(key))
        read = [one.at_l for one in (*self.spouts, *self.heads) if one.of == key]
        return max([in_receivers, *read])

    def is_running(self, key: RunKey) -> bool:
        """Whether a run's first drop has come: a charge that was made up has not begun."""
        return self.over_l(key) > 0.0 or key in self.started


def log_of(rows: Iterable[str]) -> RunLog:
    """What rows of a batch say of its runs; rows that are not understood are passed over."""
    found = _Log()
    for number, row in enumerate(rows):
        try:
            found.take(row, number)
        except InputError:
            continue
    return found.done()


def named(rows: Sequence[str], before: Sequence[str]) -> tuple[str, ...]:
    """Rows as they are kept: a receiver without a name gets the next number of its run's kind.

    Raises:
        NoSuchReceiver: a mark or a choice of one that was never filled.
    """
    log = _Log()
    kept: list[str] = []
    for number, row in enumerate(before):
        try:
            log.take(row, number)
        except InputError:
            continue
    for row in map(log.with_name, rows):
        log.refuse_unknown(row)
        log.take(row, len(before) + len(kept))
        kept.append(row)
    return tuple(kept)


class _Log:
    """Rows taken in one after the other."""

    def __init__(self) -> None:
        self.kept: dict[tuple[RunKind, str], tuple[RunKey, Said]] = {}
        self.spouts: list[AtLitres] = []
        self.heads: list[AtLitres] = []
        self.begun: list[tuple[RunKey, int]] = []
        self.taken: tuple[str, ...] = ()
        self.started: set[RunKey] = set()

    def now(self) -> RunKey:
        """The run that a row belongs to: a spirit run, unless rows said otherwise."""
        return self.begun[-1][0] if self.begun else ("run", 1)

    def take(self, row: str, number: int) -> None:
        """One more row."""
        begins = batch_receivers.begun(row)
        if begins is not None:
            self._go_to(begins, number)
            self.started.add(begins)
        elif (names := batch_receivers.taken(row)) is not None:
            self.taken = names
        elif batch_receivers.is_of_receivers(row):
            self._fill(batch_receivers.said(row), number)
        else:
            self._read(row, number)

    def with_name(self, row: str) -> str:
        """A row whose receiver has a name."""
        kind, _ = self.now()
        matched = _RECEIVER.fullmatch(row)
        if not matched:
            return row
        of = "strip " if kind == "strip" else ""
        if matched[2]:
            return f"{of}{matched[1]}{matched[2]}:{matched[3]}"
        if matched[1].lower() == FORESHOTS:
            return f"{of}{self._foreshots()}:{matched[3]}"
        last = [
            name.removeprefix("jar ").removeprefix("can ") for of_kind, name in self.kept if of_kind == kind
        ]
        numbers = [int(number) for number in last if number.isascii() and number.isdigit()]
        return f"{of}{matched[1].lower().rstrip('s')} {max(numbers, default=0) + 1}:{matched[3]}"

    def _foreshots(self) -> str:
        """The name of this run's foreshots: those of an earlier run stand in a glass of their own."""
        kind, number = self.now()
        others = {name for (of, name), (key, _) in self.kept.items() if of == kind and key != (kind, number)}
        return f"{FORESHOTS} {number}" if FORESHOTS in others else FORESHOTS

    def refuse_unknown(self, row: str) -> None:
        """Refuse a mark or a choice of what was never filled."""
        there = {name for _, name in self.kept}
        asked = batch_receivers.taken(row) or ()
        if batch_receivers.is_of_receivers(row) and not asked and batch_receivers.begun(row) is None:
            one = batch_receivers.said(row)
            if one.volume_l is None:
                there, asked = {name for kind, name in self.kept if kind == self.now()[0]}, (one.name,)
        for name in asked:
            if name not in there:
                raise NoSuchReceiver(name, tuple(name for _, name in self.kept))

    def _go_to(self, key: RunKey, number: int) -> None:
        if not self.begun or self.begun[-1][0] != key:
            self.begun.append((key, number))

    def _fill(self, one: Said, number: int) -> None:
        key = self.now()
        self._go_to(key, number)
        of, before = self.kept.get((key[0], one.name), (key, None))
        if before is None:
            if one.volume_l is not None:
                self.kept[key[0], one.name] = (key, one)
            return
        self.kept[key[0], one.name] = (of, _with(before, one))

    def _read(self, row: str, number: int) -> None:
        if (found := batch_receivers.head(row)) is not None:
            kind, at_l, temp_c = found
            self.heads.append(AtLitres(self._of_kind(kind, number), at_l, temp_c))
        for kept in batch_receivers.without((row,)):
            if batch_done.says_done(kept):
                continue
            for reading in batch_typed.row_of(kept):
                self._reading(reading, number)

    def _reading(self, reading: Reading, number: int) -> None:
        if reading.quantity == "spout" and not reading.bound:
            kind: RunKind = "strip" if reading.stage == "strip" else "run"
            self.spouts.append(AtLitres(self._of_kind(kind, number), reading.at_l, reading.value))
        elif reading.stage in _LATER:
            self._of_kind("run", number)

    def _of_kind(self, kind: RunKind, number: int) -> RunKey:
        """The run of a kind that is under way; the first of it, if none is."""
        if not self.begun or self.begun[-1][0][0] != kind:
            self._go_to((kind, 1), number)
        return self.now()

    def done(self) -> RunLog:
        """Everything."""
        over: dict[RunKey, float] = {}
        filled = []
        for (_, name), (key, one) in self.kept.items():
            volume_l = one.volume_l or 0.0
            from_l = over.get(key, 0.0)
            over[key] = from_l + volume_l
            filled.append(
                Receiver(key, name, one.vessel, volume_l, from_l, one.pct_vol, one.mark, one.smells)
            )
        started = frozenset(self.started)
        return RunLog(
            tuple(filled), tuple(self.spouts), tuple(self.heads), tuple(self.begun), self.taken, started
        )


def _with(before: Said, one: Said) -> Said:
    """What is said again holds; what is not said again stays."""
    return replace(
        before,
        volume_l=before.volume_l if one.volume_l is None else one.volume_l,
        pct_vol=before.pct_vol if one.pct_vol is None else one.pct_vol,
        mark=one.mark or before.mark,
        smells=one.smells or before.smells,
    )
