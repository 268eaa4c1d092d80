"""What a batch's rows say of its runs, put together: receivers as they stand, readings, what was taken."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from caskward.planning.jars import Mark
from caskward.services.batch_receivers import RunKey, RunKind, Vessel
from caskward.services.run_rows import AtLitres, Entered, RunRows, taken_in


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
class RunLog:
    """Everything of a batch's runs, in order.

    begun: runs, as rows came to speak of them, with the number of rows before each. taken: names of what went
    into the heart. started: runs whose first drop a row tells. hearts: runs whose own choice is recorded.
    heart_lpa: pure alcohol in the hearts of single runs [L]. whole: whether the choice of all runs
    is, too. entered: strips and spirit runs that the book has as deeds.
    """

    receivers: tuple[Receiver, ...] = ()
    spouts: tuple[AtLitres, ...] = ()
    heads: tuple[AtLitres, ...] = ()
    begun: tuple[tuple[RunKey, int], ...] = ()
    taken: tuple[str, ...] = ()
    started: frozenset[RunKey] = frozenset()
    hearts: frozenset[RunKey] = frozenset()
    heart_lpa: float = 0.0
    whole: bool = False
    entered: tuple[int, int] = (0, 0)

    @property
    def now(self) -> RunKey | None:
        """The run that rows belong to; None before any, and where the book has entered that one."""
        key = self.begun[-1][0] if self.begun else None
        return None if key is None or self.is_entered(key) else key

    def is_entered(self, key: RunKey) -> bool:
        """Whether the book has a run as a deed."""
        return key[1] <= self.entered[key[0] != "strip"]

    def of_run(self, key: RunKey) -> tuple[Receiver, ...]:
        """The receivers of one run, in the order in which they were filled."""
        return tuple(one for one in self.receivers if one.of == key)

    def of_kind(self, kind: RunKind) -> tuple[Receiver, ...]:
        """The receivers of all strips, or of all spirit runs."""
        return tuple(one for one in self.receivers if one.of[0] == kind)

    def is_settled(self, one: Receiver) -> bool:
        """Whether the choice of a receiver's run is recorded, so that only a correction moves it."""
        return one.of in self.hearts

    def over_l(self, key: RunKey) -> float:
        """How much has come over in a run, as far as it is recorded [L]."""
        in_receivers = sum(one.volume_l for one in self.of_run(key))
        read = [one.at_l for one in (*self.spouts, *self.heads) if one.of == key]
        return max([in_receivers, *read])

    def is_running(self, key: RunKey) -> bool:
        """Whether a run's first drop has come: a charge that was made up has not begun."""
        return self.over_l(key) > 0.0 or key in self.started


def log_of(items: Iterable[str | Entered]) -> RunLog:
    """What rows of a batch say of its runs, and deeds between them; rows not understood are passed over."""
    rows = taken_in(RunRows(), tuple(items))
    over: dict[RunKey, float] = {}
    filled = []
    for (_, name), (key, one) in rows.kept.items():
        volume_l = one.volume_l or 0.0
        from_l = over.get(key, 0.0)
        over[key] = from_l + volume_l
        filled.append(Receiver(key, name, one.vessel, volume_l, from_l, one.pct_vol, one.mark, one.smells))
    return RunLog(
        receivers=tuple(filled),
        spouts=tuple(rows.spouts),
        heads=tuple(rows.heads),
        begun=tuple(rows.begun),
        taken=tuple(dict.fromkeys(name for names in rows.taken.values() for name in names)),
        started=frozenset(rows.started),
        hearts=frozenset(key for key in rows.taken if key is not None),
        heart_lpa=sum((one.volume_l or 0.0) * (one.pct_vol or 0.0) / 100.0 for one in rows.hearts.values()),
        whole=None in rows.taken,
        entered=(rows.entered["strip"], rows.entered["run"]),
    )


def named(rows: Sequence[str], before: Sequence[str]) -> tuple[str, ...]:
    """Rows as they are kept: a receiver without a name gets the next number of its run's kind.

    Raises:
        NoSuchReceiver: a mark or a choice of one that was never filled. ForeshotsStayOut: one of foreshots.
    """
    log = taken_in(RunRows(), tuple(before))
    kept: list[str] = []
    for given in rows:
        row = log.with_name(given)
        log.refuse_unknown(row)
        log.take(row, len(before) + len(kept))
        kept.append(row)
    return tuple(kept)
