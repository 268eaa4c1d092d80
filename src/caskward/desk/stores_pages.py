"""What the template of Stores may use; with help as in `pages`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from caskward.desk.pages import RecordForm, Titled, told
from caskward.services.book.shelf import Place, Shelf


@dataclass(frozen=True, kw_only=True)
class StoresPage(Titled):
    """What there is to work with."""

    shelf: Shelf = told("Liquids, materials and dry goods, place by place.")
    liquids: Sequence[Place] = told("Vessels and jars that hold something.")
    promised: tuple[tuple[str, str, str], ...] = told("What, how much, for which open batch's plan.")
    form: RecordForm = told("To take something in.")
