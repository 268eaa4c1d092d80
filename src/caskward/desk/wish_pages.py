"""What the templates of a new batch and of a plan may use; with help as in `pages`."""

from __future__ import annotations

from dataclasses import dataclass

from caskward.desk.pages import Titled, told
from caskward.services.book.wish_starts import StartLine
from caskward.services.book.wish_stores import ShoppingRow
from caskward.services.plan_write_up import WriteUp
from caskward.services.wish_answer import Answered

_FITS_HALF = 9
"""Letters that a list shows in half a phone's width."""


@dataclass(frozen=True)
class WishField:
    """One field of the form."""

    name: str = told("Its name in the form.")
    label: str = told("What it asks for.")
    value: str = told("What is typed.")
    options: tuple[tuple[str, str], ...] = told("Values to choose from, with their names; empty to type.")
    example: str = told("How it is written.")
    offered: str = told("Id of a list of names to type; empty for none.")
    wrong: bool = told("Whether the refusal is about it.")

    @property
    def wide(self) -> bool:
        """Whether what it offers needs a phone's whole width."""
        return any(len(name) > _FITS_HALF for _, name in self.options)


@dataclass(frozen=True)
class WishRow:
    """One row of fields."""

    key: str = told("Its kind and number: `bill-2`.")
    fields: tuple[WishField, ...] = told("Its fields.")


@dataclass(frozen=True)
class WishRows:
    """Rows of one kind."""

    name: str = told("Its kind: `bill`.")
    add: str = told("What the button says that adds one.")
    rows: tuple[WishRow, ...] = told("Those that there are.")
    next: int = told("The number of the next one.")


@dataclass(frozen=True)
class WishGroup:
    """Fields that belong together."""

    key: str = told("Its id.")
    title: str = told("Its heading.")
    fields: tuple[WishField, ...] = told("Single fields.")
    rows: tuple[WishRows, ...] = told("Rows below them.")
    open: bool = told("Whether it stands open.", default=False)
    always: bool = told("Whether it cannot be closed.", default=False)


@dataclass(frozen=True, kw_only=True)
class WishWay:
    """A way out of a refusal."""

    words: str = told("What it changes.")
    then: str = told("What it leads to.")
    file: str = told("The plan's file with it.")


@dataclass(frozen=True, kw_only=True)
class WishCarried:
    """What a form of a new batch carries beside the plan's fields."""

    key: str = told("The form's own key: begun twice, it is begun once.")
    source: str = told("The plan's file that the fields stand for.")
    of: str = told("The batch whose plan it began from; the files that it names are that plan's.")
    to: str = told("The open batch that gets the plan; empty for a new one.")
    batch: str = told("The new batch's name, as typed.")
    day: str = told("The day of the mash, as typed.")


@dataclass(frozen=True, kw_only=True)
class AnswerPart(Titled):
    """What a wish leads to, as far as it is known."""

    carried: WishCarried = told("What the form carried; a way out carries it on.")
    path: str = told("Where the part is asked for again.")
    answer: Answered | None = told("How sure, what to mash, what binds; None where it cannot be done yet.")
    shopping: tuple[ShoppingRow, ...] = told("Name, needed, in store, to buy, cost.")
    dates: str = told("When the yeast is done.")
    stopped: str = told("Why it cannot be done as it stands.")
    ways: tuple[WishWay, ...] = told("Ways out, as far as they were found.")
    error: str = told("Why there is no answer.")
    waiting: bool = told("Whether more is being worked out.")
    looking: bool = told("Whether ways out are still looked for.")
    wrong: str = told("The field that the error is about; empty for none.")

    @property
    def brief(self) -> str:
        """The answer in a few words, for the foot of a phone's screen."""
        if self.answer:
            return self.answer.brief
        return "Cannot be done as it stands" if self.stopped else self.error or "Working it out ..."


@dataclass(frozen=True, kw_only=True)
class WishPage(Titled):
    """A new batch's form, with its answer."""

    carried: WishCarried = told("What the form carries beside its fields.")
    groups: tuple[WishGroup, ...] = told("Its fields.")
    materials: tuple[tuple[str, str], ...] = told("Names of materials to type, the maker's own first.")
    there: tuple[str, ...] = told("Feints and low wines in Stores, with what of them is promised.")
    stores: bool = told("Whether Stores holds anything to take over.")
    answer: AnswerPart = told("What it leads to.")
    error: str = told("Why it was not begun, or the file not taken.")
    pasted: str = told("A file that was pasted and could not be used, as it was.")


@dataclass(frozen=True, kw_only=True)
class WishStartPage(Titled):
    """What a new batch may begin from."""

    points: tuple[StartLine, ...] = told("Starting points.")
    past: tuple[StartLine, ...] | None = told("Plans of the book; None while they are looked for.")
    to: str = told("The open batch that gets the plan; empty for a new one.")
    error: str = told("Why the pasted file was not taken.")
    pasted: str = told("The pasted file.")


@dataclass(frozen=True, kw_only=True)
class PlanPage(Titled):
    """A plan to be read, printed, taken away."""

    name: str = told("The batch that has it; empty while it is a wish.")
    path: str = told("The batch's page.")
    is_open: bool = told("Whether the batch may get another plan.")
    text: str = told("The plan's file; empty where the page has it elsewhere.")
    sheet: WriteUp | None = told("Every figure in both systems; None while it is worked out.")
    error: str = told("Why it cannot be had.")


@dataclass(frozen=True, kw_only=True)
class TaughtPart(Titled):
    """What a batch taught."""

    path: str = told("Where it is asked for again.")
    headline: str = told("How much stands apart from the defaults; empty while it is worked out.")
    rows: tuple[tuple[str, ...], ...] = told("A head, then each thing that moved.")
    notes: tuple[str, ...] = told("What to keep in mind.")
    name: str = told("The batch.")
    closed: bool = told("Whether the batch is closed, so that nothing more is read of it.")
    taken: bool = told("Whether new batches begin with it already.")
    instead: str = told("Whose teaching they begin with, and this one did not; empty for none.")
    error: str = told("Why nothing was learned.")
    waiting: bool = told("Whether it is being worked out.")


@dataclass(frozen=True, kw_only=True)
class ClosePage(Titled):
    """A batch to be closed, or that is closed."""

    name: str = told("Its name.")
    path: str = told("Its page.")
    key: str = told("The form's own key.")
    is_open: bool = told("Whether it can still be closed.")
    taught: TaughtPart | None = told("What it taught; None for a batch without a plan or a reading.")
    planned: bool = told("Whether it has a plan.")
    error: str = told("Why it was not closed.")
