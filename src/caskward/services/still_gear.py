"""A still as its maker tells it, and the worlds in which it may run."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from caskward.catalogue.fact import Fact
from caskward.catalogue.kinds import Practice, StillKind
from caskward.catalogue.load import load
from caskward.errors import MissingValue, OutOfRange
from caskward.planning.learned_still import LearnedHabits
from caskward.planning.still_log import RunKind
from caskward.planning.unknowns import Draw, Unknown, draw
from caskward.properties.congeners import CONGENERS
from caskward.stages.columns import Column
from caskward.stages.distil import HoldUp, Still, StillUnknowns, Stop, distil
from caskward.stages.stream import Stream, Worlds, spirit_of

WORLDS = 256
WEAKEST_LOW_WINES_PCT_VOL = 15.0
"""A charge under this is taken for a wash, one over it for low wines; *common practice, no source*."""


@dataclass(frozen=True)
class Gear:
    """A still: what it is, what heats it, what it takes [L at 20 °C], what stands over the pot.

    limit_l: most it is charged with. working_l: most the pot holds while it boils. brimful_l: to the brim.
    least_l: what covers an element. strongest_pct_vol: a licensed site's own limit on the charge's strength,
    which `site_rule` names in its words. learned: what its own runs taught.
    """

    kind: str = "pot-bare"
    power_kw: float = 0.0
    limit_l: float | None = None
    working_l: float | None = None
    brimful_l: float | None = None
    least_l: float = 0.0
    element: bool = False
    altitude_m: float = 0.0
    plates: float = 0.0
    reflux_ratio: float = 0.0
    dephlegmator_share: float = 0.0
    hold_up_l: float = 0.0
    strongest_pct_vol: float | None = None
    site_rule: str = ""
    learned: LearnedHabits | None = None

    def __post_init__(self) -> None:
        """Refuse limits that no still has, and a limit of its own that no rule stands behind."""
        for name, litres in (("charge limit", self.limit_l), ("working volume", self.working_l)):
            if litres is not None and not 0.05 <= litres <= 20_000.0:
                raise OutOfRange(f"The {name}", litres, "L", 0.05, 20_000.0)
        if self.strongest_pct_vol is not None and not self.site_rule.strip():
            example = '--site-rule "Fire certificate: charges up to 55 %vol"'
            raise MissingValue(
                "A limit of your own on the charge", "the rule of your site behind it", example
            )

    @property
    def known_kind(self) -> StillKind:
        """The catalogue's still, or a refusal naming the nearest; with what its own runs taught."""
        kind = load().still(self.kind)
        return kind if self.learned is None else self.learned.like(kind)

    @property
    def taught(self) -> str:
        """What its own runs taught, in a sentence; empty for a still as the catalogue has it."""
        return "" if self.learned is None else self.learned.sentence(load().still(self.kind))

    @property
    def still(self) -> Still:
        """The still for the engine.

        Raises:
            MissingValue: no heat, without which nothing runs; it is asked for after a charge's safety.
        """
        if self.power_kw <= 0.0:
            raise MissingValue("The still", "the heat of its burner or element", '--power "6 kW"')
        column = Column(self.plates, self.reflux_ratio, self.dephlegmator_share)
        dead = HoldUp(self.hold_up_l) if self.hold_up_l > 0.0 else None
        return Still.at_altitude(self.altitude_m, self.power_kw, column, dead)


@dataclass(frozen=True)
class StillWorlds:
    """The worlds of a still and of what is charged: draws, unknowns of each run, congeners [g/hL pure]."""

    drawn: Draw
    strip: StillUnknowns
    spirit: StillUnknowns
    wash_g_hl: Worlds

    def of(self, kind: RunKind) -> StillUnknowns:
        """The still's unknowns in a run of a kind."""
        return self.strip if kind == "strip" else self.spirit


def worlds_of(
    gear: Gear, style: str, count: int = WORLDS, seed: int = 1, more: Sequence[Unknown] = ()
) -> StillWorlds:
    """Draw the still's habits, where the truth lies in each congener's band, and what the wash holds.

    Raises:
        UnknownName: a still or a style that is not in the catalogue.
    """
    kind, wash = gear.known_kind, load().wash(style)
    unknowns = [
        _of("strip.reflux", "what the head sends back in a strip", "share", kind.reflux_strip),
        replace(
            _of("spirit.reflux", "what the still's head sends back", "share", kind.reflux_spirit),
            moves_with="strip.reflux",
        ),
        _of("spirit.heat_lost", "heat the still loses", "share", kind.heat_loss_share),
        *(Unknown(f"place.{n}", n, "method", "real", -1.0, 0.0, 1.0, "congener-fits") for n in CONGENERS),
        *(_of(f"wash.{n}", f"{n} in the wash", "positive", wash.g_per_hl(n)) for n in CONGENERS),
        *more,
    ]
    drawn = draw(unknowns, count, seed)
    places = np.stack([drawn[f"place.{name}"] for name in CONGENERS])
    strip, spirit = (
        StillUnknowns(drawn[f"{run}.reflux"], drawn["spirit.heat_lost"], places)
        for run in ("strip", "spirit")
    )
    return StillWorlds(drawn, strip, spirit, np.stack([drawn[f"wash.{n}"] for n in CONGENERS]))


def low_wines_g_hl(gear: Gear, practice: Practice, worlds: StillWorlds) -> Worlds:
    """Congeners of low wines [g/hL of pure alcohol]: the wash of the style, stripped as the trade does."""
    wash = with_congeners(spirit_of(100.0, practice.wash_strength_pct_vol.likely), worlds.wash_g_hl)
    bare = Still(gear.still.power_kw, gear.still.kpa)
    run = distil(wash, bare, Stop("spout_pct_vol", practice.strip_stop_pct_vol.likely), worlds.strip)
    got = run.collected
    assert got.traces_mg is not None, "a run keeps what is tracked"
    lpa = np.asarray(Stream.of(ethanol_kg=got.ethanol_kg[-1]).lpa)
    return np.asarray(got.traces_mg[-1] / 10.0 / lpa)


def with_congeners(charge: Stream, g_hl: Worlds) -> Stream:
    """A charge in every world, with congeners by their level [g/hL of pure alcohol]."""
    return replace(charge.spread(g_hl.shape[1:]), traces_mg=g_hl * 10.0 * charge.lpa)


def _of(name: str, words: str, scale: str, fact: Fact) -> Unknown:
    shape = {"share": "share", "positive": "positive"}[scale]
    return Unknown(name, words, "gear", shape, fact.low, fact.likely, fact.high, fact.source)  # type: ignore[arg-type]


def facts_as_unknowns(facts: Mapping[str, Fact]) -> tuple[Unknown, ...]:
    """Habits of the trade as unknowns, each on its own."""
    return tuple(
        Unknown(name, name, "method", "positive", fact.low, fact.likely, fact.high, fact.source)
        for name, fact in facts.items()
    )
