"""What the template of the gear may use; with help as in `pages`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from caskward.desk.pages import RecordForm, Titled, told
from caskward.services.book.shelf import Place
from caskward.services.book.taught_kept import GearTaught


@dataclass(frozen=True, kw_only=True)
class GearPage(Titled):
    """Vessels, casks and jars with their volumes, and what closed batches taught of the gear."""

    vessels: Sequence[Place] = told("Every declared vessel and jar, and every other that holds something.")
    casks: Sequence[Place] = told("Every declared cask.")
    taught: GearTaught | None = told("What new batches begin with; None before anything was taken over.")
    closed: tuple[tuple[str, str], ...] = told("Path and name of batches closed lately that may teach.")
    form: RecordForm = told("To declare another.")
