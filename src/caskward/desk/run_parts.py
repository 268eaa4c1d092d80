"""Parts of a run's page: where it stands, its charts, its shelf, what a choice makes."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

from caskward.desk import batch_parts, deeds, run_drawing
from caskward.desk.run_pages import (
    ChangeForm,
    RunChosen,
    RunDrawn,
    RunNow,
    RunRuns,
    RunShelf,
    RunTab,
    RunWhich,
)
from caskward.desk.run_thoughts import Known
from caskward.desk.screens import BATCHES
from caskward.services import run_choice, run_day, run_shelf
from caskward.services.batch_receivers import FORESHOTS, RunKey
from caskward.services.book.batch_record import BatchRecord
from caskward.services.run_log import RunLog
from caskward.services.run_units import typed_litres
from caskward.units import show
from caskward.units.types import UnitSystem

_MORE_L = 0.005
_LATE_WORDS = (
    "Recorded now, it is the heart of {run}. The whole heart, which the cask's forecast follows, is recorded "
    "with the last run."
)


@dataclass(frozen=True)
class Seen:
    """What every part is made from."""

    of: BatchRecord
    key: RunKey
    known: Known
    system: UnitSystem

    @property
    def log(self) -> RunLog:
        """What rows say of the batch's runs."""
        return self.of.runs

    @property
    def word(self) -> str:
        """The run as a word of an address: `run-2`."""
        return f"{self.key[0]}-{self.key[1]}"

    @property
    def begin(self) -> str:
        """How a row says that it is of this run: `run 2`."""
        return begin_of(self.key)

    @property
    def path(self) -> str:
        """The page of the batch's runs."""
        return f"{batch_parts.path_of(self.of.name)}/run"

    @property
    def runs(self) -> int:
        """How many such runs the plan has; 0 if that is not known."""
        strips, spirit_runs = self.of.runs_planned
        return strips if self.key[0] == "strip" else spirit_runs

    @property
    def share(self) -> run_choice.Share | None:
        """The part of the heart that a choice here is; None where it is the whole heart, or of a strip."""
        return run_choice.share_of(self.log, self.key, self.runs) if self.key[0] == "run" else None

    def part(self, name: str) -> dict[str, Any]:
        """What all parts have."""
        return {
            "title": self.of.name,
            "screen": BATCHES.key,
            "name": name,
            "path": f"{self.path}/{name}?of={self.word}",
            "slug": batch_parts.slug_of(self.of.name),
            "waiting": self.known.waiting,
            "stale": self.known.stale,
            "error": self.known.error,
        }


def begin_of(key: RunKey) -> str:
    """How a row says of which run it is: `run 2`."""
    return f"{key[0]} {key[1]}"


def now(seen: Seen) -> RunNow:
    """Where the run stands."""
    log, key, system = seen.log, seen.key, seen.system
    over_l = log.over_l(key)
    begun = log.is_running(key)
    here = typed_litres(over_l, system)
    spirit = key[0] == "run"
    if system == "us":
        read = "142 proof at 75 F" if spirit else "60 proof at 75 F"
    else:
        read = "71.2 % at 24 C" if spirit else "30 % at 24 C"
    first = "0.25 gal" if system == "us" else "1 L"
    return RunNow(
        **seen.part("now"),
        standing=run_day.standing(log, key, seen.known.forecast, system),
        begun=begun,
        begin=f"{seen.begin} at {here}" if over_l > 0.0 else f"{seen.begin} at",
        at=here if over_l > 0.0 else "",
        example=read if over_l > 0.0 else f"{first}: {read}",
        head_example="182 F" if system == "us" else "84.1 C",
    )


def drawn(seen: Seen) -> RunDrawn:
    """The charts."""
    forecast = seen.known.forecast
    if forecast is None:
        return RunDrawn(**seen.part("chart"), charts=(), rows=())
    return RunDrawn(
        **seen.part("chart"),
        charts=run_drawing.charts(seen.log, forecast, seen.system),
        rows=run_day.rows(forecast, seen.log, seen.key, seen.system),
    )


def which(seen: Seen, before: str = "", newest: str = "", typed: str = "") -> RunWhich:
    """Receivers to mark, the newest first. None is foreshots unless it is chosen.

    Args:
        before: what was chosen. newest: what was the newest then. typed: what stands in the field already.
    """
    own = tuple(reversed(seen.log.of_kind(seen.key[0])))
    names = tuple((f"{begin_of(one.of)} {one.name}", one.name) for one in own)
    last = next((row for row, name in names if not name.startswith(FORESHOTS)), "")
    # A jar that came meanwhile is the one that is smelled, but not under the fingers of who types.
    stays = before in dict(names) and (bool(typed) or newest == last)
    return RunWhich(**seen.part("which"), names=names, newest=last, selected=before if stays else last)


def shelf(seen: Seen, taken: Collection[str], best: str = "") -> RunShelf:
    """The shelf, with what the taken ones make."""
    chooses = seen.key[0] == "run"
    receivers = seen.log.of_kind("run") if chooses else seen.log.of_run(seen.key)
    jars = run_shelf.shelf(receivers, seen.known.forecast, taken, seen.system)
    filling_l = seen.log.over_l(seen.key) - sum(one.volume_l for one in seen.log.of_run(seen.key))
    return RunShelf(
        **seen.part("shelf"),
        jars=jars,
        filling=show.volume(filling_l, seen.system) if filling_l > _MORE_L else "",
        settled=frozenset(one.name for one in receivers if chooses and seen.log.is_settled(one)),
        seen=",".join(one.name for one in jars),
        of=seen.word,
        page=seen.path,
        congeners=tuple((one.name, *(text for _, text in one.congeners)) for one in jars if one.congeners),
        chooses=chooses,
        planned=bool(seen.of.plan),
        best=best,
        choice=choice(seen, taken),
    )


def choice(seen: Seen, taken: Collection[str]) -> RunChosen:
    """What the taken ones make."""
    log, planned = seen.log, bool(seen.of.plan)
    share = seen.share
    chosen = run_choice.chosen(log, seen.known.forecast, taken, seen.system, share, planned=planned)
    recorded = _recorded(log, seen.key)
    # Until the forecast is there, a jar that was not read would be left out without being meant to.
    guessing = seen.known.waiting and seen.known.forecast is None
    rows = "" if recorded or guessing or not seen.of.is_open else "\n".join(chosen.rows)
    early = ""
    if share and share.runs:
        early = _LATE_WORDS.format(run=run_day.name_of(seen.key, share.runs).lower())
    return RunChosen(**seen.part("choice"), chosen=chosen, rows=rows, recorded=recorded, early=early)


def _recorded(log: RunLog, key: RunKey) -> str:
    """What is recorded as taken of this run, or of all of them."""
    if log.whole:
        return ", ".join(log.taken)
    own = {one.name for one in log.of_run(key)} if key in log.hearts else set()
    return ", ".join(name for name in log.taken if name in own)


def taken(seen: Seen, ticked: Collection[str] | None, shown: Collection[str]) -> tuple[str, ...]:
    """What is taken: as ticked; what was not on the page yet, or everything before a tap, by its marks.

    What is recorded of a run stays, whatever is ticked.

    Args:
        ticked: None before any tap. shown: what was on the page when it was ticked.
    """
    first = run_shelf.taken_first(seen.log, seen.known.forecast)
    if ticked is None:
        return first
    jars = [one for one in seen.log.of_kind("run") if not one.discarded]
    settled = {one.name for one in jars if seen.log.is_settled(one)}
    return tuple(
        one.name
        for one in jars
        if (one.name in ticked if one.name in shown and one.name not in settled else one.name in first)
    )


def runs(seen: Seen) -> RunRuns:
    """Every run of the batch."""
    past_strips = any(kind == "run" for (kind, _), _ in seen.log.begun)
    tabs = tuple(
        RunTab(
            name=one.name,
            path=f"{seen.path}?of={one.key[0]}-{one.key[1]}",
            here=one.key == seen.key,
            begun=one.begun,
            else_words=_else_words(one, past_strips=past_strips),
        )
        for one in run_day.choices(seen.log, *seen.of.runs_planned, seen.key)
    )
    return RunRuns(**seen.part("runs"), tabs=tabs)


def _else_words(one: run_day.RunChoice, *, past_strips: bool) -> str:
    if one.entered:
        return "in the book"
    return "not recorded here" if one.key[0] == "strip" and past_strips else "to come"


def change_form(seen: Seen) -> ChangeForm:
    """The form that a receiver is changed with: the one before it says what comes next most likely."""
    own = seen.log.of_run(seen.key)
    spirit = seen.key[0] == "run"
    before = next((one for one in reversed(own) if not one.name.startswith(FORESHOTS)), None)
    small, large = ("1 qt", "5 gal") if seen.system == "us" else ("1 L", "20 L")
    vessel, words = ("jar", small) if spirit else ("can", large)
    if before is not None:
        vessel, words = before.vessel, typed_litres(before.volume_l, seen.system)
    next_words = words
    if spirit and not own:
        vessel, words = FORESHOTS, "10 fl oz" if seen.system == "us" else "300 mL"
    strength = "148 proof at 72 F, +1, bread" if seen.system == "us" else "74.2 % at 22 C, +1, bread"
    if not spirit:
        strength = "64 proof at 72 F" if seen.system == "us" else "32 % at 22 C"
    return ChangeForm(
        key=deeds.new_key(),
        begin=seen.begin,
        vessels=("jar", "can", FORESHOTS) if spirit else ("can", "jar"),
        vessel=vessel,
        words=words,
        next_words=next_words,
        example=f"{next_words}, {strength}",
    )
