"""The verification page is what its script writes today, and every figure on it is within what is allowed."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

import pytest

from tests.published.deviations import CASES, Case, held

ROOT = Path(__file__).resolve().parents[2]


def script() -> ModuleType:
    spec = importlib.util.spec_from_file_location("make_verification", ROOT / "docs" / "make_verification.py")
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_page_is_fresh() -> None:
    """If this fails: python docs/make_verification.py, and read what changed."""
    page = (ROOT / "docs" / "reference" / "verification.md").read_text(encoding="utf-8")
    assert page == script().page()


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.source[:20]} {case.what[:30]}")
def test_every_table_is_met(case: Case) -> None:
    held(case)
