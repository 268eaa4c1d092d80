"""A tub is one tub: what the forecast expects of it is no fault to the question about it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from caskward.catalogue.load import load
from caskward.planning.intent import BillItem
from caskward.planning.mash_forecast import planned_rests
from caskward.planning.observing import Watched, unknowns_of
from caskward.planning.readings import Reading, reading_of
from caskward.planning.sizing import Sized, size
from caskward.planning.tub.explain import Model, weigh
from caskward.planning.tub.ferment_model import ferment_model
from caskward.planning.tub.mash_model import mash_model
from caskward.planning.unknowns import draw
from tests.support.batches import intent_of


def batch(name: str) -> Sized:
    return size(replace(intent_of(name), worlds=256), within=0.02)


def ferment_as_forecast(sized: Sized, *hours: float) -> list[Reading]:
    """The middle of the forecast's gravity and warmth at some hours."""
    asked = [reading_of("ferment", "gravity", 1.0, h) for h in hours]
    watched = Watched(sized, draw(unknowns_of(sized), 256, 1), asked)
    found = []
    for reading in asked:
        k = int(np.argmin(np.abs(watched.brew.hours - reading.at_h)))
        gravity = float(np.median(watched.expected(reading)))
        found.append(reading_of("ferment", "gravity", gravity, reading.at_h))
        found.append(
            reading_of("ferment", "temperature", float(np.median(watched.brew.temp_c[k])), reading.at_h)
        )
    return found


def leads(model: Model, readings: list[Reading]) -> str:
    weighed = weigh(model, readings, max(r.at_h for r in readings), 1, 256)
    return weighed.model.causes[weighed.order[0]].key


@pytest.mark.parametrize("name", ["rye", "pears", "wheat-panela"])
@pytest.mark.parametrize("hours", [(48.0, 72.0), (72.0, 120.0)])
def test_a_ferment_as_forecast_only_needs_its_time(name: str, hours: tuple[float, float]) -> None:
    sized = batch(name)
    assert leads(ferment_model(sized.intent, sized.method), ferment_as_forecast(sized, *hours)) == "time"


def bills() -> dict[str, tuple[tuple[str, float], ...]]:
    """Malt and enzymes, enzymes on raw grain, malt alone; an empty one keeps the plan's own."""
    return {
        "rye, malt and oats": (),
        "raw grain": (("rye", 0.6), ("oats", 0.4)),
        "malt alone": (("barley malt", 1.0),),
    }


def mash_batch(name: str) -> Sized:
    rye, bill = replace(intent_of("rye"), worlds=256), bills()[name]
    if not bill:
        return size(rye, within=0.02)
    roomy = replace(rye, gear=replace(rye.gear, tub=replace(rye.gear.tub, volume_l=1500.0)))
    own = tuple(BillItem(load().material(key), share) for key, share in bill)
    enzymes = () if name == "malt alone" else rye.enzymes
    return size(replace(roomy, bill=own, enzymes=enzymes), within=0.1)


def mash_as_forecast(sized: Sized, *shares: float) -> list[Reading]:
    """The middle of the forecast's gravity and starch test at shares of the mash's hours, kept as planned."""
    schedule = planned_rests(sized.intent, sized.method)
    assert schedule is not None
    moments = tuple(share * schedule.end_h for share in shares)
    asked = [reading_of("mash", "gravity", 1.05, h) for h in moments]
    watched = Watched(sized, draw(unknowns_of(sized), 256, 1), asked)
    found: list[Reading] = []
    for at_h in moments:
        now = np.array([at_h])
        found.append(reading_of("mash", "temperature", float(schedule.temp_c(now)[0]), at_h))
        found.append(reading_of("mash", "ph", float(schedule.ph(now)[0]), at_h))
        gravity = watched.expected(reading_of("mash", "gravity", 1.05, at_h))
        blue = watched.expected(reading_of("mash", "starch", 1.0, at_h))
        found.append(reading_of("mash", "gravity", float(np.median(gravity)), at_h))
        found.append(reading_of("mash", "starch", float(np.median(blue) > 0.5), at_h))
    return found


@pytest.mark.parametrize("name", list(bills()))
@pytest.mark.parametrize("shares", [(0.5, 1.0), (1.0,)])
def test_a_mash_as_forecast_only_needs_its_time(name: str, shares: tuple[float, ...]) -> None:
    sized = mash_batch(name)
    assert leads(mash_model(sized.intent, sized.method), mash_as_forecast(sized, *shares)) == "time"
