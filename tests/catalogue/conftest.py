"""The catalogue and a walk over every fact in it, for the tests beside this file."""

from __future__ import annotations

from dataclasses import fields

import pytest

from caskward.catalogue import Catalogue, Fact, load

SECTIONS = (
    *("materials", "enzymes", "yeasts", "casks", "woods"),
    *("pots", "tubs", "stills", "strainings", "practices"),
)


@pytest.fixture(scope="session")
def catalogue() -> Catalogue:
    return load()


@pytest.fixture(scope="session")
def all_facts(catalogue: Catalogue) -> list[tuple[str, Fact]]:
    """Every fact of every entry, with a name for a failing test to show."""
    return [
        (f"{section} {key} {field.name}", value)
        for section in SECTIONS
        for key, entry in getattr(catalogue, section).items()
        for field in fields(entry)
        if isinstance(value := getattr(entry, field.name), Fact)
    ]
