"""Feints that go back into the next charge: where that settles, what builds up, what to throw away."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from caskward.catalogue.load import load
from caskward.errors import MissingValue
from caskward.planning.plan import Band, band
from caskward.planning.recycling import (
    Batch,
    Part,
    Recipe,
    Steady,
    campaign,
    recipe_of,
    settling,
    steady_state,
)
from caskward.planning.throw_away import ThrowAway, share_to_throw
from caskward.planning.wish import Cap
from caskward.properties.congeners import CONGENERS
from caskward.services.still_charge import liquid_of, strongest_of
from caskward.services.still_gear import Gear, StillWorlds, low_wines_g_hl, with_congeners, worlds_of
from caskward.stages.runs import CutRules, SpiritSettings, SpiritUnknowns

WORLDS = 64
FIRST_BATCHES = 6


@dataclass(frozen=True)
class FeintsAsk:
    """A campaign: low wines fresh into each batch, the still, the cuts, what is thrown away [shares].

    Cuts that are not given are the usual ones of the style.
    """

    volume_l: float
    pct_vol: float
    gear: Gear
    style: str = "grain"
    foreshots_share: float | None = None
    heads_share: float | None = None
    heart_end_pct_vol: float | None = None
    tails_stop_pct_vol: float | None = None
    heads_thrown: float = 0.0
    tails_thrown: float = 0.0
    caps: tuple[Cap, ...] = ()
    part: Part = "heads"
    confidence: float = 0.8
    worlds: int = WORLDS
    seed: int = 1


@dataclass(frozen=True)
class BatchLine:
    """One batch: runs it takes, charge, feints that it leaves, alcohol in its heart."""

    words: str
    runs: Band
    charge_l: Band
    charge_pct_vol: Band
    heart_l: Band
    heart_pct_vol: Band
    heart_lpa: Band
    feints_l: Band
    feints_pct_vol: Band


@dataclass(frozen=True)
class BuildUp:
    """A congener at steady state: times what low wines alone bring, in the heart, batches until settled."""

    name: str
    comes: str
    times: Band
    heart_g_hl: Band
    batches: int | None


@dataclass(frozen=True)
class CapLine:
    """A limit on congeners in the heart [mg per litre of pure alcohol], and what keeps it."""

    words: str
    most_mg_per_l: float
    throw: ThrowAway


@dataclass(frozen=True)
class FeintsReport:
    """A campaign: its first batches, its steady state, what builds up, and what to throw for each cap.

    recovery: alcohol in the heart over that of the fresh low wines. settled_heart, settled_feints: batches
    until within 1 in 100.
    """

    low_wines_l: float
    low_wines_pct_vol: float
    style: str
    still: str
    strongest_pct_vol: float
    site_rule: str
    cuts: CutRules
    heads_thrown: float
    tails_thrown: float
    batches: tuple[BatchLine, ...]
    steady: BatchLine
    recovery: Band
    settled_heart: int
    settled_feints: int
    build_up: tuple[BuildUp, ...]
    throw: tuple[CapLine, ...]
    cautions: tuple[str, ...]
    worlds: int
    seed: int
    learned: str = ""


_PARTS: dict[str, Part] = {"tails": "tails", "feints": "feints"}


def part_of(word: str) -> Part:
    """What is thrown away; heads where no word says it."""
    return _PARTS.get(word, "heads")


def feints(ask: FeintsAsk) -> FeintsReport:
    """Feed feints back until nothing changes any more.

    Raises:
        InputError: one sentence about what cannot be used. BuildUpOutOfReach: a cap nothing keeps.
        NeverSettles: feints that go on changing.
    """
    if ask.gear.limit_l is None:
        raise MissingValue("still feints", "the most that the still is charged with", '--limit "110 L"')
    habit, cuts = worlds_of(ask.gear, ask.style, ask.worlds, ask.seed), _cuts(ask)
    recipe = replace(
        _recipe(ask, habit, cuts), heads_back=1.0 - ask.heads_thrown, tails_back=1.0 - ask.tails_thrown
    )
    steady = steady_state(recipe)
    settled = settling(recipe, steady)
    first = campaign(replace(recipe, low_wines=replace(recipe.low_wines, traces_mg=None)), FIRST_BATCHES)
    catalogue = load().cautions
    return FeintsReport(
        low_wines_l=ask.volume_l,
        low_wines_pct_vol=ask.pct_vol,
        style=ask.style,
        still=ask.gear.known_kind.name,
        strongest_pct_vol=strongest_of(ask.gear),
        site_rule=ask.gear.site_rule.strip(),
        cuts=cuts,
        heads_thrown=ask.heads_thrown,
        tails_thrown=ask.tails_thrown,
        batches=tuple(_line(f"batch {k}", batch, ask.gear) for k, batch in enumerate(first, 1)),
        steady=_line("settled", steady.batch, ask.gear),
        recovery=band(steady.recovery),
        settled_heart=settled.heart,
        settled_feints=settled.feints,
        build_up=_built_up(steady, settled.congeners),
        throw=tuple(
            CapLine(c.words, c.most_mg_per_l, share_to_throw(recipe, c, ask.part, ask.confidence))
            for c in ask.caps
        ),
        cautions=tuple(c.text for c in (*catalogue.at("spirit", ask.style), *catalogue.at("law"))),
        worlds=ask.worlds,
        seed=ask.seed,
        learned=ask.gear.taught,
    )


def _recipe(ask: FeintsAsk, habit: StillWorlds, cuts: CutRules) -> Recipe:
    practice = load().practice(ask.style)
    level = low_wines_g_hl(ask.gear, practice, habit)
    low_wines = with_congeners(liquid_of(ask.volume_l, ask.pct_vol), level)
    assert ask.gear.limit_l is not None, "asked for before"
    return recipe_of(
        low_wines,
        ask.gear.still,
        SpiritSettings(ask.gear.limit_l, cuts),
        SpiritUnknowns(habit.spirit, np.zeros(ask.worlds)),
        strongest_of(ask.gear),
        ask.gear.least_l,
    )


def _cuts(ask: FeintsAsk) -> CutRules:
    usual = load().practice(ask.style)

    def given(value: float | None, likely: float) -> float:
        return likely if value is None else value

    return CutRules(
        given(ask.foreshots_share, usual.foreshots_share.likely),
        given(ask.heads_share, usual.heads_share.likely),
        given(ask.heart_end_pct_vol, usual.heart_end_pct_vol.likely),
        0.0,
        given(ask.tails_stop_pct_vol, usual.tails_stop_pct_vol.likely),
    )


def _line(words: str, batch: Batch, gear: Gear) -> BatchLine:
    charge, heart, left = batch.charge, batch.heart, batch.feints_out
    assert gear.limit_l is not None, "asked for before"
    return BatchLine(
        words,
        band(np.maximum(np.ceil(charge.volume_l / gear.limit_l - 1e-9), 1.0)),
        band(charge.volume_l),
        band(charge.strength_pct_vol),
        band(heart.volume_l),
        band(heart.strength_pct_vol),
        band(heart.lpa),
        band(left.volume_l),
        band(left.strength_pct_vol),
    )


def _built_up(steady: Steady, batches: dict[str, int]) -> tuple[BuildUp, ...]:
    times, levels, known = steady.build_up, steady.batch.heart.traces_g_hl_pure, load().congeners
    if times is None or levels is None:
        return ()
    rows: Sequence[tuple[int, str]] = list(enumerate(CONGENERS))
    order = ("early", "with the heart", "late")
    return tuple(
        BuildUp(known[n].name, known[n].comes, band(times[k]), band(levels[k]), batches.get(n))
        for k, n in sorted(rows, key=lambda row: order.index(known[row[1]].comes))
    )
