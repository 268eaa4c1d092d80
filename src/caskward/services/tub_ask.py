"""What now? A tub's readings in, the likely causes, the check that tells most and what to do out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path

from caskward.catalogue.load import Catalogue, load
from caskward.errors import NoReadings
from caskward.planning.intent import Intent
from caskward.planning.readings import Reading, Stage, of_quantity
from caskward.planning.sizing import Sized, size
from caskward.planning.tub.ask import Answer, ask
from caskward.planning.tub.explain import Model, weigh
from caskward.planning.tub.ferment_mend import ferment_mends
from caskward.planning.tub.ferment_model import ferment_model
from caskward.planning.tub.mash_model import mash_model
from caskward.planning.tub.mend import mends
from caskward.services import plans, tub_typed
from caskward.units.types import UnitSystem

_ENOUGH_WORLDS = 512
"""Worlds to size the batch with: a question is about its tub, whose figures follow from the likely one."""


_USUAL_C: dict[str, tuple[float, float]] = {"mash": (30.0, 95.0), "ferment": (0.0, 45.0)}
"""Where a tub's warmth lies, in trouble too; *common practice, no source*."""
_RISES = 0.004
"""Gravity beyond what two careful readings differ by; *common practice, no source*."""


@dataclass(frozen=True)
class TubAnswer:
    """The answer to a question about a tub, with what a face needs to say it."""

    name: str
    place: str
    invented: bool
    show: UnitSystem
    stage: Stage
    pot_l: float | None
    tub_spare_l: float
    answer: Answer
    cautions: tuple[str, ...]
    left_out: tuple[str, ...]
    minds: tuple[str, ...]


def question(source: str, rows: Sequence[str], folder: Path | None = None) -> TubAnswer:
    """Answer what may be wrong with a plan's tub.

    Args:
        source: the plan's file. rows: readings as typed, `mash 90 min: starch blue, 62 C`. folder: of the
            plan's file, for the files it names.

    Raises:
        InputError: a plan or a reading that cannot be used; no reading at all; a mash without starch.
    """
    readings = tub_typed.rows(rows)
    if not readings:
        raise NoReadings
    catalogue = load()
    intent = plans.intent_text(source, folder)
    sized = size(replace(intent, worlds=min(intent.worlds, _ENOUGH_WORLDS)))
    stage: Stage = "ferment" if any(r.stage == "ferment" for r in readings) else "mash"
    own = [r for r in readings if r.stage == stage]
    model = _model(stage, intent, sized)
    weighed = weigh(model, own, max(r.at_h for r in own))
    found = ask(weighed, mends if stage == "mash" else ferment_mends)
    pot = intent.gear.cook_pot
    return TubAnswer(
        name=intent.name,
        place=intent.place,
        invented=intent.invented,
        show=intent.show,
        stage=stage,
        pot_l=pot.working_volume_l if pot else None,
        tub_spare_l=_spare_l(sized),
        answer=found,
        cautions=_cautions(stage, catalogue, intent),
        left_out=_left_out(readings, stage),
        minds=(*_far_warmth(own), *_rising(own)),
    )


def _model(stage: Stage, intent: Intent, sized: Sized) -> Model:
    if stage == "mash":
        return mash_model(intent, sized.method)
    return ferment_model(intent, sized.method)


def _spare_l(sized: Sized) -> float:
    volume_l = sized.course.mash.tub.volume_l / sized.method.ferments
    return max(sized.intent.gear.tub.working_l - float(volume_l.mean()), 0.0)


def _cautions(stage: Stage, catalogue: Catalogue, intent: Intent) -> tuple[str, ...]:
    where = "convert" if stage == "mash" else "ferment"
    return tuple(c.text for c in catalogue.cautions.at(where, intent.practice.key, intent.gear.tub.kind.key))


def _left_out(readings: Sequence[Reading], stage: Stage) -> tuple[str, ...]:
    """Rows of an earlier stage: a question is about one stage."""
    others = tuple(dict.fromkeys(r.said for r in readings if r.stage != stage))
    return tuple(f"Not used, for the question is about the {stage}: {row}" for row in others)


def _far_warmth(readings: Sequence[Reading]) -> tuple[str, ...]:
    """Temperatures that a tub hardly has at that stage: most often the other unit was meant."""
    least_c, most_c = _USUAL_C[readings[0].stage]
    return tuple(
        f"{r.said!r} is {r.value:.0f} °C, {1.8 * r.value + 32.0:.0f} °F: hardly that of a {r.stage}. "
        "Is its unit right?"
        for r in of_quantity(readings, "temperature", "second_thermometer")
        if not least_c <= r.value <= most_c
    )


def _rising(readings: Sequence[Reading]) -> tuple[str, ...]:
    """Gravities that go up while yeast works, which none does."""
    if readings[0].stage != "ferment":
        return ()
    pairs = pairwise(of_quantity(readings, "gravity"))
    return tuple(
        f"The gravity goes up from {early.value:.3f} to {late.value:.3f}, which no ferment does: one of them "
        "was misread. Read it again, cooled and strained, before you do anything."
        for early, late in pairs
        if late.value - early.value > _RISES
    )
