"""Every source that a property names is in the list of sources, and every entry there says how it was got."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from caskward import properties
from caskward.errors import UnknownName
from caskward.sources import HOW, load_sources, source

KEY = re.compile(r"\b(?=[0-9-]*[a-z])[a-z0-9]+(?:-[a-z0-9]+)+\b")
FOLDER = Path(properties.__file__).parent
MODULES = sorted(path for path in FOLDER.glob("*.py") if not path.name.startswith("_"))


def named_sources(path: Path) -> set[str]:
    """Keys after 'Source:' in a module's docstrings, up to the end of the sentence or the docstring."""
    keys: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, (ast.FunctionDef, ast.Module, ast.ClassDef)):
            for text in re.findall(r"Source: (.*)", ast.get_docstring(node) or "", re.DOTALL):
                keys |= set(KEY.findall(text))
    return keys


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.stem)
def test_named_sources_are_listed(path: Path) -> None:
    assert named_sources(path) <= set(load_sources())


def test_the_search_finds_something() -> None:
    everything = set().union(*map(named_sources, MODULES))
    assert {"oiml-r22-1975", "27-cfr-30", "kell-1975", "crc-sucrose", "common-practice"} <= everything
    assert len(everything) >= 14


def test_every_source_says_how_it_was_obtained() -> None:
    for key, entry in load_sources().items():
        assert entry.how in HOW, key
        assert entry.title, key
        assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", key), key


def test_citation_is_one_line() -> None:
    citation = source("oiml-r22-1975").citation
    assert citation.startswith("International Organization of Legal Metrology, OIML R 22")
    assert citation.endswith("1975 (read)")


def test_unknown_key_names_the_nearest() -> None:
    with pytest.raises(UnknownName, match="oiml-r22-1975"):
        source("oiml-r22-1957")
