"""What casks lost in a period, as a yearly share of what they held: to hold against a limit or a forecast."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from caskward.book.accounts import ALCOHOL, root_of
from caskward.book.entry import Entry
from caskward.book.history import Happening, as_put_right
from caskward.units import convert

_LOST = frozenset({"lost", "unaccounted"})


@dataclass(frozen=True, slots=True)
class CaskLoss:
    """Pure alcohol that a cask lost in a period, explained or not.

    `lost_ul` [µL]; `held_ul_h` is what it held over the hours of the period [µL·h].
    """

    account: str
    lost_ul: int
    held_ul_h: float

    @property
    def pct_a_year(self) -> float | None:
        """The loss in per cent a year of what was held on the average; None if nothing was."""
        return 100.0 * self.lost_ul * convert.YEAR_H / self.held_ul_h if self.held_ul_h > 0 else None


def cask_losses(entries: Sequence[Entry], start: datetime, end: datetime) -> tuple[CaskLoss, ...]:
    """Every cask that held something in the period; what happened is taken as put right.

    A gauge that found too much makes up for an earlier loss. What only a gauge after the period finds is
    not in it.
    """
    return losses_of(as_put_right(entries), start, end)


def losses_of(happened: Iterable[Happening], start: datetime, end: datetime) -> tuple[CaskLoss, ...]:
    """The losses from what happened as put right, as `cask_losses`."""
    rows = sorted((row for row in happened if row.at < end), key=lambda row: (row.at, row.number))
    losses = [_loss(account, own, start, end) for account, own in sorted(_by_cask(rows).items())]
    return tuple(loss for loss in losses if loss.held_ul_h or loss.lost_ul)


Net = Mapping[tuple[str, str], int]


def _by_cask(rows: Sequence[Happening]) -> dict[str, list[tuple[Happening, Net]]]:
    """What happened to each cask, with the sums of it."""
    found: dict[str, list[tuple[Happening, Net]]] = {}
    for row in rows:
        if not any(part.account.startswith("cask/") for part in row.postings):
            continue
        net = row.net()
        for account in dict.fromkeys(account for account, _ in net if root_of(account).name == "cask"):
            found.setdefault(account, []).append((row, net))
    return found


def _loss(account: str, rows: Sequence[tuple[Happening, Net]], start: datetime, end: datetime) -> CaskLoss:
    alcohol_ul, held_ul_h, lost_ul, since = 0, 0.0, 0, start
    for row, net in rows:
        change_ul = net.get((account, ALCOHOL), 0)
        if row.at >= start:
            held_ul_h += alcohol_ul * _hours(since, row.at)
            since = row.at
            lost_ul += _lost_ul(net, change_ul)
        alcohol_ul += change_ul
    return CaskLoss(account, lost_ul, held_ul_h + alcohol_ul * _hours(since, end))


def _lost_ul(net: Net, change_ul: int) -> int:
    """Of what changed in a cask, the part that went to, or came from, where losses are."""
    same_side = _side(net, opposite_to=change_ul)
    whole = sum(same_side.values())
    lossy = sum(amount for account, amount in same_side.items() if root_of(account).name in _LOST)
    return -change_ul * lossy // whole if whole else 0


def _side(net: Net, opposite_to: int) -> dict[str, int]:
    """The accounts of pure alcohol that changed the other way."""
    return {
        account: abs(amount)
        for (account, commodity), amount in net.items()
        if commodity == ALCOHOL and amount * opposite_to < 0
    }


def _hours(since: datetime, until: datetime) -> float:
    return (until - since).total_seconds() / 3600.0
