"""The best free choice of jars: against every one of 65,536 choices, and what is promised about it."""

from __future__ import annotations

import time
from dataclasses import replace

import numpy as np
import pytest

from caskward.errors import NoSuchChoice, OutOfRange
from caskward.planning.choice import best_cut, outcome
from caskward.planning.free_choice import best_choice
from caskward.planning.jars import Gauged, GaugeDoubt, Mark, gauged_jars, read_mark
from caskward.planning.plan import Band
from caskward.planning.wish import Wish, cap
from caskward.properties import alcohol
from caskward.units import show


def caps_on(gauged):  # type: ignore[no-untyped-def]
    """Limits a little under what the run holds of early, a little over what it holds of late congeners."""
    lpa = sum(jar.volume_l * jar.pct_vol / 100.0 for jar in gauged)
    acetate, fusel = (sum(jar.traces_mg[n].mid for jar in gauged) / lpa for n in NAMES)
    return (cap(NAMES[0], 0.97 * acetate), cap(NAMES[1], 0.1 * 1.01 * fusel, "g/hL"))


NAMES = ("ethyl acetate", "3-methyl-1-butanol")


def run_of(count: int, seed: int, whole_marks: bool = False):  # type: ignore[no-untyped-def]
    rng = np.random.default_rng(seed)
    marks = rng.integers(-2, 3, count) if whole_marks else rng.uniform(-2, 2, count)
    acetate = 600.0 * np.exp(-2.0 * np.arange(count) / count) * rng.uniform(0.6, 1.4, count)
    fusel = 400.0 * (0.6 + np.arange(count) / count) * rng.uniform(0.6, 1.4, count)
    return [
        Gauged(
            f"jar {k + 1}",
            float(rng.uniform(0.6, 1.0)),
            float(84.0 - 30.0 * k / count),
            Mark(float(marks[k])),
            {
                "ethyl acetate": Band(*[float(acetate[k])] * 3),
                "3-methyl-1-butanol": Band(*[float(fusel[k])] * 3),
            },
        )
        for k in range(count)
    ]


def every_choice(gauged, wish: Wish):  # type: ignore[no-untyped-def]
    """The best of all 2^n choices and how many are possible, from litres and %vol; ties to the second aim."""
    count = len(gauged)
    picked = ((np.arange(1 << count)[:, None] >> np.arange(count)) & 1).astype(float)
    share = np.array([float(alcohol.mass_fraction(jar.pct_vol)) for jar in gauged])
    kg = np.array(
        [jar.volume_l * float(alcohol.density(w, 20.0)) for jar, w in zip(gauged, share, strict=True)]
    )
    lpa = np.array([jar.volume_l * jar.pct_vol / 100.0 for jar in gauged])
    total_lpa = picked @ lpa
    good = picked.any(axis=1)
    good &= total_lpa / (wish.entry_pct_vol / 100.0) >= wish.wanted_l
    strength = (picked @ (kg * share)) / np.maximum(picked @ kg, 1e-12)
    good &= strength >= float(alcohol.mass_fraction(wish.entry_pct_vol))
    for limit in wish.caps:
        mg = np.array([sum(jar.traces_mg[name].mid for name in limit.congeners) for jar in gauged])
        good &= picked @ mg <= limit.most_mg_per_l * total_lpa
    for k, jar in enumerate(gauged):
        good &= ~((jar.mark.place == "in") & (picked[:, k] == 0))
        good &= ~((jar.mark.place in ("out", "discard")) & (picked[:, k] == 1))
    marks = picked @ (lpa * [jar.mark.score for jar in gauged]) / np.maximum(total_lpa, 1e-12)
    first, second = (marks, total_lpa) if wish.aim == "mark" else (total_lpa, marks)
    top = np.where(good, first, -np.inf).max()
    best = np.where(good & (first >= top - 1e-9), second, -np.inf).argmax()
    return picked[best], float(top), int(good.sum())


@pytest.mark.parametrize("whole_marks", [False, True])
@pytest.mark.parametrize("aim", ["mark", "alcohol"])
@pytest.mark.parametrize("seed", range(5))
def test_sixteen_jars_are_chosen_as_by_trying_every_choice(aim, whole_marks: bool, seed: int) -> None:
    gauged = run_of(16, seed, whole_marks)
    gauged[0] = replace(gauged[0], mark=read_mark("discard"))
    gauged[9] = replace(gauged[9], mark=Mark(-0.5, "in"))
    wish = Wish(6.0, 64.0, aim=aim, caps=caps_on(gauged))
    picked, value, possible = every_choice(gauged, wish)
    assert 50 < possible < 30_000
    found = best_choice(gauged_jars(gauged), wish, time_limit_s=20.0)
    assert found.shares.tolist() == picked.tolist()
    assert found.value == pytest.approx(value, abs=1e-9)
    assert found.proven
    assert found.chance == 1.0


def test_a_free_choice_is_never_worse_than_a_cut_and_parts_never_worse_than_whole_jars() -> None:
    for seed in range(6):
        gauged = run_of(24, seed)
        jars = gauged_jars(gauged)
        wish = Wish(9.0, 64.0, caps=caps_on(gauged))
        cut, whole = best_cut(jars, wish), best_choice(jars, wish)
        part = best_choice(jars, replace(wish, part_jars=True))
        assert cut.value <= whole.value + 1e-9 <= part.value + 2e-9
        inside = (part.shares > 1e-6) & (part.shares < 1 - 1e-6)
        assert (
            inside.sum() <= 4
        )  # a corner of a program with four limits: no more jars are shared than limits
        result = outcome(jars, part.shares, wish)
        assert result.reduced.volume_l >= 9.0 - 1e-4
        assert result.level_mg_per_l(wish.caps[0]) <= wish.caps[0].most_mg_per_l * (1 + 1e-5)


def test_alike_jars_are_taken_in_their_order_every_time() -> None:
    gauged = [Gauged(f"jar {k}", 1.0, 70.0, Mark(1.0)) for k in range(12)]
    gauged[3] = Gauged("poor", 1.0, 70.0, Mark(-1.0))
    jars = gauged_jars(gauged)
    wish = Wish(5.0 * 70.0 / 63.0 - 1e-9, 63.0, volume="near", near_share=0.0)
    for _ in range(3):
        assert np.flatnonzero(best_choice(jars, wish).shares).tolist() == [0, 1, 2, 4, 5]


def test_near_takes_the_nearest_where_nothing_is_near_enough() -> None:
    jars = gauged_jars([Gauged(f"jar {k}", 1.0, 70.0, Mark(1.0)) for k in range(6)])
    per_jar_l = 70.0 / 63.0
    assert best_choice(jars, Wish(3.4 * per_jar_l, 63.0, volume="near")).shares.sum() == 3
    assert best_choice(jars, Wish(3.6 * per_jar_l, 63.0, volume="near")).shares.sum() == 4
    assert best_choice(jars, Wish(99.0, 63.0, volume="near")).shares.sum() == 6
    shared = best_choice(jars, Wish(3.4 * per_jar_l, 63.0, volume="near", near_share=0.0, part_jars=True))
    assert shared.shares.sum() == pytest.approx(3.4, abs=1e-5)


def test_out_of_time_tells_the_gap_and_the_truth_lies_inside_it() -> None:
    rng = np.random.default_rng(7)
    names = ("ethyl acetate", "acetaldehyde", "isobutanol", "1-propanol", "diacetyl")
    gauged = []
    for k in range(90):
        litres = float(rng.uniform(0.5, 1.5))
        traces = {n: Band(*[float(litres * rng.uniform(50, 150))] * 3) for n in names}
        gauged.append(Gauged(f"jar {k}", litres, 70.0, Mark(float(rng.uniform(-2, 2))), traces))
    jars = gauged_jars(gauged)
    wish = Wish(45.0, 63.0, aim="alcohol", caps=tuple(cap(n, 134.0) for n in names))
    best_choice(jars, replace(wish, caps=()))  # the solver's import is not on the clock
    start = time.monotonic()
    hasty = best_choice(jars, wish, time_limit_s=0.05)
    assert time.monotonic() - start < 5.0
    patient = best_choice(jars, wish, time_limit_s=1.5)
    assert not hasty.proven
    assert hasty.gap is not None
    assert hasty.gap > 0.0
    assert patient.gap is not None
    assert hasty.value <= patient.value + 1e-9 <= hasty.value + hasty.gap + 2e-9
    for choice in (hasty, patient):
        assert choice.chance == 1.0


def test_limits_that_nothing_meets_are_named_with_the_nearest_figure() -> None:
    gauged = run_of(12, 3)
    jars = gauged_jars(gauged)
    least = min(jar.traces_mg["ethyl acetate"].mid / (jar.volume_l * jar.pct_vol / 100.0) for jar in gauged)
    with pytest.raises(NoSuchChoice) as refusal:
        best_choice(jars, Wish(0.0, 40.0, caps=(cap("ethyl acetate", 0.5 * least),)))
    asked = f"mg/L of pure alcohol (at most {least / 2:.4g} mg/L of pure alcohol is asked)"
    words = f"ethyl acetate comes to no less than {least:.4g} {asked}"
    assert (
        str(refusal.value)
        == f"No choice of these jars meets every limit: with every other limit kept, {words}."
    )
    most_l = float(jars.lpa.sum()) / 0.63
    with pytest.raises(NoSuchChoice, match=f"the volume at 63.0 %vol comes to at most {show.volume(most_l)}"):
        best_choice(jars, Wish(30.0, 63.0))
    with pytest.raises(
        NoSuchChoice, match=r"the strength comes to at most 8[0-9.]+ %vol \(at least 90.0 %vol is asked\)"
    ):
        best_choice(jars, Wish(0.0, 90.0))


def test_over_worlds_the_limits_hold_as_often_as_wished() -> None:
    gauged = run_of(30, 11)
    jars = gauged_jars(gauged, worlds=256, doubt=GaugeDoubt(0.05, 0.5))
    for confidence in (0.6, 0.9):
        wish = Wish(9.0, 64.0, caps=caps_on(gauged)[:1], confidence=confidence)
        found = best_choice(jars, wish)
        assert found.chance >= confidence
        assert not found.proven
        assert outcome(jars, found.shares, wish).chance_of_fill >= confidence
        assert found.value >= best_cut(jars, wish).value - 1e-9


@pytest.mark.parametrize("time_limit_s", [0.0, -1.0, 1e4, float("nan")])
def test_a_time_that_is_none_is_refused(time_limit_s: float) -> None:
    with pytest.raises(OutOfRange, match="The time limit is"):
        best_choice(gauged_jars(run_of(4, 1)), Wish(1.0, 60.0), time_limit_s)
