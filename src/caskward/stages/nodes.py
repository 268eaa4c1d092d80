"""Where along a run its nodes lie: close together at the start, where most of the alcohol comes over."""

from __future__ import annotations

import numpy as np

from caskward.stages.columns import VapourPath
from caskward.stages.stream import Worlds

_CROWDING = 2.0
"""Power of the way along the run: the first of 24 intervals takes 1 to 2 % of the alcohol."""
_COARSE = 48
_NEAREST = 1e-8


def nodes_between(
    path: VapourPath, start: tuple[Worlds, Worlds], end: tuple[Worlds, Worlds], steps: int
) -> tuple[Worlds, Worlds]:
    """Pot's and top's log ratios at 2 n + 1 places of a run, ends included: (2 n + 1, worlds...).

    start, end: (pot's, top's) log ratio. Over a bare pot the places lie at powers of the way in the top's
    ratio. With plates the top hardly moves while the pot runs down and then falls at once, so there they lie
    at powers of the way in both together. The pot's ratio is exact at each place, whatever the spacing.
    """
    along = np.linspace(0.0, 1.0, 2 * steps + 1).reshape((-1,) + (1,) * start[0].ndim) ** _CROWDING
    if path.plain:
        top = start[1] + (end[1] - start[1]) * along
    else:
        top = _spread_over_both(path, start, end, along)
    pot = np.clip(path.pot_under(top), end[0], start[0])
    pot[0], pot[-1] = start[0], end[0]
    return pot, top


def _spread_over_both(
    path: VapourPath, start: tuple[Worlds, Worlds], end: tuple[Worlds, Worlds], along: Worlds
) -> Worlds:
    """Top's log ratio where pot's and top's together have gone a part of their way, nearly."""
    near = np.geomspace(_NEAREST, 1.0, _COARSE).reshape((-1,) + (1,) * start[0].ndim)
    top = start[1] - (start[1] - end[1]) * np.concatenate([np.zeros_like(near[:1]), near])
    for _ in range(2):
        pot = np.clip(path.pot_under(top), end[0], start[0])
        pot[0], pot[-1] = start[0], end[0]
        gone = (start[0] - pot) + (start[1] - top)
        top = _rows_interpolated(np.asarray(gone[-1] * along), gone, top)
    return np.asarray(top)


def _rows_interpolated(at: Worlds, places: Worlds, values: Worlds) -> Worlds:
    """Linear interpolation down the first axis, world by world."""
    shape = at.shape
    columns = (part.reshape(len(part), -1) for part in (at, places, values))
    wanted, known, known_values = columns
    rows = [np.interp(wanted[:, w], known[:, w], known_values[:, w]) for w in range(wanted.shape[1])]
    return np.stack(rows, axis=1).reshape(shape)
