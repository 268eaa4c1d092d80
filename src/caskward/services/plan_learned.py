"""Closing a batch: what its readings taught, beside the defaults, and the file for the next plan."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from caskward.errors import MissingValue, WouldLoseBatches, WouldLoseNotes
from caskward.planning.learned_file import MARK, learned_text
from caskward.planning.learned_gear import LearnedGear
from caskward.planning.learning import learn, moved
from caskward.planning.plan import Band
from caskward.planning.unknowns import Scale
from caskward.services import plan_update, plans, still_saved
from caskward.services.batch_typed import Rows
from caskward.services.kept_beliefs import Say, quiet
from caskward.services.plan_update import PlanUpdate, Told
from caskward.units.types import UnitSystem


@dataclass(frozen=True)
class HabitLine:
    """One thing that batches moved.

    mean, sd: its place in the default band, where 0 and 1 are the band's own. batches: how many told of it.
    """

    key: str
    words: str
    scale: Scale
    default: Band
    learned: Band
    mean: float
    sd: float
    batches: int


@dataclass(frozen=True)
class PlanLearned:
    """What is known of a maker's usual places after a batch.

    lines: what moved, the farthest first. still: how many things stand where they stood. update: this
    batch's own readings, as `plan update` says them. file_text: what is saved.
    """

    name: str
    place: str
    invented: bool
    show: UnitSystem
    batches: int
    readings: int
    lines: tuple[HabitLine, ...]
    still: int
    update: PlanUpdate
    file_text: str


def learned(source: str, rows: Rows, folder: Path | None = None, say: Say = quiet) -> PlanLearned:
    """Learn from a closed batch, on top of what its plan begins with.

    Args:
        source: the plan's file. rows: the readings of the whole batch. folder: of the file.
        say: told what is being worked on.

    Raises:
        InputError: a plan or a reading that cannot be used; no reading; a batch that was learned already.
    """
    if not rows.readings:
        raise MissingValue("plan learn", "the batch's readings", "--log batch.txt")
    return learned_of(plan_update.told(source, rows, folder, say))


def learned_of(told: Told) -> PlanLearned:
    """The same of a batch whose readings are taken in already.

    Raises:
        InputError: a batch that was learned already.
    """
    intent = told.before.sized.intent
    found = learn(told.read, intent.learned, still_saved.today())
    lines = tuple(
        HabitLine(m.name, m.words, m.scale, m.default, m.learned, m.mean, m.sd, m.batches)
        for m in moved(found)
    )
    return PlanLearned(
        name=intent.name,
        place=intent.place,
        invented=intent.invented,
        show=intent.show,
        batches=found.batches,
        readings=found.readings,
        lines=lines,
        still=len(found.habits) - len(lines),
        update=plan_update.report(told),
        file_text=learned_text(found),
    )


def save(text: str, out: Path, source: str, folder: Path | None = None) -> None:
    """Keep what was learned; a file of batches is written over only where the plan begins with it.

    Raises:
        WouldLoseBatches: other batches stand there. WouldLoseNotes: something else does.
        UnwritableFile: it cannot be written.
    """
    refuse_loss(out, source, folder)
    still_saved.save(text, out, MARK)


def refuse_loss(out: Path, source: str, folder: Path | None = None) -> None:
    """See to it, before any work, that saving would lose no batch that the plan does not begin with.

    Raises:
        WouldLoseBatches: it would. WouldLoseNotes: something else stands there.
    """
    if not out.exists():
        return
    if MARK not in still_saved.text_of(out):
        raise WouldLoseNotes(str(out))
    there = still_saved.learned_batches(out)
    own = plans.intent_text(source, folder).learned or LearnedGear()
    if not set(there.closed) <= set(own.closed):
        raise WouldLoseBatches(str(out))
