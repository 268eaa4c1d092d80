"""Empty boxes for pencilled readings: which ones a stage has, in the maker's own units.

A form is a table to fill in (its columns, its rows) or, with one row without a name, a line of boxes. What
does not fit on the page is left for the back of the sheet, and the form's title says so.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from caskward.services import StageCard
from caskward.units.types import UnitSystem

_UNITS: dict[UnitSystem, dict[str, str]] = {
    "metric": {"L": "L", "kg": "kg", "°": "°C", "%": "%vol"},
    "us": {"L": "gal", "kg": "lb", "°": "°F", "%": "proof"},
}
_MOST_ROWS = 10
_MOST_JARS = 32
_DAYS = 10
_BLANK_JARS = 2


@dataclass(frozen=True)
class Column:
    """One column of a form: its head, its share of the width, words to tick in every row."""

    head: str
    width: float = 1.0
    ticks: tuple[str, ...] = ()


@dataclass(frozen=True)
class Form:
    """Boxes to fill in; `side_by_side` blocks share the rows, a row's name stands in the first column."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[str, ...] = ("",)
    side_by_side: int = 1

    @property
    def is_line(self) -> bool:
        """A single line of boxes, each with its label inside."""
        return self.rows == ("",)


def forms(card: StageCard, system: UnitSystem, ferments: int = 1) -> tuple[Form, ...]:
    """The forms of a stage; a stage unknown here gets a time, a reading and a note."""
    if card.key == "ferment":
        return _ferment(card, _UNITS[system], ferments)
    return _FORMS.get(card.key, _any_stage)(card, _UNITS[system])


def _most(card: StageCard, key: str, otherwise: int = 1) -> int:
    """How many rows a count asks for, in 9 worlds of 10."""
    for target in card.targets:
        if target.key == key:
            return max(1, math.ceil(target.band.high - 1e-9))
    return otherwise


def _numbered(count: int, what: str, most: int = _MOST_ROWS) -> tuple[str, tuple[str, ...]]:
    """A title that says what does not fit, and the row names."""
    over = f"{what} {most + 1} to {count} on the back" if count > most else ""
    return over, tuple(str(n) for n in range(1, min(count, most) + 1))


def _columns(*heads: str) -> tuple[Column, ...]:
    return tuple(Column(head) for head in heads)


def _any_stage(_card: StageCard, _u: dict[str, str]) -> tuple[Form, ...]:
    return (Form("Read", (Column("time"), Column("reading"), Column("note", 3.0))),)


def _cook(card: StageCard, u: dict[str, str]) -> tuple[Form, ...]:
    over, rows = _numbered(_most(card, "cooks"), "Cooks")
    heads = _columns("heat on at", f"reached {u['°']}", "at time", "held until", f"tub then {u['°']}")
    return (Form(over, (Column("cook", 0.6), *heads), rows, 2 if len(rows) > 5 else 1),)


def _convert(card: StageCard, u: dict[str, str]) -> tuple[Form, ...]:
    enzymes = [t.key.removeprefix("dose.") for t in card.targets if t.key.startswith("dose.")]
    rows = [f"{name} in" for name in enzymes[:4]] or ["Malt in"]
    columns = (
        Column("", 2.2),
        *_columns("time", u["°"], "pH"),
        Column("starch test, drop on a plate", 2.6, ("clear", "blue-black")),
    )
    return (Form("", columns, (*rows, "End of the rest")),)


def _pitch(card: StageCard, u: dict[str, str]) -> tuple[Form, ...]:
    heads = _columns(
        "date, time", f"in the tub, {u['L']}", "gravity", f"at {u['°']}", f"tub when pitched, {u['°']}"
    )
    over, rows = _numbered(_most(card, "ferments"), "Ferments", 4)
    if len(rows) == 1:
        return (Form("", heads),)
    return (Form(over, (Column("ferment", 0.8), *heads), rows),)


def _ferment(card: StageCard, u: dict[str, str], ferments: int) -> tuple[Form, ...]:
    longest_d = next((t.band.high for t in card.targets if t.key == "days"), float(_DAYS))
    step = max(1, math.ceil(longest_d / (_DAYS - 1)))
    days = tuple(Column(str(n * step)) for n in range(_DAYS))
    over, names = _numbered(ferments, "Ferments", 4)
    before = [""] if len(names) == 1 else [f"{name}: " for name in names]
    rows = tuple(f"{start}{what}" for start in before for what in ("gravity", u["°"]))
    return (Form(over, (Column("day", 1.7), *days), rows),)


def _separate(card: StageCard, u: dict[str, str]) -> tuple[Form, ...]:
    keys = {t.key for t in card.targets}
    made = (
        ("strained", f"ran off, {u['L']}"),
        ("pressed", f"from the press, {u['L']}"),
        ("solids", f"wet solids, {u['kg']}"),
    )
    heads = [words for key, words in made if key in keys]
    return (Form("", _columns("date", *heads, f"for the still, {u['L']}", "strength, %vol")),)


def _strip(card: StageCard, u: dict[str, str]) -> tuple[Form, ...]:
    over, rows = _numbered(_most(card, "runs"), "Strips")
    columns = (
        Column("strip", 0.7),
        *_columns(f"charge {u['L']}", "charge %vol", "heat on", "first drops", "heat off"),
        *_columns(f"low wines {u['L']}", u["%"], f"at {u['°']}"),
    )
    return (Form(over, columns, rows),)


def _charge(card: StageCard, u: dict[str, str]) -> tuple[Form, ...]:
    stock = any(t.key.startswith("stock.") for t in card.targets)
    heads = [f"low wines {u['L']}", u["%"], f"at {u['°']}"]
    heads += [f"from store {u['L']}"] if stock else []
    return (Form("", _columns(*heads, f"water {u['L']}", f"charge {u['L']}", u["%"], f"at {u['°']}")),)


def _spirit(card: StageCard, u: dict[str, str]) -> tuple[Form, ...]:
    runs = _most(card, "runs")
    jars = _most(card, "jars", 12)
    spare = min(_BLANK_JARS, max(0, _MOST_JARS - jars))
    over, rows = _numbered(jars + spare, "Jars", _MOST_JARS)
    columns = (
        Column("jar", 0.7),
        *_columns(f"spout {u['%']}", u["L"], u["%"], f"at {u['°']}"),
        Column("smell, taste", 1.7),
        Column("heart", 1.0, ("",)),
    )
    first = (f"run, of {runs}: a page each", "date") if runs > 1 else ("date",)
    clock = Form("", _columns(*first, "heat on", "first drops", "heart from", "heart to", "heat off"))
    return clock, Form(over, columns, rows, 2 if len(rows) > 6 else 1)


def _reduce(_card: StageCard, u: dict[str, str]) -> tuple[Form, ...]:
    heads = (f"heart {u['L']}", u["%"], f"at {u['°']}", f"water {u['kg']}", f"then {u['%']}", f"at {u['°']}")
    return (Form("", _columns(*heads)),)


def _fill(_card: StageCard, u: dict[str, str]) -> tuple[Form, ...]:
    heads = ("date", "cask no.", u["L"], u["kg"], u["%"], f"at {u['°']}", "filled by")
    return (Form("", _columns(*heads)),)


_FORMS: dict[str, Callable[[StageCard, dict[str, str]], tuple[Form, ...]]] = {
    "cook": _cook,
    "convert": _convert,
    "pitch": _pitch,
    "separate": _separate,
    "strip": _strip,
    "charge": _charge,
    "spirit": _spirit,
    "reduce": _reduce,
    "fill": _fill,
}
