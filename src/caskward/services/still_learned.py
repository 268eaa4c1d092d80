"""What a still's logged runs teach: its reflux and heat loss with their doubt, beside the catalogue's."""

from __future__ import annotations

from dataclasses import dataclass

from caskward.catalogue.fact import Fact
from caskward.catalogue.load import load
from caskward.planning.learned_still import learned_text
from caskward.planning.log_checks import refuse_impossible
from caskward.planning.plan import Band
from caskward.planning.still_learning import LearnedStill, learn_still
from caskward.planning.still_log import priors_of
from caskward.services.still_files import RunLog
from caskward.services.still_saved import today
from caskward.stages.distil import Still


@dataclass(frozen=True)
class HabitLine:
    """One habit: before and after; `sentence` says both and how many runs stand behind it."""

    key: str
    words: str
    unit: str
    default: Band
    learned: Band
    runs: int
    readings: int
    sentence: str


@dataclass(frozen=True)
class DoubtedLine:
    """A reading that the fit hardly believes, in %vol at `collected_l`, or in hours for a heat-up (None).

    counts_for: how much of a good reading it counts for (0..1).
    """

    run: str
    reading: str
    read: float
    expected: float
    counts_for: float
    collected_l: float | None


@dataclass(frozen=True)
class LearnedReport:
    """A still after its runs. settled: the fit came to rest; where not, the figures are rough.

    warnings: where a figure leaves the ground that its model was made for. file_text: what is saved.
    """

    still: str
    runs: int
    readings: int
    habits: tuple[HabitLine, ...]
    doubted: tuple[DoubtedLine, ...]
    settled: bool
    warnings: tuple[str, ...]
    file_text: str


def learned(log: RunLog) -> LearnedReport:
    """Fit a still's habits to its logged runs; `file_text` keeps them for plans and runs to come.

    Raises:
        UnknownName: a still that is not in the catalogue. ImpossibleReading: a reading that cannot be.
    """
    kind = load().still(log.kind)
    dead = None if log.hold_up_l is None else Fact(*log.hold_up_l, "maker", "maker")
    still = Still.at_altitude(log.altitude_m, 1.0)
    for run in log.runs:
        refuse_impossible(run, still)
    found = learn_still(priors_of(kind, dead), still, log.runs)
    readings = sum(len(run.points) + (run.heat_up is not None) for run in log.runs)
    habits = tuple(
        HabitLine(
            one.name,
            one.words,
            "share" if one.unknown.scale == "share" else "L",
            one.default,
            one.learned,
            one.runs,
            one.readings,
            one.sentence,
        )
        for one in found.habits
    )
    doubted = tuple(
        DoubtedLine(d.run, d.reading, d.read, d.expected, d.weight, d.collected_l) for d in found.doubted
    )
    kept = learned_text(found, kind, readings, today())
    return LearnedReport(kind.name, found.runs, readings, habits, doubted, found.settled, _far(found), kept)


def _far(found: LearnedStill) -> tuple[str, ...]:
    """Habits that hardly any still of the kind has: rather a wrong figure in the log than a strange still."""
    return tuple(
        f"{h.words[:1].upper()}{h.words[1:]} comes out farther from the catalogue than 1 still in 80 lies. "
        "Before you trust it, look at the power, the charges and the temperature of the samples."
        for h in found.habits
        if h.runs and h.far
    )
