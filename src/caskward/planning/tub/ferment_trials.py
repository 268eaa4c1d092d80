"""Trials of a ferment: what a maker logs of one, and what is minded."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from caskward.planning.tub.ferment_model import FermentModel
from caskward.planning.tub.trials import Rows

FERMENT_NOTICED: Final = {"temperature": 4.0, "ph": 0.5, "gravity": 0.01, "bubbles": 0.6}
"""How far a ferment's reading may be off before it is minded: sound tubs lie 0.008 apart in gravity half-way;
*common practice, no source*."""


def ferment_rows(model: FermentModel, hours: Sequence[float] = ()) -> Rows:
    """Two rows of a ferment: half-way and when the plan has it dry, or at some hours of one's own [h]."""
    return Rows("ferment", FERMENT_NOTICED, tuple(hours) or (round(0.5 * model.dry_h, 6), model.dry_h))
