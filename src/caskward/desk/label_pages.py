"""What the templates of labels may use; with help as in `pages`."""

from __future__ import annotations

from dataclasses import dataclass

from caskward.desk.pages import Titled, told
from caskward.services.book.labels import Label, Tolerance


@dataclass(frozen=True, kw_only=True)
class LabelPage(Titled):
    """A label to look at and to print."""

    label: Label = told("The label.")
    path: str = told("This page.")
    back: tuple[str, str] = told("Path and name of the page that it belongs to.")
    opens: str = told("The address that its code opens; empty where it says the label in words.")
    tolerances: tuple[Tolerance, ...] = told("Laws about the strength on a bottle; none for a cask.")


@dataclass(frozen=True, kw_only=True)
class LabelsPage(Titled):
    """Everything that can have a label."""

    casks: tuple[tuple[str, str, str], ...] = told("Path, name, what is in it.")
    bottles: tuple[tuple[str, str, str], ...] = told("Path, lot, how many bottles.")
    more: int = told("How many to pass to come to the next ones; 0 if there are none.")
