"""A ferment that can be asked what is wrong: its causes' worlds, driven by what was read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from caskward.pace import once
from caskward.planning.doses import (
    NITROGEN_OF_DAP,
    brought_nitrogen_mg,
    dose_of,
    food_grams,
    pitch_grams,
)
from caskward.planning.doubts import doubts
from caskward.planning.intent import Intent
from caskward.planning.mash_forecast import forecast_mash
from caskward.planning.method import Method
from caskward.planning.readings import Reading, of_quantity
from caskward.planning.tub import ferment_causes as known
from caskward.planning.tub.brew import Kept, ph_of
from caskward.planning.tub.brew_doubts import speed_of
from caskward.planning.tub.explain import Cause, Check
from caskward.planning.tub.ferment_driven import Parts, driven, grid
from caskward.planning.tub.ferment_followed import FollowedFerment
from caskward.planning.tub.pitching import pitching_c
from caskward.planning.unknowns import Unknown, likely_world
from caskward.stages.ferment import potential_pct_vol
from caskward.stages.fermenting import FermentCourse, FermentSettings, ferment_course
from caskward.stages.stream import HEXOSE_KG_PER_KG_GLUCAN, Stream, Worlds
from caskward.stages.yeast import Yeast, cells_per_ml, effective_g_l

__all__ = ["FermentModel", "FermentPlan", "FollowedFerment", "ferment_model"]

TAKES_DAYS_TIMES: Final = 4.0
"""Living enzymes have split nearly all within their reach (e^-4 is left) by the usual end of a ferment."""
_SMALL: Final = 1e-9


@dataclass(frozen=True)
class FermentPlan:
    """One tub's ferment as planned, its wash in one world.

    nitrogen_mg_l: with the food that the plan asks for.
    """

    wash: Stream
    facts: known.Facts
    cells_g_l: float
    nitrogen_mg_l: float
    need_mg_per_g: float
    room_c: float
    ph: tuple[float, float]
    usual_h: float
    carried_off_share: float
    yeast_g: float = 0.0
    """Dry yeast pitched [g]."""
    sweeteners: tuple[tuple[str, float, str], ...] = ()
    """Sweetening products of the plan: name, full dose for each litre of wash, mL or g."""


@dataclass(frozen=True)
class FermentModel:
    """One tub's ferment as planned, and every way it may have gone otherwise."""

    plan: FermentPlan
    base: tuple[Unknown, ...]
    causes: tuple[Cause, ...]
    checks: tuple[Check, ...]

    def drives(self, quantity: str) -> bool:  # noqa: ARG002
        """Nothing steers without being judged: how warm a tub is tells how hard its yeast works."""
        return False

    def steering(self, readings: Sequence[Reading]) -> Worlds:  # noqa: ARG002
        """Nothing beyond what each reading is judged by: (causes,)."""
        return np.zeros(len(self.causes))

    def steered_as_planned(self, readings: Sequence[Reading]) -> bool:  # noqa: ARG002
        """Nothing steers."""
        return True

    def follow(
        self, worlds: Mapping[str, Worlds], readings: Sequence[Reading], at_h: float
    ) -> FollowedFerment:
        """Carry the ferment through every world: as warm as it makes itself, then as warm as it was read."""
        moments = np.array([at_h, *(r.at_h for r in readings)])
        hours = grid(moments)
        wash, yeast, kept = self._start(worlds)
        free = ferment_course(wash, hours, yeast, kept)
        logged = of_quantity(readings, "temperature")
        course = driven(Parts(wash, yeast, kept), free, logged, worlds[known.THERMOMETER])
        return FollowedFerment(worlds, yeast, kept, free, course)

    @once
    def likely(self) -> FermentCourse:
        """The plan's own course, hour by hour, in the likely world."""
        wash, yeast, kept = self._start(self.likely_world)
        return ferment_course(wash, np.arange(0.0, 2.0 * self.plan.usual_h + 1.0), yeast, kept)

    @property
    def likely_world(self) -> dict[str, Worlds]:
        """One world in which every unknown of a sound ferment is as likely as can be."""
        return {u.name: np.array([u.likely]) for u in self.base}

    @property
    def dry_h(self) -> float:
        """When the plan's ferment is dry in the likely world [h]; its usual time where that never is."""
        dry_h = float(self.likely.dry_h[0])
        return dry_h if np.isfinite(dry_h) else self.plan.usual_h

    def _start(self, worlds: Mapping[str, Worlds]) -> tuple[Stream, Yeast, FermentSettings]:
        plan, one = self.plan, worlds[known.PITCHED]
        none = np.zeros_like(one)
        unsplit = worlds.get(known.UNSPLIT, none)
        wash = _as_it_is(plan.wash, worlds, unsplit)
        starts_c = plan.facts.starts_c + worlds[known.PITCHED] - worlds[known.THERMOMETER]
        yeast = Yeast(
            cells_g_l=plan.cells_g_l * worlds[known.CELLS],
            lag_h=worlds[known.LAG],
            speed=worlds[known.SPEED],
            tolerance_pct_vol=np.clip(worlds[known.TOLERANCE], 1.0, 25.0),
            attenuation=worlds[known.ATTENUATION],
            yield_of_theory=worlds[known.YIELD],
            nitrogen_mg_per_g=plan.need_mg_per_g,
        )
        ph_start = plan.ph[0] + worlds[known.PH]
        ph_end = plan.ph[1] + worlds[known.PH] - worlds[known.PH_FALL]
        enzymes = worlds.get(known.DEXTRIN_USED, none)
        planned = np.maximum(plan.wash.dextrin_kg * worlds[known.SUGAR], _SMALL)
        kept = FermentSettings(
            heat_loss_w_k=worlds[known.WALL],
            room_c=plan.room_c + worlds[known.ROOM],
            dextrin_per_h=TAKES_DAYS_TIMES / plan.usual_h if known.DEXTRIN_USED in worlds else 0.0,
            dextrin_reach=enzymes * planned / np.maximum(wash.dextrin_kg, planned),
            nitrogen_mg_l=plan.nitrogen_mg_l * worlds[known.NITROGEN],
            ph_start=np.clip(ph_start, 1.0, 9.0),
            ph_end=np.clip(ph_end, 1.0, 9.0),
            sours_per_h=np.minimum(worlds[known.SOURS], 1.0),
            sours_from_h=worlds[known.SOURS_FROM],
            carried_off_share=plan.carried_off_share,
        )
        return wash.at(np.clip(starts_c, 0.0, 60.0)), yeast, kept


def _as_it_is(wash: Stream, worlds: Mapping[str, Worlds], unsplit: Worlds) -> Stream:
    """The wash of each world: its sugar and water, and what of the sugar is dextrin still."""
    sugar = worlds[known.SUGAR]
    unsplit_kg = wash.hexose_kg * sugar * unsplit
    dextrin_kg = unsplit_kg / HEXOSE_KG_PER_KG_GLUCAN
    return wash.spread(sugar.shape).with_masses(
        water_kg=wash.water_kg * worlds[known.WATER] + unsplit_kg - dextrin_kg,
        hexose_kg=wash.hexose_kg * sugar - unsplit_kg,
        sucrose_kg=wash.sucrose_kg * sugar,
        dextrin_kg=wash.dextrin_kg * sugar + dextrin_kg,
        solubles_kg=wash.solubles_kg * sugar,
    )


def ferment_model(intent: Intent, method: Method) -> FermentModel:
    """The ferment of one tub of a plan, its wash as the mash is forecast in the likely world."""
    mash = forecast_mash(intent, method, likely_world(doubts(intent)))
    tub = mash.tub
    wash, yeast = tub.scaled(1.0 / method.ferments), intent.yeast
    volume_l = float(tub.volume_l[0])
    nitrogen_mg = brought_nitrogen_mg(intent, method)
    food_g = food_grams(intent, method, tub)
    ph = ph_of(intent)
    used = {u.name: u for u in doubts(intent)}["ferment.dextrin_used"]
    facts = known.Facts(
        starts_c=pitching_c(intent, method, Kept(intent.site.room_c)),
        low_c=yeast.window_c.low,
        potential_pct_vol=float(potential_pct_vol(wash, intent.practice.ferment_yield.likely)[0]),
        from_starch=any(item.material.prepare in ("cook", "mash") for item in intent.bill),
        fed=food_g > 0.0,
        ph_end=ph[1],
        loss_w_k=intent.gear.tub.heat_loss_w_k,
        tolerance_pct_vol=yeast.tolerance_pct_vol,
        attenuation=yeast.attenuation,
        ferment_yield=intent.practice.ferment_yield,
        dextrin_used=None if used.certain else (used.low, used.likely, used.high),
        speed=speed_of(intent),
    )
    plan = FermentPlan(
        wash=wash,
        facts=facts,
        cells_g_l=float(effective_g_l(cells_per_ml(pitch_grams(yeast, volume_l), volume_l))),
        nitrogen_mg_l=(nitrogen_mg + 1000.0 * NITROGEN_OF_DAP * food_g) / volume_l,
        need_mg_per_g=yeast.nitrogen_demand_mg_per_g_sugar.likely,
        room_c=intent.site.room_c,
        ph=ph,
        usual_h=24.0 * yeast.ferment_days.likely,
        carried_off_share=intent.practice.co2_ethanol_loss.likely,
        yeast_g=pitch_grams(yeast, volume_l) / method.ferments,
        sweeteners=tuple(
            (label.name, amount / volume_l, unit)
            for label in intent.enzymes
            if label.does == "sweeten"
            for amount, unit in (dose_of(label, intent, method, mash),)
        ),
    )
    return FermentModel(
        plan, known.base(facts), known.causes(facts), known.checks(facts.from_starch, facts.fed)
    )
