"""Every page of the desk, at both sizes and in all three looks; a page that is new must be walked to, too."""

from __future__ import annotations

import importlib
import pkgutil
import re

import pytest
from starlette.routing import Route, compile_path

from caskward.desk import routes
from tests.desk.browsing import LAPTOP, PHONE, context_of, judged, small_targets

pytestmark = pytest.mark.needs_tool("chromium")
PAGES = (
    *("/", "/batches", "/batches?after=2", "/batches/new", "/batches/new?start=rye", "/batches/rye 4"),
    *("/batches/rye 4/tub", "/batches/rye 4/run", "/batches/rye 4/run?of=run-1", "/batches/rye 4/photos"),
    *("/batches/rye 4/close", "/batches/rye 4/plan"),
    *("/casks", "/casks/1", "/casks/3", "/casks/3/label", "/casks/3/photos", "/labels"),
    *(
        "/bottles/rye L25-1/label",
        "/stores",
        "/gear",
        "/book",
        "/book?before=60",
        "/book/entries/40",
        "/book/entries/40/wrong",
    ),
    *("/book/accounts", "/book/accounts/vessel", "/book/accounts/cask/3", "/book/check"),
    *("/book/period?q=2025", "/book/costs", "/recorded/240", "/gauging", "/gauging?q=47 %25 at 28 C"),
    *("/gauging/reduce?q=20 L 71.3 %25 to 63 %25", "/more", "/first", "/people", "/api", "/sign-in", "/nope"),
)
NO_PAGE = re.compile(
    r"/static/|/taught$|/favicon|/live$|\.(svg|pdf|toml|\{ending\})$|/parts/|/foreseen|/run/\{part\}|/tub/\{part\}"
    r"|/answers/|/to-cask$|/book/(backup|export)"
)
"""Files, and parts of pages."""


def test_every_page_that_there_is_is_walked_to() -> None:
    there = {
        one.path
        for module in pkgutil.iter_modules(routes.__path__)
        for one in importlib.import_module(f"{routes.__name__}.{module.name}").router.routes
        if isinstance(one, Route) and "GET" in (one.methods or ()) and not NO_PAGE.search(one.path)
    }
    met = [page.partition("?")[0] for page in PAGES]
    assert sorted(path for path in there if not any(compile_path(path)[0].match(one) for one in met)) == []


def _faults(page, name: str, *, small: bool) -> list[str]:
    found = judged(page) + (small_targets(page) if small else [])
    wide = page.evaluate("document.documentElement.scrollWidth - innerWidth")
    return [f"{name}: {one}" for one in found + ([f"{wide} px too wide"] if wide > 0 else [])]


@pytest.mark.parametrize("size", [PHONE, LAPTOP])
def test_every_page_in_every_look(chromium, site, size) -> None:
    wrong: dict[str, list[str]] = {}
    refused = ("404 (Not Found)", "422 (Unprocessable")
    with context_of(chromium, site, size, expect=refused) as context:
        page = context.new_page()
        for path in PAGES:
            page.goto(f"{site.address}{path}")
            found = _faults(page, "light", small=size == PHONE)
            page.emulate_media(color_scheme="dark")
            found += _faults(page, "dark", small=False)
            page.evaluate("document.documentElement.dataset.look = 'contrast'")
            found += _faults(page, "contrast", small=size == PHONE)
            page.emulate_media(color_scheme="light")
            wrong |= {path: found} if found else {}
    assert wrong == {}
