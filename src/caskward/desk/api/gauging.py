"""Quick corrections and dilutions: a question as it is typed, its answer as figures and sentences."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import asdict
from typing import Annotated, Any

from fastapi import Query

from caskward.desk.api.fields import MOST_WORDS, Units
from caskward.desk.api.gauged import Figure, Liquid, MixAnswer, StrengthAnswer
from caskward.desk.api.routing import router as new_router
from caskward.services import gauging, gauging_said, gauging_sentence
from caskward.services.gauging_systems import system_for
from caskward.services.gauging_words import words
from caskward.units.types import UnitSystem

router = new_router("gauging")
_FIGURE = {"value", "standard", "low", "high"}


def _question(example: str) -> Any:
    return Query(min_length=1, max_length=MOST_WORDS, description="As it is typed.", examples=[example])


@router.get("/gauging/strength")
def strength(
    q: Annotated[str, _question("20 L of 63.2 % at 14 C")], units: Units = "metric"
) -> StrengthAnswer:
    """What a spirit really is, or a must by its gravity: `47 % at 28 C`, `126.4 proof at 82 F`, `1.054`."""
    ask_for = gauging_said.gauging(q)
    reading = ask_for.readings[0]
    found: gauging.GaugeAnswer | gauging.WashAnswer
    if reading.reading and gauging.is_of_a_wash(reading.reading):
        found = gauging.gauge_wash(gauging.WashAsk(gravity=reading))
        parts = {**_part(found.must), **_part(found.washed)}
    else:
        found = gauging.gauge(ask_for)
        parts = _part(found.gauged)
    return StrengthAnswer(**_said(found, q, units), figures=dict(_figures(parts)))


@router.get("/gauging/reduce")
def reduce(q: Annotated[str, _question("20 L 71.3 % to 63 %")], units: Units = "metric") -> MixAnswer:
    """How much water, or anything else, brings spirit to a strength."""
    return _mixed(q, units)


@router.get("/gauging/blend")
def blend(q: Annotated[str, _question("8 L 24 % and 12 L 70 %")], units: Units = "metric") -> MixAnswer:
    """What results if liquids go together, or how much of each makes what is wanted."""
    return _mixed(q, units)


def _mixed(q: str, units: UnitSystem) -> MixAnswer:
    found = gauging_sentence.answer(gauging_sentence.wish(q))
    mixture = asdict(found.mixture)
    add, lpa = mixture["add"], _figure(mixture["lpa"])
    strong = _figure(mixture["strength"])
    return MixAnswer(
        **_said(found, q, units),
        take=[_liquid(one) for one in mixture["take"]],
        add=_liquid(add) if add else None,
        makes=_liquid(mixture["makes"]),
        contraction_l=mixture["contraction_l"],
        strength_pct_vol=strong,
        alcohol_l=lpa,
    )


def _said(found: gauging.Answer, q: str, units: UnitSystem) -> dict[str, Any]:
    said = words(found, system_for("", [q], units))
    return {
        "headline": said.headline,
        "lines": [list(line) for line in said.lines],
        "notes": [note for note in said.notes if note not in found.assumed],
        "assumed": list(found.assumed),
        "cautions": list(said.cautions),
    }


def _liquid(of: Mapping[str, Any]) -> Liquid:
    return Liquid.model_validate(
        {name: value for name, value in of.items() if name != "lpa"} | {"alcohol_l": of["lpa"]}
    )


def _part(of: Any) -> dict[str, Any]:
    return asdict(of) if of is not None else {}


def _figures(parts: Mapping[str, Any]) -> Iterator[tuple[str, Figure]]:
    """Every figure by its name; those of the amount lie one deeper."""
    for name, value in parts.items():
        if isinstance(value, dict):
            found = _figure(value)
            if found is not None:
                yield name, found
            elif name == "quantity":
                yield from _figures(value)


def _figure(value: Mapping[str, Any]) -> Figure | None:
    fine = set(value) == _FIGURE and all(math.isfinite(one) for one in value.values())
    return Figure.model_validate(value) if fine else None
