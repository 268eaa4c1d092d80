"""Acid and water: pH by what was seen to move it, calcium by the scale, backset by a trial mix.

How much acid a mash takes depends on its grain, its water and its salts, and no table knows them. So a trial
is made, in a jar or in the tub, and the line through it is used near where it was tried, and no further.
"""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

from caskward.errors import (
    MoreThanNothing,
    MovedTheWrongWay,
    NoMove,
    OutOfRange,
    TargetTheOtherWay,
    UnknownName,
    UnlikeTrials,
)

METER_PH: Final = 0.03
"""Standard uncertainty of one reading against the next of the same meter; *common practice, no source*."""
FURTHEST: Final = 1.5
"""How far past the largest move that was tried a line may be used; *common practice, no source*."""
COVERAGE_95: Final = 1.96
CALCIUM_MG_L: Final = 50.0
"""Calcium that enzymes and yeast are glad of [mg/L]; *common practice, no source* (50 to 150)."""
CALCIUM_SHARE: Final[Mapping[str, float]] = MappingProxyType(
    {
        "dry calcium chloride": 40.078 / 110.98,
        "calcium chloride dihydrate": 40.078 / 147.01,
        "gypsum": 40.078 / 172.17,
    }
)
"""Calcium in each kg of salt by its formula (CaCl2, CaCl2 2H2O, CaSO4 2H2O); standard atomic masses."""
BACKSET_USUAL_SHARE, BACKSET_MOST_SHARE = 0.25, 0.30
"""Backset in the liquor: usual and most; *common practice, no source* (more brings acids that slow yeast)."""

Kind = Literal["acid", "base"]


@dataclass(frozen=True)
class Trial:
    """So much of something (mL or g; for backset: percent) moved the pH so far in so many litres."""

    amount: float
    volume_l: float
    ph_before: float
    ph_after: float

    @property
    def dose(self) -> float:
        """Amount per litre."""
        return self.amount / self.volume_l

    @property
    def move(self) -> float:
        """pH after less before."""
        return self.ph_after - self.ph_before


@dataclass(frozen=True)
class Response:
    """What one mL (or g) in one litre does to the pH, and where that was seen."""

    what: str
    unit: str
    ph_per_dose: float
    standard: float
    most_move: float
    low_ph: float
    high_ph: float


@dataclass(frozen=True)
class Needed:
    """How much to add: likely, the band that holds it 95 times in 100, and what to mind."""

    amount: float
    low: float
    high: float
    unit: str
    beyond: bool
    cautions: tuple[str, ...]


def response(
    what: str, unit: str, trials: Sequence[Trial], kind: Kind = "acid", meter_ph: float = METER_PH
) -> Response:
    """The line through trials, from nought: s = sum(dose move) / sum(dose²).

    Its doubt is the meter's, twice in each move, or the trials' own scatter where three or more scatter more.

    Raises:
        MovedTheWrongWay, UnlikeTrials, NoMove: trials that cannot be, or tell nothing.
        OutOfRange: an amount, volume or pH that cannot be.
    """
    for trial in trials:
        _check(trial)
    if len(trials) == 0:
        raise OutOfRange("number of trials", 0.0, "", 1.0, math.inf, "Try a little in a jar first.")
    signs = {
        math.copysign(1.0, t.move) for t in trials if abs(t.move) > COVERAGE_95 * meter_ph * math.sqrt(2.0)
    }
    if len(signs) > 1:
        raise UnlikeTrials(what)
    squares = sum(t.dose**2 for t in trials)
    slope = sum(t.dose * t.move for t in trials) / squares
    standard = meter_ph * math.sqrt(2.0 / squares)
    if len(trials) > 2:
        scatter = sum((t.move - slope * t.dose) ** 2 for t in trials) / (len(trials) - 1)
        standard = max(standard, math.sqrt(scatter / squares))
    largest = max(trials, key=lambda t: abs(t.move))
    if abs(slope) < COVERAGE_95 * standard:
        raise NoMove(largest.move, COVERAGE_95 * meter_ph * math.sqrt(2.0))
    if (slope > 0.0) == (kind == "acid"):
        raise MovedTheWrongWay(
            what, "an acid" if kind == "acid" else "a base", largest.ph_before, largest.ph_after
        )
    seen = [ph for t in trials for ph in (t.ph_before, t.ph_after)]
    return Response(what, unit, slope, standard, abs(largest.move), min(seen), max(seen))


def _check(trial: Trial) -> None:
    if not trial.amount > 0.0:
        raise MoreThanNothing("What went into the trial", trial.amount, "", "5 mL")
    if not trial.volume_l > 0.0:
        raise MoreThanNothing("The mash of the trial", trial.volume_l, "L", "1 L")
    for ph in (trial.ph_before, trial.ph_after):
        _check_ph(ph)


def _check_ph(ph: float) -> None:
    if not 1.0 <= ph <= 13.0:
        raise OutOfRange("pH", ph, "", 1.0, 13.0, "A mash lies between 4 and 7: check the meter.")


def needed(
    seen: Response, ph_now: float, ph_target: float, volume_l: float, meter_ph: float = METER_PH
) -> Needed:
    """How much brings so many litres to a pH, with its band; the doubt of the line and of the reading now.

    Raises:
        TargetTheOtherWay: the pH would have to move against what the addition does.
        OutOfRange: a pH or a volume that cannot be.
    """
    _check_ph(ph_now)
    _check_ph(ph_target)
    if not volume_l > 0.0:
        raise MoreThanNothing("The mash", volume_l, "L", "460 L")
    move = ph_target - ph_now
    if abs(move) < 0.005:
        return Needed(0.0, 0.0, 0.0, seen.unit, beyond=False, cautions=())
    if move * seen.ph_per_dose < 0.0:
        raise TargetTheOtherWay(seen.what, seen.ph_per_dose < 0.0, ph_now, ph_target)
    amount = move * volume_l / seen.ph_per_dose
    share = math.hypot(seen.standard / seen.ph_per_dose, meter_ph / move)
    half = COVERAGE_95 * share * amount
    beyond = abs(move) > FURTHEST * seen.most_move
    return Needed(
        amount=amount,
        low=max(amount - half, 0.0),
        high=amount + half,
        unit=seen.unit,
        beyond=beyond,
        cautions=_cautions(seen, ph_now, ph_target, beyond=beyond),
    )


def _cautions(seen: Response, ph_now: float, ph_target: float, *, beyond: bool) -> tuple[str, ...]:
    said = ["Add half, stir well, wait, read again; then the rest by what that half did."]
    if beyond:
        said.append(
            f"The trial moved the pH by {seen.most_move:.2f} and this asks for "
            f"{abs(ph_target - ph_now):.2f}: so far out the line is a guess. Try a larger dose "
            "in a jar first."
        )
    margin = 0.5 * seen.most_move
    if not all(seen.low_ph - margin <= ph <= seen.high_ph + margin for ph in (ph_now, ph_target)):
        said.append(
            f"The trial was made between pH {seen.low_ph:.2f} and {seen.high_ph:.2f}; elsewhere the same "
            "dose moves it more or less. Make a trial where you are."
        )
    return tuple(said)


def calcium_mg_l(salt: str, grams: float, volume_l: float) -> float:
    """Calcium that so many grams of a salt bring to so many litres [mg/L], by its formula."""
    return 1000.0 * grams * _calcium_share(salt) / volume_l


def calcium_salt_g(
    salt: str, volume_l: float, has_mg_l: float = 0.0, wanted_mg_l: float = CALCIUM_MG_L
) -> float:
    """Salt that brings the calcium of so many litres to what is wanted [g]; none where it is there."""
    return max(wanted_mg_l - has_mg_l, 0.0) * volume_l / (1000.0 * _calcium_share(salt))


def _calcium_share(salt: str) -> float:
    if salt not in CALCIUM_SHARE:
        near = difflib.get_close_matches(salt, CALCIUM_SHARE, n=1)
        raise UnknownName("calcium salt", salt, near[0] if near else None, tuple(CALCIUM_SHARE))
    return CALCIUM_SHARE[salt]


@dataclass(frozen=True)
class Backset:
    """Share of the liquor to take as backset, its litres, and how much of the way to the target it goes."""

    share: float
    low_share: float
    high_share: float
    litres: float
    reaches_ph: float
    cautions: tuple[str, ...]


def backset_trial(share: float, ph_without: float, ph_with: float) -> Trial:
    """A trial mix of mash with a share of its liquor as backset, beside one without."""
    return Trial(100.0 * share, 1.0, ph_without, ph_with)


def backset_share(seen: Response, ph_now: float, ph_target: float, liquor_l: float) -> Backset:
    """Backset that brings the mash to a pH, by trial mixes; never more than 30 % of the liquor.

    seen: the response to `backset_trial`s. liquor_l: all liquor, backset included [L].
    """
    wanted = needed(seen, ph_now, ph_target, 1.0)
    share = min(wanted.amount / 100.0, BACKSET_MOST_SHARE)
    cautions = list(wanted.cautions[1:])
    if wanted.amount / 100.0 > BACKSET_MOST_SHARE:
        cautions.append(
            f"The target asks for {wanted.amount:.0f} % backset; more than "
            f"{100.0 * BACKSET_MOST_SHARE:.0f} % slows the yeast. Take that and move the rest with acid."
        )
    elif share > BACKSET_USUAL_SHARE:
        cautions.append("That is more than the usual quarter: watch that the ferment starts well.")
    return Backset(
        share=share,
        low_share=min(wanted.low / 100.0, BACKSET_MOST_SHARE),
        high_share=min(wanted.high / 100.0, BACKSET_MOST_SHARE),
        litres=share * liquor_l,
        reaches_ph=ph_now + 100.0 * share * seen.ph_per_dose,
        cautions=tuple(cautions),
    )
