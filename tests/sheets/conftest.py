"""Plans made once, and the text of what is printed."""

from __future__ import annotations

import functools
import io

import pytest
from pypdf import PdfReader

from caskward.services import Plan, plans
from caskward.sheets import run_sheet

NAMES = ("rye", "pears", "wheat-panela")


@functools.cache
def plan_of(name: str) -> Plan:
    plan = plans.plan_text(plans.starting_point(name))
    assert isinstance(plan, Plan)
    return plan


@functools.cache
def opened(plan: Plan) -> PdfReader:
    return PdfReader(io.BytesIO(run_sheet(plan)), strict=True)


@functools.cache
def page_texts(plan: Plan) -> tuple[str, ...]:
    """The text of each page, line breaks and runs of space as one space."""
    return tuple(" ".join(page.extract_text().split()) for page in opened(plan).pages)


def text_of(plan: Plan) -> str:
    return " ".join(page_texts(plan))


@pytest.fixture(params=NAMES)
def plan(request: pytest.FixtureRequest) -> Plan:
    return plan_of(request.param)


@pytest.fixture
def rye() -> Plan:
    return plan_of("rye")
