"""What comes of a ferment from now on, and whether it is dry: on the sugar that its wash began with."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pytest

from caskward.planning.readings import Reading, reading_of
from caskward.planning.tub.explain import Weighed, weigh
from caskward.planning.tub.ferment_mend import ferment_mends, gains, scene
from caskward.planning.tub.ferment_model import FermentModel, ferment_model
from caskward.planning.tub.ferment_rest import Rest, dryness, rest_of, stands_still
from caskward.stages.fermenting import ferment_course, resumed
from tests.planning.test_tub_ferment import a_method

EACH = 128


@lru_cache(maxsize=2)
def model_of(name: str = "rye", kg: float = 110.0) -> FermentModel:
    intent, method = a_method(name, kg)
    return ferment_model(intent, method)  # type: ignore[arg-type]


def read(at_h: float, **shown: float) -> tuple[Reading, ...]:
    return tuple(reading_of("ferment", q, value, at_h) for q, value in shown.items())


def asked(*readings: Reading) -> Weighed:
    return weigh(model_of(), readings, max(r.at_h for r in readings), 1, EACH)


STALLED = read(72.0, gravity=1.03, temperature=24.0) + read(
    144.0, gravity=1.03, temperature=22.0, bubbles=0.0
)
READ = (
    STALLED,
    read(72.0, gravity=1.03),
    read(18.0, bubbles=0.0, temperature=12.0, gravity=1.0635),
    read(18.0, bubbles=0.0, temperature=21.5, gravity=1.0635, ph=5.2),
    read(72.0, gravity=1.045, ph=4.6, bubbles=0.0, jar_fed=1.0),
)


def keys(weighed: Weighed) -> list[str]:
    return [c.key for c in weighed.model.causes]


# When it is dry ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("now_h", [20.0, 40.0, 60.0])
def test_a_ferment_taken_up_again_is_dry_when_it_would_have_been(now_h: float) -> None:
    """Measured on the sugar then left, it would be dry hours later, and the later one asks the more."""
    model = model_of()
    followed = model.follow(model.likely_world, (), now_h)
    i = followed.at(now_h)
    rest = rest_of(followed, i, *resumed(followed.course, i, followed.yeast, followed.kept))
    hours = np.arange(0.0, 24.0 * 14.0, 1.0)
    whole = ferment_course(followed.course.wash, hours, followed.yeast, followed.kept)
    assert rest.dry_h is not None
    assert now_h + rest.dry_h == pytest.approx(float(whole.dry_h[0]), abs=1.0)


def test_a_finished_wash_has_no_hours_to_go_and_no_mend_is_better_than_none() -> None:
    weighed = asked(*read(240.0, gravity=0.998, temperature=20.0))
    for key in ("time", "cold", "weak yeast"):
        (only,) = ferment_mends(weighed, keys(weighed).index(key))
        assert only.way == "wait"
        assert only.dry_h == pytest.approx(0.0, abs=1.0)


# Dry or not -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("readings", "least", "most"),
    [
        (read(240.0, gravity=0.998, temperature=20.0), 0.9, 1.0),
        (read(192.0, gravity=0.996), 0.9, 1.0),
        (STALLED, 0.0, 0.05),
        (read(40.0, gravity=1.025), 0.0, 0.05),
        (read(96.0, gravity_checked=1.018, starch=1.0, jar_pitched=0.0, bubbles=0.0), 0.0, 0.1),
    ],
)
def test_dry_is_what_has_used_the_sugar_it_began_with(
    readings: tuple[Reading, ...], least: float, most: float
) -> None:
    found = dryness(asked(*readings))
    assert found is not None
    assert least <= found.chance <= most


def test_dryness_is_not_told_without_a_gravity_and_its_range_is_that_of_sound_tubs() -> None:
    assert dryness(asked(*read(240.0, bubbles=0.0, temperature=20.0))) is None
    found = dryness(asked(*read(240.0, gravity=0.998)))
    assert found is not None
    assert found.gravity is not None
    low, middle, high = found.gravity
    assert low < middle < high
    assert middle == pytest.approx(float(model_of().likely.specific_gravity[-1, 0]), abs=0.001)


# Mends ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("readings", READ)
def test_every_mend_gains_over_leaving_it_and_they_stand_in_the_order_of_their_gain(
    readings: tuple[Reading, ...],
) -> None:
    weighed = asked(*readings)
    for cause in weighed.order[:4]:
        if keys(weighed)[cause] in ("gravity", "leak"):
            continue
        *better, last = ferment_mends(weighed, cause)
        assert last.way in ("wait", "strip now")
        dry = [np.inf if m.dry_h is None else m.dry_h for m in better]
        assert dry == sorted(dry)
        left = scene(weighed, cause).left_alone()
        for one in better:
            if one.way != "dose" and one.dry_h is not None and left.dry_h is not None:
                assert one.dry_h <= left.dry_h - 12.0


def test_what_saves_little_is_no_gain_and_what_brings_more_alcohol_is() -> None:
    left = Rest(90.0, 40.0)
    assert not gains(Rest(85.0, 40.0), left)
    assert not gains(Rest(90.0, 40.0), left)
    assert gains(Rest(60.0, 40.0), left)
    assert gains(Rest(None, 44.0), left)
    assert gains(Rest(90.0, 30.0), Rest(None, 30.0))
    assert not gains(Rest(None, 30.0), Rest(None, 30.0))


def test_a_stopped_yeast_must_wake_before_chalk_helps_it() -> None:
    """A sound tub takes well over a day from there at 22 °C; one that stands still is no faster."""
    weighed = asked(*STALLED)
    sour = keys(weighed).index("sour")
    tub = scene(weighed, sour)
    assert np.mean(stands_still(tub.followed.course, tub.i)) > 0.9
    chalk = ferment_mends(weighed, sour)[0]
    assert chalk.way == "sour"
    assert chalk.dry_h is not None
    assert chalk.dry_h > 24.0


def test_dextrin_set_free_makes_no_more_than_a_sound_tub_would() -> None:
    weighed = asked(*STALLED)
    cause = keys(weighed).index("dextrin")
    dose = ferment_mends(weighed, cause)[0]
    assert dose.way == "dose"
    assert dose.lpa is not None
    sound_lpa = float(model_of().likely.stream(-1).lpa[0])
    assert dose.lpa > 5.0
    assert scene(weighed, cause).lpa + dose.lpa < 1.06 * sound_lpa
