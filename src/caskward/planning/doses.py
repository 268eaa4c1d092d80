"""Amounts that follow from the bill: enzymes by their labels, yeast by the tub."""

from __future__ import annotations

from typing import Literal

import numpy as np

from caskward.planning.intent import EnzymeLabel
from caskward.planning.sizing import Sized

_STARCH_KG = ("ml_per_kg_starch", "g_per_kg_starch")


def dose_amount(sized: Sized, label: EnzymeLabel) -> tuple[float, Literal["mL", "g"]]:
    """How much of an enzyme the whole batch takes [mL or g], by the unit of its label."""
    unit = label.dose.unit
    of: float
    if unit == "ml_per_l":
        of = float(np.median(sized.course.mash.tub.volume_l))
    elif unit in _STARCH_KG:
        of = float(np.median(sized.course.mash.convert.starch_in_kg))
    else:
        of = _grain_or_fruit_kg(sized, label)
    return label.dose.value * of, "mL" if unit.startswith("ml") else "g"


def _grain_or_fruit_kg(sized: Sized, label: EnzymeLabel) -> float:
    wanted = ("crush",) if label.does == "fruit" else ("cook", "mash")
    items = sized.intent.bill
    return sum(sized.method.bill_kg[i.material.key] for i in items if i.material.prepare in wanted)


def yeast_grams(sized: Sized) -> float:
    """Dry yeast for all ferments [g], by the pitch rate of its kind."""
    hectolitres = float(np.median(sized.course.mash.tub.volume_l)) / 100.0
    return sized.intent.yeast.pitch_g_per_hl.likely * hectolitres
