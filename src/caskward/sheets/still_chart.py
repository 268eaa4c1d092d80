"""The picture of a spirit run, drawn by hand as SVG.

Black on white: a line that happened or is decided ends hard, a forecast is a shade that fades across the
band in which 8 of 10 possible runs end, with a line at its middle. Words stand where no line runs.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from xml.sax.saxutils import escape

from caskward.services import Band, still_own_units, still_run_words, still_words
from caskward.services.still_course import nice_step, nice_top, ticks_to
from caskward.services.still_run import RunReport
from caskward.sheets.still_ink import (
    HATCH,
    HEIGHT,
    LEFT,
    RIGHT,
    WIDTH,
    Panel,
    frame,
    hatched,
    lines,
    soft,
    stroke,
    text,
)
from caskward.units.types import UnitSystem

_SURE_L = 1e-3
_LETTER = 6.6
"""Width of a letter of a mark's name, on the wide side."""
_DASHES = {"early": "none", "with the heart": "7 3", "late": "2 3"}


def chart(report: RunReport, system: UnitSystem = "metric") -> str:
    """The picture as SVG; the same run gives the same text."""
    title = still_run_words.run_headline(report, system)
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:.0f} {HEIGHT:.0f}" '
        f'width="{WIDTH:.0f}" height="{HEIGHT:.0f}" role="img" '
        'font-family="\'Atkinson Hyperlegible\', sans-serif" font-size="13">'
    )
    parts = [
        head,
        f"<title>{escape(title)}</title>",
        f'<rect width="{WIDTH:.0f}" height="{HEIGHT:.0f}" fill="#fff"/>',
        HATCH,
        *lines(title, 12.0, 24.0, 15, bold=True, most=98),
        *_strength(report, system),
        *_warmth(report, system),
        *_rate_and_energy(report, system),
        *_congeners(report, system),
        *_foot(HEIGHT - 24.0),
    ]
    return "\n".join([*parts, "</svg>", ""])


def _ticks_l(report: RunReport, system: UnitSystem) -> list[float]:
    """Even litres or gallons along the run, in litres."""
    per_unit = still_words.litres(1.0, system)
    return [v / per_unit for v in ticks_to(_most_l(report) * per_unit)]


def _most_l(report: RunReport) -> float:
    return report.course.moments[-1].volume_l


def _steps(low: float, high: float, step: float) -> list[float]:
    return [low + k * step for k in range(round((high - low) / step) + 1)]


def _strength(report: RunReport, system: UnitSystem) -> list[str]:
    course = report.course.moments
    low, high, step = still_run_words.strength_span(course, system)
    panel = Panel(104.0, 316.0, low, high, _most_l(report))
    unit = still_own_units.strength_unit(system)
    return [
        text(12.0, 84.0, f"Strength at the spout, {unit}", bold=True),
        *frame(panel, _steps(low, high, step), _ticks_l(report, system)),
        *_marks(report, panel),
        *soft(panel, _litres(report), [still_own_units.strengths(m.spout_pct_vol, system) for m in course]),
        *_receivers(report, panel),
    ]


def _warmth(report: RunReport, system: UnitSystem) -> list[str]:
    course = report.course.moments
    low, high, step = still_run_words.warmth_span(course, system)
    panel = Panel(392.0, 492.0, low, high, _most_l(report))
    return [
        text(12.0, 380.0, f"Vapour (full line) and pot (broken), {still_words.degree(system)}", bold=True),
        *frame(panel, _steps(low, high, step), _ticks_l(report, system)),
        *soft(panel, _litres(report), [still_words.warmth(m.vapour_c, system) for m in course]),
        *soft(panel, _litres(report), [still_words.warmth(m.pot_c, system) for m in course], "7 3"),
    ]


def _rate_and_energy(report: RunReport, system: UnitSystem) -> list[str]:
    course, unit = report.course.moments, still_words.litre_unit(system)
    rates = [still_words.litre_band(m.rate_l_h, system) for m in course]
    return [
        *_small(report, system, f"Rate, {unit}/h", rates, 526.0),
        *_small(report, system, "Energy from cold, kWh", [m.energy_kwh for m in course], 604.0),
    ]


def _small(report: RunReport, system: UnitSystem, title: str, bands: Sequence[Band], top: float) -> list[str]:
    most = max(b.high for b in bands)
    high = nice_top(most)
    panel = Panel(top, top + 44.0, 0.0, high, _most_l(report))
    return [
        text(12.0, top - 10.0, title, bold=True),
        *frame(panel, (0.0, high), _ticks_l(report, system)),
        *soft(panel, _litres(report), bands),
    ]


def _congeners(report: RunReport, system: UnitSystem) -> list[str]:
    course, top = report.course.moments, 698.0
    middles = [0.5 * (one.volume_l + two.volume_l) for one, two in itertools.pairwise(course)]
    parts = [text(12.0, top - 24.0, "Congeners in what runs, each group on a scale of its own", bold=True)]
    bottom = top
    for k, group in enumerate(report.course.groups):
        most = max(b.high for b in group.mg_per_l) or 1.0
        high, step = nice_top(most), nice_step(most / 4.0)
        panel = Panel(top + 78.0 * k, top + 78.0 * k + 54.0, 0.0, high, _most_l(report))
        ends = (0.0, high) if high / step > 4.5 else _steps(0.0, high, step)
        parts += frame(panel, ends, _ticks_l(report, system))
        parts += soft(panel, middles, group.mg_per_l, _DASHES[group.group])
        parts.append(text(RIGHT, panel.top - 6.0, f"{group.group}, mg/L", anchor="end"))
        bottom = panel.bottom
    return parts + _axis(report, system, bottom)


def _axis(report: RunReport, system: UnitSystem, bottom: float) -> list[str]:
    panel = Panel(0.0, bottom, 0.0, 1.0, _most_l(report))
    per_unit = still_words.litres(1.0, system)
    parts = [
        text(panel.x(v), bottom + 17.0, f"{v * per_unit:.6g}", anchor="middle", size=11)
        for v in _ticks_l(report, system)
    ]
    words = f"{still_words.litre_word(system)} collected, to {_most_l(report) * per_unit:.3g}"
    return [*parts, text(RIGHT, bottom + 31.0, words, anchor="end", size=11)]


def _litres(report: RunReport) -> list[float]:
    return [m.volume_l for m in report.course.moments]


def _marks(report: RunReport, panel: Panel) -> list[str]:
    """Where the trade changes receivers, below the base: hatched over the doubt, a stroke at its middle."""
    parts: list[str] = []
    taken = [LEFT, LEFT]
    for mark in report.cuts[1:]:
        if mark.chance < 0.1:
            continue
        left, middle, right = (panel.x(v) for v in (mark.volume_l.low, mark.volume_l.mid, mark.volume_l.high))
        parts.append(hatched(left, right, panel.bottom + 6.0, 12.0))
        parts.append(stroke(middle, panel.bottom, middle, panel.bottom + 20.0, 1.8))
        wide = _LETTER * len(mark.key)
        start = min(middle, RIGHT - wide)
        row = 0 if start >= taken[0] else 1
        taken[row] = start + wide
        parts.append(text(start, panel.bottom + 32.0 + 13.0 * row, mark.key))
    return parts


def _receivers(report: RunReport, panel: Panel) -> list[str]:
    """Where one receiver follows another: a hard stroke by its own size, hatched where a stop is in doubt."""
    parts, low_l, at_l, high_l = [], 0.0, 0.0, 0.0
    for line in report.receivers[:-1]:
        filled = line.volume_l
        low_l, at_l, high_l = low_l + filled.low, at_l + filled.mid, high_l + filled.high
        if line.filled < 0.5 or at_l >= panel.most_l:
            continue
        parts.append(stroke(panel.x(at_l), panel.top - 9.0, panel.x(at_l), panel.top - 1.0, 1.2))
        if high_l - low_l > _SURE_L:
            parts.append(hatched(panel.x(low_l), panel.x(high_l), panel.top - 9.0, 8.0))
    named = f"{len(report.receivers)} receivers, changed at the strokes"
    return [*parts, text(RIGHT, panel.top - 16.0, named, anchor="end", size=11)]


def _foot(y: float) -> list[str]:
    key = "Shades fade across the forecast's doubt: 8 in 10 possible runs lie inside."
    return lines(f"{key} {still_words.NOSE_DECIDES}", 12.0, y, 11, most=120)
