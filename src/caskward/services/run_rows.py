"""Rows and deeds of a batch's runs taken in one after the other, in the order in which it was done.

A row that says of which run it is goes there; any other goes to the run under way, and where the book has
entered that one, to the next.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from caskward.errors import InputError
from caskward.errors.batch_receivers import ForeshotsStayOut, NoSuchReceiver
from caskward.planning.readings import Reading
from caskward.services import batch_done, batch_receivers, batch_typed
from caskward.services.batch_receivers import FORESHOTS, HeartOf, RunKey, RunKind, Said

_LATER: Final = ("charge", "run", "heart", "cask")
"""Stages whose readings say that no strip runs any more."""


@dataclass(frozen=True)
class AtLitres:
    """Something read when so many litres had come over: a strength [%vol at 20 °C] or a warmth [°C]."""

    of: RunKey
    at_l: float
    value: float


@dataclass(frozen=True)
class Entered:
    """The book has a whole run as a deed, which no row tells."""

    kind: RunKind


class RunRows:
    """What rows said so far."""

    def __init__(self) -> None:
        self.kept: dict[tuple[RunKind, str], tuple[RunKey, Said]] = {}
        self.spouts: list[AtLitres] = []
        self.heads: list[AtLitres] = []
        self.begun: list[tuple[RunKey, int]] = []
        self.taken: dict[RunKey | None, tuple[str, ...]] = {}
        self.hearts: dict[RunKey, HeartOf] = {}
        self.started: set[RunKey] = set()
        self.entered: dict[RunKind, int] = {"strip": 0, "run": 0}

    def now(self) -> RunKey:
        """The run that a row belongs to: a spirit run, unless rows said otherwise."""
        return self._open(self.begun[-1][0] if self.begun else ("run", 1))

    def enter(self, deed: Entered) -> None:
        """The book has one more run of a kind."""
        self.entered[deed.kind] += 1

    def take(self, row: str, number: int) -> None:
        """One more row."""
        begins = batch_receivers.begun(row)
        if begins is not None:
            self._go_to(begins, number)
            self.started.add(begins)
        elif (names := batch_receivers.taken(row)) is not None:
            self._choose(batch_receivers.taken_of(row), names)
        elif (heart := batch_receivers.heart_of(row)) is not None:
            self._go_to(heart.of, number)
            self.hearts[heart.of] = heart
        elif batch_receivers.is_of_receivers(row):
            self._fill(batch_receivers.said(row), number)
        else:
            self._read(row, number)

    def with_name(self, row: str) -> str:
        """A row whose receiver has a name."""
        parts = batch_receivers.parts_of(row)
        if not parts:
            return row
        kind, number = self._key(parts.of)
        said = " ".join(map(str, parts.of if parts.of[1] else parts.of[:1])) if parts.of else ""
        begin = said or ("strip" if kind == "strip" else "")
        name = f"{parts.vessel} {parts.name}".strip()
        if not parts.name:
            name = (
                self._foreshots((kind, number))
                if parts.vessel == FORESHOTS
                else f"{parts.vessel} {self._next(kind)}"
            )
        return f"{begin} {name}:{parts.text}".strip()

    def _next(self, kind: RunKind) -> int:
        last = [name.partition(" ")[2] for of, name in self.kept if of == kind]
        return max((int(one) for one in last if one.isascii() and one.isdigit()), default=0) + 1

    def _foreshots(self, of: RunKey) -> str:
        """The name of this run's foreshots: those of an earlier run stand in a glass of their own."""
        kind, number = of
        others = {name for (other, name), (key, _) in self.kept.items() if other == kind and key != of}
        return f"{FORESHOTS} {number}" if FORESHOTS in others else FORESHOTS

    def refuse_unknown(self, row: str) -> None:
        """Refuse a mark or a choice of what was never filled, or of foreshots."""
        there = {name for _, name in self.kept}
        asked = batch_receivers.taken(row) or ()
        if batch_receivers.parts_of(row):
            one = batch_receivers.said(row)
            if one.called is not None and one.called.score > 0.0:
                _refuse_foreshots(one.name)
            if one.volume_l is None:
                kind = self._key(one.of)[0]
                there, asked = {name for of, name in self.kept if of == kind}, (one.name,)
        else:
            for name in asked:
                _refuse_foreshots(name)
        for name in asked:
            if name not in there:
                raise NoSuchReceiver(name, tuple(name for _, name in self.kept))

    def _key(self, of: RunKey | None) -> RunKey:
        """The run that a row is of, as far as it says so."""
        if of is None:
            return self.now()
        return of if of[1] else self._under_way(of[0])

    def _open(self, key: RunKey) -> RunKey:
        """That run, or the one after it where the book has entered it."""
        kind, number = key
        return kind, max(number, self.entered[kind] + 1)

    def _under_way(self, kind: RunKind) -> RunKey:
        own = [key for key, _ in self.begun if key[0] == kind]
        return self._open(own[-1] if own else (kind, 1))

    def _go_to(self, key: RunKey, number: int) -> None:
        if not self.begun or self.begun[-1][0] != key:
            self.begun.append((key, number))

    def _choose(self, of: RunKey | None, names: tuple[str, ...]) -> None:
        if of is None:
            self.taken.clear()
        self.taken[of] = names

    def _fill(self, one: Said, number: int) -> None:
        key = self._key(one.of)
        of, before = self.kept.get((key[0], one.name), (key, None))
        self._go_to(of, number)
        if before is not None:
            self.kept[key[0], one.name] = (of, _with(before, one))
        elif one.volume_l is not None:
            self.kept[key[0], one.name] = (key, one)

    def _read(self, row: str, number: int) -> None:
        of, plain = batch_receivers.at_litres(row)
        if (found := batch_receivers.head(plain)) is not None:
            kind, at_l, temp_c = found
            self.heads.append(AtLitres(self._at(of, kind, number), at_l, temp_c))
        for kept in batch_receivers.without((plain,)):
            if batch_done.says_done(kept):
                continue
            for reading in batch_typed.row_of(kept):
                self._reading(reading, of, number)

    def _reading(self, reading: Reading, of: RunKey | None, number: int) -> None:
        if reading.quantity == "spout" and not reading.bound:
            kind: RunKind = "strip" if reading.stage == "strip" else "run"
            self.spouts.append(AtLitres(self._at(of, kind, number), reading.at_l, reading.value))
        elif reading.stage in _LATER:
            own = [key for key, _ in self.begun if key[0] == "run"]
            self._go_to(own[-1] if own else ("run", 1), number)

    def _at(self, of: RunKey | None, kind: RunKind, number: int) -> RunKey:
        """The run that a reading is of: the one of its kind that is under way, unless it says so itself."""
        key = of or self._under_way(kind)
        self._go_to(key, number)
        return key


def taken_in(rows: RunRows, items: tuple[str | Entered, ...]) -> RunRows:
    """Rows and deeds taken in; what is not understood is passed over."""
    for number, item in enumerate(items):
        try:
            if isinstance(item, Entered):
                rows.enter(item)
            else:
                rows.take(item, number)
        except InputError:
            continue
    return rows


def _refuse_foreshots(name: str) -> None:
    if name.startswith(FORESHOTS):
        raise ForeshotsStayOut(name)


def _with(before: Said, one: Said) -> Said:
    """What is said again holds; what is not said again stays."""
    return replace(
        before,
        volume_l=before.volume_l if one.volume_l is None else one.volume_l,
        pct_vol=before.pct_vol if one.pct_vol is None else one.pct_vol,
        mark=one.mark or before.mark,
        smells=one.smells or before.smells,
    )
