"""A first look within a blink: near what is then believed, and exactly that where it is known."""

from __future__ import annotations

from dataclasses import replace

import pytest

from caskward.planning.plan import band
from caskward.planning.sizing import size
from caskward.planning.update import Belief, begin
from caskward.services import cache_folder, kept_beliefs
from caskward.services.plan_glimpse import glimpse
from caskward.services.plan_update import rows_of
from caskward.services.plans import intent_text, starting_point

LOG = ("wash: 8.2 %, 318 L", "strip: 100 L, 25.7 %", "heart: 22.5 L, 71 %")


@pytest.fixture(scope="module")
def before() -> Belief:
    return begin(size(intent_text(f"worlds = 512\n{starting_point('rye')}")))


@pytest.fixture
def kept(tmp_path, monkeypatch):
    monkeypatch.setenv(cache_folder.SWITCH, str(tmp_path))


@pytest.mark.parametrize("known", [0, 1, 2])
def test_a_glimpse_is_near_what_is_then_believed(kept, before: Belief, known: int) -> None:
    """Middle within a quarter of the band, chance within 15 in 100; never a third too narrow.

    It may be up to twice as wide: what one line through the worlds leaves counts as doubt, and after a heart
    with both its litres and its strength that was 1.8 times as wide with 2,048 worlds as with 512.
    """
    if known:
        kept_beliefs.believed(before, rows_of((), LOG[:known]).readings)
    readings = rows_of((), LOG[: known + 1]).readings
    seen = glimpse(before, readings)
    assert not seen.exact
    truth = kept_beliefs.believed(before, readings)
    fill_l = band(truth.course.available_l)
    wide = fill_l.high - fill_l.low
    assert seen.fill_l.mid == pytest.approx(fill_l.mid, abs=0.25 * wide)
    assert 0.67 * wide <= seen.fill_l.high - seen.fill_l.low <= 2.0 * wide
    assert seen.chance == pytest.approx(truth.chance, abs=0.15)


def test_what_is_known_is_no_glimpse(kept, before: Belief) -> None:
    readings = rows_of((), LOG[:1]).readings
    truth = kept_beliefs.believed(before, readings)
    found = glimpse(before, readings)
    assert found.exact
    assert found.fill_l == band(truth.course.available_l)
    assert found.chance == truth.chance
    other = glimpse(
        replace(before, sized=replace(before.sized)), rows_of((), ("wash: 8.3 %, 318 L",)).readings
    )
    assert not other.exact


def test_a_log_of_warmth_alone_is_followed(kept, before: Belief) -> None:
    found = glimpse(before, rows_of((), ("mash 1 h: 45 C", "mash 3 h: 44 C")).readings)
    assert found.fill_l.mid < band(before.course.available_l).mid


@pytest.mark.parametrize(
    "row",
    ["mash 3 h: 1.058, 90 C", "ferment 48 h: 1.012, 16 C", "mash 3 h: 1.058, pH 9", "mash 3 h: 1.058, 61 C"],
)
def test_a_glimpse_of_a_wrong_log_is_near_what_is_then_believed(kept, before: Belief, row: str) -> None:
    """Middle within a quarter of the band, as of any glimpse."""
    readings = rows_of((), (row,)).readings
    seen = glimpse(before, readings)
    fill_l = band(kept_beliefs.believed(before, readings).course.available_l)
    assert seen.fill_l.mid == pytest.approx(fill_l.mid, abs=0.25 * (fill_l.high - fill_l.low))
