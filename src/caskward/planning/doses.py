"""Amounts that follow from the bill: enzymes by their labels, yeast by the tub."""

from __future__ import annotations

from typing import Literal

import numpy as np

from caskward.catalogue.kinds import Yeast
from caskward.planning.intent import EnzymeLabel, Intent
from caskward.planning.mash_forecast import Mash
from caskward.planning.method import Method
from caskward.planning.sizing import Sized
from caskward.stages.stream import Stream

_STARCH_KG = ("ml_per_kg_starch", "g_per_kg_starch")


def dose_amount(sized: Sized, label: EnzymeLabel) -> tuple[float, Literal["mL", "g"]]:
    """How much of an enzyme the whole batch takes [mL or g], by the unit of its label."""
    return dose_of(label, sized.intent, sized.method, sized.course.mash)


def dose_of(
    label: EnzymeLabel, intent: Intent, method: Method, mash: Mash
) -> tuple[float, Literal["mL", "g"]]:
    """How much of an enzyme a whole mash takes [mL or g], by the unit of its label."""
    unit = label.dose.unit
    of: float
    if unit == "ml_per_l":
        of = float(np.median(mash.tub.volume_l))
    elif unit in _STARCH_KG:
        of = float(np.median(mash.convert.starch_in_kg))
    else:
        of = _grain_or_fruit_kg(label, intent, method)
    return label.dose.value * of, "mL" if unit.startswith("ml") else "g"


def _grain_or_fruit_kg(label: EnzymeLabel, intent: Intent, method: Method) -> float:
    wanted = ("crush",) if label.does == "fruit" else ("cook", "mash")
    return sum(method.bill_kg[i.material.key] for i in intent.bill if i.material.prepare in wanted)


def yeast_grams(sized: Sized) -> float:
    """Dry yeast for all ferments [g], by the pitch rate of its kind."""
    return pitch_grams(sized.intent.yeast, float(np.median(sized.course.mash.tub.volume_l)))


def pitch_grams(yeast: Yeast, volume_l: float) -> float:
    """Dry yeast for so much wash [g], by the pitch rate of its kind."""
    return yeast.pitch_g_per_hl.likely * volume_l / 100.0


NITROGEN_OF_DAP = 0.212
"""Nitrogen in diammonium phosphate [kg/kg]; from the formula."""
_ENOUGH_SHARE = 0.9
"""Share of the demand from which a bill is left to itself; *common practice, no source*."""
_MOST_DAP_G_PER_HL = 100.0
"""Most of it that is given; *common practice, no source*."""


def nutrient_grams(sized: Sized) -> float:
    """Diammonium phosphate that makes up what the bill lacks of nitrogen for its sugar [g]; 0 if nothing."""
    return food_grams(sized.intent, sized.method, sized.course.mash.tub)


def food_grams(intent: Intent, method: Method, tub: Stream) -> float:
    """Diammonium phosphate for a whole batch in the tub before yeast [g]; 0 if the bill brings enough.

    Demand by the yeast's kind for each gram of sugar, less what the materials bring; never more than
    100 g/hL. Both are catalogue figures from memory, so this is a first guess.
    """
    sugar_g = float(np.median(tub.fermentable_kg)) * 1000.0
    needed_mg = intent.yeast.nitrogen_demand_mg_per_g_sugar.likely * sugar_g
    brought_mg = brought_nitrogen_mg(intent, method)
    if brought_mg > _ENOUGH_SHARE * needed_mg:
        return 0.0
    grams = (needed_mg - brought_mg) / 1000.0 / NITROGEN_OF_DAP
    return min(grams, _MOST_DAP_G_PER_HL * float(np.median(tub.volume_l)) / 100.0)


def brought_nitrogen_mg(intent: Intent, method: Method) -> float:
    """Nitrogen that the bill brings for the yeast [mg]."""
    return sum(item.material.yan_mg_per_kg.likely * method.bill_kg[item.material.key] for item in intent.bill)
