"""What of the stores is yeast, by its name: with it a ferment begins."""

from __future__ import annotations

import shlex
from dataclasses import replace
from pathlib import Path

import pytest

from caskward.catalogue.load import load
from caskward.services.book import batch_record, batch_tub, opened, stage_reached, verbs
from caskward.services.book.acting import Doing
from caskward.services.book.asked import Asked
from caskward.services.book.yeasts import is_yeast

MAUD = Doing(by="Maud")


@pytest.mark.parametrize(
    "name",
    [
        *("yeast", "YEAST", "dry yeast", "Baker's Yeast", "baker’s yeast", "yeast, dry", "yeast slurry"),
        *("distillers' dry yeast", "wine and fruit yeast", "distillers dry", "yeast 25-1", "yeast starter"),
        "turbo yeast with yeast food",
    ],
)
def test_what_ferments_is_yeast(name: str) -> None:
    assert is_yeast(name)


@pytest.mark.parametrize(
    "name",
    [
        *(
            "yeast nutrient",
            "Yeast Nutrients",
            "yeast food",
            "yeast energiser",
            "yeast-extract",
            "yeast hulls",
        ),
        *("nutrient for yeast", "food for dry yeast", "inactive yeast", "autolysed wine yeast", "rye", ""),
    ],
)
def test_what_yeast_eats_is_none(name: str) -> None:
    assert not is_yeast(name)


def test_every_yeast_of_the_catalogue_is_one() -> None:
    for one in load().yeasts.values():
        assert all(map(is_yeast, (one.name, *one.aliases)))


@pytest.mark.parametrize(
    ("name", "stage"), [("yeast nutrient", "mash"), ("Baker's Yeast", "ferment"), ("dry yeast", "ferment")]
)
def test_what_is_stirred_in_with_the_malt_begins_no_ferment_unless_it_is_yeast(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, stage: str
) -> None:
    monkeypatch.setenv("CASKWARD_BOOK", str(tmp_path / "book.sqlite"))
    with opened.to_write() as book:
        for verb, words, batch in (
            ("declare", "tub 200 L", ""),
            ("begin", "rye 5", ""),
            ("receive", f'50 kg rye, 1 kg "{name}" from "Hill Farm"', ""),
            ("mash", "50 kg rye into tub 160 L at 64 C", "rye 5"),
            ("add", f'100 g "{name}" to tub', "rye 5"),
        ):
            verbs.done_in(book, Asked(verb, tuple(shlex.split(words))), replace(MAUD, batch=batch))
        of = batch_record.record_of(book, "rye 5")
    assert stage_reached.reached(of.happened) == stage
    assert batch_tub.stage_of(of) == stage
