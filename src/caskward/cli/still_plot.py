"""A forecast against litres as columns of letters: solid to where nine in ten reach, then fading."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from caskward.cli.bars import MARK, SOLID
from caskward.services import Band

_FADE = "▓▒░"
_AXIS = 7
_TOO_LITTLE = 0.1
"""Part of a letter's height under which nothing is drawn."""


@dataclass(frozen=True)
class Plot:
    """What is drawn: bands at evenly spaced places along the litres, between two values."""

    title: str
    bands: Sequence[Band]
    low: float
    high: float
    rows: int
    digits: str = ".0f"


def columns(plot: Plot, cells: int) -> list[str]:
    """The plot without its title: `rows` lines, the value of a row's upper edge at its left."""
    along = [_between(plot.bands, x / max(cells - 1, 1)) for x in range(cells)]
    step = (plot.high - plot.low) / plot.rows
    lines = []
    for row in range(plot.rows, 0, -1):
        top, bottom = plot.low + step * row, plot.low + step * (row - 1)
        label = f"{top:{plot.digits}}" if row in (plot.rows, (plot.rows + 1) // 2) else ""
        lines.append(f"{label:>{_AXIS - 1}}▕{''.join(_cell(b, bottom, top) for b in along)}".rstrip())
    return lines


def _cell(b: Band, bottom: float, top: float) -> str:
    if b.low >= top:
        return SOLID
    if b.high <= bottom + _TOO_LITTLE * (top - bottom):
        return " "
    if b.high <= b.low:
        return "▄" if b.mid < bottom + 0.75 * (top - bottom) else SOLID
    place = (0.5 * (bottom + top) - b.low) / (b.high - b.low)
    return _FADE[min(max(int(place * len(_FADE)), 0), len(_FADE) - 1)]


def _between(bands: Sequence[Band], share: float) -> Band:
    """A band at a place along them, 0 to 1."""
    at = share * (len(bands) - 1)
    k = min(int(at), len(bands) - 2) if len(bands) > 1 else 0
    one, two, part = bands[k], bands[min(k + 1, len(bands) - 1)], at - k
    low, mid, high = (a + (b - a) * part for a, b in zip(_ends(one), _ends(two), strict=True))
    return Band(low, mid, high)


def _ends(b: Band) -> tuple[float, float, float]:
    return b.low, b.mid, b.high


def litres_axis(most: float, cells: int, unit: str) -> list[str]:
    """The line under a plot, with even figures along it."""
    from caskward.services.still_course import ticks_to

    places = {round(v / most * (cells - 1)): v for v in ticks_to(most)}
    rule = " " * (_AXIS - 1) + "└" + "".join("┴" if x in places else "─" for x in range(cells))
    words = [" "] * (_AXIS + cells + 8)
    for x, value in places.items():
        text = f"{value:g}" + (f" {unit}" if value == max(places.values()) else "")
        start = min(_AXIS + x - (len(f"{value:g}") - 1) // 2, _AXIS + cells - len(text))
        words[start : start + len(text)] = text
    return [rule, "".join(words).rstrip()]


def soft_mark(b: Band, most: float, cells: int, words: str) -> str:
    """A mark under the plot: faint over its band, ▲ at its middle, its words on the side with room."""
    line = [" "] * cells
    first, at, last = (min(max(round(v / most * (cells - 1)), 0), cells - 1) for v in _ends(b))
    for x in range(first, last + 1):
        line[x] = "░" if min(x - first, last - x) < 1 else "▒"
    line[at] = MARK
    if last + 2 + len(words) <= cells:
        line[last + 2 : last + 2 + len(words)] = words
    elif first >= len(words) + 1:
        line[first - 1 - len(words) : first - 1] = words
    return (" " * _AXIS + "".join(line)).rstrip()
