"""What comes of a ferment from now on, measured on the sugar that its wash began with; and whether it is dry.

A course that is taken up again counts only the sugar then left: on that scale a finished wash would always
have some to go. So what is gone is counted from the pitch.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from caskward.planning.tub import ferment_causes as known
from caskward.planning.tub.brew import crossing
from caskward.planning.tub.explain import Weighed
from caskward.planning.tub.ferment_followed import FollowedFerment
from caskward.planning.tub.fits import weighted_band
from caskward.stages.ferment_record import DRY_AT, FermentCourse
from caskward.stages.fermenting import FermentSettings, ferment_course
from caskward.stages.stream import Stream, Worlds
from caskward.stages.yeast import Yeast

DAYS: Final = 21.0
"""A ferment that is not dry in so long from now is not called one that will be; *common practice*."""
_STEP_H: Final = 1.0
_SOUND_UNSPLIT: Final = 0.02
"""Share of the sugar that a sound mash leaves as dextrin at most, 9 times in 10; *common practice*."""
_STILL_PER_H, _BEGUN = 1e-3, 0.05
"""Share of the sugar used in an hour under which a ferment that had begun stands still."""
_TELLS_DRYNESS: Final = ("gravity", "gravity_checked", "strength")


@dataclass(frozen=True)
class Rest:
    """From now on, in the middle world: hours until it is dry, None: not in three weeks; alcohol then [L]."""

    dry_h: float | None
    lpa: float

    @property
    def order(self) -> tuple[float, float]:
        """Sorts what gains most first: the soonest dry, then the strongest."""
        return (np.inf if self.dry_h is None else self.dry_h, -self.lpa)


@dataclass(frozen=True)
class Dryness:
    """How likely it is that a ferment is dry, by everything read; what a sound one reads when it is.

    gravity: of sound tubs that are dry by then, 1 in 10, middle and 9 in 10; None where too few are.
    """

    chance: float
    gravity: tuple[float, float, float] | None


def rest_of(followed: FollowedFerment, i: int, wash: Stream, yeast: Yeast, kept: FermentSettings) -> Rest:
    """Carry a wash on from a grid point of its course, as it is kept from then on."""
    hours: Worlds = np.arange(0.0, 24.0 * DAYS + 1e-9, _STEP_H)
    on = ferment_course(wash, hours, yeast, kept)
    before_kg = gone_kg(followed.course, i)
    whole_kg = np.maximum(began_with_kg(followed), before_kg + on.usable_kg)
    gone = (before_kg + on.used_hexose_kg + on.soured_kg) / np.maximum(whole_kg, 1e-12)
    middle = float(np.median(crossing(hours, gone, 1.0 - DRY_AT)))
    return Rest(middle if np.isfinite(middle) else None, float(np.median(on.stream(-1).lpa)))


def gone_kg(course: FermentCourse, i: int) -> Worlds:
    """Sugar that yeast and bacteria have used by a grid point [kg]."""
    return np.asarray(course.used_hexose_kg[i] + course.soured_kg[i])


def began_with_kg(followed: FollowedFerment) -> Worlds:
    """Sugar that its yeast would use, had the mash split what a sound one splits [kg]."""
    course = followed.course
    unsplit = followed.worlds.get(known.UNSPLIT, np.zeros_like(course.usable_kg))
    short = np.maximum(unsplit - _SOUND_UNSPLIT, 0.0) / np.maximum(1.0 - unsplit, 1e-6)
    return np.asarray(course.usable_kg + followed.yeast.attenuation * short * course.wash.hexose_kg)


def stands_still(course: FermentCourse, i: int) -> NDArray[np.bool_]:
    """Worlds in which a ferment that had begun hardly moves."""
    early = max(i - 1, 0)
    per_h = (course.gone[i] - course.gone[early]) / max(float(course.hours[i] - course.hours[early]), 1e-9)
    return np.asarray((course.gone[i] > _BEGUN) & (per_h < _STILL_PER_H))


def dryness(weighed: Weighed) -> Dryness | None:
    """How likely it is that all sugar is gone; None where nothing was read that tells."""
    if not any(r.quantity in _TELLS_DRYNESS for r in weighed.readings):
        return None
    followed = weighed.followed
    assert isinstance(followed, FollowedFerment)
    i = followed.at(weighed.at_h)
    dry = gone_kg(followed.course, i) >= (1.0 - DRY_AT) * began_with_kg(followed)
    return Dryness(float(np.sum(weighed.weights.ravel()[dry])), _sound_gravity(weighed, followed, i, dry))


_FEWEST: Final = 16


def _sound_gravity(
    weighed: Weighed, followed: FollowedFerment, i: int, dry: NDArray[np.bool_]
) -> tuple[float, float, float] | None:
    """Gravity of the sound tubs that are dry by then, before any reading."""
    sound = next(k for k, cause in enumerate(weighed.model.causes) if not cause.changes)
    each = weighed.weights.shape[1]
    here = slice(sound * each, (sound + 1) * each)
    if np.count_nonzero(dry[here]) < _FEWEST:
        return None
    band = weighted_band(followed.course.stream(i).specific_gravity[here][dry[here]])
    return (band.low, band.mid, band.high)
