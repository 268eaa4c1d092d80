"""A run while it runs: its forecast, where it stands, its jars and what they do to the cask."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from caskward.planning.forecast import forecast
from caskward.planning.update import Belief, begin, update
from caskward.properties import alcohol
from caskward.services import (
    batch_receivers,
    batch_typed,
    kept_beliefs,
    plans,
    run_best,
    run_choice,
    run_day,
    run_log,
    run_shelf,
)
from caskward.services.run_forecast import RunForecast, between, run_forecast, settled, spout_at_litres
from caskward.services.run_log import RunLog
from caskward.stages.stream import spirit_of

RUN = ("run", 1)
JARS = (
    "foreshots: 0.3 L, 77 %",
    "jar: 1 L, 76.8 %, -1, glue",
    "jar: 1 L",
    "jar: 5 L, 73.6 %, +1, bread",
    "jar: 5 L",
    "run 12.3 L: 65.8 %, head 89.1 C",
)


@pytest.fixture(scope="module")
def belief() -> Belief:
    """A plan of ours in few worlds, before any reading."""
    return begin(kept_beliefs.sized(plans.intent_text(f"worlds = 256\n{plans.starting_point()}")))


@pytest.fixture(scope="module")
def run(belief: Belief) -> RunForecast:
    return run_forecast(belief, RUN)


@pytest.fixture(scope="module")
def strip(belief: Belief) -> RunForecast:
    return run_forecast(belief, ("strip", 1))


@pytest.fixture
def log() -> RunLog:
    return run_log.log_of(run_log.named(("begins: run 1", *JARS), ()))


# The forecast ------------------------------------------------------------------------------------


def test_the_run_is_the_plans_own_run(belief: Belief, run: RunForecast) -> None:
    course = forecast(belief.sized.intent, belief.sized.method, belief.worlds)
    each = course.charge.volume_l / run.runs
    assert run.charge_l.mid == pytest.approx(float(np.median(each)), rel=1e-6)
    assert run.spout_pct_vol[0].mid == pytest.approx(float(np.median(course.spirit.first_pct_vol)), rel=1e-3)
    heart = course.spirit.receivers.heart.volume_l / run.runs
    assert run.heart_from_l
    assert run.heart_to_l
    assert run.heart_to_l.mid - run.heart_from_l.mid == pytest.approx(float(np.median(heart)), rel=0.05)


def test_the_spout_weakens_and_the_head_warms_along_a_run(run: RunForecast, strip: RunForecast) -> None:
    for one in (run, strip):
        assert np.all(np.diff([b.mid for b in one.spout_pct_vol]) < 0.0)
        assert np.all(np.diff([b.mid for b in one.head_c]) > 0.0)
        assert all(b.low <= b.mid <= b.high for b in (*one.spout_pct_vol, *one.head_c))


def test_what_runs_between_two_moments_lies_between_their_strengths(run: RunForecast) -> None:
    ran = between(run, 4.0, 6.0)
    first, last = spout_at_litres(run, 4.0), spout_at_litres(run, 6.0)
    assert first
    assert last
    assert last.mid < ran.pct_vol.mid < first.mid
    assert float(np.median(ran.liquid.volume_l)) == pytest.approx(2.0, rel=1e-3)


def test_receivers_one_after_the_other_hold_what_the_run_gave(run: RunForecast) -> None:
    marks = (0.0, 0.3, 1.3, 6.3, 12.0)
    parts = [between(run, a, b).liquid for a, b in pairwise(marks)]
    whole = between(run, 0.0, marks[-1]).liquid
    assert np.sum([p.ethanol_kg for p in parts], axis=0) == pytest.approx(whole.ethanol_kg, rel=1e-6)
    assert whole.traces_mg is not None
    assert np.sum([p.traces_mg for p in parts], axis=0) == pytest.approx(whole.traces_mg, rel=1e-6)


def test_a_reading_moves_the_forecast_towards_it(belief: Belief, run: RunForecast) -> None:
    here = spout_at_litres(run, 8.0)
    assert here
    read = batch_typed.row_of(f"run 8 L: {here.high + 0.5:.1f} %")
    after = spout_at_litres(run_forecast(update(belief, read), RUN), 8.0)
    assert after
    assert after.mid > here.mid
    assert after.high - after.low < here.high - here.low


def test_the_wood_takes_strength_and_less_of_stronger_spirit_is_weaker_still(run: RunForecast) -> None:
    _, full = settled(run, run.belief.sized.method.fill_l, 63.0)
    assert 56.0 < full.mid < 63.0, "the water of soaked staves weakens it"


# Where it stands ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ((), "has not begun: expect first drops at"),
        (("begins: run 1",), "nothing is over yet: foreshots and heads"),
        (("foreshots: 0.3 L",), "300 mL over: foreshots and heads"),
        (("run 6 L: 73 %",), "6.00 L over: heart,"),
        (("run 20 L: 45 %",), "past the heart's end by the plan, 62.0 %vol"),
    ],
)
def test_the_first_sentence_says_where_it_is(run: RunForecast, rows: tuple[str, ...], words: str) -> None:
    standing = run_day.standing(run_log.log_of(rows), RUN, run, "metric")
    assert words in standing.headline


def test_a_reading_far_off_is_said_to_be(run: RunForecast) -> None:
    far = run_day.standing(run_log.log_of(("run 6 L: 50 %",)), RUN, run, "metric")
    assert any("lies under what is expected there" in one for one in far.look_again)
    near = spout_at_litres(run, 6.0)
    assert near
    fine = run_day.standing(run_log.log_of((f"run 6 L: {near.mid:.1f} %",)), RUN, run, "metric")
    assert fine.look_again == ()
    slip = run_day.standing(run_log.log_of(("jar 1: 900 L",)), RUN, run, "metric")
    assert slip.look_again[0].startswith("900 L are recorded as over, but the still was charged with about 5")


def test_without_a_forecast_only_what_was_recorded_is_said(log: RunLog) -> None:
    standing = run_day.standing(log, RUN, None, "us")
    assert standing.headline == "3.25 gal over."
    assert dict(standing.figures) == {"spout at 3.25 gal": "131.5 proof", "head at 3.25 gal": "192.4 °F"}


def test_the_table_has_every_reading_beside_what_was_expected(run: RunForecast, log: RunLog) -> None:
    rows = run_day.rows(run, log, RUN, "metric")
    read = [row for row in rows if row[3]]
    assert [row[3] for row in read] == ["65.8 %vol", "89.1 °C"]
    assert all("(" in row[1] for row in rows[:5])


# Jars --------------------------------------------------------------------------------------------


def test_the_shelf_says_what_was_read_and_what_is_only_expected(run: RunForecast, log: RunLog) -> None:
    shown = run_shelf.shelf(log.of_kind("run"), run, ("jar 3",), "metric")
    assert [(one.name, one.read, one.taken, one.discarded) for one in shown] == [
        ("foreshots", True, False, True),
        ("jar 1", True, False, False),
        ("jar 2", False, False, False),
        ("jar 3", True, True, False),
        ("jar 4", False, False, False),
    ]
    assert shown[2].strength.startswith("about 7")
    assert (shown[1].mark, shown[1].smells) == ("-1", "glue")
    assert shown[3].level == 1.0
    early = [float(one.congeners[0][1].split(" ")[0]) for one in shown]
    assert early == sorted(early, reverse=True), "what comes early falls from jar to jar"


def test_a_jar_far_from_what_ran_into_it_is_to_be_looked_at_again(run: RunForecast) -> None:
    jars = (
        "foreshots: 0.3 L, 60 %",
        "jar 1: 1 L, 76.8 %",
        "jar 2: 1 L, 71 %",
        "jar 3: 1 L, 80.5 %",
        "jar 4: 1 L",
    )
    log = run_log.log_of(("begins: run 1", *jars))
    asked = [one.look_again for one in run_shelf.shelf(log.of_kind("run"), run, (), "metric")]
    assert [bool(one) for one in asked] == [False, False, True, True, False]
    assert asked[2].startswith("Jar 2 was read at 71.0 %vol, under what is expected in it, 7")
    assert "The forecast follows readings at the spout, not those of jars." in asked[2]
    assert "over what is expected" in asked[3]


def test_jars_between_the_plans_cuts_are_taken_first_and_marks_go_before(run: RunForecast) -> None:
    rows = run_log.named(("begins: run 1", "foreshots: 0.3 L", *["jar: 1 L"] * 15), ())
    by_plan = run_shelf.taken_first(run_log.log_of(rows), run)
    assert by_plan[0] == "jar 2"
    assert "jar 15" not in by_plan
    marked = run_log.log_of((*rows, "jar 2: -1, glue", "jar 15: in"))
    assert run_shelf.taken_first(marked, run) == (*by_plan[1:], "jar 15")
    recorded = run_log.log_of((*rows, "taken: jar 4, jar 5"))
    assert run_shelf.taken_first(recorded, run) == ("jar 4", "jar 5")


def test_a_choice_is_the_masses_of_its_jars(run: RunForecast, log: RunLog) -> None:
    jars = {one.name: one for one in run_choice.gauged(log, run)}
    names = ("jar 3", "jar 4")
    chosen = run_choice.chosen(log, run, names, "metric")
    parts = [spirit_of(jars[name].volume_l, jars[name].pct_vol) for name in names]
    ethanol, water = (sum(float(getattr(p, what)) for p in parts) for what in ("ethanol_kg", "water_kg"))
    share = ethanol / (ethanol + water)
    litres = (ethanol + water) / float(alcohol.density(share, 20.0)) * 1000.0
    assert chosen.rows == (
        "taken: jar 3, jar 4",
        f"heart: {litres:.2f} L, {float(alcohol.pct_vol(share)):.1f} %",
    )
    assert "What is in makes" in chosen.headline
    assert "settles at" in chosen.sentences[0]
    assert [what for what, _ in chosen.congeners] == [
        "come early", "come with the heart", "come late", "methanol",
    ]  # fmt: skip


def test_one_more_jar_is_more_in_the_cask(run: RunForecast, log: RunLog) -> None:
    few, more = (
        run_choice.chosen(log, run, names, "metric").rows[1] for names in (("jar 3",), ("jar 3", "jar 4"))
    )
    assert float(few.split()[1]) < float(more.split()[1])


def test_nothing_and_no_strength_are_said(run: RunForecast, log: RunLog) -> None:
    assert "Nothing is taken in" in run_choice.chosen(log, run, (), "metric").headline
    assert "No jar is filled" in run_choice.chosen(RunLog(), run, (), "metric").headline
    unread = run_choice.chosen(log, None, ("jar 3", "jar 4"), "metric", planned=False)
    assert unread.warnings == ("No strength of jar 2 and jar 4 is read yet, so they are left out.",)
    assert unread.sentences == ("No plan is kept with this batch, so no cask asks for it.",)


def test_the_best_cut_keeps_to_the_marks_and_says_where_too_little_is_there(run: RunForecast) -> None:
    rows = run_log.named(("begins: run 1", "foreshots: 0.3 L", *["can: 5 L, 72 %"] * 6, "can 6: out"), ())
    best = run_best.best(run_log.log_of(rows), run, RUN, "cut", "metric")
    assert "the best of all unbroken cuts" in best.sentence
    assert "can 6" not in best.names
    assert "foreshots" not in best.names
    few = run_best.best(run_log.log_of(rows[:4]), run, RUN, "free", "metric")
    assert "comes to at most 11.4 L (at least 24.2 L is asked)" in few.sentence
    assert few.names == ("can 1", "can 2")


def test_a_us_maker_records_gallons_and_proof(run: RunForecast, log: RunLog) -> None:
    row = run_choice.chosen(log, run, ("jar 3",), "us").rows[1]
    assert "gal" in row
    assert row.endswith(" proof")
    (volume, strength) = batch_typed.row_of(row)
    assert (volume.value, strength.value) == (pytest.approx(5.0, rel=0.01), pytest.approx(73.6, abs=0.15))


TWO_RUNS = run_log.named(
    (
        *("begins: run 1", "foreshots: 0.3 L, 77 %", "jar: 1 L, 76.8 %, -1, glue", "can: 5 L, 74 %, +1"),
        *("can: 5 L, 68 %, +1", "can: 5 L, 60 %, -1, wet dog"),
    ),
    (),
)


def test_a_choice_before_the_last_run_is_the_heart_of_its_own_run(run: RunForecast) -> None:
    log = run_log.log_of(TWO_RUNS)
    share = run_choice.share_of(log, RUN, 2)
    assert share == run_choice.Share(RUN, 2)
    chosen = run_choice.chosen(log, run, ("can 2", "can 3"), "metric", share)
    assert chosen.rows[0] == "run 1 taken: can 2, can 3"
    assert chosen.rows[1] == "run 1 heart: 10.00 L, 71.0 %"
    assert "takes 24.2 L from 2 runs: about 12.1 L of that by the end of run 1" in chosen.sentences[0]
    assert "confidence" not in chosen.sentences[0]
    assert chosen.warnings == (), "a part of the heart need not fill the cask"
    assert batch_receivers.without(chosen.rows) == (), "the plan's worlds follow no part of a heart"


def test_the_last_run_makes_the_heart_whole_and_keeps_what_is_recorded(run: RunForecast) -> None:
    rows = (
        *TWO_RUNS,
        "run 1 taken: can 2, can 3",
        "begins: run 2",
        "jar 5: 1 L, 77 %, -1",
        "can 6: 5 L, 72 %",
    )
    log = run_log.log_of(rows)
    assert run_choice.share_of(log, ("run", 2), 2) is None
    assert run_shelf.taken_first(log, run) == ("can 2", "can 3", "can 6")
    whole = run_choice.chosen(log, run, ("can 2", "can 3", "can 6"), "metric", None)
    assert whole.rows[0] == "taken: can 2, can 3, can 6"
    assert whole.rows[1] == "heart: 15.00 L, 71.3 %"
    best = run_best.best(log, run, ("run", 2), "free", "metric", ("can 2", "can 3"))
    assert best.names == ("can 2", "can 3", "can 6")
    assert "Jar 5 is left out: marked below zero." in best.sentence
    asked_l = float(best.sentence.split("(at least ")[1].split(" L")[0])
    assert asked_l == pytest.approx(24.2 - (5 * 74 + 5 * 68) / 62.0, abs=0.3), "what run 1 left open"


def test_without_a_plan_each_choice_adds_up_to_the_heart_so_far() -> None:
    rows = (*TWO_RUNS, "run 1 taken: can 2", "heart: 5.00 L, 74.0 %", "begins: run 2", "can 6: 5 L, 72 %")
    log = run_log.log_of(rows)
    share = run_choice.share_of(log, ("run", 2), 0)
    chosen = run_choice.chosen(log, None, ("can 2", "can 6"), "metric", share, planned=False)
    assert chosen.rows[0] == "run 2 taken: can 6"
    assert chosen.rows[1].startswith("heart: 10.0")


def test_nothing_below_zero_is_taken_in_unsaid(run: RunForecast) -> None:
    log = run_log.log_of(TWO_RUNS)
    for way in ("cut", "free"):
        short = run_best.best(log, run, RUN, way, "metric", share=run_choice.Share(RUN, 2))
        if {"jar 1", "can 4"} & {*short.names}:
            assert "marked below zero: smell again first" in short.sentence
        whole = run_best.best(log, run, RUN, way, "metric")
        assert whole.names == ("can 2", "can 3"), "no choice fills the cask"
        assert "Jar 1 and can 4 are left out: marked below zero." in whole.sentence
    assert "Asked is this run's share of the cask, 12.1 L of 2 runs alike." in short.sentence
