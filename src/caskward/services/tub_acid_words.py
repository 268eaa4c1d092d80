"""What the answer about acid, chalk, backset and calcium says in words."""

from __future__ import annotations

from typing import Final

from caskward.planning.acid import CALCIUM_MG_L
from caskward.services.tub_acid import AcidAnswer
from caskward.units import show
from caskward.units.types import UnitSystem

COOL: Final = (
    "Read every pH in a sample cooled to the temperature of your meter's buffers: hot mash reads false."
)
BAND: Final = (
    "In brackets: the need lies inside 19 times in 20, by the doubt of your meter or the trials' scatter."
)


def quantity(amount: float, unit: str, system: UnitSystem) -> str:
    """So many mL or g in the maker's units."""
    shown = show.volume if unit == "mL" else show.mass
    return shown(amount / 1000.0, system)


def sentences(found: AcidAnswer, system: UnitSystem, doses: UnitSystem) -> tuple[str, ...]:
    """The answer, one sentence for each thing that was asked; who trials in mL doses in mL, in any tub."""
    return (*_need_said(found, system, doses), *_backset_said(found, system), *_calcium_said(found, system))


def _need_said(found: AcidAnswer, system: UnitSystem, doses: UnitSystem) -> list[str]:
    if found.need is None or found.seen is None or found.first is None or found.volume_l is None:
        return []
    need, what = found.need, found.seen.what
    tub = show.volume(found.volume_l, system)
    way = f"from pH {found.ph_now:.2f} to {found.ph_target:.2f}"
    if need.amount <= 0.0:
        return [f"{tub} stand at pH {found.ph_now:.2f} already: add nothing."]
    much = show.band(need.low, need.amount, need.high, lambda v: quantity(v, need.unit, doses))
    named = "" if what == "What you tried" else f" of {what[:1].lower()}{what[1:]}"
    return [
        f"{tub} {way} take {much}{named}. Add half of it first, {quantity(found.first, need.unit, doses)}, "
        "stir, wait ten minutes and measure; then the rest by what that half did."
    ]


def _backset_said(found: AcidAnswer, system: UnitSystem) -> list[str]:
    if found.backset is None:
        return []
    b = found.backset
    share = show.band(b.low_share, b.share, b.high_share, show.share)
    litres = f", {show.volume(b.litres, system)}," if b.litres > 0.0 else ""
    return [f"Backset: {share} of the liquor{litres} brings the mash to pH {b.reaches_ph:.2f}."]


def _calcium_said(found: AcidAnswer, system: UnitSystem) -> list[str]:
    if found.calcium is None:
        return []
    c = found.calcium
    if c.grams <= 0.0:
        return [f"Calcium: {c.has_mg_l:.0f} mg/L is there already; {CALCIUM_MG_L:.0f} mg/L is enough."]
    return [
        f"Calcium: {show.mass(c.grams / 1000.0, system)} of {c.salt} brings "
        f"{show.volume(c.volume_l, system)} from {c.has_mg_l:.0f} to {c.reaches_mg_l:.0f} mg/L."
    ]


def remarks(found: AcidAnswer) -> tuple[str, ...]:
    """What was taken for granted, what goes past the trial, and what the brackets mean."""
    said = []
    if found.further and found.seen is not None:
        said.append(
            f"That is past the {found.seen.most_move:.2f} that was tried: the reading after the half tells "
            "more."
        )
    if found.now_from_trial:
        said.append(f"The tub is taken to stand where the trial began, at pH {found.ph_now:.2f} (--now).")
    if found.calcium is not None and found.calcium.has_mg_l <= 0.0:
        said.append("The water is taken to hold no calcium (--has).")
    return (*said, COOL, BAND) if found.need is not None or found.backset is not None else tuple(said)


def minded(found: AcidAnswer) -> tuple[str, ...]:
    """Cautions of everything that was asked."""
    return (*(found.backset.cautions if found.backset else ()), *found.cautions)
