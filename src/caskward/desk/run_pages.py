"""What the templates of a run's page may use; with help as in `pages`."""

from __future__ import annotations

from dataclasses import dataclass

from caskward.desk.batch_pages import ReadingForm
from caskward.desk.pages import RecordForm, Titled, told
from caskward.desk.run_drawing import Chart
from caskward.services.run_choice import Chosen
from caskward.services.run_day import Standing
from caskward.services.run_shelf import OnShelf


@dataclass(frozen=True, kw_only=True)
class RunPart(Titled):
    """A part of the page that asks for itself again when the book moves on."""

    name: str = told("The part's name, and its end of the address.")
    path: str = told("Where it is asked for again.")
    slug: str = told("The batch's name as a word for ids.")
    waiting: bool = told("Whether the forecast is still being worked out.")
    stale: bool = told("Whether the forecast is the one from before the last reading.")
    error: str = told("Why there is no forecast; empty while it is worked out, or there is one.")


@dataclass(frozen=True, kw_only=True)
class RunNow(RunPart):
    """Where the run stands."""

    standing: Standing = told("What is said of it, the most important first.")
    begun: bool = told("Whether rows speak of this run already.")
    begin: str = told("How a reading's row begins: `run 2 at 12 L`.")
    at: str = told("The litres that it goes to, in the maker's units; empty before any.")
    example: str = told("How a reading is written.")
    head_example: str = told("How the head's warmth is written.")


@dataclass(frozen=True, kw_only=True)
class RunDrawn(RunPart):
    """The run against its forecast."""

    charts: tuple[Chart, ...] = told("Strength at the spout, warmth at the head.")
    rows: tuple[tuple[str, ...], ...] = told("The same figures as a table.")


@dataclass(frozen=True, kw_only=True)
class RunWhich(RunPart):
    """Receivers to choose one from."""

    names: tuple[tuple[str, str], ...] = told("How a row of each begins, and its name, the newest first.")
    newest: str = told("How a row of the newest begins that is no foreshots; empty without one.")
    selected: str = told("The one that is chosen; empty for none.")


@dataclass(frozen=True, kw_only=True)
class RunShelf(RunPart):
    """Receivers as jars and cans."""

    jars: tuple[OnShelf, ...] = told("What is filled, in order.")
    filling: str = told("What is in the one under the spout; empty if nothing is known of it.")
    settled: frozenset[str] = told("Names of those whose run's choice is recorded.")
    seen: str = told("Their names, so that a jar that comes later is not taken for one left out.")
    of: str = told("Which run: `run-2`.")
    page: str = told("The run's page.")
    congeners: tuple[tuple[str, ...], ...] = told("Estimates for each receiver.")
    chooses: bool = told("Whether they can go into a cask: not those of a strip.")
    planned: bool = told("Whether a cask asks for them.")
    best: str = told("What was said of the best choice; empty if it was not asked for.")
    choice: RunChosen = told("What the taken ones make.")


@dataclass(frozen=True, kw_only=True)
class RunChosen(RunPart):
    """What the taken ones make."""

    chosen: Chosen = told("The answer, its figures, what is entered.")
    rows: str = told("Rows to be entered, one a line; empty where nothing can be, or was already.")
    recorded: str = told("What was recorded as taken; empty before.")
    early: str = told("Of what it is the heart while runs are to come; empty for the whole heart.")


@dataclass(frozen=True, kw_only=True)
class RunTab:
    """One of the batch's runs."""

    name: str = told("What it is called.")
    path: str = told("Its page.")
    here: bool = told("Whether it is the one that is shown.")
    begun: bool = told("Whether rows speak of it already.")
    else_words: str = told("What is said of it if they don't.")


@dataclass(frozen=True, kw_only=True)
class RunRuns(RunPart):
    """Every run of the batch, to go to."""

    tabs: tuple[RunTab, ...] = told("Its runs.")


@dataclass(frozen=True, kw_only=True)
class ChangeForm:
    """The form that a receiver is changed with."""

    key: str = told("Its own key: sent twice, it is entered once.")
    begin: str = told("How a row says that it is of this run: `run 2`.")
    vessels: tuple[str, ...] = told("What may stand under the spout.")
    vessel: str = told("Which stands there most likely.")
    words: str = told("What is in it most likely, as it is typed.")
    next_words: str = told("What the one after it most likely holds.")
    example: str = told("How its row goes on.")


@dataclass(frozen=True, kw_only=True)
class RunPage(Titled):
    """A strip or a spirit run while it runs."""

    batch: str = told("The batch's name.")
    batch_path: str = told("The batch's page.")
    path: str = told("This page.")
    runs: RunRuns = told("Every run of the batch.")
    is_open: bool = told("Whether anything can be recorded.")
    cautions: tuple[str, ...] = told("What to mind, beside the hands.")
    now: RunNow = told("Where it stands.")
    drawn: RunDrawn = told("The charts.")
    which: RunWhich = told("Receivers to mark.")
    shelf: RunShelf = told("The shelf.")
    change: ChangeForm = told("To change the receiver.")
    begins: RecordForm = told("To say that the first drop came.")
    reading: ReadingForm = told("For a reading at the spout.")
    mark_key: str = told("The key of the form for smell and taste.")
    take_key: str = told("The key of the form that records the choice.")
    deed: RecordForm | None = told(
        "To enter the receivers between accounts; None where that cannot be.", None
    )
    note: RecordForm = told("The form for a note.")
