"""What to do about a cause, solved in the worlds that it and the readings leave: litres, doses and hours.

Nothing here is done: a mend is a proposal with its figures, found by carrying the cause's worlds on with the
change made.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from caskward.planning.intent import EnzymeLabel
from caskward.planning.tub import mash_causes as known
from caskward.planning.tub.explain import Weighed
from caskward.planning.tub.mash import Truth, product_dose
from caskward.planning.tub.mash_model import FollowedMash, MashModel
from caskward.properties import alcohol
from caskward.stages.enzymes import Dose
from caskward.stages.iodine import starch_test_positive
from caskward.stages.mashing import MashCourse, mash_course
from caskward.stages.stream import ETHANOL_KG_PER_KG_HEXOSE, HEXOSE_KG_PER_KG_GLUCAN, Stream, Worlds
from caskward.stages.tub_heat import cold_water_l, hot_water_l, ice_kg

Way = Literal[
    "hold",
    "warm",
    "cool",
    "dose",
    "sour",
    "boil again",
    "add sugar",
    "read again",
    "wait",
    "warm wash",
    "pitch",
    "feed",
    "thin",
    "strip now",
    "close",
    "other thermometer",
    "other meter",
]

PART_C: Final = 90.0
"""How hot a part of the mash is made in the pot before it goes back; *common practice, no source*."""
SURE: Final = 0.8
"""Chance at which a hold is called long enough."""
BOILING_C: Final = 98.0
"""Water as hot as a kettle brings it to the tub; *common practice, no source*."""
_WORLDS: Final = 96
_LONGEST_H, _STEP_H = 10.0, 1.0 / 6.0
_NEAR_K, _INSIDE_K = 1.5, 1.0
LPA_PER_KG_SUGAR: Final = 0.682 * 0.9
"""Pure alcohol that a kilogram of cane sugar brings at nine tenths of theory [L/kg]."""


@dataclass(frozen=True)
class Mend:
    """One way to mend: what to change, by how much, and how long to hold after it.

    to_c: temperature to bring the tub to; hot_water_l, cold_water_l, ice_kg do it, each alone. fits: whether
    the tub takes the hot (or cold) water; where not, part_l of mash heated in the pot to 90 °C and stirred
    back in warms it too. doses: product and amount of its own unit [mL or g]. ph: the window
    to bring it into, from below where too_sour. hold_h: hours until the test is clear 8 in 10 times, None
    where it never is. sugar_kg: cane sugar that makes good what is missing. lpa: pure alcohol at stake [L].
    Of a ferment: dry_h, hours from now until it is dry in the middle world, None where it never is; heat_kwh
    to warm it; yeast_g of fresh yeast, food_g of yeast food, water_l to thin it.
    """

    way: Way
    to_c: float | None = None
    hot_water_l: float | None = None
    part_l: float | None = None
    cold_water_l: float | None = None
    ice_kg: float | None = None
    fits: bool = True
    doses: tuple[tuple[str, float, str], ...] = ()
    ph: tuple[float, float] | None = None
    too_sour: bool = False
    hold_h: float | None = None
    sugar_kg: float | None = None
    lpa: float | None = None
    dry_h: float | None = None
    heat_kwh: float | None = None
    yeast_g: float | None = None
    food_g: float | None = None
    water_l: float | None = None


@dataclass(frozen=True)
class Scene:
    """The tub as one cause leaves it now: a few of its worlds, by their weight."""

    model: MashModel
    followed: FollowedMash
    at_h: float
    spare_l: float

    @property
    def i(self) -> int:
        """The grid's point of now."""
        return self.followed.at(self.at_h)

    @property
    def course(self) -> MashCourse:
        """The course up to now."""
        return self.followed.course

    @property
    def stream(self) -> Stream:
        """The tub now."""
        return self.course.stream(self.i)


def scene(weighed: Weighed, cause: int) -> Scene:
    """A few worlds of one cause, as the readings leave them."""
    model = weighed.model
    assert isinstance(model, MashModel)
    weights = weighed.of(cause)
    each = weights.size
    # Evenly along the cumulated weights: no chance in it, the same question has the same answer.
    picks = np.searchsorted(np.cumsum(weights), (np.arange(_WORLDS) + 0.5) / _WORLDS)
    at = cause * each + np.minimum(picks, each - 1)
    worlds = {name: values[at] for name, values in weighed.worlds.items()}
    followed = model.follow(worlds, weighed.readings, weighed.at_h)
    volume_l = followed.course.stream(followed.at(weighed.at_h)).volume_l
    spare_l = model.intent.gear.tub.working_l - float(np.median(volume_l))
    return Scene(model, followed, weighed.at_h, max(spare_l, 0.0))


def mends(weighed: Weighed, cause: int) -> tuple[Mend, ...]:
    """What to do if a cause is the one, best first."""
    what = weighed.model.causes[cause]
    tub = scene(weighed, cause)
    kind, _, product = what.key.partition("/")
    ways: dict[str, Callable[[], tuple[Mend, ...]]] = {
        "time": lambda: (_hold(tub),),
        "cold": lambda: (_warm(tub, _target_c(tub)), _hold(tub)),
        "thermometer": lambda: (_warm(tub, _target_c(tub)),),
        "hot": lambda: (_cool(tub, _target_c(tub)), _dose_again(tub, _due(tub))),
        "window": lambda: (_warm(tub, _true_best_c(tub, product)), _dose_again(tub, _labels(tub, product))),
        "weak": lambda: (_dose_again(tub, _labels(tub, product)),),
        "weak malt": lambda: (_dose_again(tub, _due(tub)), _hold(tub)),
        "alkaline": lambda: (_into_ph(tub),),
        "sour": lambda: (_into_ph(tub),),
        "raw": lambda: (_boil_again(tub), _make_up(tub)),
        "less starch": lambda: (_make_up(tub),),
        "more water": lambda: (_make_up(tub),),
        "hydrometer": lambda: (Mend("read again"),),
        "false cold": lambda: (Mend("other thermometer"),),
        "ph too high": lambda: (Mend("other meter"),),
        "ph too low": lambda: (Mend("other meter"),),
    }
    return ways[kind]()


def _labels(tub: Scene, product: str) -> tuple[EnzymeLabel, ...]:
    return tuple(label for label in tub.model.intent.enzymes if label.name == product)


def _due(tub: Scene) -> tuple[EnzymeLabel, ...]:
    """Products that should be at work by now."""
    return tuple(d.label for d in tub.model.schedule.doses if d.at_h <= tub.at_h + 1e-9)


def _target_c(tub: Scene) -> float:
    """What the tub should have now, by the plan; warmer where malt is raw still, as far as labels allow."""
    planned_c = float(tub.model.schedule.temp_c(np.array([tub.at_h]))[0])
    ends_c = [p.range_c[1] for p in tub.model.stirred.portions if p.range_c is not None and not p.cooked]
    tops_c = [label.window_c[1] for label in _due(tub)]
    swells_c = min(max(ends_c, default=0.0) + _INSIDE_K, min(tops_c, default=BOILING_C) - _INSIDE_K)
    return max(planned_c, swells_c)


def _true_best_c(tub: Scene, product: str) -> float:
    """Where the product truly works best: its planned rest and how far its window lies above the label's."""
    shift_k = float(np.median(tub.followed.worlds[known.window(product)]))
    return round(_target_c(tub) + shift_k, 0)


def _hold(tub: Scene) -> Mend:
    return Mend("hold", hold_h=_clear_after(tub, None, ()))


def _warm(tub: Scene, to_c: float) -> Mend:
    """Warm the tub: by boiling water where it fits, else by a part of the mash heated in the pot."""
    stream = tub.stream
    if float(np.median(stream.temp_c)) >= to_c - _NEAR_K:
        return _hold(tub)
    litres = float(np.median(hot_water_l(stream, BOILING_C, to_c)))
    fits, part_l = litres <= tub.spare_l, None
    fresh = _lost_products(tub)
    doses = [amount_of(tub.model, label, 1.0) for label in fresh]
    if not fits and tub.model.intent.gear.cook_pot is not None:
        share = float(np.median((to_c - stream.temp_c) / (PART_C - stream.temp_c)))
        part_l = share * float(np.median(stream.volume_l))
        # What is heated loses its enzymes; what of them is still good elsewhere goes on.
        doses += [amount_of(tub.model, label, share) for label in _due(tub) if label not in fresh]
    return Mend(
        "warm",
        to_c=to_c,
        hot_water_l=litres,
        part_l=part_l,
        fits=fits,
        doses=tuple(doses),
        hold_h=_clear_after(tub, to_c, fresh),
    )


def _cool(tub: Scene, to_c: float) -> Mend:
    stream, water_c = tub.stream, tub.model.intent.site.water_c
    if float(np.median(stream.temp_c)) <= to_c + _NEAR_K:
        return _hold(tub)
    litres = float(np.median(cold_water_l(stream, water_c, to_c)))
    fresh = _lost_products(tub)
    return Mend(
        "cool",
        to_c=to_c,
        cold_water_l=litres,
        ice_kg=float(np.median(ice_kg(stream, to_c))),
        fits=litres <= tub.spare_l,
        doses=tuple(amount_of(tub.model, label, 1.0) for label in fresh),
        hold_h=_clear_after(tub, to_c, fresh),
    )


def _dose_again(tub: Scene, labels: tuple[EnzymeLabel, ...]) -> Mend:
    if not labels:
        return _hold(tub)
    return Mend(
        "dose",
        doses=tuple(amount_of(tub.model, label, 1.0) for label in labels),
        hold_h=_clear_after(tub, None, labels),
    )


def _into_ph(tub: Scene) -> Mend:
    due = _due(tub)
    low = max((label.window_ph[0] for label in due), default=5.0)
    high = min((label.window_ph[1] for label in due), default=5.8)
    window = (low, high) if low < high else due[-1].window_ph
    fresh = _lost_products(tub)
    return Mend(
        "sour",
        ph=window,
        too_sour=float(np.median(tub.course.ph[tub.i])) < window[0],
        doses=tuple(amount_of(tub.model, label, 1.0) for label in fresh),
        hold_h=_clear_after(tub, None, fresh, ph=0.5 * (window[0] + window[1])),
    )


def _boil_again(tub: Scene) -> Mend:
    """Cook what is raw once more, then thin and sweeten it; the alcohol that stays raw otherwise."""
    labels = tuple(e for e in tub.model.intent.enzymes if e.does in ("thin", "sweeten"))
    return Mend(
        "boil again",
        to_c=tub.model.stirred.cook_c,
        doses=tuple(amount_of(tub.model, label, 1.0) for label in labels),
        lpa=_never_split_lpa(tub),
    )


def _make_up(tub: Scene) -> Mend:
    """Sugar that makes good what this batch lacks of alcohol against the plan."""
    plan = tub.model.follow({u.name: np.array([u.likely]) for u in tub.model.base}, (), tub.at_h)
    short_kg = plan.course.stream(-1).potential_ethanol_kg[0] - np.median(tub.stream.potential_ethanol_kg)
    lpa = max(float(np.asarray(alcohol.litres_pure_alcohol(max(float(short_kg), 0.0)))), 0.0)
    lpa += _never_split_lpa(tub)
    return Mend("add sugar", sugar_kg=lpa / LPA_PER_KG_SUGAR, lpa=lpa)


def _never_split_lpa(tub: Scene) -> float:
    """Alcohol in starch that was to be cooked and is raw, beyond what a sound cook leaves [L]."""
    sound = next(u.likely for u in tub.model.base if u.name == known.SWOLLEN)
    cooked_kg = sum(np.asarray(p.starch_kg) for p in tub.model.stirred.portions if p.cooked)
    raw_kg = cooked_kg * np.maximum(sound - tub.followed.worlds[known.SWOLLEN], 0.0)
    ethanol_kg = ETHANOL_KG_PER_KG_HEXOSE * HEXOSE_KG_PER_KG_GLUCAN * np.median(raw_kg)
    return float(np.asarray(alcohol.litres_pure_alcohol(float(ethanol_kg))))


def _lost_products(tub: Scene) -> tuple[EnzymeLabel, ...]:
    """Products due by now of which less than a third is alive: a change of warmth alone won't wake them."""
    lost = []
    activity = tub.course.activity[:, tub.i]
    in_tub = [d for d in tub.model.schedule.doses if not d.in_pot]
    hot = len(tub.course.doses) - len(in_tub) - _malt_count(tub)
    for k, planned in enumerate(in_tub):
        if planned.at_h <= tub.at_h + 1e-9 and float(np.median(activity[hot + k])) < 1.0 / 3.0:
            lost.append(planned.label)
    return tuple(lost)


def _malt_count(tub: Scene) -> int:
    has_malt = any(p.malt and p.lintner > 0.0 for p in tub.model.stirred.portions)
    return 2 if has_malt and len(tub.model.intent.malt_enzymes) >= 2 else 0


def amount_of(model: MashModel, label: EnzymeLabel, doses: float) -> tuple[str, float, str]:
    """So many full doses of a product for this tub: its name, the amount, and mL or g."""
    amount, unit = model.full_doses[label.name]
    return label.name, doses * amount, unit


def _clear_after(
    tub: Scene, to_c: float | None, fresh: tuple[EnzymeLabel, ...], ph: float | None = None
) -> float | None:
    """Hours from now until the starch test is clear in most worlds; None: not in ten."""
    stream, starch, alive = tub.course.carried_on(tub.i)
    hours = np.arange(0.0, _LONGEST_H + 1e-9, _STEP_H)
    start_c = tub.course.temp_c[tub.i] if to_c is None else np.full_like(tub.course.temp_c[tub.i], to_c)
    room_c, fall = tub.model.schedule.room_c, tub.model.schedule.cools_per_h
    temp_c = room_c + (start_c - room_c) * np.exp(-fall * hours)[:, None]
    phs = tub.course.ph[tub.i] if ph is None else np.full_like(tub.course.ph[tub.i], ph)
    more = tuple(_fresh_dose(tub, label) for label in fresh)
    course = mash_course(stream, starch, hours, temp_c, np.broadcast_to(phs, temp_c.shape), (*alive, *more))
    clear = 1.0 - np.asarray(starch_test_positive(course.showing_share))
    good = np.flatnonzero(np.mean(clear, axis=1) >= SURE)
    return float(hours[good[0]]) if good.size else None


def _fresh_dose(tub: Scene, label: EnzymeLabel) -> Dose:
    """A fresh full dose, out of another bottle than the one in doubt, its window where it truly lies."""
    shift_k: float | Worlds = tub.followed.worlds.get(known.window(label.name), 0.0)
    return product_dose(label, 0.0, Truth(window_k={label.name: shift_k}))
