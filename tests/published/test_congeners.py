"""The traces' volatility against what has been published about them: facts and anchors, few and soft.

No table of trace constants stands behind the curves, so each check is as wide as its own band.

The source of each figure, and whether it was read or is from memory, stands beside the check.
"""

from __future__ import annotations

import numpy as np
import pytest

from caskward.properties import alcohol, vle


def x_at(strength: float) -> float:
    return vle.mole_fraction(alcohol.mass_fraction(strength))


def k_value(congener: str, x: float) -> float:
    """y/x of the trace: its volatility against ethanol, times ethanol's own y/x."""
    if x == 0.0:
        ethanol = 1e6 * vle.bubble_point(1e-6).y
    else:
        ethanol = vle.bubble_point(x).y / x
    return vle.relative_volatility(congener, x) * ethanol


def test_methanol_turns_from_tail_to_head() -> None:
    """Chinese industry note (baibiandou.cn 32171) and fruit-spirit literature; read.

    Less volatile than ethanol in weak boiling liquid, more in strong: so a heads cut does not remove it.
    """
    assert vle.relative_volatility("methanol", x_at(10.0)) < 0.75
    assert vle.relative_volatility("methanol", x_at(80.0)) > 1.15


@pytest.mark.parametrize(("x", "printed"), [(0.02, 6.70), (0.10, 4.18)])
def test_methanol_against_its_own_binary(x: float, printed: float) -> None:
    """Perry's methanol-water table: y/x at 96.4 and 87.7 °C; from memory.

    There methanol stands alone, here it is a trace in as dilute a spirit: 25 %.
    """
    assert k_value("methanol", x) == pytest.approx(printed, rel=0.25)


@pytest.mark.parametrize("congener", ["3-methyl-1-butanol", "2-methyl-1-butanol", "isobutanol"])
def test_fusel_oils_gather_at_50_to_67_pct_vol(congener: str) -> None:
    """Guymon, Adv. Chem. Ser. 137 (1974) ch. 11, abstract; read: they gather on trays of 100-135 US proof.

    They do where y/x passes 1, so it must do so between or near those strengths (5 %vol either side).
    """
    weak, strong = x_at(45.0), x_at(72.0)
    assert k_value(congener, weak) > 1.0 > k_value(congener, strong)


@pytest.mark.parametrize(
    ("congener", "printed", "band"),
    [
        ("3-methyl-1-butanol", 34.0, 1.5),
        ("isobutanol", 18.4, 2.2),
        ("1-butanol", 13.2, 2.2),
        ("ethyl acetate", 51.6, 3.5),
    ],
)
def test_heteroazeotropes_bound_the_dilute_end(congener: str, printed: float, band: float) -> None:
    """Horsley / CRC: y over solubility at the azeotrope with water; from memory.

    At infinite dilution, which is where the curve ends, the trace is more volatile than at saturation.
    """
    assert printed < k_value(congener, 0.0) < band * printed


def test_acetic_acid_stays_behind() -> None:
    """Common tables (Othmer), dilute, 100 °C: y/x 0.63 to 0.7; from memory. Band 1.25."""
    assert k_value("acetic acid", 0.0) == pytest.approx(0.66, rel=0.25)


def test_order_of_a_run() -> None:
    """Common practice at the strength a spirit run starts from: heads first, feints last."""
    x = x_at(28.0)
    order = ["ethyl acetate", "acetaldehyde", "3-methyl-1-butanol", "methanol", "furfural", "acetic acid"]
    values = [vle.relative_volatility(name, x) for name in order]
    assert np.all(np.diff(values) < 0.0)
    assert values[1] > 1.0 > values[3]
