"""A batch and the Bench in a browser: the page fills by itself, a reading moves the cask."""

from __future__ import annotations

import pytest

from tests.desk.browsing import LAPTOP, PHONE, Site, context_of, judged, served, small_targets, until
from tests.desk.test_batches import planned

pytestmark = pytest.mark.needs_tool("chromium")
WHILE_IT_THINKS_MS = 60_000
PAGE = "/batches/rye 5"
LEARNS_OF = """stage => {
  const tell = document.querySelector('.next-read [data-tell]').cloneNode();
  tell.dataset.before = stage;
  delete tell.dataset.heard;
  document.querySelector('.next-read').append(tell);
}"""
"""The page learns that the next reading is of another stage."""


@pytest.fixture
def site(make_desk):
    """A desk over a batch with a plan and one reading."""
    opened = planned(make_desk, "wash: 7.6 %, 330 L")
    with served(opened) as address:
        yield Site(opened, address)


def _filled(page, address: str) -> None:
    page.goto(f"{address}{PAGE}")
    page.locator("#part-surer .moves, #part-surer p:not(.working)").first.wait_for(timeout=WHILE_IT_THINKS_MS)


@pytest.mark.parametrize(
    ("size", "scheme", "look"),
    [(PHONE, "light", ""), (PHONE, "dark", "contrast"), (LAPTOP, "dark", ""), (LAPTOP, "light", "")],
)
def test_a_page_fills_by_itself_and_is_usable_by_everyone(chromium, site, size, scheme, look) -> None:
    with context_of(chromium, site, size, scheme, look) as context:
        page = context.new_page()
        wrong: dict[str, list[str]] = {}
        _filled(page, site.address)
        assert page.locator(".working").count() == 0
        page.get_by_text("The figures").click()
        for path in (PAGE, "/", "/batches"):
            if path != PAGE:
                page.goto(f"{site.address}{path}")
            found = judged(page) + (small_targets(page) if size == PHONE else [])
            wide = page.evaluate("document.documentElement.scrollWidth - innerWidth")
            found += [f"{wide} px wider than the screen"] if wide > 0 else []
            wrong |= {path: found} if found else {}
        assert wrong == {}


def test_a_reach_opens_its_stage(chromium, site) -> None:
    with context_of(chromium, site) as context:
        page = context.new_page()
        _filled(page, site.address)
        assert not page.locator("#stage-strip").is_visible()
        page.locator(".river a.head", has_text="Low wines").tap()
        page.locator("#stage-strip").wait_for(state="visible", timeout=30_000)
        assert page.evaluate("document.activeElement.id") == "stage-strip"


def test_a_reading_is_foreseen_recorded_and_moves_every_open_page(chromium, site) -> None:
    with context_of(chromium, site) as context:
        other = context.new_page()
        _filled(other, site.address)
        was = other.locator(".sure strong").inner_text()
        page = context.new_page()
        page.goto(f"{site.address}/")
        begin = page.locator("input[name=before]").get_attribute("value")
        assert begin
        words = page.locator("input[name=words]")
        page.locator(".next-read h2", has_text="Measure next").wait_for(timeout=WHILE_IT_THINKS_MS)
        field, menu = words.bounding_box(), page.locator("nav").bounding_box()
        assert field["y"] + field["height"] < menu["y"], "the field is on the first screen"
        words.fill("wash: 7.1 %, 325 L")
        page.locator(".foreseen .would").wait_for(timeout=WHILE_IT_THINKS_MS)
        assert site.newest() == 3
        page.get_by_role("button", name="Record").tap()
        page.locator(".done", has_text="Entry 4").wait_for(timeout=30_000)
        other.wait_for_function(
            "was => document.querySelector('.sure strong')?.textContent.trim() !== was"
            " && !document.querySelector('.sure .working')",
            arg=was,
            timeout=WHILE_IT_THINKS_MS,
        )
    assert site.newest() == 4


def test_a_reading_belongs_to_what_stood_there_when_it_was_begun(chromium, site) -> None:
    with context_of(chromium, site) as context:
        page = context.new_page()
        _filled(page, site.address)
        begins = page.locator("form.reading input[name=before]")
        page.locator(".next-read [data-heard]").wait_for(state="attached")
        begin, words = begins.input_value(), page.locator("form.reading input[name=words]")
        words.fill("45 %")
        page.evaluate(LEARNS_OF, "heart")
        page.wait_for_timeout(200)
        assert begins.input_value() == begin
        page.get_by_role("button", name="Record", exact=True).tap()
        page.locator(".done", has_text="Entry 4").wait_for(timeout=30_000)
        page.evaluate(LEARNS_OF, "heart")
        until(page, "document.querySelector('form.reading input[name=before]').value === 'heart'")
    (entry,) = site.desk.house.book.to_read().newest(limit=1)
    assert entry.details["rows"] == (f"{begin}: 45 %",)


def test_it_is_read_and_recorded_without_script(chromium, site) -> None:
    with context_of(chromium, site, script=False) as context:
        page = context.new_page()
        page.goto(f"{site.address}{PAGE}")
        page.get_by_role("link", name="Show it when it is worked out").click(timeout=WHILE_IT_THINKS_MS)
        assert "The cask fills with" in page.locator("#main").inner_text(timeout=WHILE_IT_THINKS_MS)
        page.locator("form.reading input[name=words]").fill("strip: 26 %, 100 L")
        page.locator("form.reading").get_by_role("button", name="Record").click()
        assert "Entry 4" in page.get_by_role("status").last.inner_text()
    assert site.newest() == 4
