"""What a choice of jars gives, and the best unbroken cut: by hand, by law and by counting every cut."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.errors import (
    NoSuchChoice,
    NothingToChoose,
    NoTraceFigure,
    NotUnderstood,
    OutOfRange,
    UnknownName,
)
from caskward.planning.choice import best_cut, jar_worths, outcome
from caskward.planning.jars import Gauged, GaugeDoubt, Mark, gauged_jars, modelled_jars, read_mark
from caskward.planning.plan import Band
from caskward.planning.wish import Wish, cap
from caskward.properties import alcohol
from caskward.stages.stream import spirit_of
from caskward.units import show


def sure(mg: float) -> Band:
    return Band(mg, mg, mg)


def run_of(count: int, seed: int, whole_marks: bool = False):  # type: ignore[no-untyped-def]
    """A run that weakens, with ethyl acetate early and fusel oil late, and marks of a wandering nose."""
    rng = np.random.default_rng(seed)
    marks = rng.integers(-2, 3, count).astype(float) if whole_marks else rng.uniform(-2, 2, count)
    return [
        Gauged(
            f"jar {k + 1}",
            float(rng.uniform(0.7, 0.9)),
            float(84.0 - 26.0 * k / count + rng.uniform(-1, 1)),
            Mark(float(marks[k])),
            {
                "ethyl acetate": sure(float(300.0 * np.exp(-3.0 * k / count) * rng.uniform(0.8, 1.2))),
                "3-methyl-1-butanol": sure(float(400.0 * (0.5 + k / count) * rng.uniform(0.8, 1.2))),
            },
        )
        for k in range(count)
    ]


TWO = gauged_jars([Gauged("strong", 10.0, 80.0), Gauged("weak", 10.0, 40.0)])


def test_strengths_mix_by_mass_and_volumes_contract() -> None:
    """10 L at 80 with 10 L at 40 %vol: masses by the general formula of OIML R 22 (read), not the mean 60."""
    result = outcome(TWO, np.ones(2), Wish(0.0, 50.0))
    kg = [10.0 * float(alcohol.density(alcohol.mass_fraction(q), 20.0)) / 1000.0 for q in (80.0, 40.0)]
    ethanol_kg = sum(m * float(alcohol.mass_fraction(q)) for m, q in zip(kg, (80.0, 40.0), strict=True))
    assert result.heart.lpa == pytest.approx(12.0, abs=1e-9)
    assert result.heart.ethanol_kg == pytest.approx(ethanol_kg, rel=1e-12)
    assert result.heart.volume_l < 20.0 - 0.1
    assert result.heart.strength_pct_vol == pytest.approx(
        float(alcohol.pct_vol(ethanol_kg / sum(kg))), abs=1e-9
    )
    assert result.heart.strength_pct_vol > 60.3


def test_reduced_volume_is_pure_alcohol_over_strength() -> None:
    result = outcome(TWO, np.ones(2), Wish(20.0, 50.0))
    assert result.reduced.volume_l == pytest.approx(24.0, abs=1e-9)
    assert result.in_cask_l == pytest.approx(20.0)
    assert result.surplus_l == pytest.approx(4.0, abs=1e-9)
    assert result.water_kg == pytest.approx(float(result.reduced.total_kg - result.heart.total_kg))


def test_a_choice_weaker_than_the_cask_asks_is_told_and_does_not_fill() -> None:
    result = outcome(TWO, np.array([0.0, 1.0]), Wish(5.0, 50.0))
    assert not result.strong_enough
    assert result.water_kg == 0.0
    assert result.chance_of_fill == 0.0


def test_what_is_not_chosen_goes_to_the_feints_but_foreshots_do_not() -> None:
    jars = gauged_jars(
        [
            Gauged("foreshots", 0.3, 85.0, read_mark("discard")),
            Gauged("heads", 1.0, 82.0, read_mark(-1)),
            Gauged("heart", 5.0, 74.0, read_mark("in")),
            Gauged("tails", 4.0, 45.0, read_mark("out")),
        ]
    )
    result = outcome(jars, np.array([0.0, 0.0, 1.0, 0.0]), Wish(0.0, 60.0))
    assert result.discarded.volume_l == pytest.approx(0.3)
    assert result.feints.lpa == pytest.approx(0.82 + 1.8)
    assert 45.0 < result.feints.strength_pct_vol < 82.0
    assert result.mean_mark == 2.0


@given(st.integers(0, 10_000), st.lists(st.floats(0.0, 1.0), min_size=9, max_size=9))
def test_every_choice_closes(seed: int, shares: list[float]) -> None:
    """Chosen, kept back and discarded make the run again, alcohol, water and congeners."""
    gauged = run_of(9, seed)
    gauged[0] = Gauged(gauged[0].name, 0.2, 85.0, read_mark("discard"), gauged[0].traces_mg)
    jars = gauged_jars(gauged)
    result = outcome(jars, np.array(shares), Wish(4.0, 50.0))
    parts = (result.heart, result.feints, result.discarded)
    assert sum(p.ethanol_kg for p in parts) == pytest.approx(jars.ethanol_kg.sum(), rel=1e-12)
    assert sum(p.water_kg for p in parts) == pytest.approx(jars.water_kg.sum(), rel=1e-12)
    acetate = cap("ethyl acetate", 1.0)
    held = sum(np.nan_to_num(result.level_mg_per_l(acetate)) * p.lpa for p in parts[:1])
    assert held == pytest.approx(
        float(jars.trace_mg(["ethyl acetate"]) @ np.array(shares)), rel=1e-9, abs=1e-9
    )


def slow_best_cut(jars, wish: Wish):  # type: ignore[no-untyped-def]
    """Every cut by itself, through `outcome`, in plain loops."""
    best, kept = None, None
    names = jars.names
    for first in range(len(names)):
        for after in range(first + 1, len(names) + 1):
            shares = np.zeros(len(names))
            shares[first:after] = [mark.place not in ("out", "discard") for mark in jars.marks[first:after]]
            if shares.sum() == 0 or any(
                mark.place == "in" and not share for mark, share in zip(jars.marks, shares, strict=True)
            ):
                continue
            result = outcome(jars, shares, wish)
            filled = result.reduced.volume_l >= wish.wanted_l and result.strong_enough
            capped = all(result.level_mg_per_l(c) <= c.most_mg_per_l for c in wish.caps)
            if filled and capped:
                value = (result.mean_mark, float(result.heart.lpa))
                key = value if wish.aim == "mark" else value[::-1]
                if best is None or key > best:
                    best, kept = key, shares
    return best, kept


@pytest.mark.parametrize("aim", ["mark", "alcohol"])
@pytest.mark.parametrize("seed", range(8))
def test_best_cut_is_the_best_of_all_cuts(aim, seed: int) -> None:
    gauged = run_of(14, seed)
    gauged[0] = Gauged("foreshots", 0.2, 85.0, read_mark("discard"), gauged[0].traces_mg)
    gauged[6] = Gauged("tainted", 0.8, 75.0, read_mark("out"), gauged[6].traces_mg)
    gauged[7] = Gauged("sure", 0.8, 74.0, Mark(1.0, "in"), gauged[7].traces_mg)
    jars = gauged_jars(gauged)
    limits = (cap("ethyl acetate", 350.0), cap("3-methyl-1-butanol", 66.0, "g/hL"))
    wish = Wish(4.0, 63.0, aim=aim, caps=limits)
    best, kept = slow_best_cut(jars, wish)
    found = best_cut(jars, wish)
    assert kept is not None
    assert found.shares.tolist() == kept.tolist()
    assert found.value == pytest.approx(best[0], rel=1e-12)
    assert found.proven
    assert found.chance == 1.0


def test_ties_go_to_more_alcohol_then_to_the_earlier_jar() -> None:
    alike = gauged_jars([Gauged(f"jar {k}", 1.0, 70.0, Mark(1.0)) for k in range(5)])
    assert best_cut(alike, Wish(2.0, 63.0)).shares.tolist() == [1, 1, 1, 1, 1]
    ends = gauged_jars([Gauged(f"jar {k}", 1.0, 70.0, Mark(m)) for k, m in enumerate((1.0, -1.0, 1.0))])
    assert best_cut(ends, Wish(1.0, 63.0)).shares.tolist() == [1, 0, 0]


def test_a_volume_to_be_near_is_met_as_nearly_as_cuts_can() -> None:
    jars = gauged_jars([Gauged(f"jar {k}", 1.0, 70.0, Mark(1.0)) for k in range(6)])
    per_jar_l = 70.0 / 63.0
    near = best_cut(jars, Wish(3.2 * per_jar_l, 63.0, volume="near"))
    assert near.shares.sum() == 3
    inside = best_cut(jars, Wish(4.0 * per_jar_l, 63.0, volume="near"))
    assert inside.shares.sum() == 4


def test_what_cannot_be_met_is_said_with_what_can() -> None:
    jars = gauged_jars(run_of(12, 5))
    with pytest.raises(NoSuchChoice) as too_much:
        best_cut(jars, Wish(50.0, 63.0))
    most_l = float(jars.lpa.sum()) / 0.63
    assert str(too_much.value).startswith("No choice of these jars meets every limit: ")
    assert (
        f"the volume at 63.0 %vol comes to at most {show.volume(most_l)} (at least 50.0 L is asked)"
        in str(too_much.value)
    )
    with pytest.raises(NoSuchChoice, match=r"ethyl acetate comes to no less than .* \(at most 1 mg/L"):
        best_cut(jars, Wish(2.0, 63.0, caps=(cap("ethyl acetate", 1.0),)))
    with pytest.raises(
        NoSuchChoice, match=r"even alone, the volume at 90.0 %vol .*the strength comes to at most"
    ):
        best_cut(jars, Wish(80.0, 90.0, caps=(cap("ethyl acetate", 0.1),)))
    assert too_much.value.exit_code == 3


def test_the_chance_is_the_share_of_worlds() -> None:
    gauged = run_of(10, 2)
    doubt = GaugeDoubt(volume_share=0.03, strength_pct_vol=0.5)
    jars = gauged_jars(gauged, worlds=512, seed=4, doubt=doubt)
    litres = float(gauged_jars(gauged).lpa.sum()) / 0.63
    result = outcome(jars, np.ones(10), Wish(litres, 63.0))
    assert result.chance_of_fill == pytest.approx(0.5, abs=0.03)
    assert np.mean(result.reduced.volume_l >= litres - 1e-3) == result.chance_of_fill
    low, high = np.quantile(jars.lpa.sum(axis=0), (0.1, 0.9)) / 0.63 / litres
    assert (low, high) == (pytest.approx(0.97, abs=0.005), pytest.approx(1.03, abs=0.005))


def test_a_cut_over_worlds_holds_as_often_as_wished() -> None:
    jars = gauged_jars(run_of(16, 8), worlds=256, doubt=GaugeDoubt(0.04, 0.5))
    bold, careful = (best_cut(jars, Wish(9.0, 63.0, confidence=c)) for c in (0.5, 0.95))
    assert bold.chance >= 0.5
    assert careful.chance >= 0.95
    assert bold.value >= careful.value
    assert outcome(jars, careful.shares, Wish(9.0, 63.0)).chance_of_fill >= 0.95


def test_a_moved_jar_is_the_choice_with_it_on_the_other_side() -> None:
    jars = gauged_jars(run_of(6, 1))
    shares = np.array([0.0, 1.0, 1.0, 1.0, 0.0, 0.0])
    wish = Wish(3.0, 60.0)
    worths = jar_worths(jars, shares, wish)
    more = outcome(jars, np.array([0.0, 1.0, 1.0, 1.0, 1.0, 0.0]), wish)
    less = outcome(jars, np.array([0.0, 1.0, 0.0, 1.0, 0.0, 0.0]), wish)
    assert worths[4].moved_l == pytest.approx(float(more.reduced.volume_l))
    assert worths[4].moved_mark == pytest.approx(more.mean_mark)
    assert worths[2].moved_l == pytest.approx(float(less.reduced.volume_l))
    assert worths[2].moved_pct_vol == pytest.approx(float(less.heart.strength_pct_vol))
    assert worths[2].alone_l == pytest.approx(float(jars.lpa[2]) / 0.60)


def test_modelled_jars_keep_their_worlds_and_forget_traces_only_where_unknown() -> None:
    first = spirit_of(np.array([1.0, 1.1]), np.array([75.0, 74.0]), traces_mg_l={"ethyl acetate": 100.0})
    second = spirit_of(np.array([2.0, 2.1]), np.array([70.0, 69.0]))
    jars = modelled_jars([("a", first), ("b", second)])
    assert jars.lpa.tolist() == pytest.approx(np.array([[0.75, 0.814], [1.4, 1.449]]))
    limit = cap("ethyl acetate", 1000.0)
    assert outcome(jars, np.array([1.0, 0.0]), Wish(0.0, 60.0)).level_mg_per_l(limit)[0] == pytest.approx(
        100 / 0.75
    )
    assert np.isnan(outcome(jars, np.ones(2), Wish(0.0, 60.0)).level_mg_per_l(limit)).all()
    with pytest.raises(NoTraceFigure, match=r"ethyl acetate is to stay under a limit, but b has no figure"):
        best_cut(jars, Wish(1.0, 60.0, caps=(limit,)))


@pytest.mark.parametrize(
    ("make", "error", "sentence"),
    [
        (
            lambda: gauged_jars([Gauged("jar 3", 1.0, 97.5)]),
            OutOfRange,
            "The strength of jar 3 is 97.5 %vol, but must lie between 0 and 96 %vol. "
            "No pot still runs stronger: read it again at 20 °C, and write proof as proof.",
        ),
        (
            lambda: gauged_jars([Gauged("jar 3", -0.5, 70.0)]),
            OutOfRange,
            "The volume of jar 3 is -0.5 L, but must lie between 0 and 2000 L. Measure it again.",
        ),
        (
            lambda: gauged_jars([Gauged("jar 3", float("nan"), 70.0)]),
            OutOfRange,
            "The volume of jar 3 is nan L",
        ),
        (
            lambda: read_mark("lovely", "jar 3"),
            NotUnderstood,
            "'lovely' is not understood as the mark of jar 3. Write it like +1, 0, -2, in, out, maybe or",
        ),
        (
            lambda: read_mark("3", "jar 3"),
            OutOfRange,
            "The mark of jar 3 is 3, but must lie between -2 and 2.",
        ),
        (lambda: gauged_jars([]), NothingToChoose, "There is no jar to choose from."),
        (lambda: cap("ethyl acetat", 300.0), UnknownName, "Did you mean 'ethyl acetate'?"),
        (
            lambda: cap("ethyl acetate", -1.0),
            OutOfRange,
            "The limit on ethyl acetate is -1 mg/L of pure alcohol",
        ),
        (lambda: Wish(-3.0, 63.0), OutOfRange, "The volume wanted is -3 L"),
        (lambda: Wish(3.0, 0.63), OutOfRange, "The entry strength is 0.63 %vol"),
        (
            lambda: gauged_jars([Gauged("jar 3", 1.0, 70.0, traces_mg={"diacetyl": Band(3.0, 2.0, 4.0)})]),
            OutOfRange,
            "The least diacetyl in jar 3 is 3 mg, but must lie between 0 and 2 mg.",
        ),
        (
            lambda: best_cut(gauged_jars([Gauged("a", 1.0, 70.0, read_mark("out"))]), Wish(0.0, 60.0)),
            NothingToChoose,
            "Give at least one that is not marked out or discard.",
        ),
    ],
)
def test_bad_input_is_one_sentence(make, error, sentence: str) -> None:
    with pytest.raises(error) as refusal:
        make()
    assert sentence in str(refusal.value)
