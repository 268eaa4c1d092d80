"""Feints that go back into the next charge: where that settles, what builds up, what to throw away."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from caskward.catalogue.load import load
from caskward.errors import OutOfRange
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
from caskward.services.still_campaign import Campaign, charge_cautions, first_bared, minds
from caskward.services.still_charge import checked, liquid_of, strongest_of
from caskward.services.still_covered import Bared
from caskward.services.still_cuts import check_heart, cuts_of, few_foreshots
from caskward.services.still_gear import Gear, StillWorlds, low_wines_g_hl, with_congeners, worlds_of
from caskward.services.still_mend import BOILING_C
from caskward.services.still_pot import most_l, pot_of
from caskward.stages.charges import PotLimits, fitted
from caskward.stages.runs import CutRules, SpiritSettings, SpiritUnknowns
from caskward.stages.still import Stop
from caskward.stages.stream import Worlds
from caskward.units.types import UnitSystem

WORLDS = 64
FIRST_BATCHES = 6
_MG_L_PER_G_HL = 10.0
_WATER_KG_L = 0.99820


@dataclass(frozen=True)
class FeintsAsk:
    """A campaign: low wines fresh into each batch, the still, the cuts, what is thrown away [shares].

    Cuts that are not given are the usual ones of the style. confidence: the share of worlds in which each cap
    must be kept. system: units of what is said.
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
    system: UnitSystem = "metric"


@dataclass(frozen=True)
class BatchLine:
    """One batch: runs it takes, charge, feints that it leaves, alcohol in its heart.

    charge_l: all its charges together, water with them; each_l one of them, boiling_l that one at the boil.
    for_strength_l, to_cover_l: water that lets them down to the strongest charge, and that fills each up to
    the least. pot_left_l: what one leaves in the pot.
    """

    words: str
    runs: Band
    charge_l: Band
    charge_pct_vol: Band
    each_l: Band
    boiling_l: Band
    for_strength_l: Band
    to_cover_l: Band
    pot_left_l: Band
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
    """A limit on congeners in the heart [g/hL of pure alcohol], and what keeps it."""

    words: str
    most_g_hl: float
    throw: ThrowAway


@dataclass(frozen=True)
class FeintsReport:
    """A campaign: its first batches, its steady state, what builds up, and what to throw for each cap.

    recovery: alcohol in the heart over that of the fresh low wines. settled_heart, settled_feints: batches
    until within 1 in 100. most_l: most of the low wines that the pot takes at once. charge_cautions: what to
    mind before any of the charges is lit. bared: batches whose charges boil down under the element. Batches,
    steady state and what builds up are with heads_thrown and tails_thrown; what to throw for a cap changes
    none of them.
    """

    low_wines_l: float
    low_wines_pct_vol: float
    style: str
    still: str
    strongest_pct_vol: float
    site_rule: str
    most_l: float
    charge_cautions: tuple[str, ...]
    bared: Bared | None
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
    warnings: tuple[str, ...]
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
        NeverSettles: feints that go on changing. NothingCovers: charges that bare the element, which nothing
            mends.
    """
    if not 0.0 < ask.confidence < 1.0:
        raise OutOfRange("The confidence", ask.confidence, "", 0.0, 1.0, 'Write it like --confidence "90 %".')
    pot = pot_of(ask.gear, "still feints", ask.system)
    cuts = cuts_of(
        ask.style,
        ask.foreshots_share,
        ask.heads_share,
        ask.heart_end_pct_vol,
        ask.tails_stop_pct_vol,
        ask.system,
    )
    low_wines = fitted(liquid_of(ask.volume_l, ask.pct_vol), pot).each
    room_l = most_l(low_wines, pot, ask.system)
    checked(low_wines, ask.gear, ask.system)
    habit = worlds_of(ask.gear, ask.style, ask.worlds, ask.seed)
    recipe = replace(
        _recipe(ask, habit, cuts, pot), heads_back=1.0 - ask.heads_thrown, tails_back=1.0 - ask.tails_thrown
    )
    bare = replace(recipe, low_wines=replace(recipe.low_wines, traces_mg=None))
    check_heart(campaign(bare, 1)[0], cuts, ask.system)
    stop, steady = Stop("spout_pct_vol", cuts.tails_stop_pct_vol), steady_state(recipe)
    return _report(ask, Campaign(pot, stop, recipe, campaign(bare, FIRST_BATCHES), steady), cuts, room_l)


def _report(ask: FeintsAsk, of: Campaign, cuts: CutRules, room_l: float) -> FeintsReport:
    steady, settled, catalogue = of.steady, settling(of.recipe, of.steady), load().cautions
    tags = (ask.style, "element") if ask.gear.element else (ask.style,)
    *first, rest = (_line(name, batch) for name, batch in of.batches)
    bare = first_bared(of, cuts.heart_end_pct_vol)
    return FeintsReport(
        low_wines_l=ask.volume_l,
        low_wines_pct_vol=ask.pct_vol,
        style=ask.style,
        still=ask.gear.known_kind.name,
        strongest_pct_vol=strongest_of(ask.gear),
        site_rule=ask.gear.site_rule.strip(),
        most_l=room_l,
        charge_cautions=charge_cautions(of, bare, ask.gear, ask.system),
        bared=bare,
        cuts=cuts,
        heads_thrown=ask.heads_thrown,
        tails_thrown=ask.tails_thrown,
        batches=tuple(first),
        steady=rest,
        recovery=band(steady.recovery),
        settled_heart=settled.heart,
        settled_feints=settled.feints,
        build_up=_built_up(steady, settled.congeners),
        throw=tuple(_kept(of.recipe, limit, ask) for limit in ask.caps),
        cautions=tuple(c.text for c in (*catalogue.at("spirit", *tags), *catalogue.at("law"))),
        warnings=(*few_foreshots(cuts, ask.style), *minds(of, ask.gear, ask.system)),
        worlds=ask.worlds,
        seed=ask.seed,
        learned=ask.gear.taught,
    )


def _kept(recipe: Recipe, limit: Cap, ask: FeintsAsk) -> CapLine:
    throw = share_to_throw(recipe, limit, ask.part, ask.confidence)
    return CapLine(limit.words, limit.most_mg_per_l / _MG_L_PER_G_HL, throw)


def _recipe(ask: FeintsAsk, habit: StillWorlds, cuts: CutRules, pot: PotLimits) -> Recipe:
    practice = load().practice(ask.style)
    level = low_wines_g_hl(ask.gear, practice, habit)
    low_wines = with_congeners(liquid_of(ask.volume_l, ask.pct_vol), level)
    return recipe_of(
        low_wines,
        ask.gear.still,
        SpiritSettings(pot.charge_limit_l, cuts),
        SpiritUnknowns(habit.spirit, np.zeros(ask.worlds)),
        pot,
    )


def _line(words: str, batch: Batch) -> BatchLine:
    charged, heart, left, record = batch.charged, batch.heart, batch.feints_out, batch.parted.record
    assert record is not None, "a still stands behind every batch"
    return BatchLine(
        words,
        band(charged.runs),
        band(batch.charge.volume_l),
        band(batch.charge.strength_pct_vol),
        band(charged.each.volume_l),
        band(charged.each.volume_at(BOILING_C)),
        _water(charged.for_strength_kg),
        _water(charged.to_cover_kg),
        band(record.run.filled[0].profile.pot_volume_l[-1]),
        band(heart.volume_l),
        band(heart.strength_pct_vol),
        band(heart.lpa),
        band(left.volume_l),
        band(left.strength_pct_vol),
    )


def _water(water_kg: Worlds) -> Band:
    return band(np.asarray(water_kg) / _WATER_KG_L)


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
