"""What a glass alcoholometer shows in cold and warm spirit, against Tralles' temperature table.

Given: true %vol at 60 °F and the sample's temperature; expected: the indication on a scale for 60 °F,
printed to 0.1. Tolerance 0.2 %vol: the table's own scatter of 0.1 on either side (its second differences
jump by that much) plus rounding. Source in the data file: read.
"""

from __future__ import annotations

import numpy as np
import pytest

from caskward.errors import OutOfRange
from caskward.properties import alcohol
from tests.published.deviations import TRALLES_INDICATION, held, tralles_indication
from tests.published.table import columns

NAMES = ("true_pct_vol_60f", "temp_f", "indicated_pct_vol_60f")
TRUE, TEMP_F, SHOWN = columns("indication_tralles", *NAMES)
TEMP_C = (TEMP_F - 32.0) / 1.8
# Cold water is heavier than the scale's zero (water at 60 °F), so the stem shows less than nothing: Tralles
# prints figures like -0.4. No mixture has such a density; the answer is a refusal, not a number.
BELOW_ZERO = SHOWN < 0.0


def test_indication_of_a_glass_instrument() -> None:
    """Every row above the scale's zero, by the forward model."""
    held(TRALLES_INDICATION)
    assert np.abs(tralles_indication()).mean() <= 0.06


def test_true_strength_behind_the_reading() -> None:
    """The same rows backward: reading in, true strength out, as a gauger works.

    Pure water (true 0) is left to the forward check: the rounding of its printed indication alone makes it
    heavier than water.
    """
    seen = TRUE > 0.0
    strength = alcohol.true_strength(SHOWN[seen], TEMP_C[seen], alcohol.TEMP_60F_C)
    gap = np.abs(alcohol.proof_60f(strength) / 2.0 - TRUE[seen])
    # In weak cold spirit 1 %vol of indication is up to 1.4 %vol of strength, hence 0.2 x 1.4.
    assert gap.max() <= 0.28


def test_readings_below_zero_are_refused() -> None:
    """The four rows no honest model meets: water colder than 60 °F, printed as -0.2 to -0.5."""
    assert BELOW_ZERO.sum() == 4
    for strength, temp_c, shown in zip(TRUE[BELOW_ZERO], TEMP_C[BELOW_ZERO], SHOWN[BELOW_ZERO], strict=True):
        assert strength == 0.0
        with pytest.raises(OutOfRange):
            alcohol.indicated_strength(float(strength), float(temp_c), alcohol.TEMP_60F_C)
        with pytest.raises(OutOfRange):
            alcohol.true_strength(float(shown), float(temp_c), alcohol.TEMP_60F_C)


def test_glass_is_the_better_reading_of_the_table() -> None:
    """Without the glass's own growth the rows fit worse, so the expansion is no decoration."""
    far = ~BELOW_ZERO & (np.abs(TEMP_F - 60.0) >= 20.0)
    strength = alcohol.pct_vol_20_from_proof(2.0 * TRUE[far])
    gaps = {
        glass: float(
            np.abs(
                alcohol.indicated_strength(strength, TEMP_C[far], alcohol.TEMP_60F_C, glass=glass)
                - SHOWN[far]
            ).mean()
        )
        for glass in (True, False)
    }
    assert gaps[True] < gaps[False]
