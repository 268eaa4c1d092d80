"""What is on the shelf, in a maker's file: stock, enzyme products by their labels, prices."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Literal, cast

from caskward.catalogue.fact import Fact
from caskward.catalogue.kinds import Enzyme, Material
from caskward.catalogue.load import Catalogue
from caskward.errors import WrongShape
from caskward.planning.intent import EnzymeLabel, Prices, SpiritStock, Stock
from caskward.planning.strengths import read_strength
from caskward.planning.toml_section import Section, flag, one_of, text
from caskward.units import parse
from caskward.units.types import Dose

_NEEDED: Any = object()


def read_stock(top: Section, catalogue: Catalogue, materials: dict[str, Material]) -> Stock:
    """Materials, low wines and feints in store, and whether more may be bought."""
    part = top.section("stock")
    if part is None:
        return Stock()
    on_shelf = {
        _material_key(name, catalogue, materials): parse.mass_kg(given, what=f"stock.materials.{name}")
        for name, given in part.mapping("materials").items()
    }
    spirits = []
    for row in part.sections("spirit"):
        kind = row.take("kind", one_of("feints", "low wines"), '"feints"')
        volume_l = row.take("volume", parse.volume_l, '"8 L"')
        spirits.append(
            SpiritStock(
                cast(Literal["feints", "low wines"], kind),
                volume_l,
                row.take("strength", read_strength, '"28 %"'),
            )
        )
        row.done()
    buys_more = part.take("buy_more", flag, "true", default=True)
    part.done()
    return Stock(on_shelf, tuple(spirits), buys_more)


def _material_key(name: str, catalogue: Catalogue, materials: dict[str, Material]) -> str:
    for key, material in materials.items():
        if name in (key, material.name):
            return key
    return catalogue.material(name).key


_K_PER_PH = 8.0
"""Kelvins that tell two kinds apart as well as one unit of pH; *common practice, no source*."""


def read_enzyme(row: Section, catalogue: Catalogue) -> EnzymeLabel:
    """One enzyme product; what its label does not say is its kind's."""
    kind = catalogue.enzyme(row.take("kind", text, '"sweetening"')) if row.has("kind") else None
    does = row.take(
        "does", one_of("thin", "sweeten", "loosen", "fruit"), '"sweeten"', kind.does if kind else _NEEDED
    )
    if does is _NEEDED:
        row.take("does", one_of("thin", "sweeten", "loosen", "fruit"), '"sweeten"')
    label = EnzymeLabel(
        name=row.take("name", text, '"Sweetening enzyme, 1 L can"', kind.name if kind else does),
        does=does,
        window_c=_window(
            row, "window", parse.temperature_c, kind.window_c if kind else None, '["55 C", "65 C"]'
        ),
        window_ph=_window(row, "ph", _ph, kind.window_ph if kind else None, "[3.8, 5.0]"),
        dose=_dose(row, kind.dose.likely if kind else None, kind.dose_unit if kind else None),
        hold_h=row.take("hold", parse.duration_h, '"90 min"', kind.hold_min.likely / 60.0 if kind else 1.0),
        kind=kind or any_kind(catalogue, does),
    )
    row.done()
    return label if kind else replace(label, kind=nearest_kind(catalogue, label))


def any_kind(catalogue: Catalogue, does: str) -> Enzyme:
    """The first kind that does a thing."""
    return next(e for e in catalogue.enzymes.values() if e.does == does and not e.from_malt)


def nearest_kind(catalogue: Catalogue, label: EnzymeLabel) -> Enzyme:
    """The kind whose windows end nearest to a label's: the top of its warmth, the middle of its pH.

    The bottom of a window says little: a label often goes down to where its enzyme merely works slowly.
    """
    top_c, middle_ph = label.window_c[1], 0.5 * (label.window_ph[0] + label.window_ph[1])

    def apart(kind: Enzyme) -> float:
        return abs(kind.window_c.high - top_c) + _K_PER_PH * abs(kind.window_ph.likely - middle_ph)

    kinds = [e for e in catalogue.enzymes.values() if e.does == label.does and not e.from_malt]
    return min(kinds, key=apart)


def malt_enzymes(catalogue: Catalogue) -> tuple[Enzyme, ...]:
    """Malt's own enzymes, the thinning one first."""
    own = [e for e in catalogue.enzymes.values() if e.from_malt]
    return tuple(sorted(own, key=lambda e: e.does != "thin"))


def _dose(row: Section, value: float | None, unit: str | None) -> Dose:
    if value is None or unit is None:
        return row.take("dose", parse.dose, '"0.5 mL/kg"')
    return row.take("dose", parse.dose, '"0.5 mL/kg"', Dose(value, cast(Any, unit)))


def _ph(given: Any, *, what: str) -> float:
    if not isinstance(given, int | float) or isinstance(given, bool) or not 1.0 <= given <= 12.0:
        raise WrongShape(what, given, "a pH between 1 and 12, without quotes")
    return float(given)


def _window(row: Section, key: str, read: Any, fact: Fact | None, example: str) -> tuple[float, float]:
    if not row.has(key) and fact is not None:
        return fact.low, fact.high
    return row.take(key, lambda given, what: _edges(given, read, what, example), example)


def _edges(given: Any, read: Any, what: str, example: str) -> tuple[float, float]:
    if not isinstance(given, list) or len(given) != 2:
        raise WrongShape(what, given, f"two values, low and high, like {example}")
    low, high = (float(read(edge, what=what)) for edge in given)
    if not low < high:
        raise WrongShape(what, given, "low first, then high")
    return low, high


def read_prices(top: Section, catalogue: Catalogue, materials: dict[str, Material]) -> Prices:
    """Prices, all in one currency."""
    part = top.section("prices")
    if part is None:
        return Prices("")
    per_kg = {
        _material_key(name, catalogue, materials): parse.money(given, what=f"prices.per_kg.{name}")
        for name, given in part.mapping("per_kg").items()
    }
    prices = Prices(
        currency=part.take("currency", text, '"EUR"'),
        per_kg=per_kg,
        energy_per_kwh=part.take("energy_per_kwh", parse.money, "0.30", None),
    )
    part.done()
    return prices
