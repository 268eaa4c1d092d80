"""A tub is one tub: what the forecast expects of it is no fault to the question about it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from caskward.planning.observing import Watched, unknowns_of
from caskward.planning.readings import Reading, reading_of
from caskward.planning.sizing import Sized, size
from caskward.planning.tub.explain import Model, weigh
from caskward.planning.tub.ferment_model import ferment_model
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
