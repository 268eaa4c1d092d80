"""What is believed of a batch of the book, part by part, the quick ones first.

plan: the plan opened again, its stages · now: after its readings · next: what to read · why: whose the doubt
is · remedy: what can still be done. Each takes seconds; what is believed is kept by `kept_beliefs`.
"""

from __future__ import annotations

from dataclasses import dataclass

from caskward.catalogue.load import load
from caskward.planning.cards import stage_cards
from caskward.planning.plan import StageCard
from caskward.planning.readings import STAGES, Reading, Stage
from caskward.planning.sizing import Sized
from caskward.planning.tub.timings import dry
from caskward.services import plan_doubt, plan_glimpse, plan_remedy, plan_update, words
from caskward.services.batch_receivers import RunKey
from caskward.services.book import plan_kept
from caskward.services.book.batch_record import BatchRecord, with_row
from caskward.services.book.opened import Book
from caskward.services.book.stage_reached import reached
from caskward.services.plan_doubt import Next, Why
from caskward.services.plan_figures import outcome
from caskward.services.plan_glimpse import FirstLook, Glimpse
from caskward.services.plan_remedy import RemedyReport
from caskward.services.plan_update import PlanUpdate, Told
from caskward.services.river import River, river
from caskward.services.run_forecast import RunForecast, run_forecast
from caskward.units.types import UnitSystem

_FILL = "fill"


@dataclass(frozen=True)
class Opened:
    """A batch's plan, opened again."""

    sized: Sized
    notes: tuple[str, ...]


@dataclass(frozen=True)
class Now:
    """What is believed now."""

    told: Told
    report: PlanUpdate


@dataclass(frozen=True)
class StageShown:
    """A stage of the plan in words: its figures with how each is meant, what to know, what to mind."""

    key: str
    title: str
    targets: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]


def opened(book: Book, of: BatchRecord) -> Opened:
    """Its plan.

    Raises:
        NothingPlanned: it has none. PlanNotReopened: today's Caskward reads it otherwise.
    """
    found = plan_kept.sized_of(book, of.name)
    return Opened(found.sized, found.notes)


def now(plan: Opened, of: BatchRecord) -> Now:
    """What is believed after its readings; without any, what the plan says.

    Raises:
        InputError: readings that do not go together, or not with the plan.
    """
    told = plan_update.told_of(plan.sized, plan_update.rows_of((), of.rows))
    return Now(told, plan_update.report(told))


def run_of(of: Now, key: RunKey) -> RunForecast:
    """One of its runs as it is believed to go."""
    return run_forecast(of.told.now, key)


def next_of(of: Now) -> Next:
    """What to read next."""
    return plan_doubt.next_of(of.told, outcome(_FILL))


def next_by_deeds(of: BatchRecord, found: Next) -> Next:
    """The same without what is over by the deeds of the book: nobody reads a mash that ferments."""
    stage = come_to(of)
    found = found if stage is None else plan_doubt.from_stage(found, stage)
    run = of.runs.now
    return found if run is None else plan_doubt.from_litres(found, run[0], of.runs.over_l(run))


def come_to(of: BatchRecord) -> Stage | None:
    """The stage that it has come to; past the strips, or the runs, once the book has all that are planned."""
    stage = reached(of.happened)
    entered = dict(zip(("strip", "run"), zip(of.runs.entered, of.runs_planned, strict=True), strict=True))
    done, planned = entered.get(stage or "", (0, 1))
    return STAGES[STAGES.index(stage) + 1] if stage and 0 < planned <= done else stage


def why_of(of: Now) -> Why:
    """Whose the doubt is."""
    return plan_doubt.why_of(of.told, outcome(_FILL))


def remedy_of(of: Now) -> RemedyReport:
    """What can still be done."""
    return plan_remedy.remedy_of(of.told)


def cards_of(plan: Opened) -> tuple[StageCard, ...]:
    """Every stage of the plan."""
    return stage_cards(plan.sized, load().cautions, dry(plan.sized))


def shown(card: StageCard, system: UnitSystem) -> StageShown:
    """A stage in words."""
    targets = tuple((one.words, words.target(one, system)) for one in card.targets)
    return StageShown(card.key, card.title, targets, card.notes, card.cautions)


def river_of(of: BatchRecord, plan: Opened | None, believed: Now | None) -> River:
    """Its alcohol on its way, as far as anything is known yet."""
    planned = plan.sized.course if plan else None
    expected = believed.told.now.course if believed else None
    return river(planned, expected, of.recorded)


def first_look(of: BatchRecord, believed: Now) -> FirstLook | None:
    """About what its rows say, by what was believed before the last; nothing if one says what was done.

    Raises:
        InputError: rows that are not understood, or do not go together.
    """
    rows = plan_update.rows_of((), of.rows)
    if rows.done:
        return None
    told, report = believed.told, believed.report
    every: list[Reading] = [*told.readings, *(one for one in rows.readings if one not in told.readings)]
    found = plan_glimpse.glimpse_from(told.read, told.before, every)
    return FirstLook(found, report.chance_now, report.wanted_l, report.entry_pct_vol)


def glimpse(of: BatchRecord, believed: Now, row: str) -> Glimpse | None:
    """About what one more row does; nothing of what was done, which takes a new forecast.

    Raises:
        InputError: a row that is not understood.
    """
    rows = with_row(of, row)
    if len(rows.done) > 0:
        return None
    told = believed.told
    every: list[Reading] = [*told.readings]
    every += [one for one in rows.readings if one not in told.readings]
    return plan_glimpse.glimpse_from(told.read, told.before, every)
