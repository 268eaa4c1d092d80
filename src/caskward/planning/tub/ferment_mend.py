"""What to do about a ferment's cause, solved in the worlds that it and the readings leave."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from caskward.planning.tub import ferment_causes as known
from caskward.planning.tub.brew_doubts import LAG_BAND_H, WAKES_AGAIN_BAND_H
from caskward.planning.tub.explain import Weighed
from caskward.planning.tub.ferment_model import TAKES_DAYS_TIMES, FermentModel, FollowedFerment
from caskward.planning.tub.ferment_rest import Rest, rest_of, stands_still
from caskward.planning.tub.mend import Mend
from caskward.properties.alcohol import ETHANOL_DENSITY_20C
from caskward.stages.ferment_steps import GROWTH_PER_H
from caskward.stages.fermenting import FermentSettings, resumed
from caskward.stages.stream import Stream
from caskward.stages.yeast import DAP_NITROGEN, Yeast, cells_per_ml, effective_g_l

_WORLDS: Final = 48
LEAST_PH: Final = 3.8
"""pH that a stalled ferment is brought to; *common practice, no source*."""
UNDER_LIMIT: Final = 0.9
"""Share of the strength its yeast can stand to which a wash is thinned; *common practice, no source*."""
LEAST_GAIN_H, LEAST_GAIN = 12.0, 0.1
"""A mend is worth its work where it saves so many hours, and so much of the time that leaving it would take;
*common practice, no source*."""
LEAST_GAIN_LPA: Final = 0.05
"""Or where it brings so much more alcohol than leaving it would; *common practice, no source*."""
_LEAST_LPA, _HALF = 0.1, 0.5


@dataclass(frozen=True)
class Scene:
    """A ferment as one cause leaves it now: a few of its worlds, by their weight."""

    model: FermentModel
    followed: FollowedFerment
    i: int

    @property
    def wash(self) -> Stream:
        """The wash now."""
        return self.followed.course.stream(self.i)

    @property
    def best_c(self) -> float:
        """The temperature that the plan's yeast is kept at."""
        return self.model.plan.facts.starts_c

    @property
    def litres(self) -> float:
        """How much of it there is [L]."""
        return float(np.median(self.wash.volume_l))

    @property
    def lpa(self) -> float:
        """Pure alcohol that is in it now [L]."""
        return float(np.median(self.wash.lpa))

    def carried_on(self) -> tuple[Stream, Yeast, FermentSettings]:
        """The wash, what is alive and how it is kept, to go on from now."""
        return resumed(self.followed.course, self.i, self.followed.yeast, self.followed.kept)

    def left_alone(self) -> Rest:
        """What comes of it where nothing is done."""
        return self.rest(*self.carried_on())

    def rest(self, wash: Stream, yeast: Yeast, kept: FermentSettings) -> Rest:
        """What comes of it from now on, kept so."""
        return rest_of(self.followed, self.i, wash, yeast, kept)

    def woken(self, yeast: Yeast) -> Yeast:
        """A yeast whose trouble is taken away: where it stood still it must wake first."""
        still = stands_still(self.followed.course, self.i)
        lag_h = np.maximum(yeast.lag_h, WAKES_AGAIN_BAND_H[1])
        return replace(yeast, lag_h=np.where(still, lag_h, yeast.lag_h))


def scene(weighed: Weighed, cause: int) -> Scene:
    """A few worlds of one cause, as the readings leave them; the same question has the same answer."""
    model = weighed.model
    assert isinstance(model, FermentModel)
    weights = weighed.of(cause)
    each = weights.size
    picks = np.searchsorted(np.cumsum(weights), (np.arange(_WORLDS) + 0.5) / _WORLDS)
    at = cause * each + np.minimum(picks, each - 1)
    worlds = {name: values[at] for name, values in weighed.worlds.items()}
    followed = model.follow(worlds, weighed.readings, weighed.at_h)
    return Scene(model, followed, followed.at(weighed.at_h))


@dataclass(frozen=True)
class Tried:
    """A mend, and what comes of it."""

    mend: Mend
    rest: Rest


def ferment_mends(weighed: Weighed, cause: int) -> tuple[Mend, ...]:
    """What to do if a cause is the one, what gains most first; then to leave it, or to distil it."""
    tub, key = scene(weighed, cause), weighed.model.causes[cause].key
    if key == "gravity":
        return (Mend("read again"),)
    left = tub.left_alone()
    if key == "leak":
        return (Mend("close", dry_h=left.dry_h),)
    better = by_gain(tuple(way(tub) for way in _WAYS.get(key, ())), left)
    # Bacteria go on with what they find: nothing is won by leaving a wash to them that is done.
    spoils = key == "infection"
    half_gone = float(np.median(tub.followed.course.gone[tub.i])) > _HALF
    done = (spoils or (left.dry_h is None and half_gone)) and not _adds(left, tub.lpa)
    last = Mend("strip now", lpa=tub.lpa) if done else Mend("wait", dry_h=left.dry_h)
    return (*better, last)


def by_gain(tries: tuple[Tried, ...], left: Rest) -> tuple[Mend, ...]:
    """Mends that gain over leaving it, the greatest gain first."""
    worth = (one for one in tries if gains(one.rest, left))
    return tuple(one.mend for one in sorted(worth, key=lambda one: one.rest.order))


def gains(rest: Rest, left: Rest) -> bool:
    """Whether it is dry well before leaving it would have it so, or makes well more alcohol."""
    if _adds(rest, left.lpa):
        return True
    if rest.dry_h is None or left.dry_h is None:
        return rest.dry_h is not None
    return left.dry_h - rest.dry_h >= max(LEAST_GAIN_H, LEAST_GAIN * left.dry_h)


def _adds(rest: Rest, lpa: float) -> bool:
    return rest.lpa > lpa * (1.0 + LEAST_GAIN_LPA) + _LEAST_LPA


def _warm(tub: Scene) -> Tried:
    """Bring it to the yeast's best and keep it there."""
    wash, yeast, kept = tub.carried_on()
    rise_k = np.maximum(tub.best_c - wash.temp_c, 0.0)
    kwh = float(np.median(wash.heat_capacity_kj_k * rise_k)) / 3600.0
    rest = tub.rest(wash, tub.woken(yeast), replace(kept, set_point_c=tub.best_c))
    return Tried(Mend("warm wash", to_c=tub.best_c, heat_kwh=kwh, dry_h=rest.dry_h), rest)


def _pitch(tub: Scene) -> Tried:
    """As much fresh yeast as at first, in a wash as warm as it likes."""
    wash, yeast, kept = tub.carried_on()
    grams = tub.model.plan.yeast_g * tub.litres / max(float(tub.model.plan.wash.volume_l[0]), 1e-9)
    fresh = float(effective_g_l(cells_per_ml(grams, tub.litres)))
    rest = tub.rest(wash, _with_fresh(tub, yeast, fresh), replace(kept, set_point_c=tub.best_c))
    return Tried(Mend("pitch", to_c=tub.best_c, yeast_g=grams, dry_h=rest.dry_h), rest)


def _with_fresh(tub: Scene, yeast: Yeast, fresh_g_l: float) -> Yeast:
    """Old and fresh cells together, as many of them awake as of both: fresh ones have their lag before them.

    A share s is awake after a lag of -ln(s) over the rate of growth; baranyi-roberts-1994.
    """
    anew = tub.woken(replace(yeast, lag_h=np.full_like(tub.wash.total_kg, LAG_BAND_H[1])))
    old = np.asarray(yeast.cells_g_l)
    awake = old * np.exp(-GROWTH_PER_H * np.asarray(yeast.lag_h))
    awake = (awake + fresh_g_l * np.exp(-GROWTH_PER_H * np.asarray(anew.lag_h))) / (old + fresh_g_l)
    return replace(yeast, cells_g_l=old + fresh_g_l, lag_h=-np.log(np.clip(awake, 1e-90, 1.0)) / GROWTH_PER_H)


def _feed(tub: Scene) -> Tried:
    """Yeast food that brings its nitrogen to what the plan meant it to have."""
    wash, yeast, kept = tub.carried_on()
    short_mg_l = tub.model.plan.nitrogen_mg_l * np.maximum(1.0 - tub.followed.worlds[known.NITROGEN], 0.0)
    grams = float(np.median(short_mg_l)) * tub.litres / 1000.0 / DAP_NITROGEN
    had = 0.0 if kept.nitrogen_mg_l is None else kept.nitrogen_mg_l
    rest = tub.rest(wash, tub.woken(yeast), replace(kept, nitrogen_mg_l=had + short_mg_l))
    return Tried(Mend("feed", food_g=grams, dry_h=rest.dry_h), rest)


def _less_sour(tub: Scene) -> Tried:
    """Chalk until the yeast can work again."""
    wash, yeast, kept = tub.carried_on()
    raised = replace(kept, ph_start=LEAST_PH + 0.2, ph_end=LEAST_PH)
    rest = tub.rest(wash, tub.woken(yeast), raised)
    return Tried(Mend("sour", ph=(LEAST_PH, 4.5), too_sour=True, dry_h=rest.dry_h), rest)


def _sweeten(tub: Scene) -> Tried:
    """The plan's sweetening enzymes into the wash: what yeast makes of the dextrin that they set free."""
    wash, yeast, kept = tub.carried_on()
    splits = replace(kept, dextrin_per_h=TAKES_DAYS_TIMES / tub.model.plan.usual_h, dextrin_reach=1.0)
    doses = tuple((name, per_l * tub.litres, unit) for name, per_l, unit in tub.model.plan.sweeteners)
    if not doses:
        left = tub.left_alone()
        return Tried(Mend("wait", dry_h=left.dry_h), left)
    rest = tub.rest(wash, tub.woken(yeast), splits)
    return Tried(Mend("dose", doses=doses, lpa=max(rest.lpa - tub.lpa, 0.0), dry_h=rest.dry_h), rest)


def _thin(tub: Scene) -> Tried:
    """Water that brings the wash under what its yeast can stand, sugar and all."""
    wash, yeast, kept = tub.carried_on()
    potential = (
        100.0 * wash.potential_ethanol_kg / (ETHANOL_DENSITY_20C / 1000.0) / np.maximum(wash.volume_l, 1e-9)
    )
    limit = UNDER_LIMIT * np.asarray(yeast.tolerance_pct_vol)
    litres = float(np.median(wash.volume_l * np.maximum(potential / limit - 1.0, 0.0)))
    thinned = wash.with_masses(water_kg=wash.water_kg + litres)
    rest = tub.rest(thinned, tub.woken(yeast), kept)
    return Tried(Mend("thin", water_l=litres, dry_h=rest.dry_h), rest)


_WAYS: Final[dict[str, tuple[Callable[[Scene], Tried], ...]]] = {
    "cold": (_warm,),
    "thermometer": (_warm,),
    "hot": (_pitch,),
    "weak yeast": (_pitch,),
    "nitrogen": (_feed,),
    "sour": (_less_sour,),
    "strong": (_thin,),
    "dextrin": (_sweeten,),
}
"""What may be done about each cause that anything can be done about."""
