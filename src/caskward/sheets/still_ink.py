"""Strokes, shades and words of a still's picture: SVG by hand, black on white."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

from caskward.services import Band

WIDTH, HEIGHT = 760.0, 1000.0
LEFT, RIGHT = 70.0, 736.0
HATCH = (
    '<defs><pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse">'
    '<path d="M0 6L6 0" stroke="#000" stroke-width="0.6"/></pattern></defs>'
)
_FADES = (1.0, 0.75, 0.5, 0.25)
"""Parts of a band that are laid over each other, the whole of it first: where all lie it is darkest."""


@dataclass(frozen=True)
class Panel:
    """A part of the picture with its own scale: top and bottom edge, least and most value."""

    top: float
    bottom: float
    low: float
    high: float
    most_l: float

    def x(self, volume_l: float) -> float:
        """Place along the litres."""
        return LEFT + (RIGHT - LEFT) * min(max(volume_l / self.most_l, 0.0), 1.0)

    def y(self, value: float) -> float:
        """Place up the scale, kept inside the panel."""
        share = (value - self.low) / (self.high - self.low)
        return self.bottom - (self.bottom - self.top) * min(max(share, 0.0), 1.0)


def frame(panel: Panel, values: Sequence[float], ticks_l: Sequence[float]) -> list[str]:
    """Faint lines at some values with their figures, the base line, and ticks below it at some litres."""
    parts = []
    for value in values:
        y = panel.y(value)
        parts.append(f'<path d="M{LEFT} {y:.1f}H{RIGHT}" stroke="#000" stroke-width="0.25"/>')
        parts.append(text(LEFT - 6.0, y + 4.0, f"{value:g}", anchor="end", size=11))
    parts.append(stroke(LEFT, panel.bottom, RIGHT, panel.bottom, 1.0))
    return parts + [stroke(panel.x(v), panel.bottom, panel.x(v), panel.bottom + 4.0, 1.0) for v in ticks_l]


def soft(panel: Panel, litres: Sequence[float], bands: Sequence[Band], dash: str = "none") -> list[str]:
    """A forecast: nested shades, darkest near the middle, and the middle as a line."""
    parts = []
    for part in _FADES:
        upper = [(v, b.mid + part * (b.high - b.mid)) for v, b in zip(litres, bands, strict=True)]
        lower = [(v, b.mid + part * (b.low - b.mid)) for v, b in zip(litres, bands, strict=True)]
        places = _places(panel, [*upper, *reversed(lower)])
        parts.append(f'<polygon points="{places}" fill="#000" fill-opacity="0.13"/>')
    middle = _places(panel, [(v, b.mid) for v, b in zip(litres, bands, strict=True)])
    parts.append(
        f'<polyline points="{middle}" fill="none" stroke="#000" stroke-width="1.6" '
        f'stroke-dasharray="{dash}"/>'
    )
    return parts


def _places(panel: Panel, points: Sequence[tuple[float, float]]) -> str:
    return " ".join(f"{panel.x(litres):.1f},{panel.y(value):.1f}" for litres, value in points)


def hatched(left: float, right: float, top: float, height: float) -> str:
    """A hatch over a doubt."""
    return (
        f'<rect x="{left:.1f}" y="{top:.1f}" width="{max(right - left, 1.0):.1f}" height="{height:.0f}" '
        'fill="url(#hatch)"/>'
    )


def lines(said: str, x: float, y: float, size: int, *, bold: bool = False, most: int = 88) -> list[str]:
    """A sentence in lines of so many letters."""
    return [
        text(x, y + k * size * 1.3, one, bold=bold, size=size)
        for k, one in enumerate(textwrap.wrap(said, most))
    ]


def text(x: float, y: float, said: str, *, bold: bool = False, anchor: str = "start", size: int = 13) -> str:
    """Words at a place."""
    weight = ' font-weight="bold"' if bold else ""
    place = f'x="{x:.1f}" y="{y:.1f}" font-size="{size}" text-anchor="{anchor}"'
    return f"<text {place}{weight}>{escape(said)}</text>"


def stroke(x1: float, y1: float, x2: float, y2: float, width: float) -> str:
    """A hard line."""
    return f'<path d="M{x1:.1f} {y1:.1f}L{x2:.1f} {y2:.1f}" stroke="#000" stroke-width="{width}"/>'
