"""Casks, labels, photos and the tub in a browser, as a maker with wet hands meets them."""

from __future__ import annotations

import pytest

from tests.desk.browsing import LAPTOP, PHONE, Site, context_of, judged, served, small_targets
from tests.desk.test_batches import planned
from tests.desk.test_picture import FOLDER

pytestmark = pytest.mark.needs_tool("chromium")
WHILE_IT_THINKS_MS = 60_000
PAGES = (
    "/casks",
    "/casks/3",
    "/casks/1",
    "/casks/3/label",
    "/bottles/rye L25-1/label",
    "/labels",
    "/casks/3/photos",
    "/batches/rye 4/photos",
    "/batches/rye 4/tub",
)
TUB = "/batches/rye 5/tub"


@pytest.fixture
def tub(make_desk):
    """A desk over a planned batch whose ferment stands still."""
    rows = ("mash 90 min: starch clear, 62 C, pH 5.4", "ferment 1 d: 1.050, 26 C", "ferment 4 d: 1.049, 25 C")
    opened = planned(make_desk, *rows)
    with served(opened) as address:
        yield Site(opened, address)


def _found(page, size) -> list[str]:
    found = judged(page) + (small_targets(page) if size == PHONE else [])
    wide = page.evaluate("document.documentElement.scrollWidth - innerWidth")
    return found + ([f"{wide} px wider than the screen"] if wide > 0 else [])


@pytest.mark.parametrize(
    ("size", "scheme", "look"),
    [(PHONE, "light", ""), (PHONE, "dark", "contrast"), (LAPTOP, "dark", ""), (LAPTOP, "light", "")],
)
def test_every_page_is_usable_by_everyone(chromium, site, size, scheme, look) -> None:
    with context_of(chromium, site, size, scheme, look) as context:
        page = context.new_page()
        wrong: dict[str, list[str]] = {}
        for path in PAGES:
            page.goto(f"{site.address}{path}")
            for one in page.locator("details:not([name]):not(.act details)").all():
                one.evaluate("one => { one.open = true }")
            if page.locator(".act").count() > 1:
                page.locator(".act > summary").nth(2).click()
            found = _found(page, size)
            wrong |= {path: found} if found else {}
        assert wrong == {}


def test_an_act_is_tried_then_recorded(chromium, site) -> None:
    with context_of(chromium, site) as context:
        page = context.new_page()
        page.goto(f"{site.address}/casks/3")
        before = site.newest()
        act = page.locator(".act", has_text="Taken out, and not put back.")
        act.locator("summary").first.tap()
        words = act.locator("input[name=words]")
        words.fill("100 L")
        act.locator(".foreseen .hint", has_text="cannot be taken").wait_for(timeout=30_000)
        words.fill("100 mL tasting")
        act.locator(".would", has_text="would hold 23.15").wait_for(timeout=30_000)
        assert site.newest() == before
        act.get_by_role("button", name="Sample", exact=True).tap()
        act.locator(".done", has_text="now holds 23.15").wait_for(timeout=30_000)
        page.locator(".beside", has_text="23.15").wait_for(timeout=30_000)
    assert site.newest() == before + 1


def test_a_photo_is_kept_and_shown(chromium, site) -> None:
    with context_of(chromium, site) as context:
        page = context.new_page()
        page.goto(f"{site.address}/casks/3")
        page.get_by_role("link", name="Photos and notes").tap()
        page.locator("#photo").set_input_files(str(FOLDER / "drawn.jpg"))
        page.get_by_label("In words").fill("<b>weeps</b>")
        page.get_by_role("button", name="Keep").tap()
        picture = page.locator(".snap img")
        picture.wait_for()
        assert picture.evaluate("one => one.decode().then(() => one.naturalWidth)") == 24
        assert "<b>weeps</b>" in page.locator(".snap").inner_text()
        assert _found(page, PHONE) == []


@pytest.mark.parametrize(("size", "scheme"), [(PHONE, "light"), (LAPTOP, "dark")])
def test_a_tub_says_what_now_by_itself(chromium, tub, size, scheme) -> None:
    with context_of(chromium, tub, size, scheme) as context:
        page = context.new_page()
        page.goto(f"{tub.address}{TUB}")
        page.locator("#tub-now h3", has_text="What to do").wait_for(timeout=WHILE_IT_THINKS_MS)
        page.locator("#tub-course .plot").first.wait_for(timeout=WHILE_IT_THINKS_MS)
        assert page.locator(".working").count() == 0
        for one in page.locator("details").all():
            one.evaluate("one => { one.open = true }")
        assert _found(page, size) == []


def test_a_reading_of_a_tub_takes_a_few_taps(chromium, tub) -> None:
    with context_of(chromium, tub) as context:
        page = context.new_page()
        page.goto(f"{tub.address}{TUB}?stage=mash")
        before = tub.newest()
        begins = page.locator("input[name=before]").input_value()
        assert begins.startswith("mash 1 h 3"), "the clock goes on from the last reading"
        page.get_by_role("button", name="starch blue").tap()
        page.get_by_role("button", name="Record", exact=True).tap()
        page.locator(".done", has_text=f"Entry {before + 1}").wait_for(timeout=30_000)
        page.locator(".rows", has_text=f"{begins}: starch blue").wait_for(timeout=30_000)


def test_all_of_it_works_without_script(chromium, tub) -> None:
    with context_of(chromium, tub, script=False) as context:
        page = context.new_page()
        page.goto(f"{tub.address}{TUB}?wait=1", timeout=WHILE_IT_THINKS_MS)
        assert "What to do" in page.locator("#tub-now").inner_text()
        page.locator("input[name=words]").fill("1.048, 24 C")
        page.locator("input[name=before]").fill("ferment 5 d")
        page.get_by_role("button", name="Record").click()
        assert "Entry" in page.get_by_role("status").last.inner_text()
        page.goto(f"{tub.address}/batches/rye 5/photos")
        page.locator("#photo").set_input_files(str(FOLDER / "drawn.png"))
        page.get_by_role("button", name="Keep").click()
        assert page.locator(".snap img").count() == 1
