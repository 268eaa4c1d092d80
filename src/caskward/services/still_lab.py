"""A laboratory's figures for what is in the pot, as a maker types them or keeps them in a file."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from textwrap import shorten
from typing import Literal

import numpy as np

from caskward.catalogue.load import load
from caskward.errors import (
    FigureTwice,
    MissingValue,
    NotUnderstood,
    OutOfRange,
    UnclearValue,
    UnreadableNotes,
)
from caskward.planning.unknowns import Draw, Unknown
from caskward.properties.congeners import CONGENERS
from caskward.stages.stream import Worlds

EXAMPLES = '"methanol = 850 g/hL" or "ethyl acetate 210 ± 20 mg/L pure"'
MOST_G_HL = 20_000.0
_Z_OF_STATED, _Z_OF_TENTH = 1.959964, 1.281552
"""Standard deviates of 95 in 100, as laboratories state doubt, and of 8 in 10, as bands are told here."""

Unit = Literal["g/hL pure", "mg/L pure", "mg/L as it is"]

_NUMBER = r"\d+(?:[.,]\d+)?"
_DOUBT = rf"(?:±|\+\s*/?\s*-|plus or minus)\s*(?P<{{}}>{_NUMBER})\s*(?P<{{}}>%)?"
_FIGURE = re.compile(
    rf"(?P<name>.*?[a-z])\s*(?:[=:]\s*|\s)(?P<value>{_NUMBER})\s*(?:{_DOUBT.format('doubt', 'pct')})?\s*"
    r"(?P<unit>[a-z]+\s*/\s*h?l\b[a-z ]*?)\s*"
    rf"(?:{_DOUBT.format('doubt2', 'pct2')}[a-z/ ]*)?",
    re.IGNORECASE,
)
_AS_IT_IS = ("as it is", "as is", "of the charge", "of the liquid", "in the charge", "in the liquid")
_PURE = ("pure", "pure alcohol", "of pure alcohol", "aa", "lpa", "of alcohol")


@dataclass(frozen=True)
class LabFigure:
    """A congener's level in the charge, as a laboratory states it [g/hL of pure alcohol].

    doubt_g_hl: what it states either way, 95 in 100; None where it states none, and the figure is exact.
    """

    congener: str
    name: str
    g_hl: float
    doubt_g_hl: float | None = None


def figure_of(given: str, charge_pct_vol: float) -> LabFigure:
    """A figure from `methanol = 850 g/hL`, `ethyl acetate 210 ± 20 mg/L pure`, `furfural 3 mg/L as it is`.

    Raises:
        InputError: one sentence about what cannot be read; mg/L alone is asked back, for it has two meanings.
    """
    found = _FIGURE.fullmatch(" ".join(given.split()))
    if not found:
        raise NotUnderstood("a laboratory's figure", shorten(given, 60, placeholder=" ..."), EXAMPLES)
    known = load().congener(found["name"].strip())
    value = _number(found["value"])
    per = _g_hl_per_unit(given, found, charge_pct_vol)
    doubt, pct = found["doubt"] or found["doubt2"], found["pct"] or found["pct2"]
    half = None if doubt is None else _number(doubt) * (value / 100.0 if pct else 1.0) * per
    g_hl = value * per
    if not 0.0 <= g_hl <= MOST_G_HL:
        raise OutOfRange(f"{known.name} in the charge", g_hl, "g/hL of pure alcohol", 0.0, MOST_G_HL)
    if half is not None and half > max(g_hl, 0.1):
        hint = "A level under the least that can be found stands as 0 with that as its doubt."
        raise OutOfRange(f"The doubt of {known.name}", half, "g/hL of pure alcohol", 0.0, g_hl, hint)
    return LabFigure(known.key, known.name, g_hl, half)


def figures_of(typed: Sequence[str], path: Path | None, charge_pct_vol: float) -> tuple[LabFigure, ...]:
    """Figures typed one by one, and those of a file.

    Raises:
        InputError: what cannot be read, or a congener with two figures.
    """
    rows = [*typed, *(_rows(path) if path is not None else ())]
    found = tuple(figure_of(row, charge_pct_vol) for row in rows)
    names = [one.name for one in found]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise FigureTwice(twice)
    return found


def lab_unknowns(figures: Sequence[LabFigure]) -> tuple[Unknown, ...]:
    """Figures with a doubt as unknowns to draw: what lies inside it 95 times in 100 is told as 8 in 10."""
    part = _Z_OF_TENTH / _Z_OF_STATED
    return tuple(
        Unknown(
            f"lab.{one.congener}",
            f"{one.name} by your laboratory",
            "reading",
            "real",
            one.g_hl - part * (one.doubt_g_hl or 0.0),
            one.g_hl,
            one.g_hl + part * (one.doubt_g_hl or 0.0),
            "your laboratory",
        )
        for one in figures
    )


def with_figures(g_hl: Worlds, figures: Sequence[LabFigure], drawn: Draw) -> Worlds:
    """Levels of a charge [g/hL of pure alcohol], (16, worlds), with a laboratory's in their rows."""
    levels = np.array(g_hl)
    for one in figures:
        levels[CONGENERS.index(one.congener)] = np.maximum(drawn[f"lab.{one.congener}"], 0.0)
    return levels


def said_of(one: LabFigure) -> str:
    """A figure in words: `methanol 850 g/hL (± 40, 95 in 100)`."""
    doubt = ", no doubt stated" if one.doubt_g_hl is None else f" ± {one.doubt_g_hl:.3g}"
    return f"{one.name[:1].lower()}{one.name[1:]} {one.g_hl:.4g} g/hL{doubt}"


def _number(said: str) -> float:
    return float(said.replace(",", "."))


def _g_hl_per_unit(given: str, found: re.Match[str], charge_pct_vol: float) -> float:
    """Grams per hectolitre of pure alcohol that one of the unit is."""
    unit, _, basis = re.sub(r"\s*/\s*", "/", found["unit"].lower().strip()).partition(" ")
    basis = basis.strip()
    grams = {"g/hl": 1.0, "mg/hl": 0.001, "mg/l": 0.1, "g/l": 100.0}.get(unit)
    if grams is None or basis not in ("", *_PURE, *_AS_IT_IS):
        raise NotUnderstood("a laboratory's figure", given, EXAMPLES)
    if basis in _AS_IT_IS:
        return grams * 100.0 / charge_pct_vol
    if not basis and unit != "g/hl":
        value = f"{found['name'].strip()} {found['value']} {found['unit'].strip()}"
        raise UnclearValue(
            "a laboratory's figure", given, (f'"{value} pure" (of pure alcohol)', f'"{value} as it is"')
        )
    return grams


def _rows(path: Path) -> tuple[str, ...]:
    """Rows of a file as they would be typed: `methanol, 850 g/hL, 40`; the last column is the doubt."""
    try:
        content = path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError:
        raise UnreadableNotes(str(path), "it is not plain text (UTF-8)") from None
    except OSError as error:
        raise UnreadableNotes(str(path), error.strerror or "it cannot be opened") from None
    lines = [line for line in content.splitlines() if line.strip() and not line.lstrip().startswith("#")]
    sep = ";" if any(";" in line for line in lines) else ","
    found = []
    for cells in csv.reader(lines, delimiter=sep, skipinitialspace=True):
        kept = [cell.strip() for cell in cells if cell.strip()]
        if kept and kept[0].casefold() in ("congener", "name"):
            continue
        found.append(f"{' '.join(kept[:2])} ± {kept[2]}" if len(kept) == 3 else " ".join(kept))
    if not found:
        raise MissingValue(str(path), "a laboratory's figure", "methanol, 850 g/hL, 40")
    return tuple(found)
