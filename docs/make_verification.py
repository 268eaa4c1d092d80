"""Write `docs/reference/verification.md` from the published checks: `python docs/make_verification.py`.

The figures come from `tests/published/deviations.py`, which the tests hold too; a test compares the page with
what this script would write today.
"""

from __future__ import annotations

import sys
from itertools import groupby
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[1]
PAGE = ROOT / "docs" / "reference" / "verification.md"
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))

from tests.published.deviations import CASES, NOT_MET, Case  # noqa: E402 - the checks live beside the tests

HEAD = """\
# Verification

How far Caskward's figures lie from published tables. A deviation is ours less theirs; what is allowed was
chosen from use or from the printed digits before the deviation was looked at. *Read* means that the numbers
were read in the source or a faithful copy, *from memory* that they were not read again. Many tables of
alcohol descend from the same measurements of 1913, so they are not independent of each other.

This page is written by `docs/make_verification.py`; the tests hold every figure on it.
"""
TAIL = """\
## Worked examples

The Gauging Manual's worked examples (27 CFR 30.23, 30.32, 30.44, 30.51, 30.64, 30.66) are held to the printed
digit where they rest on the manual's own printed figures, and from physics within what those figures allow;
dilutions of the pharmacopoeias and the label tolerances stand in the same tests.

## What is not checked against anything published

* Sugar in strong spirit (liqueurs): the volume that sugar fills there is taken from water. The doubt stated
  includes 1 % of the sugar for it.
* Water, alcohol and sugar together, by refractometer: each solute in water is published, both together follow
  by the Lorentz-Lorenz rule. Siebert's relation for beer (from memory) agrees within 0.4 %mass.
* Limits of error of instruments without a certificate: common practice, no source.
"""


def page() -> str:
    """The whole page as text."""
    parts = [HEAD]
    for group, cases in groupby(CASES, key=lambda case: case.group):
        lines = "\n".join(_row(case) for case in cases)
        parts.append(
            f"## {group}\n\n"
            "| what | source | how | rows | worst | mean | allowed | unit | why so much |\n"
            f"|---|---|---|---:|---:|---:|---:|---|---|\n{lines}\n"
        )
    rows = "\n".join(f"| {what} | {far} | {why} |" for what, far, why in NOT_MET)
    parts.append(
        "## Rows that no honest model meets\n\n"
        "Kept in sight, not dropped, and not forced.\n\n"
        f"| rows | how far | why |\n|---|---|---|\n{rows}\n"
    )
    parts.append(TAIL)
    return "\n".join(parts)


def _row(case: Case) -> str:
    gaps = np.abs(case.gaps())
    cells = (
        case.what,
        case.source,
        case.how,
        str(gaps.size),
        _two(float(gaps.max())),
        _two(float(gaps.mean())),
        f"{case.tolerance:.2g}",
        case.unit,
        case.why,
    )
    return f"| {' | '.join(cells)} |"


def _two(value: float) -> str:
    """Two digits: the same on every machine, where the last bits may differ."""
    return f"{value:.2g}" if value >= 1e-4 else f"{value:.6f}"


if __name__ == "__main__":
    PAGE.parent.mkdir(parents=True, exist_ok=True)
    PAGE.write_text(page(), encoding="utf-8")
    sys.stdout.write(f"wrote {PAGE.relative_to(ROOT)}\n")
