"""Where congeners go in a spirit run: what the books say of them, seen in receivers.

No table of trace constants stands behind the curves, so these are statements of order, not of milligrams,
and they must hold at both edges of every congener's band.
"""

from __future__ import annotations

import numpy as np
import pytest

from caskward.stages.distil import Still, StillUnknowns, Stop, collected_at, distil, moment_of
from caskward.stages.receivers import Collection, Receiver, collect
from caskward.stages.stream import CONGENERS, spirit_of

EDGES = np.array([-1.0, 0.0, 1.0]) * np.ones((16, 1))
CHARGE = spirit_of(100.0, 28.0, traces_mg_l=dict.fromkeys(CONGENERS, 40.0))
PLAN = (
    Receiver("foreshots", Stop("alcohol_share", 0.01)),
    Receiver("heads", Stop("alcohol_share", 0.09)),
    Receiver("heart", Stop("spout_pct_vol", 62.0)),
    Receiver("tails"),
)


def spirit_run(charge_pct_vol: float = 28.0) -> Collection:
    charge = spirit_of(100.0, charge_pct_vol, traces_mg_l=dict.fromkeys(CONGENERS, 40.0))
    return collect(distil(charge, Still(6.0), 1.0, StillUnknowns(0.1, 0.1, EDGES)), PLAN)


def per_pure_alcohol(run: Collection, congener: str) -> np.ndarray:
    """Grams per hectolitre of pure alcohol in each receiver, over that of the charge: (receivers, edges)."""
    k = CONGENERS.index(congener)
    in_charge = CHARGE.traces_g_hl_pure[k]
    return np.stack([one.contents.traces_g_hl_pure[k] for one in run.filled]) / in_charge


@pytest.mark.parametrize("congener", ["ethyl acetate", "acetaldehyde"])
def test_light_ones_leave_first(congener: str) -> None:
    """Ethyl acetate and acetaldehyde lead the run. Common practice, as any book on pot stills has it."""
    share = per_pure_alcohol(spirit_run(), congener)
    assert np.all(share[0] > 3.0)
    assert np.all(np.diff(share, axis=0) < 0.0)


@pytest.mark.parametrize("congener", ["acetic acid", "furfural", "2-phenylethanol"])
def test_heavy_ones_come_late(congener: str) -> None:
    """Acetic acid, furfural, phenylethanol belong to the tails: for the same alcohol twice the foreshots'.

    Common practice, as above; for acetic acid Alcarde et al. (2012), abstract, read: below 20 %vol.
    """
    share = per_pure_alcohol(spirit_run(), congener)
    assert np.all(np.diff(share, axis=0) > 0.0)
    assert np.all(share[-1] > 2.0 * share[0])


@pytest.mark.parametrize("congener", ["isobutanol", "3-methyl-1-butanol"])
def test_fusel_oils_straddle_the_heart(congener: str) -> None:
    """They are in every receiver, and the heart takes more than a third of them. Common practice."""
    run = spirit_run()
    k = CONGENERS.index(congener)
    in_heart = run["heart"].contents.traces_mg[k] / (40.0 * 100.0)
    assert np.all(in_heart > 0.33)
    assert np.all(per_pure_alcohol(run, congener) > 0.1)


def test_a_heads_cut_does_not_take_the_methanol() -> None:
    """A heart without foreshots and heads has the methanol of one with them, for its alcohol, within 3 %.

    An industry note (baibiandou.cn 32171) and fruit-spirit literature, read: less volatile than ethanol in
    weak boiling liquid, more in strong. A charge of 28 %vol boils below the turn near 54 %vol all the way, so
    what is set aside first holds no more methanol than its alcohol's share.
    """
    cut, k = spirit_run(), CONGENERS.index("methanol")
    uncut = collect(cut["heart"].profile, PLAN[2:])
    with_cut, without = (r["heart"].contents.traces_g_hl_pure[k] for r in (cut, uncut))
    assert with_cut == pytest.approx(without, rel=0.03)
    removed = cut["foreshots"].contents.traces_mg[k] + cut["heads"].contents.traces_mg[k]
    assert np.all(removed / (40.0 * 100.0) < 0.09)


def test_methanol_turns_where_the_pot_boils_strong() -> None:
    """Near 54 %vol in the pot it is as volatile as ethanol: before it leads, after it lags. Sources as above.

    The turn lies where methanol per ethanol in the vapour is that of the pot; 3 %vol for the band of 1.07.
    """
    charge = spirit_of(100.0, 80.0, traces_mg_l={"methanol": 40.0})
    profile = distil(charge, Still(6.0), 5.0, StillUnknowns(0.0, 0.1))
    k = CONGENERS.index("methanol")
    lead = profile.traces.slope[:, k] / profile.slope
    turn = np.interp(-1.0, -lead, -profile.pot_pct_vol)
    assert -turn == pytest.approx(54.2, abs=0.1)
    early = collected_at(profile, moment_of(profile, Stop("alcohol_share", 0.1)))
    assert early.traces_mg[k] / (40.0 * 100.0) > 0.1
