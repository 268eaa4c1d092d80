"""A plan to be shared and printed: every figure in both systems of units, side by side."""

from __future__ import annotations

from dataclasses import dataclass, replace

from caskward.planning.plan import Plan, ShoppingLine, StageCard
from caskward.services import words
from caskward.services.words import figure
from caskward.units.types import UnitSystem

Both = tuple[str, str, str]
"""What, in metric units, in US units; alike where a unit is the same in both."""


@dataclass(frozen=True)
class StageBoth:
    """One stage: its figures, what to know, what to mind."""

    title: str
    rows: tuple[Both, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class WriteUp:
    """A plan whole. answers: what to mash and how sure it is, in metric and in US units."""

    name: str
    place: str
    invented: bool
    answers: tuple[tuple[str, str], tuple[str, str]]
    shopping: tuple[Both, ...]
    effort: tuple[Both, ...]
    binds: tuple[Both, ...]
    stages: tuple[StageBoth, ...]
    law: tuple[str, ...]
    drawn: str


def write_up(plan: Plan) -> WriteUp:
    """A plan in both systems."""
    metric, us = replace(plan, show="metric"), replace(plan, show="us")
    effort = zip(words.effort(metric), words.effort(us), strict=True)
    return WriteUp(
        name=plan.name,
        place=plan.place,
        invented=plan.invented,
        answers=((words.answer(metric), words.sureness(metric)), (words.answer(us), words.sureness(us))),
        shopping=tuple((one.name, _need(one, "metric"), _need(one, "us")) for one in plan.shopping),
        effort=tuple((one, first, second) for (one, first), (_, second) in effort),
        binds=tuple(("", words.limit(one, "metric"), words.limit(one, "us")) for one in plan.limits[:4]),
        stages=tuple(_stage(card) for card in plan.stages),
        law=plan.law,
        drawn=words.drawn(plan),
    )


def _need(line: ShoppingLine, system: UnitSystem) -> str:
    return (
        words.buy(replace(line, buy=line.need), system) if line.need > 0 else figure(0.0, line.unit, system)
    )


def _stage(card: StageCard) -> StageBoth:
    rows = tuple((one.words, words.target(one, "metric"), words.target(one, "us")) for one in card.targets)
    return StageBoth(card.title, rows, card.notes, card.cautions)
