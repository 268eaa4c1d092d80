"""What is asked of a choice of jars: litres at entry strength, caps, an aim; each limit as a sum of masses.

Litres at entry strength are E/(w rho), enough strength is E - w (E + W) >= 0, a cap is T - most LPA <= 0
(E, W ethanol and water, T a congener, w and rho the mass share and density at entry strength).
%vol itself is never averaged.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from caskward.errors import NoTraceFigure, OutOfRange
from caskward.planning.jars import Jars
from caskward.planning.strengths import said
from caskward.properties import alcohol
from caskward.properties.congeners import volatility
from caskward.stages.stream import Worlds
from caskward.units import show
from caskward.units.types import UnitSystem

ROUNDING = 1e-6
"""Part of the largest jar by which a limit may be missed and still count as met: under a drop."""

GROUPS: dict[str, tuple[str, ...]] = {
    "fusel oils": ("1-propanol", "isobutanol", "1-butanol", "2-methyl-1-butanol", "3-methyl-1-butanol"),
    "esters": ("ethyl acetate", "isoamyl acetate", "ethyl hexanoate", "ethyl octanoate"),
    "aldehydes": ("acetaldehyde", "acetal"),
}
"""Congeners that the trade names together."""


@dataclass(frozen=True)
class Cap:
    """Most of some congeners together in what is chosen [mg per litre of pure alcohol]."""

    words: str
    congeners: tuple[str, ...]
    most_mg_per_l: float
    unit: Literal["mg/L", "g/hL"] = "mg/L"

    def said(self, mg_per_l: float) -> str:
        """A level of pure alcohol in the unit of the limit."""
        value = mg_per_l / 10.0 if self.unit == "g/hL" else mg_per_l
        return f"{value:.4g} {self.unit} of pure alcohol"


def cap(name: str, most: float, unit: Literal["mg/L", "g/hL"] = "mg/L") -> Cap:
    """A cap on a congener or one of `GROUPS`, per litre (mg/L) or hectolitre (g/hL) of pure alcohol.

    Raises:
        UnknownName: no such congener. OutOfRange: below 0.
    """
    names = GROUPS.get(name, (name,))
    for each in names:
        volatility(each)
    most_mg_per_l = 10.0 * most if unit == "g/hL" else most
    if not 0.0 <= most_mg_per_l < np.inf:
        raise OutOfRange(f"The limit on {name}", most, f"{unit} of pure alcohol", 0.0, 1e6)
    return Cap(name, names, most_mg_per_l, unit)


@dataclass(frozen=True)
class Wish:
    """What a choice is for.

    wanted_l: litres wanted at entry strength [L at 20 °C], 0 where no cask asks.
    entry_pct_vol: entry strength [%vol]; a choice must not be weaker.
    volume: "at least" so many litres, or "near" them: on average within `near_share` either way, or as near
        as can be where nothing is so near.
    aim: the best mean mark by pure alcohol, or the most pure alcohol; each breaks the other's ties.
    caps: limits on congeners. part_jars: a jar may be shared between cask and feints.
    confidence: over worlds, the share of them in which every limit must hold.
    show: units in which a refusal says how near the jars come.
    """

    wanted_l: float
    entry_pct_vol: float
    volume: Literal["at least", "near"] = "at least"
    near_share: float = 0.02
    aim: Literal["mark", "alcohol"] = "mark"
    caps: tuple[Cap, ...] = ()
    part_jars: bool = False
    confidence: float = 0.8
    show: UnitSystem = "metric"

    def __post_init__(self) -> None:
        """Refuse what no cask could ask."""
        if not 0.0 <= self.wanted_l <= 10_000.0:
            raise OutOfRange("The volume wanted", self.wanted_l, "L", 0.0, 10_000.0)
        if not 1.0 <= self.entry_pct_vol <= 96.0:
            raise OutOfRange("The entry strength", self.entry_pct_vol, "%vol", 1.0, 96.0)
        if not 0.0 < self.confidence < 1.0:
            raise OutOfRange("The confidence", self.confidence, "", 0.0, 1.0, "Write 8 in 10 as 0.8.")


@dataclass(frozen=True)
class Need:
    """One limit as sums over jars: sign (sum part - bound sum whole) >= 0; a `whole` of None counts as 1."""

    words: str
    sign: float
    bound: float
    part: Worlds
    whole: Worlds | None
    shown: Callable[[float], str]

    @property
    def spare(self) -> Worlds:
        """What each jar adds to the limit's spare room; `offset` is to be added once."""
        if self.whole is None:
            return self.sign * self.part
        return self.sign * (self.part - self.bound * self.whole)

    @property
    def offset(self) -> float:
        """Spare room of an empty choice."""
        return -self.sign * self.bound if self.whole is None else 0.0

    @property
    def slack(self) -> float:
        """By how much rounding may miss the limit."""
        return ROUNDING * max(float(np.max(np.abs(self.spare))), 1e-300)

    def said(self, reached: float) -> str:
        """How near a choice comes to the limit, in words."""
        most, asked = ("at most", "at least") if self.sign > 0 else ("no less than", "at most")
        return (
            f"{self.words} comes to {most} {self.shown(reached)} ({asked} {self.shown(self.bound)} is asked)"
        )


def needs_of(jars: Jars, wish: Wish) -> tuple[Need, ...]:
    """Every limit of a wish on these jars.

    Raises:
        NoTraceFigure: a cap on what is not known of a jar that may be chosen.
    """
    share = float(alcohol.mass_fraction(wish.entry_pct_vol))
    entry_l = jars.ethanol_kg * (1000.0 / (share * float(alcohol.density(share, 20.0))))
    spirit_kg = jars.ethanol_kg + jars.water_kg

    def litres(volume_l: float) -> str:
        return show.volume(volume_l, wish.show)

    strength = Need(
        "the strength",
        1.0,
        share,
        jars.ethanol_kg,
        spirit_kg,
        lambda w: said(float(alcohol.pct_vol(w)), wish.show),
    )
    at = f"the volume at {said(wish.entry_pct_vol, wish.show)}"
    volumes = []
    if wish.wanted_l > 0.0 and wish.volume == "at least":
        volumes = [Need(at, 1.0, wish.wanted_l, entry_l, None, litres)]
    elif wish.wanted_l > 0.0:
        average_l = np.broadcast_to(averaged(entry_l).reshape(-1, *[1] * (entry_l.ndim - 1)), entry_l.shape)
        for sign in (1.0, -1.0):
            edge_l = wish.wanted_l * (1.0 - sign * wish.near_share)
            volumes.append(Need(at, sign, edge_l, average_l, None, litres))
    return (*volumes, strength, *(_cap_need(jars, c) for c in wish.caps))


def averaged(values: Worlds) -> NDArray[np.float64]:
    """Figures of each jar or run on the average of all worlds."""
    return np.asarray(values if values.ndim == 1 else values.mean(axis=1))


def _cap_need(jars: Jars, limit: Cap) -> Need:
    mg = jars.trace_mg(limit.congeners)
    open_to_all = ~jars.placed("out", "discard")
    unknown = open_to_all & np.isnan(mg).reshape(len(jars), -1).any(axis=1)
    if unknown.any():
        raise NoTraceFigure(limit.words, jars.names[int(np.argmax(unknown))])
    return Need(limit.words, -1.0, limit.most_mg_per_l, np.nan_to_num(mg), jars.lpa, limit.said)
