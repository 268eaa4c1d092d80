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
from caskward.stages.stream import Stream, spirit_of

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
    """Spirit of another batch that goes to the heart [L at 20 °C, %vol]."""

    volume_l: float
    pct_vol: float


@dataclass(frozen=True)
class Late:
    """Moves beside the plan; hold_h is how much longer the mash's last rest is held [h]."""

    hold_h: float = 0.0
    sugar: Sugar | None = None
    rinse: Rinse | None = None
    top_up: TopUp | None = None


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
    """The wash with its rinsings, and what the solids then still hold."""
    wash, record = strained
    unknowns = RinseUnknowns(worlds["separate.held_kg_per_kg"], worlds["separate.press_recovery"])
    settings = RinseSettings(how.steps, how.litres_each, water_c, presses)
    done = rinse(record.spent, wash, settings, unknowns)
    none = np.zeros(worlds.count)
    left = done.left.with_masses(starch_kg=none, insolubles_kg=none)
    losses = tuple(loss_of(HELD, left) if loss.name == HELD else loss for loss in record.losses)
    after = replace(
        record,
        held_l=left.liquid_l,
        wet_solids_kg=done.left.total_kg,
        spent=done.left,
        losses=losses,
    )
    return done.together.at(wash.temp_c), after


def top_up_stream(top_up: TopUp | None, worlds: Draw) -> Stream:
    """Spirit of another batch, in every world as gauged."""
    litres, pct_vol = (0.0, 60.0) if top_up is None else (top_up.volume_l, top_up.pct_vol)
    return spirit_of(np.full(worlds.count, litres), np.full(worlds.count, pct_vol))
