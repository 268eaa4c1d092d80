"""The alcohol river as shapes and words: how wide each bar, band and stream is, in thousandths of the widest.

Recorded is solid to a hard edge; expected is solid to the low end of its band and fades to the high end, with
a tick at its middle; planned is an outline. A template only writes these down.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from caskward.services.river import Reach, River, Side
from caskward.services.words import banded, figure
from caskward.units.types import UnitSystem

WIDE: Final = 1000.0
_WORTH_L: Final = 0.02
_ROW_BEGINS: Final = {"lost": "lost: ", "in": "comes in: "}


@dataclass(frozen=True)
class SideDrawn:
    """A stream beside the river. shape: corners of its wedge. drawn: false for next to nothing.

    how: expected or planned; empty where it is recorded.
    """

    kind: str
    shape: str
    words: str
    amount: str
    drawn: bool
    how: str


@dataclass(frozen=True)
class ReachDrawn:
    """One reach. solid, soft, tick, outline: places of edges [thousandths], None for no such thing.

    ribbon: corners of what flows on to the next reach, "" for the last. said: what it comes to, in words.
    """

    key: str
    title: str
    stage: str
    matter: str
    said: str
    how: str
    solid: float | None
    soft: tuple[float, float] | None
    tick: float | None
    outline: float | None
    ribbon: str
    sides: tuple[SideDrawn, ...]


@dataclass(frozen=True)
class RiverDrawn:
    """The whole river, its figures as a table, and in one sentence for who does not see it."""

    reaches: tuple[ReachDrawn, ...]
    rows: tuple[tuple[str, ...], ...]
    sums: frozenset[int]
    sentence: str
    planned: bool
    expected: bool
    recorded: bool


def drawn(of: River, system: UnitSystem) -> RiverDrawn:
    """A river as shapes."""
    scale = WIDE / of.widest_l if of.widest_l > 0 else 0.0
    furthest = max((n for n, one in enumerate(of.reaches) if one.recorded_l is not None), default=-1)
    reaches = tuple(
        _reach(one, of.reaches[n + 1] if n + 1 < len(of.reaches) else None, scale, system, over=n < furthest)
        for n, one in enumerate(of.reaches)
    )
    rows, sums = _rows(of, system)
    return RiverDrawn(
        reaches,
        rows,
        sums,
        _sentence(of, system),
        planned=any(one.planned for one in of.reaches),
        expected=any(one.soft for one in reaches),
        recorded=any(one.solid is not None for one in reaches),
    )


def _reach(of: Reach, after: Reach | None, scale: float, system: UnitSystem, *, over: bool) -> ReachDrawn:
    recorded, expected = of.recorded_l, of.now
    # What has passed a recorded reach is not expected any more; one that still fills is.
    soft = (
        None
        if expected is None or (recorded is not None and not of.so_far and (over or recorded >= expected.low))
        else expected
    )
    return ReachDrawn(
        key=of.key.replace(" ", "-"),
        title=of.title,
        stage=of.stage,
        matter=of.matter,
        said=_said(of, soft is not None, system),
        how="recorded" if recorded is not None else "expected" if expected else "planned",
        solid=None if recorded is None else scale * recorded,
        soft=None if soft is None else (scale * soft.low, scale * soft.high),
        tick=None if soft is None else scale * soft.mid,
        outline=None if of.planned is None else scale * of.planned.mid,
        ribbon=_ribbon(of, after, scale),
        sides=tuple(_sides(of, scale, system)),
    )


def _said(of: Reach, still: bool, system: UnitSystem) -> str:
    if of.recorded_l is not None:
        so_far = " so far" if still or of.so_far else ""
        whole = f" of about {figure(of.stands_at_l, 'L', system)}" if of.stands_at_l > of.recorded_l else ""
        return f"{figure(of.recorded_l, 'L', system)}{so_far}{whole}"
    known = of.now or of.planned
    return banded(known, "L", system) if known else ""


def _ribbon(of: Reach, after: Reach | None, scale: float) -> str:
    if after is None:
        return ""
    out = sum(one.stands_at_l for one in of.sides if one.kind != "in")
    came = sum(one.stands_at_l for one in of.sides if one.kind == "in")
    above = scale * max(of.stands_at_l - out, 0.0)
    below = scale * max(after.stands_at_l - came, 0.0)
    return f"0,0 {above:.1f},0 {below:.1f},100 0,100"


def _sides(of: Reach, scale: float, system: UnitSystem) -> Iterator[SideDrawn]:
    out = [one for one in of.sides if one.kind != "in"]
    at = scale * max(of.stands_at_l - sum(one.stands_at_l for one in out), 0.0)
    for one in of.sides:
        wide = scale * one.stands_at_l
        if one.kind == "in":
            # It joins from outside, and is as wide as it is where the next reach begins.
            end = scale * of.stands_at_l
            shape = f"{end:.1f},100 {end + wide:.1f},100 {end + wide:.1f},0 {end + 0.7 * wide:.1f},0"
        else:
            shape = f"{at:.1f},0 {at + wide:.1f},0 {at + wide:.1f},70 {at + 0.5 * wide:.1f},100 {at:.1f},70"
            at += wide
        amount_l = one.stands_at_l
        known = one.recorded_l is not None and not (one.so_far and amount_l > one.recorded_l)
        how = "" if known else "expected" if one.now else "planned"
        yield SideDrawn(one.kind, shape, one.words, figure(amount_l, "L", system), amount_l >= _WORTH_L, how)


# In words ----------------------------------------------------------------------------------------


def _rows(of: River, system: UnitSystem) -> tuple[tuple[tuple[str, ...], ...], frozenset[int]]:
    rows: list[tuple[str, ...]] = []
    sums: set[int] = set()
    for reach in of.reaches:
        sums.add(len(rows))
        rows.append((reach.title, *_figures(reach, system)))
        rows += [
            (f"{_ROW_BEGINS.get(one.kind, '')}{one.words}", *_figures(one, system)) for one in reach.sides
        ]
    return tuple(rows), frozenset(sums)


def _figures(of: Reach | Side, system: UnitSystem) -> tuple[str, str, str]:
    planned, now = (banded(one, "L", system) if one else "" for one in (of.planned, of.now))
    so_far = " so far" if of.so_far else ""
    return planned, now, "" if of.recorded_l is None else f"{figure(of.recorded_l, 'L', system)}{so_far}"


def _sentence(of: River, system: UnitSystem) -> str:
    parts = [
        f"{one.title.lower()} {figure(one.stands_at_l, 'L', system)} {_recorded(one, system)}".strip()
        for one in of.reaches
    ]
    return f"Pure alcohol on its way: {', '.join(parts)}." if parts else ""


def _recorded(of: Reach, system: UnitSystem) -> str:
    if of.recorded_l is None:
        return "expected" if of.now else "planned"
    return f"of which {figure(of.recorded_l, 'L', system)} is recorded so far" if of.so_far else "recorded"
