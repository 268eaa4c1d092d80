"""Named losses, and the proof that nothing vanished.

A loss names what left (kg) and the alcohol, made or potential, that went with it (kg of ethanol).
At every stage: mass in = mass out + mass lost, potential alcohol in = out + lost; and, where congeners are
tracked, each of them too.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from caskward.properties import alcohol
from caskward.stages.stream import Stream, Worlds


@dataclass(frozen=True)
class Loss:
    """What left the batch at one stage, under the name a maker would give it."""

    name: str
    mass_kg: Worlds
    ethanol_kg: Worlds
    traces_mg: Worlds | None = None

    @property
    def lpa(self) -> Worlds:
        """Litres of pure alcohol lost, made or potential, at 20 °C."""
        return np.asarray(alcohol.litres_pure_alcohol(self.ethanol_kg))


def loss_of(name: str, stream: Stream) -> Loss:
    """The loss of a whole stream."""
    return Loss(name, stream.total_kg, stream.potential_ethanol_kg, stream.traces_mg)


@dataclass(frozen=True)
class Imbalance:
    """Largest difference over all worlds, relative to what came in (0 is a perfect balance)."""

    mass: float
    alcohol: float
    traces: float = 0.0


def imbalance(incoming: Iterable[Stream], outgoing: Iterable[Stream], losses: Iterable[Loss]) -> Imbalance:
    """How far mass, potential alcohol and congeners are from closing over one stage or a whole chain."""
    ins, outs, lost = list(incoming), list(outgoing), list(losses)
    mass_in = sum(s.total_kg for s in ins)
    mass_out = sum(s.total_kg for s in outs) + sum(x.mass_kg for x in lost)
    alcohol_in = sum(s.potential_ethanol_kg for s in ins)
    alcohol_out = sum(s.potential_ethanol_kg for s in outs) + sum(x.ethanol_kg for x in lost)
    traces_in, traces_out = _tracked(ins), _tracked((*outs, *lost))
    return Imbalance(
        _relative(mass_in, mass_out), _relative(alcohol_in, alcohol_out), _relative(traces_in, traces_out)
    )


def _tracked(parts: Iterable[Stream | Loss]) -> Worlds | int:
    """All congeners that are tracked [mg]; what is not tracked (grain, steam) brings and takes none."""
    return sum(part.traces_mg for part in parts if part.traces_mg is not None)


def _relative(a: Worlds | int, b: Worlds | int) -> float:
    left, right = np.asarray(a, dtype=float), np.asarray(b, dtype=float)
    scale = np.maximum(np.abs(left), 1e-12)
    return float(np.max(np.abs(left - right) / scale))
