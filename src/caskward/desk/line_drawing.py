"""A figure over time as shapes: what was recorded as a hard line or crosses, what is forecast as a soft band.

A template only writes these down. Places are in the picture's own units, WIDE by TALL, which a phone shows
at about one to a pixel.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

WIDE, TALL = 340.0, 190.0
LEFT, RIGHT, TOP, BOTTOM = 56.0, 330.0, 10.0, 162.0
_FADES: Final = (1.0, 0.75, 0.5, 0.25)
"""Parts of a band laid over each other: where all lie it is darkest."""
_LINES: Final = 4
_NICE: Final = (1.0, 2.0, 2.5, 5.0, 10.0)
CROSS: Final = 4.0

Where = tuple[float, float]
Soft = tuple[float, float, float, float]
"""Moment, low, middle, high."""


@dataclass(frozen=True)
class Tick:
    """A line of the scale: where it is, and what stands there."""

    at: float
    label: str


@dataclass(frozen=True)
class Drawn:
    """A picture of one figure. bands: corners of shades laid over each other; middle, hard: corners of lines.

    crosses: readings. said: the picture in a sentence, for who does not see it.
    """

    title: str
    said: str
    across: tuple[Tick, ...]
    up: tuple[Tick, ...]
    bands: tuple[str, ...]
    middle: str
    hard: str
    crosses: tuple[str, ...]


@dataclass(frozen=True)
class Figure:
    """What is to be drawn. recorded: a line of what was there; read: readings; soft: a forecast.

    now: the middle of what is believed by what was read, where that is not the middle of `soft`.
    steps: whether a recorded figure stays as it was until the next. least_span: of the scale, at least.
    """

    title: str
    said: str
    recorded: tuple[Where, ...] = ()
    read: tuple[Where, ...] = ()
    soft: tuple[Soft, ...] = ()
    now: tuple[Where, ...] = ()
    steps: bool = False
    least_span: float = 0.0


def drawn(of: Figure) -> Drawn | None:
    """A figure as shapes; nothing where there is nothing to draw."""
    moments = [one[0] for one in (*of.recorded, *of.read, *of.soft, *of.now)]
    values = [v for _, v in (*of.recorded, *of.read, *of.now)] + [v for one in of.soft for v in one[1:]]
    if not moments or not all(math.isfinite(v) for v in (*moments, *values)):
        return None
    first, last = min(moments), max(moments)
    up = _scale(*_span(values, of.least_span))
    across = _scale(first, max(last, first + 1e-6))
    x = _placer(first, max(last, first + 1e-6), LEFT, RIGHT)
    y = _placer(up[0], up[-1], BOTTOM, TOP)
    return Drawn(
        title=of.title,
        said=of.said,
        across=tuple(
            Tick(x(v), label) for v, label in zip(across, _labels(across), strict=True) if first <= v <= last
        ),
        up=tuple(Tick(y(v), label) for v, label in zip(up, _labels(up), strict=True)),
        bands=_bands(of.soft, x, y),
        middle=_line(of.now or [(at, mid) for at, _, mid, _ in of.soft], x, y),
        hard=_line(_stepped(of.recorded) if of.steps else of.recorded, x, y),
        crosses=tuple(_cross(x(at), y(value)) for at, value in of.read),
    )


Placer = Callable[[float], float]


def _placer(low: float, high: float, start: float, end: float) -> Placer:
    return lambda value: start + (end - start) * min(max((value - low) / (high - low), 0.0), 1.0)


def _span(values: Sequence[float], least: float) -> tuple[float, float]:
    low, high = min(values), max(values)
    more = max(least - (high - low), 0.0) / 2.0
    return low - more, high + more


def _scale(low: float, high: float) -> list[float]:
    """Even values around a range, in steps that are read easily."""
    span = max(high - low, 1e-9, 1e-3 * abs(high))
    size = 10.0 ** math.floor(math.log10(span / _LINES))
    step = next(size * nice for nice in _NICE if size * nice * _LINES >= span)
    begin = math.floor(low / step + 1e-9)
    count = max(math.ceil(high / step - 1e-9) - begin, 1)
    return [round((begin + k) * step, 9) for k in range(count + 1)]


def _labels(values: Sequence[float]) -> list[str]:
    """With as many digits behind the point as the finest of them needs."""
    digits = max(len(f"{value:.6g}".partition(".")[2]) for value in values)
    return [f"{value:.{digits}f}" for value in values]


def _bands(soft: Sequence[Soft], x: Placer, y: Placer) -> tuple[str, ...]:
    shades = []
    for part in _FADES if len(soft) > 1 else ():
        upper = [(at, mid + part * (high - mid)) for at, _, mid, high in soft]
        lower = [(at, mid + part * (low - mid)) for at, low, mid, _ in soft]
        shades.append(_line([*upper, *reversed(lower)], x, y))
    return tuple(shades)


def _line(points: Sequence[Where], x: Placer, y: Placer) -> str:
    return " ".join(f"{x(at):.1f},{y(value):.1f}" for at, value in points) if len(points) > 1 else ""


def _stepped(points: Sequence[Where]) -> list[Where]:
    """What was there stays until something is done."""
    out: list[Where] = []
    for n, (at, value) in enumerate(points):
        if n:
            out.append((at, points[n - 1][1]))
        out.append((at, value))
    return out


def _cross(x: float, y: float) -> str:
    return (
        f"M{x - CROSS:.1f} {y - CROSS:.1f}L{x + CROSS:.1f} {y + CROSS:.1f}"
        f"M{x - CROSS:.1f} {y + CROSS:.1f}L{x + CROSS:.1f} {y - CROSS:.1f}"
    )
