"""Published tables beside their checks: CSV whose first lines name the source and how it was obtained."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import numpy.typing as npt

DATA = Path(__file__).parent / "data"


def records(name: str) -> list[dict[str, str]]:
    """The rows of a table as text, its header comments left out."""
    lines = (DATA / f"{name}.csv").read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def columns(name: str, *wanted: str) -> list[npt.NDArray[np.float64]]:
    """Columns of a table as arrays of numbers."""
    rows = records(name)
    return [np.array([float(row[column]) for row in rows]) for column in wanted]
