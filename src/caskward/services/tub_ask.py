"""What now? A tub's readings in, the likely causes, the check that tells most and what to do out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path

from caskward.catalogue.load import Catalogue, load
from caskward.errors import NoReadings
from caskward.planning.cards import heated_by, tags_of
from caskward.planning.intent import Intent
from caskward.planning.readings import Reading, Stage, of_quantity
from caskward.planning.sizing import Sized, size
from caskward.planning.tub.ask import Answer, ask
from caskward.planning.tub.explain import Model, Weighed, weigh
from caskward.planning.tub.ferment_mend import ferment_mends
from caskward.planning.tub.ferment_model import ferment_model
from caskward.planning.tub.ferment_rest import Dryness, dryness
from caskward.planning.tub.mash_model import mash_model
from caskward.planning.tub.mend import Mend, mends
from caskward.services import plans, tub_typed
from caskward.units.types import UnitSystem

_ENOUGH_WORLDS = 512
"""Worlds to size the batch with: a question is about its tub, whose figures follow from the likely one."""


_USUAL_C: dict[str, tuple[float, float]] = {"mash": (30.0, 95.0), "ferment": (0.0, 45.0)}
"""Where a tub's warmth lies, in trouble too; *common practice, no source*."""
_RISES = 0.004
"""Gravity beyond what two careful readings differ by; *common practice, no source*."""
SURELY_DRY, MAYBE_DRY = 0.9, 0.5
"""Chance from which a ferment is called dry; from which it is said that it may be."""


@dataclass(frozen=True)
class TubAnswer:
    """The answer to a question about a tub, with what a face needs to say it.

    dry: everything read says that a ferment has nothing left to do; then no cause has a mend. dryness: how
    sure that is, where anything was read that tells. strains: whether the wash is taken off its grain.
    """

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
    dry: bool = False
    dryness: Dryness | None = None
    strains: bool = True


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
    intent = plans.intent_text(source, folder)
    return of_batch(size(replace(intent, worlds=min(intent.worlds, _ENOUGH_WORLDS))), readings)


def of_batch(sized: Sized, readings: Sequence[Reading]) -> TubAnswer:
    """The same of a batch that is sized already, and some readings of its tub; at least one."""
    catalogue, intent = load(), sized.intent
    stage: Stage = "ferment" if any(r.stage == "ferment" for r in readings) else "mash"
    own = [r for r in readings if r.stage == stage]
    model = _model(stage, intent, sized)
    weighed = weigh(model, own, max(r.at_h for r in own))
    dry = dryness(weighed) if stage == "ferment" else None
    minds = (*_far_warmth(own), *_rising(own))
    found, over = _found(weighed, stage, None if minds else dry)
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
        cautions=_cautions(stage, catalogue, sized, [m for c in found.causes for m in c.mends], over),
        left_out=_left_out(readings, stage),
        minds=minds,
        dry=over,
        dryness=dry,
        strains=intent.gear.straining.held_kg_per_kg_insolubles.high > 0,
    )


def _model(stage: Stage, intent: Intent, sized: Sized) -> Model:
    if stage == "mash":
        return mash_model(intent, sized.method)
    return ferment_model(intent, sized.method)


def _spare_l(sized: Sized) -> float:
    volume_l = sized.course.mash.tub.volume_l / sized.method.ferments
    return max(sized.intent.gear.tub.working_l - float(volume_l.mean()), 0.0)


def _found(weighed: Weighed, stage: Stage, dry: Dryness | None) -> tuple[Answer, bool]:
    """The answer, and whether a ferment is over: then no cause asks for a mend, nor for a check."""
    if dry is not None and dry.chance >= SURELY_DRY:
        found = ask(weighed, _no_mends)
        if not found.unexplained:
            return replace(found, check=None, more_checks=()), True
    return ask(weighed, mends if stage == "mash" else ferment_mends), False


def _no_mends(_: Weighed, __: int) -> tuple[Mend, ...]:
    """What is dry wants nothing done about any cause."""
    return ()


def _cautions(
    stage: Stage, catalogue: Catalogue, sized: Sized, told: Sequence[Mend], over: bool
) -> tuple[str, ...]:
    """Those of the stage, and of what the answer tells to do: the pot, acid or chalk, straining."""
    stages = ["convert" if stage == "mash" else "ferment"]
    in_pot = any(m.way == "boil again" or (m.way == "warm" and not m.fits) for m in told)
    stages += ["cook"] if in_pot else []
    stages += ["acid"] if any(m.way == "sour" for m in told) else []
    stages += ["separate"] if over or any(m.way == "strip now" for m in told) else []
    by_label = any(m.doses for m in told) or stage == "mash"
    tags = [tag for tag in tags_of(sized) if by_label or tag != "enzymes"]
    every = (c for where in stages for c in catalogue.cautions.at(where, *tags, heated_by(sized, where)))
    return tuple(c.text for c in every)


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
