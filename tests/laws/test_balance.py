"""Laws: mass and pure alcohol, made or potential, close at every stage and over the whole chain."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from caskward.planning.account import account
from caskward.planning.forecast import Course, forecast
from caskward.planning.intent import Stock
from caskward.planning.method import bill_of, method_for
from caskward.stages.balance import imbalance
from caskward.stages.blend import blend
from caskward.stages.convert import ConvertUnknowns, convert
from caskward.stages.cook import CookSettings, CookUnknowns, cook
from caskward.stages.distil import Still, StillUnknowns
from caskward.stages.ferment import FermentUnknowns, ferment
from caskward.stages.mature import Cask, FillUnknowns, fill
from caskward.stages.reduce import reduce
from caskward.stages.runs import CutRules, SpiritSettings, SpiritUnknowns, StripSettings, spirit_run, strip
from caskward.stages.separate import SeparateSettings, SeparateUnknowns, separate
from caskward.stages.stream import Stream
from tests.support.batches import intents, streams, worlds_of

CLOSES = 1e-12
"""Relative: sixteen digits less a few additions; a millilitre in a thousand tonnes would show."""
SHARE = st.floats(0.0, 1.0)


def shares(*values: float) -> list[np.ndarray]:
    return [np.full(5, v) for v in values]


@given(streams(), SHARE, st.floats(0.0, 3.0))
def test_cook_closes(mash: Stream, steam: float, hold_h: float) -> None:
    out, record = cook(mash, CookSettings(3, 10.0, 85.0, hold_h), CookUnknowns(*shares(0.5, steam)))
    off = imbalance([mash], [out], record.losses)
    assert off.mass <= CLOSES
    assert off.alcohol <= CLOSES


@given(streams(), SHARE, SHARE, SHARE)
def test_convert_closes(mash: Stream, swollen: float, conversion: float, fermentable: float) -> None:
    out, record = convert(mash, np.full(5, swollen), ConvertUnknowns(*shares(conversion, fermentable)))
    off = imbalance([mash], [out], record.losses)
    assert off.mass <= CLOSES
    assert off.alcohol <= CLOSES


@given(streams(), SHARE, SHARE, SHARE, st.floats(1.0, 20.0), st.floats(0.0, 0.1))
def test_ferment_closes(
    wash: Stream, attenuation: float, dextrin: float, good: float, most: float, gas: float
) -> None:
    out, record = ferment(wash, FermentUnknowns(*shares(attenuation, dextrin, good, most, gas)))
    off = imbalance([wash], [out], record.losses)
    assert off.mass <= CLOSES
    assert off.alcohol <= CLOSES
    assert np.all(out.hexose_kg == 0)
    assert np.all(out.sucrose_kg == 0)


@given(streams(), st.booleans(), st.booleans(), st.floats(0.0, 15.0), SHARE, st.floats(0.0, 0.2))
def test_separate_closes(
    wash: Stream, strains: bool, presses: bool, held: float, recovery: float, lees: float
) -> None:
    out, record = separate(
        wash, SeparateSettings(strains, presses), SeparateUnknowns(*shares(held, recovery, lees, 1.0))
    )
    off = imbalance([wash], [out], record.losses)
    assert off.mass <= CLOSES
    assert off.alcohol <= CLOSES
    assert np.all(out.water_kg >= 0)
    assert np.all((out.solids_kg == 0) | (not strains))


def wash_of(ethanol_share: float, solids_kg: float = 5.0) -> Stream:
    return Stream.of(
        ethanol_kg=np.full(5, 100.0 * ethanol_share),
        water_kg=np.full(5, 100.0 * (1.0 - ethanol_share)),
        solubles_kg=solids_kg,
        insolubles_kg=solids_kg,
    )


@given(st.floats(0.005, 0.3), st.floats(0.0, 0.25), st.floats(0.5, 15.0))
def test_strip_closes(ethanol_share: float, reflux: float, stop: float) -> None:
    wash = wash_of(ethanol_share)
    out, record = strip(wash, Still(5.0), StripSettings(60.0, stop), StillUnknowns(*shares(reflux, 0.1)))
    off = imbalance([wash], [out], record.losses)
    assert off.mass <= CLOSES
    assert off.alcohol <= CLOSES
    assert np.all(out.ethanol_kg >= 0)


@given(
    st.floats(0.08, 0.4),
    st.floats(0.0, 0.25),
    st.floats(0.001, 0.05),
    st.floats(0.0, 0.3),
    st.floats(40.0, 80.0),
    st.floats(35.0, 80.0),
)
def test_spirit_run_closes(
    ethanol_share: float, reflux: float, foreshots: float, heads: float, end: float, least: float
) -> None:
    charge = wash_of(ethanol_share, solids_kg=0.0)
    unknowns = SpiritUnknowns(StillUnknowns(*shares(reflux, 0.1)), np.linspace(-2.0, 2.0, 5))
    rules = SpiritSettings(60.0, CutRules(foreshots, heads, end, least, 5.0))
    heart, record = spirit_run(charge, Still(5.0), rules, unknowns)
    cut = record.receivers
    off = imbalance([charge], [heart, cut.heads, cut.tails], record.losses)
    assert off.mass <= CLOSES
    assert off.alcohol <= CLOSES
    strong_enough = (heart.strength_pct_vol >= least - 0.02) | (heart.lpa < 1e-6)
    assert np.all(strong_enough), (heart.strength_pct_vol, heart.lpa)


@given(st.floats(0.05, 0.6), st.floats(0.05, 0.6), st.floats(20.0, 60.0), st.floats(0.0, 400.0))
def test_blend_and_reduce_close(one: float, other: float, limit: float, least_l: float) -> None:
    portions = (wash_of(one, 0.0), wash_of(other, 0.0))
    out, record = blend(portions, limit, least_l)
    water = Stream.of(water_kg=record.water_kg)
    assert imbalance([*portions, water], [out], []).mass <= CLOSES
    assert np.all(out.strength_pct_vol <= limit + 1e-9)
    assert np.all(out.volume_l >= least_l - 1e-6)
    weaker, reduction = reduce(out, 15.0)
    assert imbalance([out, Stream.of(water_kg=reduction.water_kg)], [weaker], []).mass <= CLOSES
    assert np.allclose(weaker.strength_pct_vol, np.minimum(15.0, out.strength_pct_vol), atol=1e-9)


@given(st.booleans(), st.floats(0.0, 6.0))
def test_fill_closes(soaked: bool, litres_m2: float) -> None:
    spirit = wash_of(0.55, 0.0)
    out, record = fill(spirit, Cask(150.0, 1.5, soaked), FillUnknowns(*shares(litres_m2, 0.1, litres_m2)))
    assert np.allclose(out.ethanol_kg, spirit.ethanol_kg, rtol=CLOSES)
    assert np.all(record.settled_pct_vol <= record.first_days_pct_vol + 1e-9)
    assert np.all(record.settled_level_l <= record.filled_l + 1e-9)


def in_and_out(course: Course) -> tuple[np.ndarray, np.ndarray]:
    came = course.mash.potential_ethanol_kg + course.feints_in.ethanol_kg
    kept = course.cask.ethanol_kg + course.surplus.ethanol_kg + course.feints.ethanol_kg
    return came, kept + sum(loss.ethanol_kg for loss in course.losses)


@settings(max_examples=60, deadline=None)
@given(intents(), st.floats(20.0, 2000.0))
def test_whole_chain_closes_for_any_bill(intent, total_kg: float) -> None:  # type: ignore[no-untyped-def]
    method = method_for(intent, bill_of(intent, total_kg), entry_pct_vol=58.0)
    course = forecast(intent, method, worlds_of(intent))
    came, went = in_and_out(course)
    assert came == pytest.approx(went, rel=CLOSES * 10)
    names = {item.material.key: item.material.name for item in intent.bill}
    lines = account(course, names)
    assert sum(x.millilitres for x in lines if x.side == "in") == sum(
        x.millilitres for x in lines if x.side != "in"
    )
    assert all(x.millilitres >= 0 for x in lines)


@settings(max_examples=25, deadline=None)
@given(intents(), st.floats(50.0, 500.0), st.floats(1.02, 3.0))
def test_more_material_never_fills_less(intent, total_kg: float, factor: float) -> None:  # type: ignore[no-untyped-def]
    # Without spirits from store: weak new low wines may rightly thin a stronger stock below a heart's worth.
    intent = replace(intent, stock=Stock())
    worlds = worlds_of(intent)

    def filled_l(kg: float) -> np.ndarray:
        return forecast(intent, method_for(intent, bill_of(intent, kg), 58.0), worlds).available_l

    assert np.all(filled_l(total_kg * factor) >= filled_l(total_kg) - 1e-9)


@settings(max_examples=10, deadline=None)
@given(intents(), st.floats(50.0, 500.0))
def test_worlds_together_are_worlds_one_by_one(intent, total_kg: float) -> None:  # type: ignore[no-untyped-def]
    worlds = worlds_of(intent, 8)
    method = method_for(intent, bill_of(intent, total_kg), 58.0)
    together = forecast(intent, method, worlds)
    for i in range(worlds.count):
        alone = type(worlds)(
            worlds.seed, 1, {k: v[i : i + 1] for k, v in worlds.values.items()}, worlds.deviates
        )
        single = forecast(intent, method, alone)
        assert single.available_l[0] == pytest.approx(together.available_l[i], rel=1e-9, abs=1e-9)
        assert single.feints.lpa[0] == pytest.approx(together.feints.lpa[i], rel=1e-9)
