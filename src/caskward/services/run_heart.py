"""The heart as it was put together from gauged receivers: what was done, whatever the plan's own cuts are.

`taken: jar 3, can 4` and, behind it, `heart: 6.00 L, 74.1 %` that these add up to. Without the jars a heart's
row is a reading like any other, which may be doubted.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from caskward.errors import InputError
from caskward.planning.as_done import Done
from caskward.services import batch_done, batch_receivers, batch_typed, run_log
from caskward.services.run_log import RunLog

_ALIKE: Final = 0.03
"""How far a heart may lie from what its jars add up to: a jug's error; *common practice, no source*."""


def chosen_heart(rows: Sequence[str]) -> tuple[Done, ...]:
    """The heart of a batch as it was chosen from its jars; nothing where rows do not say so."""
    at = next((n for n in reversed(range(len(rows))) if _is_choice(rows[n])), None)
    if at is None:
        return ()
    log = run_log.log_of(rows)
    for row in reversed(rows[at + 1 :]):
        if (heart := _heart(row)) is not None:
            return (heart,) if _adds_up(heart, log) else ()
    return ()


def _is_choice(row: str) -> bool:
    try:
        return batch_receivers.taken(row) is not None and batch_receivers.taken_of(row) is None
    except InputError:
        return False


def _heart(row: str) -> Done | None:
    """The whole heart of a row, with volume and strength."""
    try:
        if batch_receivers.is_of_receivers(row) or batch_done.says_done(row):
            return None
        read = {
            one.quantity: one.value
            for one in batch_typed.row_of(row)
            if one.stage == "heart" and not one.bound
        }
    except InputError:
        return None
    if not {"volume", "strength"} <= read.keys():
        return None
    return Done(
        "chosen heart", read["volume"], pct_vol=read["strength"], after="run", said=" ".join(row.split())
    )


def _adds_up(heart: Done, log: RunLog) -> bool:
    volume_l = sum(one.volume_l for one in log.receivers if one.of[0] == "run" and one.name in log.taken)
    return abs(heart.amount - volume_l) <= _ALIKE * volume_l
