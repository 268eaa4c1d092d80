"""The river: the account in the order of the work, nothing added, nothing lost."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from caskward.services import AccountLine, Band, Plan
from caskward.sheets.river import river


def _line(key: str, side: str, millilitres: int) -> AccountLine:
    litres = millilitres / 1000.0
    return AccountLine(key, key.partition("/")[2], side, millilitres, Band(litres, litres, litres))  # type: ignore[arg-type]


def test_each_row_begins_where_the_one_before_it_ended(plan: Plan) -> None:
    rows = river(plan.account)
    assert rows[0].before_ml == 0
    for row, following in pairwise(rows):
        assert row.after_ml == following.before_ml
    assert rows[-1].after_ml == 0


def test_every_line_of_the_account_is_a_row_once(plan: Plan) -> None:
    rows = [row for row in river(plan.account) if row.kind != "reach"]
    assert sorted((row.kind, row.millilitres) for row in rows) == sorted(
        (line.side, line.millilitres) for line in plan.account
    )


def test_reaches_say_what_flows_there_and_the_cask_ends_the_river(plan: Plan) -> None:
    rows = river(plan.account)
    reaches = [row for row in rows if row.kind == "reach"]
    assert all(row.millilitres == row.after_ml for row in reaches)
    assert reaches[0].words == "In the materials"
    assert "Low wines" in [row.words for row in reaches]
    cask = next(line for line in plan.account if line.key == "kept/cask")
    assert (rows[-1].words, rows[-1].millilitres) == ("In the cask", cask.millilitres)


def test_losses_leave_where_they_happen(rye: Plan) -> None:
    names = [row.words for row in river(rye.account)]
    for earlier, later in (
        ("In the materials", "starch not converted"),
        ("starch not converted", "Sugar in the tub"),
        ("Sugar in the tub", "yeast, glycerol and acids"),
        ("Fermented wash", "held by the spent solids"),
        ("held by the spent solids", "Wash for the still"),
        ("left in the still after stripping", "Low wines"),
        ("Low wines", "feints and low wines from store"),
        ("Charge of the spirit run", "foreshots discarded"),
        ("feints kept", "Heart"),
        ("Heart", "spirit left in pipes and funnel"),
    ):
        assert names.index(earlier) < names.index(later), (earlier, later)


def test_a_loss_of_a_new_name_leaves_with_the_one_before_it(rye: Plan) -> None:
    lost = next(line for line in rye.account if line.words == "left on the lees")
    at = rye.account.index(lost)
    spilt = replace(lost, key="lost/spilt", words="spilt on the floor", millilitres=3)
    rows = river((*rye.account[: at + 1], spilt, *rye.account[at + 1 :]))
    names = [row.words for row in rows]
    assert names.index("spilt on the floor") == names.index("left on the lees") + 1
    assert rows[-1].before_ml == rows[-2].after_ml


@given(
    came=st.lists(st.integers(1, 10**6), min_size=1, max_size=5),
    shares=st.lists(st.integers(1, 100), min_size=2, max_size=8),
)
def test_whatever_comes_in_flows_out_again(came: list[int], shares: list[int]) -> None:
    total = sum(came)
    parts = [total * share // sum(shares) for share in shares]
    parts[-1] += total - sum(parts)
    account = (
        *(_line(f"material/{n}", "in", ml) for n, ml in enumerate(came)),
        *(_line(f"lost/of its own {n}", "lost", ml) for n, ml in enumerate(parts[:-1])),
        _line("kept/cask", "kept", parts[-1]),
    )
    rows = river(account)
    assert all(row.after_ml >= 0 for row in rows)
    assert max(row.after_ml for row in rows) == total
    assert rows[-1].before_ml == parts[-1]
    assert rows[-1].after_ml == 0
