"""The picture of a spirit run: SVG drawn by hand, the same in a PDF to print, and its table as CSV.

Black on white: a line that happened or is decided ends hard, a forecast is a shade that fades across the
band in which 8 of 10 possible runs end, with a line at its middle.
"""

from __future__ import annotations

import csv
import io
import itertools
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from xml.sax.saxutils import escape

from caskward.errors import UnwritableFile, WouldOverwrite
from caskward.services import Band, still_words
from caskward.services.still_run import RunReport
from caskward.sheets.press import printed, written
from caskward.units.types import UnitSystem

WIDTH, HEIGHT = 760.0, 940.0
_LEFT, _RIGHT = 70.0, 736.0
_FADES = (1.0, 0.75, 0.5, 0.25)
"""Parts of a band that are laid over each other, the whole of it first: where all lie it is darkest."""
_SURE_L = 1e-3
_CSV_BEGINS = b"collected_l,"
_TEMPLATE = "still_chart.typ"
_DASHES = {"early": "none", "with the heart": "7 3", "late": "2 3"}


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
        return _LEFT + (_RIGHT - _LEFT) * min(max(volume_l / self.most_l, 0.0), 1.0)

    def y(self, value: float) -> float:
        """Place up the scale, kept inside the panel."""
        share = (value - self.low) / (self.high - self.low)
        return self.bottom - (self.bottom - self.top) * min(max(share, 0.0), 1.0)


def chart(report: RunReport, system: UnitSystem = "metric") -> str:
    """The picture as SVG; the same run gives the same text.

    A run that collects nothing gives a picture that says so.
    """
    title = still_words.run_headline(report, system)
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:.0f} {HEIGHT:.0f}" '
        f'width="{WIDTH:.0f}" height="{HEIGHT:.0f}" role="img" '
        'font-family="\'Atkinson Hyperlegible\', sans-serif" font-size="13">'
    )
    parts = [
        head,
        f"<title>{escape(title)}</title>",
        f'<rect width="{WIDTH:.0f}" height="{HEIGHT:.0f}" fill="#fff"/>',
    ]
    parts += _lines(title, 12.0, 24.0, 16, bold=True)
    if report.moments:
        parts += [*_strength(report, system), *_warmth(report, system), *_congeners(report, system)]
    parts += _foot(HEIGHT - 44.0)
    return "\n".join([*parts, "</svg>", ""])


def csv_text(report: RunReport) -> str:
    """The course of a run as CSV: litres at 20 °C, then low, middle and high of each figure."""
    names = ("spout_pct_vol", "pot_pct_vol", "pot_c", "vapour_c", "hours", "energy_kwh")
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    table.writerow(
        [
            "collected_l",
            *(f"{name}_{end}" for name in names for end in ("low", "mid", "high")),
            "share_running",
        ]
    )
    for moment in report.course.moments:
        bands: list[Band] = [getattr(moment, name) for name in names]
        figures = [value for b in bands for value in (b.low, b.mid, b.high)]
        table.writerow([f"{value:.6g}" for value in (moment.volume_l, *figures, moment.running)])
    return out.getvalue()


def csv_to(report: RunReport, path: Path, _system: UnitSystem = "metric") -> None:
    """Write the table to a file.

    Raises:
        InputError: the file cannot be written there, or holds something else than such a table.
    """
    try:
        if path.exists() and path.stat().st_size and not path.read_bytes().startswith(_CSV_BEGINS):
            raise WouldOverwrite(str(path))
        path.write_text(csv_text(report), encoding="utf-8")
    except OSError as error:
        raise UnwritableFile(str(path), error.strerror or "it cannot be opened") from None


def svg_to(report: RunReport, path: Path, system: UnitSystem = "metric") -> None:
    """Write the picture to a file.

    Raises:
        InputError: the file cannot be written there.
    """
    written(chart(report, system).encode(), path)


def pdf(report: RunReport, system: UnitSystem = "metric") -> bytes:
    """The picture on one page, A4 or US Letter, with the cautions below it."""
    return printed(_TEMPLATE, _page(report, system), "pdf")[0]


def picture(report: RunReport, system: UnitSystem = "metric", pixels_per_inch: float = 110.0) -> bytes:
    """The page as PNG."""
    return printed(_TEMPLATE, _page(report, system), "png", pixels_per_inch)[0]


def pdf_to(report: RunReport, path: Path, system: UnitSystem = "metric") -> None:
    """Write the page to a file.

    Raises:
        InputError: the file cannot be written there.
    """
    written(pdf(report, system), path)


def _page(report: RunReport, system: UnitSystem) -> dict[str, object]:
    return {
        "paper": "a4" if system == "metric" else "us-letter",
        "svg": chart(report, system),
        "title": still_words.run_headline(report, system),
        "cautions": [*report.charge.cautions, *report.warnings, *report.cautions],
    }


# The panels ---------------------------------------------------------------------------------------


def _strength(report: RunReport, system: UnitSystem) -> list[str]:
    course = report.course.moments
    panel = Panel(96.0, 380.0, 0.0, 90.0, course[-1].volume_l)
    litres = [m.volume_l for m in course]
    parts = [_text(12.0, 84.0, "Strength at the spout, %vol", bold=True)]
    parts += _frame(panel, range(0, 91, 10), system, labelled=False)
    parts += _marks(report, panel)
    parts += _soft(panel, litres, [m.spout_pct_vol for m in course])
    return parts + _receivers(report, panel)


def _warmth(report: RunReport, system: UnitSystem) -> list[str]:
    course = report.course.moments
    low, high = still_words.warmth_span(system)
    panel = Panel(424.0, 560.0, low, high, course[-1].volume_l)
    step = 5 if system == "metric" else 10
    litres = [m.volume_l for m in course]
    parts = [
        _text(12.0, 412.0, f"Vapour (full line) and pot (broken), {still_words.degree(system)}", bold=True)
    ]
    parts += _frame(panel, range(int(low), int(high) + 1, step), system, labelled=False)
    parts += _soft(panel, litres, [still_words.warmth(m.vapour_c, system) for m in course])
    return parts + _soft(panel, litres, [still_words.warmth(m.pot_c, system) for m in course], "7 3")


def _congeners(report: RunReport, system: UnitSystem) -> list[str]:
    course, top = report.course.moments, 604.0
    parts = [_text(12.0, top - 12.0, "Congeners in what runs, each group on a scale of its own", bold=True)]
    middles = [0.5 * (one.volume_l + two.volume_l) for one, two in itertools.pairwise(course)]
    for k, group in enumerate(report.course.groups):
        high = max(b.high for b in group.mg_per_l) or 1.0
        panel = Panel(top + 82.0 * k, top + 82.0 * k + 70.0, 0.0, high, course[-1].volume_l)
        parts += _frame(panel, (0.0, high), system, labelled=k == len(report.course.groups) - 1)
        parts += _soft(panel, middles, group.mg_per_l, _DASHES[group.group])
        anchor, x = ("start", _LEFT + 6.0) if group.group == "late" else ("end", _RIGHT - 6.0)
        parts.append(_text(x, panel.top + 15.0, f"{group.group}, mg/L", anchor=anchor))
    return parts


def _marks(report: RunReport, panel: Panel) -> list[str]:
    """Where the trade changes receivers: hatched over the doubt, a stroke at its middle, named above."""
    parts = [
        '<defs><pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse">'
        '<path d="M0 6L6 0" stroke="#000" stroke-width="0.6"/></pattern></defs>'
    ]
    for mark in report.cuts[1:]:
        if mark.chance < 0.1:
            continue
        left, middle, right = (panel.x(v) for v in (mark.volume_l.low, mark.volume_l.mid, mark.volume_l.high))
        parts.append(
            f'<rect x="{left:.1f}" y="{panel.bottom - 16:.1f}" width="{max(right - left, 1.0):.1f}" '
            'height="16" '
            'fill="url(#hatch)"/>'
        )
        parts.append(_stroke(middle, panel.bottom - 20.0, middle, panel.bottom, 1.8))
        anchor = "end" if middle > 0.8 * _RIGHT else "start"
        at = left if anchor == "end" else middle
        parts.append(
            _text(
                at + (-4.0 if anchor == "end" else 4.0),
                panel.bottom - 22.0,
                mark.key,
                anchor=anchor,
                halo=True,
            )
        )
    return parts


def _receivers(report: RunReport, panel: Panel) -> list[str]:
    """Where one receiver follows another: a hard stroke by its own size, hatched where a stop is in doubt."""
    parts, low_l, at_l, high_l = [], 0.0, 0.0, 0.0
    for line in report.receivers[:-1]:
        filled = line.volume_l
        low_l, at_l, high_l = low_l + filled.low, at_l + filled.mid, high_l + filled.high
        if line.filled < 0.5 or at_l >= panel.most_l:
            continue
        parts.append(_stroke(panel.x(at_l), panel.top, panel.x(at_l), panel.top + 8.0, 1.2))
        if high_l - low_l > _SURE_L:
            left, right = panel.x(low_l), panel.x(high_l)
            parts.append(
                f'<rect x="{left:.1f}" y="{panel.top:.1f}" width="{right - left:.1f}" height="8" '
                'fill="url(#hatch)"/>'
            )
    named = f"{len(report.receivers)} receivers, changed at the strokes"
    return [*parts, _text(_RIGHT, panel.top - 6.0, named, anchor="end", size=11)]


def _soft(panel: Panel, litres: Sequence[float], bands: Sequence[Band], dash: str = "none") -> list[str]:
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


def _frame(panel: Panel, values: Sequence[float], system: UnitSystem, *, labelled: bool) -> list[str]:
    parts = []
    for value in values:
        y = panel.y(value)
        parts.append(f'<path d="M{_LEFT} {y:.1f}H{_RIGHT}" stroke="#000" stroke-width="0.25"/>')
        said = f"{value:.3g}" if value < 1000.0 else f"{value:.0f}"
        parts.append(_text(_LEFT - 6.0, y + 4.0, said, anchor="end", size=11))
    parts.append(_stroke(_LEFT, panel.bottom, _RIGHT, panel.bottom, 1.0))
    for k in range(5):
        litres = panel.most_l * k / 4
        x = panel.x(litres)
        parts.append(_stroke(x, panel.bottom, x, panel.bottom + 4.0, 1.0))
        if labelled:
            unit = f" {still_words.litre_unit(system)} collected" if k == 4 else ""
            said = f"{still_words.litres(litres, system):.3g}{unit}"
            parts.append(_text(x, panel.bottom + 18.0, said, anchor="end" if k == 4 else "middle", size=11))
    return parts


def _foot(y: float) -> list[str]:
    key = "Shades fade across the forecast's doubt: 8 in 10 possible runs lie inside."
    return _lines(f"{key} {still_words.NOSE_DECIDES}", 12.0, y, 11, most=120)


def _lines(said: str, x: float, y: float, size: int, *, bold: bool = False, most: int = 88) -> list[str]:
    """A sentence in lines of so many letters."""
    lines = textwrap.wrap(said, most)
    return [_text(x, y + k * size * 1.3, one, bold=bold, size=size) for k, one in enumerate(lines)]


def _text(
    x: float,
    y: float,
    said: str,
    *,
    bold: bool = False,
    anchor: str = "start",
    size: int = 13,
    halo: bool = False,
) -> str:
    weight = ' font-weight="bold"' if bold else ""
    behind = ' stroke="#fff" stroke-width="3" paint-order="stroke"' if halo else ""
    place = f'x="{x:.1f}" y="{y:.1f}" font-size="{size}" text-anchor="{anchor}"'
    return f"<text {place}{weight}{behind}>{escape(said)}</text>"


def _stroke(x1: float, y1: float, x2: float, y2: float, width: float) -> str:
    return f'<path d="M{x1:.1f} {y1:.1f}L{x2:.1f} {y2:.1f}" stroke="#000" stroke-width="{width}"/>'
