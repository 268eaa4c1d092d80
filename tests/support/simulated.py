"""Simulated batches: a truth drawn from the plan's doubts, readings of it that err, and where it ranks.

Source of the method: Talts et al. (2018), Validating Bayesian inference algorithms with simulation-based
calibration, arXiv 1804.06788: the truth's rank among draws of what is believed is even, from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from caskward.planning.belief.tempering import Care
from caskward.planning.belief.weighing import SLIP, Number, YesNo, with_slips
from caskward.planning.forecast import Course, forecast
from caskward.planning.likelihood import WRONG_BY, seen
from caskward.planning.log_slips import LOGS, Log, Row
from caskward.planning.observing import Settings, Watched, driven, unknowns_of
from caskward.planning.readings import QUANTITIES, STAGES, Quantity, Reading, Stage, reading_of
from caskward.planning.sizing import Sized, size
from caskward.planning.unknowns import Draw, draw_of
from caskward.planning.update import Belief, begin, update
from tests.support.batches import intent_of

Asked = tuple[Stage, str, float, float]
"""What may be read: stage, quantity, hours, litres."""
ASKED: tuple[Asked, ...] = (
    ("mash", "gravity", 1.0, 0.0),
    ("mash", "gravity_checked", 2.0, 0.0),
    ("mash", "volume", 1.0, 0.0),
    ("mash", "starch", 1.5, 0.0),
    ("ferment", "gravity", 24.0, 0.0),
    ("ferment", "gravity", 72.0, 0.0),
    ("ferment", "volume", 0.0, 0.0),
    ("wash", "gravity", 0.0, 0.0),
    ("wash", "volume", 0.0, 0.0),
    ("wash", "strength", 0.0, 0.0),
    ("strip", "spout", 0.0, 10.0),
    ("strip", "volume", 0.0, 0.0),
    ("strip", "strength", 0.0, 0.0),
    ("charge", "volume", 0.0, 0.0),
    ("charge", "strength", 0.0, 0.0),
    ("run", "spout", 0.0, 8.0),
    ("heart", "volume", 0.0, 0.0),
    ("heart", "strength", 0.0, 0.0),
    ("cask", "strength", 720.0, 0.0),
)
"""One of each kind along the whole batch."""


@cache
def sized_of(name: str, worlds: int) -> Sized:
    """A starting point, sized."""
    return size(intent_of(name, worlds=worlds))


def outcomes(course: Course) -> dict[str, NDArray[np.float64]]:
    """What is tracked of a batch, over worlds."""
    cask = course.filled.cask_record
    return {
        "fill": course.available_l,
        "mash gravity": course.mash.convert.specific_gravity,
        "wash strength": course.wash.strength_pct_vol,
        "wash volume": course.wash.volume_l,
        "low wines volume": course.low_wines.volume_l,
        "low wines alcohol": course.low_wines.ethanol_kg,
        "heart volume": course.spirit.receivers.heart.volume_l,
        "settled strength": cask.settled_pct_vol,
    }


def truth_of(sized: Sized, rng: np.random.Generator) -> Draw:
    """One world of what is not known of a batch; independent of the plan's own worlds."""
    names = begin(sized, 2).names
    deviates = {name: rng.standard_normal(1) for name in names}
    return draw_of(unknowns_of(sized), deviates, 1, sized.intent.seed)


LOGGED: tuple[Asked, ...] = (
    ("mash", "temperature", 1.0, 0.0),
    ("mash", "temperature", 2.5, 0.0),
    ("mash", "ph", 1.0, 0.0),
    ("ferment", "temperature", 36.0, 0.0),
    ("ferment", "temperature", 60.0, 0.0),
)
"""Rows of a log of warmth and pH, as a maker may write them."""


def logged_truth(
    sized: Sized, truth: Draw, asked: Sequence[Asked], rng: np.random.Generator
) -> tuple[Draw, tuple[Reading, ...]]:
    """A truth that was kept as makers do, and its log as it was written: one row in fifty is simply wrong."""
    blank = [reading_of(stage, quantity, _some(quantity), at_h) for stage, quantity, at_h, _ in asked]
    settings, deviates = Settings(sized), dict(truth.deviates)
    written: list[Reading] = []
    for of in LOGS:
        if any(of.holds(b) for b in blank):
            found, z = _written(of, sized, [b for b in blank if of.holds(b)], settings, rng)
            written += found
            deviates[of.name] = np.array([z])
    return draw_of(unknowns_of(sized, written), deviates, 1, sized.intent.seed), tuple(written)


def _written(
    of: Log, sized: Sized, blank: Sequence[Reading], settings: Settings, rng: np.random.Generator
) -> tuple[list[Reading], float]:
    """The rows of one log, and the deviate of the pattern of those that are right.

    Drawn again where no instrument could show it, or where it is so unlikely that the model leaves it out.
    """
    planned = _planned(of, sized, blank, settings)
    kind = QUANTITIES[of.first]
    for _ in range(1000):
        right, off = _kept_by_a_maker(of, blank, planned, rng)
        values = [c + o for c, o in zip(planned, off, strict=True)]
        if not all(kind.low <= v <= kind.high for v in values):
            continue
        rows = [replace(b, value=v) for b, v in zip(blank, values, strict=True)]
        found = Watched(sized, begin(sized, 2).worlds, rows, settings).patterns(of)
        same = np.flatnonzero(np.all(found.followed == np.array(right), axis=1))
        if same.size:
            return rows, found.middle_z(int(same[0]))
    raise AssertionError("no maker could write this")


def _planned(of: Log, sized: Sized, blank: Sequence[Reading], settings: Settings) -> list[float]:
    at_h = np.array([b.at_h for b in blank])
    if of.stage == "ferment":
        return settings.tub_c(tuple(at_h.tolist())).tolist()
    assert settings.rests is not None
    return (settings.rests.ph(at_h) if of.first == "ph" else settings.rests.temp_c(at_h)).tolist()


def _kept_by_a_maker(
    of: Log, blank: Sequence[Reading], planned: Sequence[float], rng: np.random.Generator
) -> tuple[list[bool], list[float]]:
    """Which rows are right, and how far off the plan each stands, by the model's own account."""
    kind, right, off = QUANTITIES[of.first], [], []
    last: Row | None = None
    for b, plan in zip(blank, planned, strict=True):
        again = bool(right) and not right[-1]
        wrong = rng.random() < (0.5 if again else SLIP)
        if wrong and again and rng.random() < 0.5:
            found = off[-1] + of.strays * float(rng.standard_t(4))
        elif wrong:
            found = float(rng.uniform(kind.low, kind.high)) - plan
        else:
            gone = 1.0 if last is None else min((b.at_h - last.at_h) / of.back_h, 1.0)
            stays = last is not None and rng.random() >= 0.5 * gone
            scale = float(np.hypot(of.error, of.strays * np.sqrt(gone))) if stays else of.strays
            found = (last.value if last is not None and stays else 0.0) + scale * float(rng.standard_t(4))
        right.append(not wrong)
        off.append(found)
        last = last if wrong else Row(b.at_h, found)
    return right, off


def read(
    sized: Sized,
    truth: Draw,
    asked: Sequence[Asked],
    rng: np.random.Generator,
    log: Sequence[Reading] = (),
) -> tuple[Reading, ...]:
    """Readings of a truth, each with the error that its likelihood takes it to have.

    A reading that no instrument could show is drawn again. log: what the truth was driven by, as written.
    """
    blank = [
        reading_of(stage, quantity, _some(quantity), at_h, "", at_l) for stage, quantity, at_h, at_l in asked
    ]
    watched = Watched(sized, truth, (*blank, *log))
    return tuple(_read(watched, b, rng) for b in blank)


def _some(quantity: str) -> float:
    kind = QUANTITIES[quantity]
    return 0.5 * (kind.low + kind.high) if not kind.yes_or_no else 1.0


def _read(watched: Watched, blank: Reading, rng: np.random.Generator) -> Reading:
    expected = float(watched.expected(blank)[0])
    kind = QUANTITIES[blank.quantity]
    if kind.yes_or_no:
        judged = seen(blank)
        assert isinstance(judged, YesNo)
        yes = rng.random() < float(with_slips(np.array(expected), judged.slip))
        return reading_of(blank.stage, blank.quantity, float(yes), blank.at_h, "", blank.at_l)
    near = reading_of(blank.stage, blank.quantity, expected, blank.at_h, "", blank.at_l)
    judged = seen(near)
    assert isinstance(judged, Number)
    wrong = rng.random() < judged.slip
    for _ in range(1000):
        value = _anything(kind, expected, rng) if wrong else expected + judged.sd * float(rng.standard_t(4))
        if kind.low <= value <= kind.high:
            return Reading(blank.stage, blank.quantity, value, blank.at_h, near.sd, "", blank.at_l)
    raise AssertionError("no instrument could show this")


def _anything(kind: Quantity, expected: float, rng: np.random.Generator) -> float:
    """What a reading shows that is simply wrong: every value alike, or up to an order of size about it."""
    if kind.relative:
        return float(expected * WRONG_BY ** rng.uniform(-0.5, 0.5))
    return float(rng.uniform(kind.low, kind.high))


def some_of(rng: np.random.Generator, asked: Sequence[Asked] = ASKED, most: int = 8) -> tuple[Asked, ...]:
    """A few readings by chance, in the order of the batch: it may end anywhere along its way."""
    until = rng.integers(1, len(STAGES) + 1)
    possible = [a for a in asked if STAGES.index(a[0]) < until]
    count = int(rng.integers(1, min(most, len(possible)) + 1))
    picked = sorted(rng.choice(len(possible), size=count, replace=False))
    return tuple(possible[int(k)] for k in picked)


@dataclass(frozen=True)
class Ranked:
    """Where one truth lies among the worlds believed: share of them below it, by outcome; and how it went."""

    below: dict[str, float]
    readings: int
    runs: int
    whole: bool


def replicate(
    name: str,
    worlds: int,
    seed: int,
    asked: Sequence[Asked] = ASKED,
    care: Care | None = None,
    logged: Sequence[Asked] = (),
) -> Ranked:
    """One simulated batch: drawn, read, believed, ranked. Other worlds for each, as independent as truths.

    logged: rows of a log of warmth and pH that it has too, up to the stage that it was read in last.
    """
    rng = np.random.default_rng([2026, seed])
    sized = sized_of(name, worlds)
    truth = truth_of(sized, rng)
    some = some_of(rng, asked)
    last = max(STAGES.index(a[0]) for a in some)
    truth, log = logged_truth(sized, truth, [a for a in logged if STAGES.index(a[0]) <= last], rng)
    readings = read(sized, truth, some, rng, log)
    belief = update(own_worlds(sized, seed, worlds), (*readings, *log), care)
    return Ranked(
        _below(sized, truth, belief, log),
        len(readings),
        belief.particles.evaluations if belief.particles else 0,
        belief.particles.whole if belief.particles else True,
    )


def own_worlds(sized: Sized, seed: int, worlds: int) -> Belief:
    """A belief before any reading whose worlds are scrambled by a seed of their own."""
    own = replace(sized, intent=replace(sized.intent, seed=100_000 + seed))
    return begin(own, worlds)


def covered(below: NDArray[np.float64], share: float = 0.8) -> float:
    """Part of the truths within the middle share of what is believed."""
    return float(np.mean(np.abs(below - 0.5) <= 0.5 * share))


def evenness(below: NDArray[np.float64], bins: int) -> float:
    """Chance of ranks so uneven, or more so, if they are even (chi-square)."""
    from scipy import stats

    counts = np.histogram(below, bins, (0.0, 1.0))[0]
    return float(stats.chisquare(counts).pvalue)


def _below(sized: Sized, truth: Draw, belief: Belief, log: Sequence[Reading]) -> dict[str, float]:
    true = outcomes(forecast(sized.intent, driven(sized, log), truth))
    rng = np.random.default_rng(belief.sized.intent.seed)
    found = {}
    for key, values in outcomes(belief.course).items():
        under = np.count_nonzero(values < true[key][0])
        same = np.count_nonzero(values == true[key][0])
        # Rank among the worlds and itself; one of equal ones by chance.
        found[key] = float(under + rng.integers(0, same + 1) + rng.random()) / (len(values) + 1)
    return found
