"""pH by what was seen to move it: the line, its doubt, and where it ends."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.errors import (
    InputError,
    MoreThanNothing,
    MovedTheWrongWay,
    NoMove,
    OutOfRange,
    TargetTheOtherWay,
    UnknownName,
    UnlikeTrials,
)
from caskward.planning.acid import (
    CALCIUM_SHARE,
    Trial,
    backset_share,
    backset_trial,
    calcium_mg_l,
    calcium_salt_g,
    needed,
    response,
)

JAR = Trial(0.5, 1.0, 5.8, 5.4)


def test_a_jar_s_trial_carries_over_to_the_tub() -> None:
    """0.5 mL moved a litre by 0.4: 150 L by 0.3 takes 56 mL."""
    seen = response("Lactic acid", "mL", (JAR,))
    assert seen.ph_per_dose == pytest.approx(-0.8)
    wanted = needed(seen, 5.7, 5.4, 150.0)
    assert wanted.amount == pytest.approx(56.25)
    assert wanted.low < 56.25 < wanted.high
    assert not wanted.beyond


def test_the_band_is_the_meter_s_own() -> None:
    """Of trials and readings drawn with the meter's error, the band holds the true need 95 in 100."""
    rng = np.random.default_rng(3)
    held = 0
    for before, after, now in 0.03 * rng.standard_normal((2000, 3)):
        seen = response("Acid", "mL", (Trial(0.5, 1.0, 5.8 + before, 5.4 + after),))
        wanted = needed(seen, 5.75 + now, 5.4, 100.0)
        held += wanted.low <= 0.35 * 100.0 / 0.8 <= wanted.high
    assert 0.92 <= held / 2000 <= 0.98


def test_more_trials_narrow_it_and_scatter_widens_it() -> None:
    one = response("Acid", "mL", (JAR,))
    three = response("Acid", "mL", (JAR, JAR, Trial(1.0, 2.0, 5.8, 5.4)))
    wild = response("Acid", "mL", (JAR, Trial(0.5, 1.0, 5.8, 5.0), Trial(0.5, 1.0, 5.8, 5.6)))
    assert three.standard == pytest.approx(one.standard / 3**0.5)
    assert wild.standard > one.standard


def test_it_says_when_it_goes_too_far() -> None:
    seen = response("Acid", "mL", (JAR,))
    assert not needed(seen, 5.9, 5.35, 100.0).beyond
    far = needed(seen, 6.1, 5.4, 100.0)
    assert far.beyond
    assert "guess" in " ".join(far.cautions)
    elsewhere = needed(seen, 4.6, 4.4, 100.0)
    assert not elsewhere.beyond
    assert "between pH 5.40 and 5.80" in " ".join(elsewhere.cautions)
    assert needed(seen, 5.4, 5.4, 100.0).amount == 0.0


def test_wrong_directions_get_a_sentence() -> None:
    with pytest.raises(MovedTheWrongWay, match=r"raised the pH from 5\.40 to 5\.80, but an acid lowers it"):
        response("Citric acid", "g", (Trial(0.5, 1.0, 5.4, 5.8),))
    with pytest.raises(MovedTheWrongWay, match="a base raises it"):
        response("Chalk", "g", (JAR,), kind="base")
    with pytest.raises(UnlikeTrials, match="another lowered"):
        response("Citric acid", "g", (JAR, Trial(0.5, 1.0, 5.4, 5.8)))
    with pytest.raises(TargetTheOtherWay, match="has to go up"):
        needed(response("Citric acid", "g", (JAR,)), 5.0, 5.4, 100.0)
    with pytest.raises(NoMove, match="tells nothing"):
        response("Citric acid", "g", (Trial(0.1, 1.0, 5.8, 5.78),))


@pytest.mark.parametrize(
    ("trial", "refused"),
    [
        (Trial(0.0, 1.0, 5.8, 5.4), MoreThanNothing),
        (Trial(1.0, 0.0, 5.8, 5.4), MoreThanNothing),
        (Trial(1.0, 1.0, 58.0, 5.4), OutOfRange),
        (Trial(-1.0, 1.0, 5.8, 5.4), MoreThanNothing),
    ],
)
def test_what_cannot_be_is_refused(trial: Trial, refused: type[InputError]) -> None:
    with pytest.raises(refused):
        response("Acid", "mL", (trial,))


def test_no_trial_at_all_is_refused() -> None:
    with pytest.raises(OutOfRange, match="jar first"):
        response("Acid", "mL", ())


@given(st.floats(0.05, 1.0), st.floats(1.0, 1000.0), st.floats(1.1, 3.0))
def test_amount_is_in_proportion(move: float, litres: float, times: float) -> None:
    seen = response("Acid", "mL", (JAR,))
    base = needed(seen, 6.0, 6.0 - move, litres).amount
    assert needed(seen, 6.0, 6.0 - move, times * litres).amount == pytest.approx(times * base)
    assert needed(seen, 6.0, 6.0 - 1.1 * move, litres).amount > base


@pytest.mark.parametrize(
    ("salt", "mg_per_g"),
    [
        ("calcium chloride dihydrate", 272.6),
        ("gypsum", 232.8),
        ("dry calcium chloride", 361.1),
    ],
)
def test_calcium_by_its_formula(salt: str, mg_per_g: float) -> None:
    """A gram in a litre; source: the salts' formula masses (147.01, 172.17, 110.98 g/mol), from memory."""
    assert calcium_mg_l(salt, 1.0, 1.0) == pytest.approx(mg_per_g, abs=0.1)
    grams = calcium_salt_g(salt, 150.0, has_mg_l=20.0)
    assert 20.0 + calcium_mg_l(salt, grams, 150.0) == pytest.approx(50.0)
    assert calcium_salt_g(salt, 150.0, has_mg_l=80.0) == 0.0


def test_an_unknown_salt_names_the_known() -> None:
    with pytest.raises(UnknownName, match="gypsum"):
        calcium_mg_l("gypsun", 1.0, 1.0)
    assert all(0.2 < share < 0.4 for share in CALCIUM_SHARE.values())


def test_backset_by_trial_mix_and_never_over_its_limit() -> None:
    """A tenth moved 5.9 to 5.6: 5.4 takes a sixth; 4.8 asks for 37 % and gets 30 %, as far as that goes."""
    seen = response("Backset", "%", (backset_trial(0.1, 5.9, 5.6),))
    some = backset_share(seen, 5.9, 5.4, 120.0)
    assert some.share == pytest.approx(1.0 / 6.0)
    assert some.litres == pytest.approx(20.0)
    assert some.reaches_ph == pytest.approx(5.4)
    most = backset_share(seen, 5.9, 4.8, 120.0)
    assert most.share == 0.3
    assert most.reaches_ph == pytest.approx(5.0)
    assert "move the rest with acid" in " ".join(most.cautions)
