"""What a run sheet prints: text already in the maker's units, and the few lengths that are drawn."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

from caskward.services import AccountLine, Band, Limit, Plan, ShoppingLine, StageCard, Target, words
from caskward.sheets.forms import Form, forms
from caskward.sheets.river import RiverRow, river
from caskward.units import show
from caskward.units.types import UnitSystem

_LONGEST_RUNNING_TITLE = 60
_OF_AN_ENZYME = ("window.", "ph.", "hold.")
_TURNS = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
"""Signs that would turn the direction of the text around them."""


@dataclass(frozen=True)
class Level:
    """The cask's level as it is drawn [L], and what is written at it."""

    low_l: float
    mid_l: float
    high_l: float
    wanted_l: float
    capacity_l: float
    forecast: str
    wanted: str
    capacity: str


@dataclass(frozen=True)
class ShoppingRow:
    """One line of the shopping list."""

    name: str
    need: str
    on_shelf: str
    buy: str
    cost: str


@dataclass(frozen=True)
class TargetRow:
    """One figure of a stage; a forecast's band stands apart from its middle.

    What is `of_above` speaks of the row above it, as a label's window does of its enzyme.
    """

    kind: str
    words: str
    figure: str
    band: str
    of_above: bool


@dataclass(frozen=True)
class Stage:
    """One card: what to do, what to expect, what to heed, what to write down."""

    title: str
    targets: tuple[TargetRow, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    forms: tuple[Form, ...]


@dataclass(frozen=True)
class RiverLine:
    """One row of the river: lengths [mL] to draw, and the figure in the column of its side."""

    kind: str
    words: str
    figure: str
    before_ml: int
    after_ml: int
    band_ml: tuple[float, float, float] | None


@dataclass(frozen=True)
class Sums:
    """The foot of the account: in = lost + kept."""

    came: str
    lost: str
    kept: str
    line: str


@dataclass(frozen=True)
class LimitRow:
    """How far a vessel, a store or a strength is used."""

    words: str
    share: float
    percent: str


@dataclass(frozen=True)
class Sheet:
    """A whole run sheet."""

    paper: str
    name: str
    running_title: str
    place: str
    invented: bool
    answer: str
    sureness: str
    chance: float
    level: Level
    shopping: tuple[ShoppingRow, ...]
    total: str
    stages: tuple[Stage, ...]
    river: tuple[RiverLine, ...]
    sums: Sums
    limits: tuple[LimitRow, ...]
    effort: tuple[tuple[str, str], ...]
    law: tuple[str, ...]
    worked_out: str


def sheet_of(plan: Plan) -> Sheet:
    """Everything that the template prints for a plan."""
    name = _one_line(plan.name) or "A batch without a name"
    return Sheet(
        paper="us-letter" if plan.show == "us" else "a4",
        name=name,
        running_title=_shortened(name),
        place=_shortened(_one_line(plan.place)),
        invented=plan.invented,
        answer=_one_line(words.answer(plan)),
        sureness=words.sureness(plan),
        chance=plan.chance,
        level=_level(plan),
        shopping=tuple(_shopping_row(line, plan) for line in plan.shopping),
        total=_total(plan),
        stages=tuple(_stage(card, plan) for card in plan.stages),
        river=tuple(_river_line(row, plan.show) for row in river(plan.account)),
        sums=_sums(plan.account),
        limits=tuple(_limit_row(limit, plan.show) for limit in plan.limits),
        effort=words.effort(plan),
        law=plan.law,
        worked_out=words.drawn(plan),
    )


def _one_line(text: str) -> str:
    """The text as a printer can set it: control characters and runs of space become one space, turns go."""
    printable = "".join(
        " " if unicodedata.category(c) in ("Cc", "Cs") else c for c in text if c not in _TURNS
    )
    return re.sub(r"\s+", " ", printable).strip()


def _capital(text: str) -> str:
    line = _one_line(text)
    return line[:1].upper() + line[1:]


def _shortened(text: str) -> str:
    if len(text) <= _LONGEST_RUNNING_TITLE:
        return text
    return text[: _LONGEST_RUNNING_TITLE - 1].rstrip() + "…"


def _level(plan: Plan) -> Level:
    return Level(
        *(plan.fill_l.low, plan.fill_l.mid, plan.fill_l.high, plan.wanted_l, plan.capacity_l),
        forecast=words.banded(plan.fill_l, "L", plan.show),
        wanted=words.figure(plan.wanted_l, "L", plan.show),
        capacity=words.figure(plan.capacity_l, "L", plan.show),
    )


def _shopping_row(line: ShoppingLine, plan: Plan) -> ShoppingRow:
    return ShoppingRow(
        name=_capital(line.name),
        need=words.figure(line.need, line.unit, plan.show),
        on_shelf=words.figure(line.in_stock, line.unit, plan.show) if line.in_stock > 0 else "–",
        buy=words.buy(line, plan.show),
        cost="–" if line.cost is None else show.money(line.cost, plan.currency),
    )


def _total(plan: Plan) -> str:
    """What the list costs, and for how much of it that speaks."""
    if plan.materials_cost is None or all(line.cost is None for line in plan.shopping):
        return ""
    unpriced = sum(line.cost is None and line.buy > 0 for line in plan.shopping)
    what = "Together" if unpriced == 0 else f"Together, without the {unpriced} that have no price"
    return f"{what}: {show.money(plan.materials_cost, plan.currency)}"


def _stage(card: StageCard, plan: Plan) -> Stage:
    return Stage(
        title=_capital(card.title),
        targets=tuple(_target_row(target, plan.show) for target in card.targets),
        notes=card.notes,
        cautions=card.cautions,
        forms=forms(card, plan.show, _ferments(plan)),
    )


def _ferments(plan: Plan) -> int:
    counts = [t.band.high for c in plan.stages for t in c.targets if (c.key, t.key) == ("pitch", "ferments")]
    return int(counts[0]) if counts else 1


def _target_row(target: Target, system: UnitSystem) -> TargetRow:
    figure, _, band = words.target(target, system).partition(" (")
    of_above = target.key.startswith(_OF_AN_ENZYME)
    return TargetRow(target.kind, _one_line(target.words), figure, band.removesuffix(")"), of_above)


def _river_line(row: RiverRow, system: UnitSystem) -> RiverLine:
    return RiverLine(
        row.kind,
        _capital(row.words),
        _pure(row.millilitres, system) if row.kind == "reach" else _millilitres(row.millilitres),
        row.before_ml,
        row.after_ml,
        None if row.band_lpa is None else _in_ml(row.band_lpa),
    )


def _pure(millilitres: float, system: UnitSystem) -> str:
    """Pure alcohol, so that nobody takes a reach for the litres in the tub."""
    return f"{words.figure(millilitres, 'mL', system)} pure"


def _in_ml(band_lpa: Band) -> tuple[float, float, float]:
    return band_lpa.low * 1000.0, band_lpa.mid * 1000.0, band_lpa.high * 1000.0


def _millilitres(count: int) -> str:
    return f"{count:,}".replace(",", " ")


def _sums(account: tuple[AccountLine, ...]) -> Sums:
    came, lost, kept = (
        sum(line.millilitres for line in account if line.side == side) for side in ("in", "lost", "kept")
    )
    shown = [_millilitres(each) for each in (came, lost, kept)]
    line = f"Came in {shown[0]} mL = lost {shown[1]} mL + kept {shown[2]} mL."
    if came != lost + kept:
        line = f"The account does not add up: it is off by {_millilitres(came - lost - kept)} mL."
    return Sums(shown[0], shown[1], shown[2], line)


def _limit_row(limit: Limit, system: UnitSystem) -> LimitRow:
    share = min(limit.share, 9.99)
    return LimitRow(_capital(words.limit(limit, system)), share, f"{100.0 * share:.0f} %")
