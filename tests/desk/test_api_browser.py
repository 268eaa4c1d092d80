"""What programs can ask, and tokens, in a browser: usable by everyone, a token is shown once."""

from __future__ import annotations

import pytest

from tests.desk.browsing import LAPTOP, PHONE, SOON_MS, context_of, judged, small_targets

pytestmark = pytest.mark.needs_tool("chromium")


@pytest.mark.parametrize(
    ("size", "scheme", "look"), [(PHONE, "light", ""), (LAPTOP, "dark", ""), (PHONE, "light", "contrast")]
)
def test_every_call_can_be_read_by_everyone(chromium, site, size, scheme, look) -> None:
    with context_of(chromium, site, size, scheme, look) as context:
        page = context.new_page()
        page.goto(f"{site.address}/more")
        page.get_by_role("link", name="For programs").click()
        page.wait_for_url("**/api")
        assert judged(page) == []
        page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
        assert judged(page) == []
        assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
        if size == PHONE:
            assert small_targets(page) == []


def test_a_link_to_what_comes_back_opens_it(chromium, site) -> None:
    with context_of(chromium, site) as context:
        page = context.new_page()
        page.goto(f"{site.address}/api")
        page.get_by_text("/batches/{name}/forecast", exact=True).click()
        page.get_by_role("link", name="Forecast", exact=True).click()
        page.locator("#shape-Forecast").get_by_text("wanted_l").wait_for(timeout=SOON_MS)


def test_a_token_is_shown_once(chromium, site) -> None:
    with context_of(chromium, site) as context:
        page = context.new_page()
        page.goto(f"{site.address}/people")
        page.get_by_label("Name of the program").fill("shed sensor")
        page.get_by_role("button", name="Make a token").click()
        shown = page.locator("code.token")
        shown.wait_for(timeout=SOON_MS)
        token = shown.inner_text()
        assert judged(page) == []
        assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
        assert small_targets(page) == []
        page.goto(f"{site.address}/people")
        assert token not in page.content()
        page.get_by_role("button", name="Take off shed sensor").click()
        page.get_by_text("may no longer come in").wait_for(timeout=SOON_MS)
    assert site.desk.house.tokens.find(token) is None
