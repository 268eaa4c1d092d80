"""The head's reflux from its walls and from the first drops."""

from __future__ import annotations

import numpy as np
import pytest

from caskward.errors import OutOfRange
from caskward.stages.distil import Still, StillUnknowns, distil, strongest_spout_pct_vol
from caskward.stages.head import head_share_of_first_drops, head_share_of_walls
from caskward.stages.stream import spirit_of


@pytest.mark.parametrize("charge", [8.0, 28.0, 40.0])
@pytest.mark.parametrize("share", [0.0, 0.05, 0.25])
def test_first_drops_tell_what_made_them(charge: float, share: float) -> None:
    first = distil(spirit_of(50.0, charge), Still(5.0, 95.0), 2.0, StillUnknowns(share, 0.1)).spout_pct_vol[0]
    assert head_share_of_first_drops(charge, float(first), 95.0) == pytest.approx(share, abs=1e-5)


def test_first_drops_in_many_worlds() -> None:
    first = np.array([strongest_spout_pct_vol(28.0, f) for f in (0.02, 0.1)])
    assert head_share_of_first_drops(28.0, first) == pytest.approx([0.02, 0.1], abs=1e-5)


@pytest.mark.parametrize("first", [60.0, 95.0])
def test_first_drops_that_no_head_gives(first: float) -> None:
    """A charge of 28 %vol starts between 75.1 %vol, bare equilibrium, and what all reflux would give."""
    with pytest.raises(OutOfRange, match=r"first drops' strength is .* must lie between 75\.\d+ and"):
        head_share_of_first_drops(28.0, first)


def test_walls() -> None:
    """0.5 m² at 9 W/m²/K, 60 K warmer than the room, takes 270 W: 4.5 % of 6 kW, twice that of 3 kW."""
    assert head_share_of_walls(0.5, 9.0, 6.0, 80.0) == pytest.approx(0.045)
    assert head_share_of_walls(0.5, 9.0, np.array([6.0, 3.0]), 80.0) == pytest.approx([0.045, 0.09])
    with pytest.raises(OutOfRange, match="insulate the head"):
        head_share_of_walls(5.0, 12.0, 1.0, 95.0)
