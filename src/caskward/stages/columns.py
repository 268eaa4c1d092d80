"""What stands between the boiling pot and the spout: bare head, plates or packing, dephlegmator.

Going down from the spout every step is explicit: the liquid that leaves a stage is the one in equilibrium
with its vapour, and the vapour below lies on the operating line through the spout. Constant molal overflow:
in the column as many moles condense as boil (their latent heats differ by 4 %). No hold-up on the plates.
Source: McCabe and Thiele (1925) for the stages, from memory; partial condensers as Ikari and Kubo (1975).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from caskward.properties._arrays import check_range
from caskward.stages.search import crossing
from caskward.stages.stream import Worlds
from caskward.stages.vapour import EquilibriumCurve, fraction, ratio

MOST_PLATES, MOST_REFLUX_RATIO, MOST_CONDENSED = 40.0, 1e6, 0.95


@dataclass(frozen=True)
class Column:
    """What stands over the head; plain numbers, or arrays over worlds where they are not known.

    plates: equilibrium stages over the pot [-], 0 to 40: real plates times their efficiency, or the height
        of a packing over the height of one stage. A part of a stage does that part of its work.
    reflux_ratio: moles that the main condenser sends back for each that is drawn off [-], from 0
        on; a million is as good as all.
    dephlegmator_share: share of the vapour that a partial condenser on top sends back [-], 0 to 0.95.
    What a bare column's own wall condenses is best told as dephlegmator. Outside: raises `OutOfRange`.
    """

    plates: float | Worlds = 0.0
    reflux_ratio: float | Worlds = 0.0
    dephlegmator_share: float | Worlds = 0.0

    def __post_init__(self) -> None:
        check_range("The number of equilibrium stages", self.plates, "", 0.0, MOST_PLATES)
        check_range("The reflux ratio", self.reflux_ratio, "", 0.0, MOST_REFLUX_RATIO)
        hint = "Some vapour must pass the dephlegmator."
        check_range("The dephlegmator's share", self.dephlegmator_share, "", 0.0, MOST_CONDENSED, hint)


BARE = Column()
"""Nothing between head and spout."""


class Contact(NamedTuple):
    """A place where falling liquid meets rising vapour in equilibrium, both as log ratios.

    `below(Z, K)` is a trace in the vapour under it, Z that above it (both over the spout's vapour) and K the
    trace's vapour-liquid ratio there.
    """

    liquid: Worlds
    vapour: Worlds
    below: Callable[[Worlds, Worlds], Worlds]


@dataclass(frozen=True)
class VapourPath:
    """The way from pot to spout: equilibrium, the share that the head sends back, and the column."""

    curve: EquilibriumCurve
    head_share: float | Worlds
    column: Column = BARE

    @property
    def through_share(self) -> Worlds:
        """Moles drawn off for each mole that boils."""
        in_column = (1.0 - np.asarray(self.column.dephlegmator_share)) / (1.0 + self.column.reflux_ratio)
        return np.asarray((1.0 - np.asarray(self.head_share)) * in_column)

    @property
    def plain(self) -> bool:
        """True where no plates stand over the pot."""
        return not np.any(np.asarray(self.column.plates) > 0.0)

    @property
    def falls_share(self) -> Worlds:
        """Moles that fall for each that rises, between the plates."""
        passes = (1.0 - np.asarray(self.column.dephlegmator_share)) / (1.0 + self.column.reflux_ratio)
        return np.asarray(1.0 - passes)

    def pot_under(self, spout: Worlds) -> Worlds:
        """Log ratio in the pot when the spout runs at one: step by step, without iteration."""
        return self.curve.liquid_under(self.boiled_under(spout))

    def boiled_under(self, spout: Worlds) -> Worlds:
        """Log ratio of what the pot boils off when the spout runs at one."""
        y_spout = fraction(spout)
        vapour = self._under_condenser(spout, y_spout, self.column.dephlegmator_share)
        for part in self._stage_parts():
            below = self._under_stage(vapour, y_spout)
            vapour = below if np.all(part == 1.0) else vapour + part * (below - vapour)
        return self._under_condenser(vapour, fraction(vapour), self.head_share)

    def spout_over(self, pot: Worlds) -> Worlds:
        """Log ratio at the spout over a boiling pot: the inverse of `pot_under`, by search."""
        pot = np.asarray(pot, dtype=float)
        low = self.curve.vapour_over(pot)
        high = low
        for _ in range(int(np.ceil(np.max(self.column.plates))) + 2):  # all reflux: no column does better
            high = self.curve.vapour_over(high)
        top = self.curve.richest + 1e-9
        low, high = np.minimum(low - 1e-5, top - 1e-9), np.minimum(high + 1e-5, top - 1e-9)
        shape = np.broadcast_shapes(pot.shape, np.shape(self.through_share), np.shape(self.column.plates))
        found = crossing(  # in the distance from the azeotrope, where many plates are well-behaved
            lambda z: self.pot_under(top - np.exp(-z)) - pot,
            np.broadcast_to(-np.log(top - low), shape),
            np.broadcast_to(-np.log(top - high), shape),
        )
        return np.asarray(top - np.exp(-found))

    def contacts(self, spout: Worlds) -> tuple[list[Contact], Worlds]:
        """Every place where a trace parts between liquid and vapour, from the top; and what boils off."""
        y_spout = fraction(spout)
        dephlegmator, head = np.asarray(self.column.dephlegmator_share), np.asarray(self.head_share)
        vapour, met = spout, []
        if np.any(dephlegmator > 0.0):
            met.append(Contact(self.curve.liquid_under(vapour), vapour, _condensing(dephlegmator)))
            vapour = self._under_condenser(vapour, y_spout, dephlegmator)
        for part in self._stage_parts():
            met.append(Contact(self.curve.liquid_under(vapour), vapour, _stage(self.falls_share, part)))
            vapour = vapour + part * (self._under_stage(vapour, y_spout) - vapour)
        if np.any(head > 0.0):
            met.append(Contact(self.curve.liquid_under(vapour), vapour, _condensing(head)))
        return met, self._under_condenser(vapour, fraction(vapour), head)

    def _under_condenser(self, above: Worlds, y_above: Worlds, share: float | Worlds) -> Worlds:
        """Vapour that enters a partial condenser: f x + (1 - f) y, x in equilibrium with what leaves."""
        if not np.any(np.asarray(share) > 0.0):
            return above
        x = fraction(self.curve.liquid_under(above))
        return ratio(share * x + (1.0 - np.asarray(share)) * y_above)

    def _under_stage(self, above: Worlds, y_spout: Worlds) -> Worlds:
        """Vapour that enters a stage: on the operating line over the liquid that leaves it."""
        x = fraction(self.curve.liquid_under(above))
        return ratio(self.falls_share * x + (1.0 - self.falls_share) * y_spout)

    def _stage_parts(self) -> Iterator[Worlds]:
        """Part of each stage that is there, from the top: ones, and what is left over."""
        plates = np.asarray(self.column.plates, dtype=float)
        for stage in range(int(np.ceil(np.max(plates)))):
            yield np.clip(plates - stage, 0.0, 1.0)


def _condensing(share: Worlds) -> Callable[[Worlds, Worlds], Worlds]:
    """Trace under a partial condenser: Z (1 - f + f / K)."""
    return lambda above, k: above * (1.0 - share + share / k)


def _stage(falls: Worlds, part: Worlds) -> Callable[[Worlds, Worlds], Worlds]:
    """Trace under a stage: r Z / K + 1 - r; a part of a stage takes that part of the way, in the log."""

    def below(above: Worlds, k: Worlds) -> Worlds:
        whole = falls * above / k + 1.0 - falls
        return whole if np.all(part == 1.0) else above * (whole / above) ** part

    return below
