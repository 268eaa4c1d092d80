"""Receivers as a maker types them, and what a batch's rows say of its runs together."""

from __future__ import annotations

import pytest

from caskward.errors import InputError, MomentMissing
from caskward.errors.batch_receivers import (
    ForeshotsStayOut,
    NoSuchReceiver,
    NoSuchRun,
    NotOfAReceiver,
    SaidTwice,
)
from caskward.properties import alcohol
from caskward.services import batch_receivers, plan_update, run_log
from caskward.services.batch_receivers import said
from caskward.services.run_rows import Entered

RUN = (
    "charge: 60 L, 28 %",
    "foreshots: 0.3 L, 80 %",
    "jar 1: 1 L, 77.8 %",
    "run 1.3 L: 77 % at 24 C, head 79.0 C",
    "jar 2: 1 L, 76.9 %, glue",
    "can 3: 5 L, 74.2 %",
    "jar 2: -1, less glue",
    "run 8 L: 71 %",
)


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ("jar 3: 1 L, 74.2 %, +1, bread", ("jar 3", 1.0, 74.2, 1.0, ("bread",))),
        ("jar 3: 500 mL 74.2 % clean, over-ripe", ("jar 3", 0.5, 74.2, None, ("clean", "over-ripe"))),
        ("Can 12: 5 L", ("can 12", 5.0, None, None, ())),
        ("jar 3: discard", ("jar 3", None, None, -2.0, ())),
        ("jar 3: 0, nothing much", ("jar 3", None, None, 0.0, ("nothing much",))),
        ("foreshots: 0.3 L, 80 %", ("foreshots", 0.3, 80.0, -2.0, ())),
        ("jar 3: 1 gal", ("jar 3", 3.785411784, None, None, ())),
        ("jar 3: +0.5 bread -ish", None),
    ],
)
def test_a_receiver_is_read_with_and_without_commas(row: str, expected) -> None:
    if expected is None:
        with pytest.raises(InputError):
            said(row)
        return
    found = said(row)
    name, volume_l, pct_vol, score, smells = expected
    assert (found.name, found.smells) == (name, smells)
    assert found.volume_l == (None if volume_l is None else pytest.approx(volume_l))
    assert found.pct_vol == (None if pct_vol is None else pytest.approx(pct_vol))
    assert (found.mark.score if found.mark else None) == score


def test_a_warm_jar_is_brought_to_20_c() -> None:
    found = said("jar 3: 1 L, 76 % at 28 C")
    true = float(alcohol.true_strength(76.0, 28.0))
    assert found.pct_vol == pytest.approx(true)
    assert found.volume_l == pytest.approx(float(alcohol.volume_at_20(1.0, true, 28.0)))
    assert found.pct_vol < 76.0
    assert found.volume_l < 1.0


def test_proof_is_read() -> None:
    assert said("jar 3: 1 qt, 140 proof").pct_vol == pytest.approx(
        float(alcohol.pct_vol_20_from_proof(140.0))
    )


@pytest.mark.parametrize(
    ("row", "error"),
    [
        ("jar 3: 1", NotOfAReceiver),
        ("jar 3:", InputError),
        ("jar 3: 1 L, 2 L", SaidTwice),
        ("jar 3: 99 %", InputError),
        ("jar 3: 0 L", InputError),
        ("jar 3: 1 furlong", InputError),
        ("jar 3: +7", InputError),
        ("begins: mash 2", NoSuchRun),
        ("taken: ,", InputError),
        ("run 12 L: 71 %, head 300 C", InputError),
        ("jar 3: <b>", NotOfAReceiver),
    ],
)
def test_what_cannot_be_is_refused_with_a_sentence(row: str, error: type[InputError]) -> None:
    with pytest.raises(error) as refused:
        batch_receivers.without((row,))
    assert len(str(refused.value)) > 30


def test_the_plan_follows_the_spout_and_not_the_receivers() -> None:
    rows = plan_update.rows_of((), RUN)
    assert [one.quantity for one in rows.readings] == ["volume", "strength", "spout", "spout"]
    assert rows.readings == plan_update.rows_of(RUN, ()).readings
    assert batch_receivers.without(("run 4 L: head 79 C",)) == ()


def test_rows_together_say_how_every_receiver_stands() -> None:
    log = run_log.log_of(RUN)
    assert log.now == ("run", 1)
    assert [(one.name, one.from_l, one.to_l) for one in log.of_run(("run", 1))] == [
        ("foreshots", 0.0, pytest.approx(0.3)),
        ("jar 1", pytest.approx(0.3), pytest.approx(1.3)),
        ("jar 2", pytest.approx(1.3), pytest.approx(2.3)),
        ("can 3", pytest.approx(2.3), pytest.approx(7.3)),
    ]
    jar = log.receivers[2]
    assert (jar.volume_l, jar.pct_vol, jar.mark.score, jar.smells) == (1.0, 76.9, -1.0, ("less glue",))
    assert log.receivers[0].discarded
    assert log.over_l(("run", 1)) == 8.0, "read at 8 L, of which 7.3 L are in receivers"
    assert [(one.at_l, one.value) for one in log.heads] == [(1.3, 79.0)]


def test_runs_follow_one_another_and_count_their_litres_anew() -> None:
    rows = [
        "begins: strip 1", "strip can 1: 20 L", "strip 20 L: 8 %, head 97 C",
        "begins: strip 2", "strip can 2: 21 L", "begins: run 1", "jar 1: 1 L", "begins: run 2",
        "jar 2: 1 L", "run 1 L: 76 %",
    ]  # fmt: skip
    log = run_log.log_of(rows)
    assert [key for key, _ in log.begun] == [("strip", 1), ("strip", 2), ("run", 1), ("run", 2)]
    assert log.over_l(("strip", 1)) == 20.0
    assert log.over_l(("run", 2)) == 1.0
    assert log.spouts[-1].of == ("run", 2)
    assert [one.name for one in log.of_kind("run")] == ["jar 1", "jar 2"]
    assert [batch_receivers.stage_of(row) for row in rows[:2]] == ["strip", "strip"]


def test_a_receiver_without_a_name_gets_the_next_number() -> None:
    assert run_log.named(("jar: 1 L, 74 %", "can: 5 L"), RUN) == ("jar 4: 1 L, 74 %", "can 5: 5 L")
    strip = ("begins: strip 1", "strip can 1: 20 L")
    assert run_log.named(("can: 20 L",), strip) == ("strip can 2: 20 L",)
    assert run_log.named(("begins: run 1", "jar: 1 L"), strip) == ("begins: run 1", "jar 1: 1 L")


def test_each_run_has_its_own_foreshots_and_none_is_ever_taken() -> None:
    rows = run_log.named(("begins: run 2", "foreshots: 0.2 L, 79 %", "jar: 1 L"), RUN)
    assert rows[1:3] == ("foreshots 2: 0.2 L, 79 %", "jar 4: 1 L")
    log = run_log.log_of((*RUN, *rows, "foreshots: +2"))
    kept = [one for one in log.receivers if one.name.startswith("foreshots")]
    assert [(one.of, one.volume_l, one.discarded) for one in kept] == [
        (("run", 1), 0.3, True),
        (("run", 2), 0.2, True),
    ]


@pytest.mark.parametrize("row", ["foreshots: in", "foreshots: +1, sweet", "taken: foreshots, jar 1"])
def test_foreshots_that_are_liked_are_told_that_they_stay_out(row: str) -> None:
    with pytest.raises(ForeshotsStayOut, match="Foreshots stay out"):
        run_log.named((row,), RUN)
    assert run_log.named(("foreshots: -2, nail varnish",), RUN)


TWO_AT_ONCE = (
    "strip 1 can: 20 L, 30 %",
    "run 2 jar: 1 L, 74 %",
    "heart: 5 L, 70 %",
    "strip 1 can: 21 L",
    "strip 1 at 41 L: 9 %, head 97 C",
    "run 2 at 1.2 L: 73 %",
    "strip can 1: 28 %",
    "run 2 jar 1: +1, bread",
)


def test_rows_that_say_their_run_go_there_whatever_else_is_recorded_meanwhile() -> None:
    rows = run_log.named(TWO_AT_ONCE, ())
    assert rows[0] == "strip 1 can 1: 20 L, 30 %"
    assert rows[3] == "strip 1 can 2: 21 L"
    log = run_log.log_of(rows)
    assert [(one.of, one.name) for one in log.receivers] == [
        (("strip", 1), "can 1"),
        (("run", 2), "jar 1"),
        (("strip", 1), "can 2"),
    ]
    assert log.receivers[0].pct_vol == 28.0
    assert [(one.of, one.at_l) for one in log.spouts] == [(("strip", 1), 41.0), (("run", 2), 1.2)]
    assert log.heads[0].of == ("strip", 1)
    kept = [(one.stage, one.quantity, one.at_l) for one in plan_update.rows_of((), rows).readings]
    assert kept == [
        ("strip", "spout", 41.0),
        ("run", "spout", 1.2),
        ("heart", "volume", 0.0),
        ("heart", "strength", 0.0),
    ]


def test_a_reading_of_a_numbered_run_says_at_which_litres() -> None:
    for row in ("run 2: 71 %", "strip 3: 30 %", "run 2 at: 71 %"):
        with pytest.raises(MomentMissing, match="litres since the first drop"):
            plan_update.rows_of((), (row,))
    assert plan_update.rows_of((), ("run 12,5 L: 71 %",)).readings[0].at_l == 12.5


@pytest.mark.parametrize(
    ("row", "filed"),
    [
        ("jar: 1 L", "run 2 jar: 1 L"),
        ("run 1 jar 3: 1 L", "run 1 jar 3: 1 L"),
        ("run 12 L: 71 %, head 79 C", "run 2 at 12 L: 71 %, head 79 C"),
        ("run 1 at 12 L: 71 %", "run 1 at 12 L: 71 %"),
        ("strip 12 L: 30 %", "strip 12 L: 30 %"),
        ("heart: 5 L, 70 %", "heart: 5 L, 70 %"),
    ],
)
def test_what_is_typed_whole_on_a_runs_page_is_of_that_run(row: str, filed: str) -> None:
    assert batch_receivers.in_run(row, "run 2") == filed


def test_the_heart_of_one_run_is_not_the_whole_heart() -> None:
    rows = (*RUN, "run 1 taken: jar 1, can 3", "run 1 heart: 5.98 L, 74.6 %")
    log = run_log.log_of(rows)
    assert (log.taken, log.hearts, log.whole) == (("jar 1", "can 3"), {("run", 1)}, False)
    assert "heart" not in {one.stage for one in plan_update.rows_of((), rows).readings}
    with pytest.raises(InputError):
        plan_update.rows_of((), ("run 1 heart: 5 furlong",))
    whole = run_log.log_of((*rows, "taken: jar 1, jar 2, can 3"))
    assert (whole.taken, whole.whole) == (("jar 1", "jar 2", "can 3"), True)


def test_a_run_that_the_book_has_is_over_and_rows_go_to_the_next() -> None:
    log = run_log.log_of((Entered("strip"), Entered("strip"), "strip 3 L: 30 %", "strip: 110 L, 26 %"))
    assert log.entered == (2, 0)
    assert log.now == ("strip", 3)
    assert log.spouts[0].of == ("strip", 3)
    own = run_log.log_of(("begins: strip 1", "strip can 1: 20 L", Entered("strip"), "strip can 2: 20 L"))
    assert [one.of for one in own.receivers] == [("strip", 1), ("strip", 2)]


def test_what_was_never_filled_is_neither_marked_nor_taken() -> None:
    with pytest.raises(NoSuchReceiver, match="jar 1"):
        run_log.named(("jar 9: +1",), RUN)
    with pytest.raises(NoSuchReceiver):
        run_log.named(("taken: jar 1, jar 9",), RUN)
    assert run_log.log_of((*RUN, "taken: jar 1, can 3")).taken == ("jar 1", "can 3")


@pytest.mark.parametrize(
    ("rows", "chosen"),
    [
        (("taken: jar 2, can 3", "heart: 6.00 L, 74.7 %"), [6.0]),
        (("heart: 6.00 L, 74.7 %", "taken: jar 2, can 3"), []),
        (("taken: jar 2, can 3", "heart: 9.00 L, 74.7 %"), []),
        (("taken: jar 2, can 3", "heart: 6.00 L"), []),
        (("run 1 taken: jar 2, can 3", "run 1 heart: 6.00 L, 74.7 %"), []),
        (("taken: jar 2, can 3", "heart: 6.00 L, 74.7 %", "cask 30 d: 61 %"), [6.0]),
    ],
)
def test_a_heart_that_adds_up_from_its_jars_was_chosen(rows: tuple[str, ...], chosen: list[float]) -> None:
    found = plan_update.rows_of((), (*RUN, *rows))
    assert [one.amount for one in found.done if one.key == "chosen heart"] == chosen
    assert plan_update.rows_of(RUN, rows).done == found.done
