"""The alcohol account of a forecast: what the materials could give, and where every millilitre goes."""

from __future__ import annotations

import numpy as np

from caskward.planning.forecast import Course
from caskward.planning.plan import AccountLine, band
from caskward.properties import alcohol
from caskward.stages.stream import Worlds

_Line = tuple[str, str, Worlds]


def account(course: Course, names: dict[str, str]) -> tuple[AccountLine, ...]:
    """In = lost + kept, in whole millilitres of pure alcohol on the average of all worlds.

    Args:
        course: a forecast.
        names: what to call each material, by key.
    """
    came = [
        (f"material/{key}", names.get(key, "sugar beside the bill"), _lpa(stream.potential_ethanol_kg))
        for key, stream in course.mash.materials.items()
    ]
    if np.any(course.feints_in.ethanol_kg > 0):
        came.append(("stock/spirits", "feints and low wines from store", course.feints_in.lpa))
    if np.any(course.top_up.ethanol_kg > 0):
        came.append(("stock/top-up", "spirit of another batch", course.top_up.lpa))
    lost, kept = _losses(course), _kept(course)
    came_ml = [round(float(np.mean(lpa)) * 1000.0) for _, _, lpa in came]
    went_ml = _shared_out(sum(came_ml), [float(np.mean(lpa)) * 1000.0 for _, _, lpa in (*lost, *kept)])
    sides = ["in"] * len(came) + ["lost"] * len(lost) + ["kept"] * len(kept)
    return tuple(
        AccountLine(key, words, side, ml, band(lpa))  # type: ignore[arg-type]
        for (key, words, lpa), side, ml in zip(
            (*came, *lost, *kept), sides, (*came_ml, *went_ml), strict=True
        )
    )


def _lpa(ethanol_kg: Worlds) -> Worlds:
    return np.asarray(alcohol.litres_pure_alcohol(ethanol_kg))


def _losses(course: Course) -> list[_Line]:
    """Losses that took alcohol with them, those of one name together, in the order of the work."""
    by_name: dict[str, Worlds] = {}
    for loss in course.losses:
        by_name[loss.name] = by_name.get(loss.name, np.zeros(())) + loss.lpa
    return [(f"lost/{name}", name, lpa) for name, lpa in by_name.items() if np.any(lpa > 0)]


def _kept(course: Course) -> list[_Line]:
    lines = [("kept/cask", "in the cask", course.cask.lpa), ("kept/feints", "feints kept", course.feints.lpa)]
    if np.any(course.surplus.ethanol_kg > 0):
        lines.insert(1, ("kept/over", "spirit left over, at entry strength", course.surplus.lpa))
    return lines


def _shared_out(total_ml: int, parts_ml: list[float]) -> list[int]:
    """Whole millilitres that add up to the total: the largest remainders are rounded up."""
    whole = [int(np.floor(part)) for part in parts_ml]
    by_remainder = sorted(range(len(parts_ml)), key=lambda i: whole[i] - parts_ml[i])
    for i in by_remainder[: total_ml - sum(whole)]:
        whole[i] += 1
    if sum(whole) != total_ml:
        raise ArithmeticError(f"the account is off by {total_ml - sum(whole)} mL")
    return whole
