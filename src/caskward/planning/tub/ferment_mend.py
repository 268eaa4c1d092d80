"""What to do about a ferment's cause, solved in the worlds that it and the readings leave."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from caskward.planning.tub import ferment_causes as known
from caskward.planning.tub.explain import Weighed
from caskward.planning.tub.ferment_model import FermentModel, FollowedFerment
from caskward.planning.tub.mend import Mend
from caskward.stages.fermenting import FermentSettings, ferment_course, resumed
from caskward.stages.stream import Stream, Worlds
from caskward.stages.yeast import DAP_NITROGEN, Yeast, cells_per_ml, effective_g_l

_WORLDS: Final = 48
_DAYS, _STEP_H = 21.0, 6.0
LEAST_PH: Final = 3.8
"""pH that a stalled ferment is brought to; *common practice, no source*."""
UNDER_LIMIT: Final = 0.9
"""Share of the strength its yeast can stand to which a wash is thinned; *common practice, no source*."""
_FRESH_LAG_H = 1.0


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

    def carried_on(self) -> tuple[Stream, Yeast, FermentSettings]:
        """The wash, what is alive and how it is kept, to go on from now."""
        return resumed(self.followed.course, self.i, self.followed.yeast, self.followed.kept)


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


def ferment_mends(weighed: Weighed, cause: int) -> tuple[Mend, ...]:
    """What to do if a cause is the one, best first."""
    tub = scene(weighed, cause)
    ways: dict[str, Callable[[], tuple[Mend, ...]]] = {
        "time": lambda: (_wait(tub),),
        "cold": lambda: _or_wait(_warm(tub), tub),
        "thermometer": lambda: _or_wait(_warm(tub), tub),
        "hot": lambda: (_pitch(tub),),
        "weak yeast": lambda: _or_wait(_pitch(tub), tub),
        "nitrogen": lambda: _or_wait(_feed(tub), tub),
        "sour": lambda: (_less_sour(tub),),
        "infection": lambda: (_strip_now(tub),),
        "leak": lambda: (Mend("close", dry_h=_dry_h(*tub.carried_on())),),
        "gravity": lambda: (Mend("read again"),),
        "dextrin": lambda: (_sweeten(tub), _strip_now(tub)),
        "strong": lambda: (_thin(tub), _strip_now(tub)),
    }
    return ways[weighed.model.causes[cause].key]()


def _wait(tub: Scene) -> Mend:
    return Mend("wait", dry_h=_dry_h(*tub.carried_on()))


def _or_wait(doing: Mend, tub: Scene) -> tuple[Mend, ...]:
    """What to do, or to leave it; only that where it is dry as soon by itself."""
    wait = _wait(tub)
    as_soon = wait.dry_h is not None and (doing.dry_h is None or wait.dry_h <= doing.dry_h)
    return (wait,) if as_soon else (doing, wait)


def _warm(tub: Scene) -> Mend:
    """Bring it to the yeast's best and keep it there."""
    wash, yeast, kept = tub.carried_on()
    rise_k = np.maximum(tub.best_c - wash.temp_c, 0.0)
    kwh = float(np.median(wash.heat_capacity_kj_k * rise_k)) / 3600.0
    warm = replace(kept, set_point_c=tub.best_c)
    return Mend("warm wash", to_c=tub.best_c, heat_kwh=kwh, dry_h=_dry_h(wash, yeast, warm))


def _pitch(tub: Scene) -> Mend:
    """As much fresh yeast as at first, in a wash as warm as it likes."""
    wash, yeast, kept = tub.carried_on()
    grams = tub.model.plan.yeast_g * tub.litres / max(float(tub.model.plan.wash.volume_l[0]), 1e-9)
    fresh = effective_g_l(cells_per_ml(grams, tub.litres))
    more = replace(yeast, cells_g_l=yeast.cells_g_l + fresh, lag_h=_FRESH_LAG_H)
    dry_h = _dry_h(wash, more, replace(kept, set_point_c=tub.best_c))
    return Mend("pitch", to_c=tub.best_c, yeast_g=grams, dry_h=dry_h)


def _feed(tub: Scene) -> Mend:
    """Yeast food that brings its nitrogen to what the plan meant it to have."""
    wash, yeast, kept = tub.carried_on()
    short_mg_l = tub.model.plan.nitrogen_mg_l * np.maximum(1.0 - tub.followed.worlds[known.NITROGEN], 0.0)
    grams = float(np.median(short_mg_l)) * tub.litres / 1000.0 / DAP_NITROGEN
    had = 0.0 if kept.nitrogen_mg_l is None else kept.nitrogen_mg_l
    fed = replace(kept, nitrogen_mg_l=had + short_mg_l)
    return Mend("feed", food_g=grams, dry_h=_dry_h(wash, yeast, fed))


def _less_sour(tub: Scene) -> Mend:
    """Chalk until the yeast can work again."""
    wash, yeast, kept = tub.carried_on()
    raised = replace(kept, ph_start=LEAST_PH + 0.2, ph_end=LEAST_PH)
    return Mend("sour", ph=(LEAST_PH, 4.5), too_sour=True, dry_h=_dry_h(wash, yeast, raised))


def _strip_now(tub: Scene) -> Mend:
    return Mend("strip now", lpa=float(np.median(tub.wash.lpa)))


def _sweeten(tub: Scene) -> Mend:
    """A sweetening enzyme into the wash, where the plan has one: what dextrin it would set free."""
    if not tub.model.plan.sweeteners:
        return _strip_now(tub)
    free_lpa = float(np.median(tub.wash.with_masses(hexose_kg=0.0 * tub.wash.hexose_kg).potential_ethanol_kg))
    now_kg = float(np.median(tub.wash.ethanol_kg))
    doses = tuple((name, per_l * tub.litres, unit) for name, per_l, unit in tub.model.plan.sweeteners)
    return Mend("dose", doses=doses, lpa=max(free_lpa - now_kg, 0.0) / 0.78924)


def _thin(tub: Scene) -> Mend:
    """Water that brings the wash under what its yeast can stand, sugar and all."""
    wash, yeast, kept = tub.carried_on()
    potential = 100.0 * wash.potential_ethanol_kg / 0.78924 / np.maximum(wash.volume_l, 1e-9)
    limit = UNDER_LIMIT * np.asarray(yeast.tolerance_pct_vol)
    litres = float(np.median(wash.volume_l * np.maximum(potential / limit - 1.0, 0.0)))
    thinned = wash.with_masses(water_kg=wash.water_kg + litres)
    return Mend("thin", water_l=litres, dry_h=_dry_h(thinned, yeast, kept))


def _dry_h(wash: Stream, yeast: Yeast, kept: FermentSettings) -> float | None:
    """Hours from now until it is dry in the middle world; None where it is not in three weeks."""
    hours: Worlds = np.arange(0.0, 24.0 * _DAYS + 1e-9, _STEP_H)
    middle = float(np.median(ferment_course(wash, hours, yeast, kept).dry_h))
    return middle if np.isfinite(middle) else None
