"""Pictures of the documentation: each that is named is there, and each screen that is taken is shown."""

from __future__ import annotations

import importlib.util
import re
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SCREENS = ROOT / "docs" / "screens"
PAGES = (ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md")))
NAMED = re.compile(r"<img src=\"([^\"]+)\"|!\[[^\]]*\]\(([^)]+)\)")
LARGEST_BYTES = 60_000


def _named() -> set[Path]:
    return {
        (page.parent / (html or plain)).resolve()
        for page in PAGES
        for html, plain in NAMED.findall(page.read_text(encoding="utf-8"))
    }


def _taken(monkeypatch: pytest.MonkeyPatch) -> set[str]:
    spec = importlib.util.spec_from_file_location("make_screens", ROOT / "docs" / "make_screens.py")
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    monkeypatch.setitem(sys.modules, "make_screens", module)
    spec.loader.exec_module(module)
    return {f"{screen.name}.png" for screen in module.SCREENS}


def test_every_picture_that_a_page_names_is_there() -> None:
    assert [str(one) for one in sorted(_named()) if not one.is_file()] == []


def test_every_screen_is_taken_by_the_script_and_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    taken = _taken(monkeypatch)
    assert {one.name for one in SCREENS.iterdir()} == taken
    assert {one.name for one in _named() if one.parent == SCREENS} == taken


def test_screens_are_small() -> None:
    assert {one.name: size for one in SCREENS.iterdir() if (size := one.stat().st_size) > LARGEST_BYTES} == {}
