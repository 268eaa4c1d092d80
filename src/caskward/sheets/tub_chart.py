"""The picture of one tub's ferment, drawn by hand as SVG: gravity, warmth, strength, gas against days.

Black on white, as a still's run is drawn: a forecast is a shade that fades across the band in which 8 of 10
possible ferments lie, with a line at its middle; a reading is a hard cross.
"""

from __future__ import annotations

from collections.abc import Sequence
from xml.sax.saxutils import escape

from caskward.services import Band, still_words, tub_words
from caskward.services.still_course import nice_top, ticks_to
from caskward.services.tub_plots import gravity_span, warmth_span
from caskward.services.tub_report import FitRow, TubReport
from caskward.sheets.still_ink import (
    HEIGHT,
    RIGHT,
    WIDTH,
    Panel,
    frame,
    lines,
    soft,
    stroke,
    text,
)

_CROSS = 5.0


def chart(of: TubReport) -> str:
    """The picture as SVG; the same tub gives the same text."""
    title = tub_words.headline(of)
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:.0f} {HEIGHT:.0f}" '
        f'width="{WIDTH:.0f}" height="{HEIGHT:.0f}" role="img" '
        'font-family="\'Atkinson Hyperlegible\', sans-serif" font-size="13">'
    )
    parts = [
        head,
        f"<title>{escape(title)}</title>",
        f'<rect width="{WIDTH:.0f}" height="{HEIGHT:.0f}" fill="#fff"/>',
        *lines(title, 12.0, 24.0, 15, bold=True, most=98),
        *_gravity(of),
        *_warmth(of),
        *_small(of, "Strength, %vol", [r.strength_pct_vol for r in of.ferment.rows], 640.0),
        *_gas(of),
        *_axis(of, 920.0),
        *_foot(of),
    ]
    return "\n".join([*parts, "</svg>", ""])


def _days(of: TubReport) -> list[float]:
    return [r.at_h / 24.0 for r in of.ferment.rows]


def _steps(low: float, high: float, count: int) -> list[float]:
    return [round(low + k * (high - low) / count, 3) for k in range(count + 1)]


def _gravity(of: TubReport) -> list[str]:
    rows, most = of.ferment.rows, _days(of)[-1]
    low, high, count = gravity_span(rows)
    panel = Panel(104.0, 376.0, low, high, most)
    parts = [
        text(12.0, 84.0, "Gravity", bold=True),
        *frame(panel, _steps(low, high, count), ticks_to(most)),
        *soft(panel, _days(of), [r.gravity for r in rows]),
    ]
    return [*parts, *_crosses(panel, of.ferment.fits)]


def _crosses(panel: Panel, fits: Sequence[FitRow]) -> list[str]:
    """Gravities as they were read, where they were read."""
    parts: list[str] = []
    for fit in fits:
        if fit.unit == "sg" and fit.stage == "ferment":
            x, y = panel.x(fit.at_h / 24.0), panel.y(fit.value)
            parts.append(stroke(x - _CROSS, y - _CROSS, x + _CROSS, y + _CROSS, 1.6))
            parts.append(stroke(x - _CROSS, y + _CROSS, x + _CROSS, y - _CROSS, 1.6))
    return parts


def _warmth(of: TubReport) -> list[str]:
    rows, most = of.ferment.rows, _days(of)[-1]
    low, high, count = warmth_span(rows, of.show)
    panel = Panel(440.0, 580.0, low, high, most)
    return [
        text(12.0, 420.0, f"Warmth, {still_words.degree(of.show)}", bold=True),
        *frame(panel, _steps(low, high, count), ticks_to(most)),
        *soft(panel, _days(of), [still_words.warmth(r.temp_c, of.show) for r in rows]),
    ]


def _gas(of: TubReport) -> list[str]:
    metric = of.show == "metric"
    by = 1.0 if metric else 35.3147
    bands = [Band(*(v * by for v in (r.co2_m3.low, r.co2_m3.mid, r.co2_m3.high))) for r in of.ferment.rows]
    return _small(of, f"Carbon dioxide given off, {'m³' if metric else 'cu ft'}", bands, 800.0)


def _small(of: TubReport, title: str, bands: Sequence[Band], top: float) -> list[str]:
    most = _days(of)[-1]
    high = nice_top(max(1e-6, *(b.high for b in bands)))
    panel = Panel(top, top + 120.0, 0.0, high, most)
    return [
        text(12.0, top - 20.0, title, bold=True),
        *frame(panel, (0.0, 0.5 * high, high), ticks_to(most)),
        *soft(panel, _days(of), bands),
    ]


def _axis(of: TubReport, bottom: float) -> list[str]:
    most = _days(of)[-1]
    panel = Panel(0.0, bottom, 0.0, 1.0, most)
    ticks = [text(panel.x(v), bottom + 17.0, f"{v:g}", anchor="middle", size=11) for v in ticks_to(most)]
    return [*ticks, text(RIGHT, bottom + 31.0, "days since the yeast went in", anchor="end", size=11)]


def _foot(of: TubReport) -> list[str]:
    crosses = " Crosses: your readings." if of.ferment.fits else ""
    key = f"Shades fade across the forecast's doubt: 8 in 10 possible ferments lie inside.{crosses}"
    return lines(key, 12.0, HEIGHT - 24.0, 11, most=120)
