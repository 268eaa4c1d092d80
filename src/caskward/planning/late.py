"""What is done beside the plan once a batch has begun: a longer hold, sugar, a rinse, other spirit."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from caskward.catalogue.kinds import Material
from caskward.planning.unknowns import Draw
from caskward.stages.balance import loss_of
from caskward.stages.grist import Analysis, weighed
from caskward.stages.rinse import RinseSettings, RinseUnknowns, rinse
from caskward.stages.separate import SeparateRecord
from caskward.stages.stream import Stream, mixed, spirit_of

HELD = "held by the spent solids"
"""The loss that a rinse makes smaller, by the name `separate` gives it."""


@dataclass(frozen=True)
class Sugar:
    """Sugar stirred into the tub before yeast, without water of its own [kg, whole batch]."""

    material: Material
    kg: float


@dataclass(frozen=True)
class Rinse:
    """Water for the spent solids: how often, how much each time [L], whole batch.

    apart: the wash was read before, so that what was read of it is without the rinsings.
    """

    steps: int
    litres_each: float
    apart: bool = False


@dataclass(frozen=True)
class TopUp:
    """Spirit that was gauged, of another batch or a heart's own jars [L at 20 °C, %vol]."""

    volume_l: float
    pct_vol: float


@dataclass(frozen=True)
class Late:
    """Moves beside the plan.

    hold_h: how much longer the mash's last rest is held [h]. more_strips: of the method's strips, those
    counted after the wash was read, so that what was read of it holds no loss to their hoses. chosen: the
    heart as its receivers, each of them gauged, were put together, wherever the plan would have cut.
    """

    hold_h: float = 0.0
    sugar: Sugar | None = None
    rinse: Rinse | None = None
    top_up: TopUp | None = None
    more_strips: int = 0
    chosen: TopUp | None = None


NOTHING_LATE = Late()


def sugar_stream(sugar: Sugar, worlds: Draw, room_c: float) -> Stream:
    """So much of a sugar or syrup: as the bill's own lot where the bill has it, else as it usually is."""
    material = sugar.material

    def share(part: str) -> np.ndarray:
        own = worlds.values.get(f"{material.key}.{part}")
        return np.full(worlds.count, getattr(material, part).likely) if own is None else own

    analysis = Analysis(
        moisture=share("moisture"),
        starch_dry=share("starch_dry"),
        sugars_dry=share("sugars_dry"),
        sucrose_share=np.full(worlds.count, material.sucrose_share.likely),
        dextrin_dry=share("dextrin_dry"),
        unfermentable_dry=share("unfermentable_dry"),
    )
    whole = weighed(sugar.kg, analysis, room_c)
    dissolved_kg = whole.solubles_kg + whole.insolubles_kg
    return whole.with_masses(solubles_kg=dissolved_kg, insolubles_kg=np.zeros(worlds.count))


def rinsed(
    strained: tuple[Stream, SeparateRecord], how: Rinse, worlds: Draw, water_c: float, presses: bool
) -> tuple[Stream, SeparateRecord]:
    """The wash with its rinsings, and what the solids then still hold.

    A press leaves as much in the solids as it left the first time: it gives back the water of the rinse.
    """
    wash, record = strained
    unknowns = RinseUnknowns(worlds["separate.held_kg_per_kg"], worlds["separate.press_recovery"])
    done = rinse(
        record.spent, wash, RinseSettings(how.steps, how.litres_each, water_c, presses=False), unknowns
    )
    none = np.zeros(worlds.count)
    liquid = done.left.with_masses(starch_kg=none, insolubles_kg=none)
    keeps = np.ones(worlds.count)
    if presses:
        keeps = np.minimum(record.spent.liquid_kg / np.maximum(liquid.liquid_kg, 1e-12), 1.0)
    held = liquid.scaled(keeps)
    dry_kg = {"starch_kg": done.left.starch_kg, "insolubles_kg": done.left.insolubles_kg}
    spent = held.with_masses(**dry_kg)
    after = replace(
        record,
        held_l=held.liquid_l,
        wet_solids_kg=spent.total_kg,
        spent=spent,
        losses=tuple(loss_of(HELD, held) if loss.name == HELD else loss for loss in record.losses),
    )
    return mixed(done.together, liquid.scaled(1.0 - keeps)).at(wash.temp_c), after


def top_up_stream(top_up: TopUp | None, worlds: Draw) -> Stream:
    """Spirit of another batch, in every world as gauged."""
    litres, pct_vol = (0.0, 60.0) if top_up is None else (top_up.volume_l, top_up.pct_vol)
    return spirit_of(np.full(worlds.count, litres), np.full(worlds.count, pct_vol))
