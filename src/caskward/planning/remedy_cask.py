"""Moves at the cask: weaker, less, smaller, or with spirit of another batch; before the fill and after."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from caskward.planning.forecast import Chain
from caskward.planning.late import TopUp
from caskward.planning.late_moves import Planned, filled_at, filled_to, in_cask_of, topped_up
from caskward.planning.remedy_kinds import Closed, Move, Shelf, begun

_LEAST_ENTRY_PCT_VOL, _MOST_LOWER_PCT_VOL = 45.0, 10.0
"""Weakest fill that is offered, and how far it may lie under the plan's; *common practice, no source*."""
_LEAST_LOWER_PCT_VOL = 0.1
_LEAST_FILL = 0.5
"""Emptiest cask that is offered, as a share of what it holds; *common practice, no source*."""


def entry_strength(base: Chain, shelf: Shelf) -> Iterator[Move | Closed]:
    """Weaker into the cask; where the heart is still to come, it may run on to that strength too."""
    now = base.method.entry_pct_vol
    is_cut = begun(shelf.readings, "heart")

    def lowered(lower: float) -> Planned:
        return filled_at(base.intent, base.method, round(now - lower, 6), is_cut=is_cut)

    most = min(_MOST_LOWER_PCT_VOL, now - _LEAST_ENTRY_PCT_VOL)
    if most < _LEAST_LOWER_PCT_VOL:
        yield Closed("entry strength", "as far")
        return
    first = "filled" if is_cut else "run"
    yield Move(
        "entry strength", first, "pct_vol", _LEAST_LOWER_PCT_VOL, most, now, lambda x: now - x, lowered
    )


def top_up(base: Chain, shelf: Shelf) -> Iterator[Move | Closed]:
    """Spirit of another batch, no weaker than the fill."""
    method = base.method
    entry = method.entry_pct_vol
    pct_vol = entry if shelf.top_up_pct_vol is None else shelf.top_up_pct_vol
    if method.late.top_up is not None:
        yield Closed("top-up", "done")
        return

    def topped(litres: float) -> Planned:
        return topped_up(base.intent, method, TopUp(litres, pct_vol))

    yield Move("top-up", "filled", "L", 0.1, method.fill_l, 0.0, lambda x: x, topped)


def less_full(base: Chain, _: Shelf) -> Iterator[Move | Closed]:
    """The same cask, less full."""
    cask, now_l = base.intent.cask, base.method.fill_l

    if now_l <= _LEAST_FILL * cask.capacity_l:
        yield Closed("less full", "as far")
        return

    def filled(less_l: float) -> Planned:
        return filled_to(base.intent, base.method, now_l - less_l)

    most = now_l - _LEAST_FILL * cask.capacity_l
    yield Move("less full", "filled", "L", 0.1, most, now_l, lambda x: now_l - x, filled)


def smaller_cask(base: Chain, shelf: Shelf) -> Iterator[Move | Closed]:
    """The next smaller sizes, as full as the one that was wished."""
    cask = base.intent.cask
    known = (c for c in shelf.catalogue.casks.values() if c.capacity_l < cask.capacity_l)
    sizes = sorted(known, key=lambda c: -c.capacity_l)

    if not sizes:
        yield Closed("smaller cask", "smallest")
        return

    def size_of(steps: float) -> Planned:
        size = sizes[max(int(np.ceil(steps - 1e-9)), 1) - 1]
        return in_cask_of(base.intent, base.method, size.capacity_l, size.wood_area_m2)

    def capacity_l(steps: float) -> float:
        return size_of(steps)[0].cask.capacity_l

    yield Move("smaller cask", "filled", "L", 1.0, float(len(sizes)), cask.capacity_l, capacity_l, size_of)
