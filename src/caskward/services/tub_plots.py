"""What a tub's plots are drawn between, the same on screen and paper."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from caskward.planning.plan import Band
from caskward.services.still_words import warmth
from caskward.services.tub_report import FermentRow
from caskward.units.types import UnitSystem

POINTS = 41


def gravity_span(rows: Sequence[FermentRow]) -> tuple[float, float, int]:
    """Lowest and highest gravity of the scale, and lines of 0.010 (0.020 for a heavy wash)."""
    low = math.floor(min(r.gravity.low for r in rows) * 100.0) / 100.0
    high = math.ceil(max(r.gravity.high for r in rows) * 100.0) / 100.0
    step = 0.01 if high - low <= 0.095 else 0.02
    lines = max(math.ceil((high - low) / step - 1e-9), 2)
    return low, low + lines * step, lines


def warmth_span(rows: Sequence[FermentRow], system: UnitSystem) -> tuple[float, float, int]:
    """Lowest and highest temperature of the scale in the maker's degrees, and lines of 5 (10 for US)."""
    bands = [warmth(r.temp_c, system) for r in rows]
    step = 5.0 if system == "metric" else 10.0
    low = math.floor(min(b.low for b in bands) / step) * step
    high = math.ceil(max(b.high for b in bands) / step) * step
    lines = max(round((high - low) / step), 2)
    return low, low + lines * step, lines


def in_days(hours: Sequence[float], bands: Sequence[Band]) -> tuple[Band, ...]:
    """Bands at even places from the first hour to the last."""
    even = np.linspace(hours[0], hours[-1], POINTS)
    low, mid, high = (
        np.interp(even, hours, [getattr(b, end) for b in bands]) for end in ("low", "mid", "high")
    )
    return tuple(Band(float(a), float(b), float(c)) for a, b, c in zip(low, mid, high, strict=True))
