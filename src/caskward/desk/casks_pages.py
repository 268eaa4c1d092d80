"""What the templates of casks may use; with help as in `pages`."""

from __future__ import annotations

from dataclasses import dataclass

from caskward.desk.line_drawing import Drawn
from caskward.desk.pages import LeafLine, RecordForm, Titled, told
from caskward.services.book.cask_words import CaskShown
from caskward.services.book.shelf import Place


@dataclass(frozen=True, kw_only=True)
class ShelfCask:
    """A cask on the shelf."""

    place: Place = told("The cask and what is in it.")
    path: str = told("Its page.")
    age: str = told("How long the spirit has been in it; empty where that is not known.")


@dataclass(frozen=True, kw_only=True)
class CasksPage(Titled):
    """The shelf of casks."""

    filled: tuple[ShelfCask, ...] = told("Casks that hold something, so many at once.")
    empty: tuple[ShelfCask, ...] = told("Casks that hold nothing.")
    answer: str = told("How many casks hold how much, in one sentence.")
    more: int = told("How many casks to pass to come to the next ones; 0 if there are none.")


@dataclass(frozen=True, kw_only=True)
class CaskAct:
    """Something that can be done with a cask."""

    form: RecordForm = told("Its form.")
    help: str = told("What it is for, in one line.")
    cautions: tuple[str, ...] = told("What to mind with it.")
    foreseen: str = told("Where what it would do is asked for, before it is recorded.")


@dataclass(frozen=True, kw_only=True)
class CaskPage(Titled):
    """One cask."""

    path: str = told("Its page.")
    place: Place = told("The cask and what is in it.")
    story: CaskShown = told("What happened to it since it was filled.")
    pictures: tuple[Drawn, ...] = told("Volume and strength over the days; none for an empty cask.")
    batches: tuple[tuple[str, str], ...] = told("Path and name of each batch whose spirit is in it.")
    lines: tuple[LeafLine, ...] = told("What went in and out, the newest first.")
    acts: tuple[CaskAct, ...] = told("What can be done with it now.")
    turned: bool = told("Whether it was filled or emptied since the page around this part was sent.")


@dataclass(frozen=True, kw_only=True)
class TriedPart(Titled):
    """What an act would do, before it is recorded."""

    sentences: tuple[str, ...] = told("What its places would hold then.")
    notes: tuple[str, ...] = told("What was taken for granted.")
    error: str = told("Why it cannot be done so; empty if it can.")
