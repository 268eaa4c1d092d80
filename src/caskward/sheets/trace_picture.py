"""The picture of a lineage, drawn by hand as SVG: batches as bands one below the other, steps left to right.

What a box is, its shape and its words say; its colour, that of the matter, only helps. A thick edge is what
was asked about; a broken one left the house or came from outside.
"""

from __future__ import annotations

from collections.abc import Iterable
from xml.sax.saxutils import escape

from caskward.services.book.pages import INVENTED, Page
from caskward.services.book.trace_report import TraceReport
from caskward.sheets.still_ink import lines, text
from caskward.sheets.trace_plan import BOX_WIDTH, GAP, LINE, MARGIN, PAD, Band, Box, Plan, plan_of

_MATTER = {
    "lot": "#b8811f",
    "goods": "#5d666a",
    "vessel": "#1c7c86",
    "jar": "#8474a8",
    "cask": "#6a3d22",
    "bottles": "#0e4f73",
}
_OUTSIDE = frozenset({"sold", "sampled", "received", "destroyed", "lost", "unaccounted", "used"})
_CUT = 9.0
_BULGE = 6.0


def picture(report: TraceReport, page: Page) -> str:
    """The picture as SVG; the same lineage gives the same text."""
    plan = plan_of(report.steps)
    title = f"{page.title}: {page.about}"
    said = " ".join(page.answers)
    width, height = f"{plan.width:.0f}", f"{plan.height:.0f}"
    size = f'viewBox="0 0 {width} {height}" width="{width}" height="{height}"'
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} role="img" '
        'font-family="\'Atkinson Hyperlegible\', sans-serif" font-size="11">',
        f"<title>{escape(title)}</title>",
        f"<desc>{escape(said)}</desc>",
        f'<rect width="{width}" height="{height}" fill="#fff"/>',
        _ARROW,
        *lines(title + (f". {INVENTED}" if page.invented else ""), MARGIN, 22.0, 15, bold=True, most=110),
        *lines(_KEY, MARGIN, 42.0, 10, most=int(plan.width / 5.2)),
        *(part for band in plan.bands for part in _band(band, plan)),
        *(_way(plan.boxes[way.source], plan.boxes[way.target]) for way in report.steps.ways),
        *(part for box in plan.boxes.values() for part in _box(box, report)),
    ]
    return "\n".join([*parts, "</svg>", ""])


_KEY = (
    "Cut corner: lot. Square: vessel. Round: jar. Bulging: cask. Double: bottles. Broken: outside the house."
)
_ARROW = (
    '<defs><marker id="tip" viewBox="0 0 6 6" refX="6" refY="3" markerWidth="6" markerHeight="6" '
    'orient="auto"><path d="M0 0L6 3L0 6Z" fill="#444"/></marker></defs>'
)


def _band(band: Band, plan: Plan) -> list[str]:
    name = f"Batch {band.name}" if band.name else "After the batches"
    return [
        f'<rect x="4" y="{band.top:.1f}" width="{plan.width - 8:.1f}" height="{band.bottom - band.top:.1f}" '
        'rx="4" fill="#f4f2ec" stroke="none"/>',
        text(MARGIN, band.top + 15.0, name, bold=True, size=12),
    ]


def _way(source: Box, target: Box) -> str:
    """A curve to the next column; elsewhere along the gaps between columns and over a band's boxes."""
    x1, y1, x2, y2 = source.right, source.middle, target.x - _bulge(target), target.middle
    gap = target.x - x1
    if source.band_top == target.band_top and 0.0 < gap <= GAP + 1.0:
        bend = GAP / 2.0
        path = f"M{x1:.1f} {y1:.1f}C{x1 + bend:.1f} {y1:.1f} {x2 - bend:.1f} {y2:.1f} {x2:.1f} {y2:.1f}"
    else:
        # The two halves of the gap between columns, and a strip below the band's name, are for these alone.
        down = x1 + 6.0 + 2.0 * (source.step.key % 5)
        in_at = target.x - 6.0 - 2.0 * (target.step.key % 4)
        over = target.band_top + 22.0 + 2.5 * (source.step.key % 4)
        beside = 0.0 < gap <= GAP + 1.0
        around = "" if beside else f"V{over:.1f}H{in_at:.1f}"
        path = f"M{x1:.1f} {y1:.1f}H{down:.1f}{around}V{y2:.1f}H{x2:.1f}"
    return (
        f'<path d="{path}" fill="none" stroke="#444" stroke-width="1" stroke-linejoin="round" '
        'marker-end="url(#tip)"/>'
    )


def _bulge(box: Box) -> float:
    """How far a cask's side stands out in its middle: half as far as the point that draws it."""
    return _BULGE / 2.0 if box.step.root == "cask" else 0.0


def _box(box: Box, report: TraceReport) -> Iterable[str]:
    root = box.step.root
    asked = box.step.key in report.steps.starts
    colour = _MATTER.get(root, "#1d2326")
    dash = ' stroke-dasharray="4 3"' if root in _OUTSIDE else ""
    look = f'stroke="{colour}" stroke-width="{3 if asked else 1.4}"{dash}'
    yield f'<path d="{_shape(box)}" fill="#fff" stroke="none"/>'
    yield f'<path d="{_shape(box)}" fill="{colour}" fill-opacity="0.13" {look}/>'
    if root == "bottles":
        yield (
            f'<rect x="{box.x + 3:.1f}" y="{box.y + 3:.1f}" width="{BOX_WIDTH - 6:.1f}" '
            f'height="{box.height - 6:.1f}" fill="none" stroke="{colour}" stroke-width="0.8"/>'
        )
    for place, line in enumerate(box.lines):
        yield text(box.x + PAD, box.y + PAD + (place + 0.8) * LINE, line, bold=asked, size=11)


def _shape(box: Box) -> str:
    x, y, right, low = box.x, box.y, box.right, box.y + box.height
    root = box.step.root
    if root in ("lot", "goods"):
        return f"M{x} {y}H{right - _CUT}L{right} {y + _CUT}V{low}H{x}Z"
    if root == "jar":
        r = 9.0
        return (
            f"M{x + r} {y}H{right - r}Q{right} {y} {right} {y + r}V{low - r}Q{right} {low} {right - r} {low}"
            f"H{x + r}Q{x} {low} {x} {low - r}V{y + r}Q{x} {y} {x + r} {y}Z"
        )
    if root == "cask":
        middle = (y + low) / 2.0
        return f"M{x} {y}H{right}Q{right + _BULGE} {middle} {right} {low}H{x}Q{x - _BULGE} {middle} {x} {y}Z"
    return f"M{x} {y}H{right}V{low}H{x}Z"
