"""What the template of photos and notes may use; with help as in `pages`."""

from __future__ import annotations

from dataclasses import dataclass

from caskward.desk.pages import Titled, told


@dataclass(frozen=True, kw_only=True)
class Snap:
    """A photo or a note."""

    id: str = told("Its random name.")
    src: str = told("Where its picture is; empty for words alone.")
    wide: int = told("Width of the picture [pixels].")
    high: int = told("Height of the picture [pixels].")
    words: str = told("What was said of it.")
    stage: str = told("The batch's stage; empty for none.")
    by: str = told("Who kept it.")
    at: str = told("When, local time.")
    number: int = told("Its entry in the book.")


@dataclass(frozen=True, kw_only=True)
class PhotosPage(Titled):
    """Photos and notes of a batch or a cask."""

    about: str = told("`batch/rye 5` or `cask/3`.")
    back: tuple[str, str] = told("Path and name of the page that it belongs to.")
    key: str = told("The form's own key: sent twice, it is entered once.")
    stages: tuple[tuple[str, str], ...] = told(
        "A batch's stages to choose from, key and name; none for a cask."
    )
    snaps: tuple[Snap, ...] = told("Everything kept from this page, the newest first.")
    notes: tuple[Snap, ...] = told("Notes of other entries of the same, the newest first.")
    words: str = told("What was typed, where it was refused.")
    error: str = told("Why it was not kept.")
    most_mb: int = told("How large a photo may be [MB].")
