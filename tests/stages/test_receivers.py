"""Jars and cans: what is in them, in what order, and that nothing is lost between them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.errors import LastReceiverMissing
from caskward.stages.balance import imbalance
from caskward.stages.columns import Column
from caskward.stages.distil import HoldUp, Still, StillUnknowns, Stop, distil
from caskward.stages.receivers import Collection, Receiver, collect, jars
from caskward.stages.runs import CutRules, SpiritSettings, SpiritUnknowns, cut_plan, spirit_run
from caskward.stages.stream import CONGENERS, spirit_of

UNKNOWNS = StillUnknowns(0.1, 0.1)
CHARGE = spirit_of(
    np.array([60.0, 50.0, 70.0]), np.array([28.0, 24.0, 33.0]), traces_mg_l=dict.fromkeys(CONGENERS, 20.0)
)


def run(plan: tuple[Receiver, ...], stop: float = 5.0, still: Still | None = None) -> Collection:
    return collect(distil(CHARGE, still or Still(6.0), stop, UNKNOWNS), plan)


def test_jars_of_one_size() -> None:
    """Each jar holds its litre (to a tenth of a millilitre), and each is weaker than the one before."""
    got = run((*jars(8, 1.0), Receiver("tails")))
    assert [one.name for one in got.filled] == [*(f"jar {k}" for k in range(1, 9)), "tails"]
    for jar in got.filled[:8]:
        assert jar.volume_l == pytest.approx(1.0, abs=1e-4)
        assert jar.receiver.vessel == "jar"
    strengths = np.array([jar.strength_pct_vol for jar in got.filled])
    assert np.all(np.diff(strengths, axis=0) < 0.0)


def test_the_spout_at_a_change_is_between_its_jars() -> None:
    got = run((*jars(5, 1.5), Receiver("tails")))
    for before, after in zip(got.filled, got.filled[1:], strict=False):
        assert before.to_pct_vol == pytest.approx(after.from_pct_vol, rel=1e-12)
        assert np.all(before.to_pct_vol < before.strength_pct_vol)
        assert np.all(before.to_pct_vol >= after.strength_pct_vol)
        assert np.all(after.from_h == before.to_h)


@pytest.mark.parametrize("hold_up", [None, HoldUp(1.0, 50.0)], ids=["bare", "dead volume"])
@pytest.mark.parametrize(
    ("stop", "met"),
    [
        (Stop("spout_pct_vol", 66.0), lambda a: a.to_pct_vol - 66.0),
        (Stop("alcohol_share", 0.4), lambda a: a.contents.lpa / CHARGE.lpa - 0.4),
        (Stop("volume_l", 7.0), lambda a: a.volume_l - 7.0),
        (Stop("hours", 0.75), lambda a: a.to_h - 0.75),
    ],
    ids=["spout", "share", "volume", "hours"],
)
def test_changes_where_it_says(stop: Stop, met, hold_up: HoldUp | None) -> None:  # type: ignore[no-untyped-def]
    got = run((Receiver("first", stop), Receiver("rest")), still=Still(6.0, hold_up=hold_up))
    assert met(got["first"]) == pytest.approx(0.0, abs=2e-3)


@pytest.mark.parametrize(
    ("stop", "name"), [(Stop("pot_c", 92.0), "pot_c"), (Stop("vapour_c", 91.0), "vapour_c")]
)
def test_changes_at_a_temperature(stop: Stop, name: str) -> None:
    got = run((Receiver("first", stop), Receiver("rest")))
    first = got["first"]
    for world in range(3):
        profile = first.profile
        at = np.interp(-first.to_u[world], -profile.pot_u[:, world], getattr(profile, name)[:, world])
        assert at == pytest.approx(stop.value, abs=0.05)


def test_whichever_comes_first() -> None:
    """Jars of 2 L until the spout shows 68 %vol: the last that runs is cut short, later ones stay empty."""
    got = run((*jars(20, 2.0, until=Stop("spout_pct_vol", 68.0)), Receiver("tails")))
    volumes = np.array([jar.volume_l for jar in got.filled[:-1]])
    assert np.all(volumes <= 2.0 + 1e-4)
    assert np.all(volumes[-1] == 0.0)
    whole = run((Receiver("one", Stop("spout_pct_vol", 68.0)), Receiver("tails")))
    assert sum(jar.contents.lpa for jar in got.filled[:-1]) == pytest.approx(
        whole["one"].contents.lpa, rel=1e-9
    )


def test_own_volume_starts_anew() -> None:
    got = run((Receiver("a", Stop("volume_l", 3.0)), Receiver("b", Stop("own_volume_l", 3.0)), Receiver("c")))
    assert got["a"].volume_l == pytest.approx(3.0, abs=1e-4)
    assert got["b"].volume_l == pytest.approx(3.0, abs=1e-4)


def test_never_under_a_strength() -> None:
    got = run(
        (Receiver("heads", Stop("alcohol_share", 0.1)), Receiver("heart", least_pct_vol=70.0), Receiver("t"))
    )
    strengths = got["heart"].strength_pct_vol
    assert np.all(strengths >= 70.0 - 1e-3)
    assert strengths == pytest.approx(70.0, abs=1e-3)


@pytest.mark.parametrize("spare", [0.01, 0.1, 1.0])
def test_never_under_a_strength_from_the_first_drop_on(spare: float) -> None:
    """Also where it falls short within moments of its start, and of the nodes of a run."""
    first = run((Receiver("all"),))["all"].from_pct_vol
    got = run((Receiver("short", least_pct_vol=first - spare), Receiver("rest")))
    assert got["short"].strength_pct_vol == pytest.approx(first - spare, abs=1e-4)
    assert np.all(got["short"].volume_l > 0.0)
    none = run((Receiver("none", least_pct_vol=first + 0.01), Receiver("rest")))
    assert np.all(none["none"].volume_l < 1e-6)


def test_a_moment_that_has_passed_leaves_it_empty() -> None:
    plan = (Receiver("a", Stop("volume_l", 5.0)), Receiver("b", Stop("volume_l", 2.0)), Receiver("c"))
    got = run(plan)
    assert np.all(got["b"].volume_l == 0.0)
    assert np.all(got["b"].strength_pct_vol == 0.0)


PLANS = st.lists(
    st.one_of(
        st.floats(0.0, 20.0).map(lambda v: Stop("own_volume_l", v)),
        st.floats(0.0, 1.0).map(lambda v: Stop("alcohol_share", v)),
        st.floats(1.0, 80.0).map(lambda v: Stop("spout_pct_vol", v)),
        st.floats(80.0, 100.0).map(lambda v: Stop("vapour_c", v)),
        st.floats(0.0, 8.0).map(lambda v: Stop("hours", v)),
    ),
    max_size=6,
)


@given(PLANS, st.sampled_from([None, 62.0]), st.sampled_from([None, HoldUp(0.8, 40.0, drains=False)]))
def test_any_plan_closes(stops: list[Stop], least: float | None, hold_up: HoldUp | None) -> None:
    plan = (*(Receiver(f"r{k}", s, least_pct_vol=least) for k, s in enumerate(stops)), Receiver("last"))
    got = run(plan, still=Still(6.0, column=Column(0.7, 0.5), hold_up=hold_up))
    off = imbalance([CHARGE], [one.contents for one in got.filled], got.losses("left in the pot"))
    assert max(off.mass, off.alcohol, off.traces) < 1e-12
    for one in got.filled:
        assert np.all(one.contents.ethanol_kg >= 0.0)
        assert np.all(one.contents.traces_mg >= 0.0)
        strong_enough = (one.strength_pct_vol >= (least or 0.0) - 0.02) | (one.contents.lpa < 1e-6)
        assert one.name == "last" or np.all(strong_enough)


@pytest.mark.parametrize("plan", [(), (Receiver("heart", Stop("spout_pct_vol", 60.0)),)])
def test_a_plan_must_take_all_that_comes(plan: tuple[Receiver, ...]) -> None:
    with pytest.raises(LastReceiverMissing, match="takes all that still comes"):
        run(plan)


def test_a_spirit_run_is_a_plan_of_receivers() -> None:
    """The four cuts are what `collect` gives for the cut rules, times the runs; the heart's rule holds."""
    rules = CutRules(0.005, 0.08, 60.0, 66.0, 5.0)
    unknowns = SpiritUnknowns(UNKNOWNS, np.array([-1.0, 0.0, 1.0]))
    heart, record = spirit_run(CHARGE, Still(6.0), SpiritSettings(30.0, rules), unknowns)
    by_hand = collect(
        distil(CHARGE, Still(6.0), rules.tails_stop_pct_vol, UNKNOWNS),
        cut_plan(rules, unknowns.meter_error_pct_vol),
    )
    assert record.effort.runs.tolist() == [2.0, 2.0, 3.0]
    assert heart.lpa == pytest.approx(by_hand["heart"].contents.lpa, rel=1e-9)
    assert record.receivers.tails.traces_mg == pytest.approx(by_hand["tails"].contents.traces_mg, rel=1e-9)
    assert np.all(heart.strength_pct_vol >= 66.0 - 1e-3)
    assert record.run["heart"].volume_l * record.effort.runs == pytest.approx(heart.volume_l, rel=1e-12)


def test_cuts_move_congeners_where_they_belong() -> None:
    """A wider heart takes more of what comes late; more foreshots take more of what comes first."""
    late, early = CONGENERS.index("2-phenylethanol"), CONGENERS.index("ethyl acetate")

    def heart(end: float, foreshots: float):  # type: ignore[no-untyped-def]
        rules = CutRules(foreshots, 0.0, end, 20.0, 5.0)
        got, _ = spirit_run(
            CHARGE, Still(6.0), SpiritSettings(80.0, rules), SpiritUnknowns(UNKNOWNS, np.zeros(3))
        )
        return got.traces_g_hl_pure

    assert np.all(heart(50.0, 0.01)[late] > heart(65.0, 0.01)[late])
    assert np.all(heart(60.0, 0.05)[early] < heart(60.0, 0.01)[early])
