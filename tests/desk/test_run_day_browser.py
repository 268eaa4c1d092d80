"""Run day in a browser: usable by everyone, jars answer a thumb, records survive a dropped network."""

from __future__ import annotations

import pytest

from tests.desk.browsing import LAPTOP, PHONE, SOON_MS, Site, context_of, judged, served, small_targets
from tests.desk.test_run_day import PAGE, RUN, beliefs_kept, planned, rows_of  # noqa: F401 - a fixture

pytestmark = pytest.mark.needs_tool("chromium")
WHILE_IT_THINKS_MS = 90_000


@pytest.fixture
def site(make_desk):
    """A desk over a batch whose first spirit run is under way."""
    opened = planned(make_desk, *RUN)
    with served(opened) as address:
        yield Site(opened, address)


def _ready(page, address: str) -> None:
    page.goto(f"{address}{PAGE}")
    page.locator(".run-plot").first.wait_for(timeout=WHILE_IT_THINKS_MS)
    page.locator("#part-run-choice", has_text="from 2 runs").wait_for(timeout=SOON_MS)


@pytest.mark.parametrize(
    ("size", "scheme", "look"),
    [(PHONE, "light", ""), (PHONE, "dark", "contrast"), (LAPTOP, "dark", "")],
)
def test_the_page_is_usable_by_everyone(chromium, site, size, scheme, look) -> None:
    with context_of(chromium, site, size, scheme, look) as context:
        page = context.new_page()
        _ready(page, site.address)
        for summary in ("The figures", "Water, feints, congeners", "Record this choice"):
            page.get_by_text(summary, exact=True).click()
        found = judged(page) + (small_targets(page) if size == PHONE else [])
        wide = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        assert (found, max(wide, 0)) == ([], 0)
        if size == PHONE:
            button = page.get_by_role("button", name="Change receiver").bounding_box()
            assert button["y"] < 1.1 * PHONE[1], "the thumb finds it without looking for it"


def test_a_tapped_jar_is_answered_and_the_choice_recorded(chromium, site) -> None:
    with context_of(chromium, site) as context:
        page = context.new_page()
        _ready(page, site.address)
        headline = page.locator("#part-run-choice strong")
        was = headline.inner_text()
        page.locator("label", has=page.get_by_role("checkbox", name="jar 1")).tap()
        page.locator("#part-run-choice strong", has_text="makes 7.00").wait_for(timeout=SOON_MS)
        assert headline.inner_text() != was
        page.get_by_role("button", name="Best unbroken cut").tap()
        page.get_by_text("The nearest to it is taken in below").wait_for(timeout=SOON_MS)
        assert page.url.endswith("/run"), "the page stayed"
        page.get_by_text("Record this choice").tap()
        page.get_by_role("button", name="Yes, these went into the heart").tap()
        page.get_by_text("Recorded as taken").wait_for(timeout=SOON_MS)
        assert not page.locator("details.take").is_visible()
    assert rows_of(site.desk)[-2].startswith("run 1 taken: ")


def test_changes_without_network_land_once_and_in_order(chromium, site) -> None:
    gone = ("ERR_INTERNET_DISCONNECTED", "Failed to load resource", "Failed to fetch")
    with context_of(chromium, site, expect=gone) as context:
        page = context.new_page()
        page.goto(f"{site.address}{PAGE}")
        before = rows_of(site.desk)
        context.set_offline(True)
        change = page.get_by_role("button", name="Change receiver")
        change.tap()
        page.locator("#waiting li", has_text="can 5 L").wait_for(timeout=SOON_MS)
        page.get_by_label("What is full").select_option("jar")
        page.locator("#changed").fill("1 L, 70.1 %, +1")
        change.tap()
        page.locator("#waiting li", has_text="jar 1 L, 70.1 %, +1").wait_for(timeout=SOON_MS)
        page.locator("form.reading input[name=words]").first.fill("69.8 % at 20 C")
        page.locator("form.reading").get_by_role("button", name="Record").tap()
        page.locator("#waiting li").nth(2).wait_for(timeout=SOON_MS)
        assert rows_of(site.desk) == before
        context.set_offline(False)
        page.evaluate("dispatchEvent(new Event('online'))")
        page.locator("#waiting").wait_for(state="hidden", timeout=3 * SOON_MS)
        page.wait_for_timeout(1000)
    new = rows_of(site.desk)[len(before) :]
    assert new == (
        "run 1 can 4: 5 L",
        "run 1 jar 5: 1 L, 70.1 %, +1",
        "run 1 at 7.3 L: 69.8 % at 20 C",
    )


def test_it_is_read_and_recorded_without_script(chromium, site) -> None:
    with context_of(chromium, site, script=False) as context:
        page = context.new_page()
        page.goto(f"{site.address}{PAGE}?wait=1", timeout=WHILE_IT_THINKS_MS)
        page.get_by_role("checkbox", name="jar 1").check()
        page.get_by_role("button", name="Work it out").click()
        assert "What is in makes 7.00\u00a0L" in page.locator("#part-run-choice").inner_text()
        page.locator("#changed").fill("5 L, 70 %")
        page.get_by_role("button", name="Change receiver").click()
        assert "can 4: 5\u00a0L, 70\u00a0%" in page.get_by_role("status").last.inner_text()


def test_on_paper_receivers_are_a_table_with_boxes_and_the_band_is_hatched(chromium, site) -> None:
    with context_of(chromium, site, LAPTOP) as context:
        page = context.new_page()
        _ready(page, site.address)
        page.emulate_media(media="print")
        table = page.locator("table.paper", has_text="can 3")
        assert table.is_visible()
        assert table.locator("tbody tr").count() == 4 + 8, "four filled, the rest to pencil in"
        assert page.locator("polygon.hatched").first.is_visible()
        assert not page.locator(".run-plot polygon.shade").first.is_visible()
        visible = [one.inner_text() for one in page.locator("h2").all() if one.is_visible()]
        assert [one.split(" ")[0] for one in visible] == ["Against", "Receivers"]
        assert page.locator("#part-run-chart details table").is_visible(), (
            "what is closed on a screen is open"
        )
