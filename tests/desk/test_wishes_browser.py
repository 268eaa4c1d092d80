"""A new batch on a phone, from a starting point to begun; the form answers while one types."""

from __future__ import annotations

import pytest

from tests.desk.browsing import LAPTOP, PHONE, context_of, judged, small_targets

pytestmark = pytest.mark.needs_tool("chromium")
WHILE_IT_THINKS_MS = 90_000


def _whole(page) -> None:
    page.get_by_role("heading", name="What it takes").wait_for(timeout=WHILE_IT_THINKS_MS)


def _brief(page) -> str:
    return page.locator(".brief").inner_text().replace("\u00a0", " ")


def test_from_a_starting_point_to_begun_with_a_thumb(chromium, site) -> None:
    with context_of(chromium, site) as context:
        page = context.new_page()
        page.goto(f"{site.address}/batches")
        page.get_by_role("link", name="Plan a new batch").tap()
        page.get_by_role("link", name="Rye, malt and oats").tap()
        _whole(page)
        was = _brief(page)
        assert "8 in 10 sure" in was
        assert page.locator(".brief").is_visible(), "the answer is in sight while one types"
        page.get_by_label("How large the cask is").fill("20 L")
        for _ in range(WHILE_IT_THINKS_MS // 100):
            page.wait_for_timeout(100)
            if (now := _brief(page)) != was and "sure" in now and "about" not in now:
                break
        else:
            raise AssertionError(f"it never answered: {_brief(page)}")
        page.get_by_role("button", name="One more material", exact=True).tap()
        page.locator("#f-bill-3-material").fill("spelt")
        page.locator("#said .error").wait_for(timeout=WHILE_IT_THINKS_MS)
        page.get_by_role("button", name="Take out").nth(3).tap()
        _whole(page)
        page.get_by_label("The batch's name").fill("rye 5")
        page.get_by_role("button", name="Begin the batch with this plan").tap()
        page.wait_for_url("**/batches/rye%205", timeout=WHILE_IT_THINKS_MS)
        page.get_by_role("link", name="Its plan").tap()
        page.get_by_role("heading", name="Shopping").wait_for(timeout=WHILE_IT_THINKS_MS)
        assert judged(page) == []
    assert site.newest() == 242


@pytest.mark.parametrize(
    ("size", "scheme", "look"), [(PHONE, "light", ""), (PHONE, "dark", "contrast"), (LAPTOP, "dark", "")]
)
def test_the_form_is_usable_by_everyone(chromium, site, size, scheme, look) -> None:
    with context_of(chromium, site, size, scheme, look) as context:
        page = context.new_page()
        wrong: dict[str, list[str]] = {}
        for path in ("/batches/new", "/batches/new?start=rye", "/batches/rye 4/close"):
            page.goto(f"{site.address}{path}")
            if "start" in path:
                _whole(page)
                for group in page.locator("details.group").all():
                    group.locator("summary").click()
            # What is stuck to the foot covers half a field wherever a scroll leaves one below it.
            page.evaluate("scrollTo(0, document.body.scrollHeight)")
            found = judged(page) + (small_targets(page) if size == PHONE else [])
            wide = page.evaluate("document.documentElement.scrollWidth - innerWidth")
            found += [f"{wide} px wider than the screen"] if wide > 0 else []
            wrong |= {path: found} if found else {}
        assert wrong == {}


def test_it_is_worked_out_and_begun_without_script(chromium, site) -> None:
    with context_of(chromium, site, script=False) as context:
        page = context.new_page()
        page.goto(f"{site.address}/batches/new?start=pears")
        page.get_by_role("button", name="Work it out").last.click(timeout=WHILE_IT_THINKS_MS)
        assert "The cask fills with" in page.locator("#said").inner_text(timeout=WHILE_IT_THINKS_MS)
        page.get_by_label("The batch's name").fill("pears 2")
        page.get_by_role("button", name="Begin the batch with this plan").click(timeout=WHILE_IT_THINKS_MS)
        assert "pears 2" in page.locator("h1").inner_text().lower()
    assert site.newest() == 242
