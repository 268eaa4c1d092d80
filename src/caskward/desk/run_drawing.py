"""A run against its forecast as shapes: what was read as hard dots and bars, what is expected as a soft band.

A template only writes these down. Places are in the picture's own units, WIDE by TALL.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from caskward.services.run_forecast import RunForecast
from caskward.services.run_log import RunLog
from caskward.services.run_units import Scale, scales
from caskward.units.types import UnitSystem

WIDE, TALL = 340.0, 210.0
LEFT, RIGHT, TOP, BOTTOM = 46.0, 330.0, 12.0, 176.0
_SHADES: Final = (1.0, 0.7, 0.4)
"""Parts of the band laid over each other: it is darkest in the middle and fades to its edge."""
_NICE: Final = (1.0, 2.0, 5.0, 10.0)


@dataclass(frozen=True)
class Tick:
    """A line of a scale: where it is, and what stands there."""

    at: float
    label: str


@dataclass(frozen=True)
class Bar:
    """A receiver: from where to where, and how high."""

    start: float
    end: float
    at: float


@dataclass(frozen=True)
class Chart:
    """One picture. shades, middle: corners. dots: what was read. ends: the heart's end by the plan."""

    key: str
    title: str
    said: str
    across: tuple[Tick, ...]
    up: tuple[Tick, ...]
    shades: tuple[str, ...]
    middle: str
    dots: tuple[tuple[float, float], ...]
    bars: tuple[Bar, ...]
    ends: Tick | None


def charts(log: RunLog, of: RunForecast, system: UnitSystem) -> tuple[Chart, ...]:
    """Strength at the spout, and the warmth at the head, against litres collected."""
    litres, strength, warmth = scales(system)
    own = log.of_run(of.key)
    bars = [(one.from_l, one.to_l, one.pct_vol) for one in own if one.pct_vol is not None]
    spout = _Picture(litres, strength, of.litres, [(b.low, b.mid, b.high) for b in of.spout_pct_vol])
    head = _Picture(litres, warmth, of.litres, [(b.low, b.mid, b.high) for b in of.head_c])
    spout.read = [(one.at_l, one.value) for one in log.spouts if one.of == of.key]
    head.read = [(one.at_l, one.value) for one in log.heads if one.of == of.key]
    spout.bars = bars
    ends = of.heart_end_pct_vol if of.heart_to_l is not None else None
    return (
        spout.drawn("spout", f"Strength at the spout, {strength.unit}", ends),
        head.drawn("head", f"Warmth at the head, {warmth.unit}", None),
    )


class _Picture:
    """One figure against litres."""

    def __init__(
        self,
        across: Scale,
        up: Scale,
        litres: Sequence[float],
        soft: Sequence[tuple[float, float, float]],
    ) -> None:
        self.across, self.up = across, up
        self.litres = [across.own(at_l) for at_l in litres]
        self.soft = [tuple(up.own(value) for value in one) for one in soft]
        self.read: list[tuple[float, float]] = []
        self.bars: list[tuple[float, float, float]] = []

    def drawn(self, key: str, title: str, ends: float | None) -> Chart:
        """The picture."""
        read = [(self.across.own(at_l), self.up.own(value)) for at_l, value in self.read]
        bars = [(self.across.own(a), self.across.own(b), self.up.own(v)) for a, b, v in self.bars]
        across = _ticks(
            0.0, max(self.litres[-1], *(at for at, _ in read), *(end for _, end, _ in bars), 0.01)
        )
        values = [v for one in self.soft for v in (one[0], one[-1])] + [v for _, v in read]
        values += [v for *_, v in bars]
        up = _ticks(min(values), max(values))
        x, y = _placer(across[0], across[-1], LEFT, RIGHT), _placer(up[0], up[-1], BOTTOM, TOP)
        own_end = None if ends is None else self.up.own(ends)
        shown = own_end is not None and up[0] <= own_end <= up[-1]
        return Chart(
            key=key,
            title=f"{title}, against {self.across.unit} over",
            said=f"{title}, against {self.across.unit} over: {len(read)} read. The table has the figures.",
            across=tuple(Tick(x(at), f"{at:g}") for at in across),
            up=tuple(Tick(y(at), f"{at:g}") for at in up),
            shades=tuple(self._shade(part, x, y) for part in _SHADES),
            middle=_corners(zip(self.litres, [one[1] for one in self.soft], strict=True), x, y),
            dots=tuple((round(x(at), 1), round(y(value), 1)) for at, value in read),
            bars=tuple(Bar(round(x(a), 1), round(x(b), 1), round(y(v), 1)) for a, b, v in bars),
            ends=Tick(y(own_end), f"heart ends {own_end:.0f}") if shown and own_end is not None else None,
        )

    def _shade(self, part: float, x: Placer, y: Placer) -> str:
        over = [
            (at, mid + part * (high - mid)) for at, (_, mid, high) in zip(self.litres, self.soft, strict=True)
        ]
        under = [
            (at, mid + part * (low - mid)) for at, (low, mid, _) in zip(self.litres, self.soft, strict=True)
        ]
        return _corners([*over, *reversed(under)], x, y)


Placer = Callable[[float], float]


def _placer(low: float, high: float, start: float, end: float) -> Placer:
    return lambda value: start + (end - start) * min(max((value - low) / (high - low), 0.0), 1.0)


def _ticks(low: float, high: float, parts: int = 4) -> list[float]:
    """Even values around a range, in steps that are read easily."""
    span = max(high - low, 1e-6)
    size = 10.0 ** math.floor(math.log10(span / parts))
    step = next(size * nice for nice in _NICE if size * nice * parts >= span)
    begin = math.floor(low / step + 1e-9)
    count = max(math.ceil(high / step - 1e-9) - begin, 1)
    return [round((begin + k) * step, 9) for k in range(count + 1)]


def _corners(points: Iterable[tuple[float, float]], x: Placer, y: Placer) -> str:
    return " ".join(f"{x(at):.1f},{y(value):.1f}" for at, value in points)
