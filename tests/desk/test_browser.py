"""The desk in a browser, as a maker meets it: phone and laptop, light and dark, with and without network.

Accessibility is judged by axe-core by the rules of WCAG 2.2 (A and AA); nothing may ask for anything outside
this machine.
"""

from __future__ import annotations

import re

import pytest

from tests.desk.browsing import LAPTOP, PHONE, SOON_MS, Site, context_of, judged, served, small_targets, until
from tests.desk.conftest import PASSPHRASE

pytestmark = pytest.mark.needs_tool("chromium")

PAGES = (
    *(
        "/",
        "/batches",
        "/batches/rye 4",
        "/casks",
        "/casks/3",
        "/stores",
        "/gear",
        "/book",
        "/book/entries/40",
    ),
    *(
        "/book/accounts",
        "/book/accounts/unaccounted/open/vessel feints",
        "/book/period?q=2025",
        "/book/check",
    ),
    *("/gauging?q=20 L of 63.2 %25 at 14 C", "/gauging/reduce?q=20 L 71.3 %25 to 63 %25 over 3 days"),
    *("/gauging?q=what", "/more", "/people", "/first", "/nope", "/recorded/240"),
)
FEW = ("/", "/casks/3", "/gauging?q=47 %25 at 28 C", "/gauging?q=what", "/more")


@pytest.mark.parametrize(
    ("size", "scheme", "look", "paths"),
    [
        (PHONE, "light", "", PAGES),
        (LAPTOP, "dark", "", PAGES),
        (PHONE, "dark", "", FEW),
        (LAPTOP, "light", "", FEW),
        (PHONE, "light", "contrast", FEW),
        (PHONE, "dark", "light", FEW),
    ],
)
def test_every_page_is_usable_by_everyone(chromium, site, size, scheme, look, paths) -> None:
    wrong: dict[str, list[str]] = {}
    refused = ("404 (Not Found)", "422 (Unprocessable")
    with context_of(chromium, site, size, scheme, look, expect=refused) as context:
        page = context.new_page()
        for path in paths:
            page.goto(f"{site.address}{path}")
            found = judged(page)
            found += small_targets(page) if size == PHONE else []
            wide = page.evaluate("document.documentElement.scrollWidth - innerWidth")
            found += [f"{wide} px wider than the screen"] if wide > 0 else []
            if found:
                wrong[path] = found
    assert wrong == {}


def test_gauging_answers_while_one_types_with_a_thumb(chromium, site) -> None:
    with context_of(chromium, site) as context:
        page = context.new_page()
        page.goto(f"{site.address}/")
        page.get_by_role("link", name="Gauging").tap()  # one tap, then the field has the cursor
        page.wait_for_url("**/gauging")
        assert page.evaluate("document.activeElement.id") == "q"
        assert page.locator("#q").get_attribute("inputmode") == "decimal"
        page.keyboard.type("47")
        page.get_by_role("button", name="%", exact=True).tap()
        page.get_by_role("button", name="at", exact=True).tap()
        page.keyboard.type("28")
        page.get_by_role("button", name="C", exact=True).tap()
        assert page.locator("#q").input_value() == "47 % at 28 C"
        page.get_by_text("This is 43.9").wait_for(timeout=SOON_MS)
        page.get_by_role("button", name="clear").tap()
        page.get_by_text("The answer stands here").wait_for(timeout=SOON_MS)


def _act(page, name: str):
    """The form of an act on a cask's page, which unfolds under its name."""
    act = page.locator("details.act", has=page.locator("summary b", has_text=re.compile(f"^{name}$")))
    act.locator("summary").first.click()
    return act.locator("form")


def test_a_record_shows_at_once_on_every_open_screen(chromium, site) -> None:
    with context_of(chromium, site) as context:
        other = context.new_page()
        other.goto(f"{site.address}/book")
        page = context.new_page()
        page.goto(f"{site.address}/casks/3")
        page.wait_for_timeout(1500)  # both have heard of the newest entry once
        form = _act(page, "Gauge")
        form.get_by_label("What you measured").fill("21.8 L 59.6 % at 20 C")
        form.get_by_role("button", name="Gauge", exact=True).click()
        form.get_by_text("Entry 241").wait_for(timeout=SOON_MS)
        assert form.get_by_label("What you measured").input_value() == ""
        other.locator("a[href='/book/entries/241']").wait_for(timeout=SOON_MS)
        page.locator("a[href='/book/entries/241']").wait_for(timeout=SOON_MS)
    assert site.newest() == 241


def test_what_is_refused_stays_in_its_field(chromium, site) -> None:
    with context_of(chromium, site, expect=("422 (Unprocessable",)) as context:
        page = context.new_page()
        page.goto(f"{site.address}/casks/3")
        form = _act(page, "Gauge")
        form.get_by_label("What you measured").fill("a lot")
        form.get_by_role("button", name="Gauge", exact=True).click()
        form.get_by_role("alert").wait_for(timeout=SOON_MS)
        assert form.get_by_label("What you measured").input_value() == "a lot"
        assert page.evaluate("localStorage.getItem('caskward-queue')") == "[]"
    assert site.newest() == 240


NO_NETWORK = ("ERR_INTERNET_DISCONNECTED", "ERR_FAILED", "htmx:error: Failed to fetch")


def test_a_reading_taken_without_network_lands_once_when_it_is_back(chromium, site) -> None:
    with context_of(chromium, site, expect=NO_NETWORK) as context:
        page = context.new_page()
        page.goto(f"{site.address}/casks/3")
        context.set_offline(True)
        form = _act(page, "Sample")
        for words in ("70 mL tasting", "80 mL tasting"):
            form.get_by_label("How much, and what for").fill(words)
            form.get_by_role("button", name="Sample").click()
            form.get_by_text("Kept on this device").wait_for(timeout=SOON_MS)
        page.get_by_text("2 records are on this device only.").wait_for(timeout=SOON_MS)
        assert site.newest() == 240
        context.set_offline(False)
        page.locator("#waiting").wait_for(state="hidden", timeout=SOON_MS)
        form.get_by_text("Entry 242").wait_for(timeout=SOON_MS)
        assert not form.get_by_text("Kept on this device").is_visible()
        page.reload()
        page.wait_for_timeout(500)
    assert site.newest() == 242
    said = [entry.details["asked"] for entry in site.desk.house.book.to_read().newest(limit=2)]
    assert ["80" in said[0], "70" in said[1]] == [True, True], "in the order in which they were typed"


def _note(page, words: str):
    form = page.locator("form", has=page.get_by_role("button", name="Note", exact=True))
    form.get_by_label("Words to keep").fill(words)
    form.get_by_role("button", name="Note", exact=True).click()
    return form


def test_what_waited_goes_before_what_is_pressed_next(chromium, site) -> None:
    with context_of(chromium, site, expect=NO_NETWORK) as context:
        page = context.new_page()
        page.goto(f"{site.address}/batches/rye 4")
        page.route("**/record", lambda route: route.abort())
        for words in ("the first", "the second"):
            _note(page, words).get_by_text("Kept on this device").wait_for(timeout=SOON_MS)
        page.unroute("**/record")
        _note(page, "the third").get_by_text("Entry 243").wait_for(timeout=SOON_MS)
        assert page.evaluate("localStorage.getItem('caskward-queue')") == "[]"
    notes = [entry.note for entry in site.desk.house.book.to_read().newest(limit=3)]
    assert notes == ["the third", "the second", "the first"]


@pytest.mark.parametrize(("first", "refused"), [("the first", False), ("x" * 4100, True)])
def test_what_is_typed_while_one_is_on_its_way_stays(chromium, site, first: str, refused: bool) -> None:
    expect = ("413", "422") if refused else ()
    with context_of(chromium, site, expect=expect) as context:
        page = context.new_page()
        page.goto(f"{site.address}/batches/rye 4")
        held = []
        page.route("**/record", lambda route, _: held.append(route))
        field = _note(page, first).get_by_label("Words to keep")
        page.locator("#waiting").wait_for(timeout=SOON_MS)
        field.fill("the second")
        held[0].continue_()
        until(page, "document.querySelectorAll('form.record button:disabled').length === 0")
        page.unroute("**/record")
        assert field.input_value() == "the second"
        waits = page.evaluate("JSON.parse(localStorage.getItem('caskward-queue')).map((item) => item.error)")
        assert [bool(error) for error in waits] == [True] * refused, (
            "the one that was refused, with its reason"
        )
        _note(page, "the second").get_by_text("noted the second").wait_for(timeout=SOON_MS)
    notes = [entry.note for entry in site.desk.house.book.to_read().newest(limit=2 - refused)]
    assert notes == ["the second", *["the first"] * (not refused)]


def test_enter_pressed_twice_loses_no_second_record(chromium, site) -> None:
    with context_of(chromium, site) as context:
        page = context.new_page()
        page.goto(f"{site.address}/batches/rye 4")
        page.evaluate(MADE_LONG)
        held = []
        page.route("**/record", lambda route, _: held.append(route))
        field = page.locator("textarea[name=words][enterkeyhint]")
        for words in ("the first", "the second"):
            field.fill(words)
            field.press("Enter")
        page.locator("#waiting").wait_for(timeout=SOON_MS)
        held[0].continue_()
        until(page, "localStorage.getItem('caskward-queue') === '[]'")
        page.unroute("**/record")
        until(page, "document.querySelectorAll('form.record button:disabled').length === 0")
        field.press("Enter")
        page.get_by_text("noted the second").first.wait_for(timeout=SOON_MS)
    notes = [entry.note for entry in site.desk.house.book.to_read().newest(limit=2)]
    assert notes == ["the second", "the first"]


MADE_LONG = """() => {
  const form = document.querySelector("form.record input[name=verb][value=note]").form;
  const long = document.createElement("textarea");
  for (const { name, value } of form.elements.words.attributes) long.setAttribute(name, value);
  form.elements.words.replaceWith(long);
}"""
"""A field is one of several lines where its words are ready and long."""


def test_what_waits_is_sent_as_soon_as_the_desk_is_heard_again(chromium, site) -> None:
    with context_of(chromium, site, expect=NO_NETWORK) as context:
        context.add_init_script("window.setInterval = () => 0")  # by hearing it, not by asking now and then
        page = context.new_page()
        page.goto(f"{site.address}/batches/rye 4")
        page.route("**/record", lambda route: route.abort())
        _note(page, "kept").get_by_text("Kept on this device").wait_for(timeout=SOON_MS)
        page.unroute("**/record")
        site.desk.send("/record", {"verb": "note", "words": "from elsewhere", "key": "e" * 24})
        until(page, "localStorage.getItem('caskward-queue') === '[]'")
    assert site.desk.house.book.to_read().newest(limit=1)[0].note == "kept"


def test_what_was_kept_for_another_book_waits_for_that(chromium, site) -> None:
    """The demo and a maker's own book may be at one address, one after the other."""
    with context_of(chromium, site) as context:
        page = context.new_page()
        page.goto(f"{site.address}/batches/rye 4")
        before = site.newest()
        page.evaluate(
            """() => {
              const fields = { key: "of-another-book", verb: "note", batch: "rye 4", words: "cap fallen" };
              const kept = { who: "", book: "another", since: Date.now() - 9000, error: "", stuck: "" };
              localStorage.setItem("caskward-queue", JSON.stringify([{ fields, ...kept }]));
            }"""
        )
        page.reload()
        page.locator("#waiting", has_text="of another book").wait_for()
        with page.expect_response("**/record"):
            _note(page, "of this book")
        page.locator(".done", has_text=f"Entry {before + 1}").first.wait_for(timeout=8000)
        assert page.locator("#waiting", has_text="cap fallen").is_visible()
    assert site.newest() == before + 1


def test_one_that_the_desk_fails_at_stops_no_other_and_can_be_thrown_away(chromium, site) -> None:
    with context_of(chromium, site, expect=("500 (Internal",)) as context:
        page = context.new_page()
        page.goto(f"{site.address}/batches/rye 4")

        def fail_at_one(route) -> None:
            if "poison" not in (route.request.post_data or ""):
                route.continue_()
                return
            route.fulfill(status=500, content_type="application/json", body='{"error": "A fault."}')

        page.route("**/record", fail_at_one)
        _note(page, "poison").get_by_text("A fault. It is kept on this device").wait_for(timeout=SOON_MS)
        _note(page, "a good one").get_by_text("Entry 241").wait_for(timeout=SOON_MS)
        waiting = page.locator("#waiting")
        waiting.get_by_text("Stuck: A fault.").wait_for(timeout=SOON_MS)
        assert waiting.get_by_role("listitem").count() == 1
        assert judged(page) == []
        waiting.get_by_role("button", name="Throw it away").tap()
        waiting.get_by_role("button", name="Keep it").tap()
        waiting.get_by_role("button", name="Throw it away").tap()
        waiting.get_by_role("button", name="Yes, throw it away").tap()
        waiting.wait_for(state="hidden", timeout=SOON_MS)
        assert page.evaluate("localStorage.getItem('caskward-queue')") == "[]"
    assert site.newest() == 241


def test_an_answer_that_was_lost_does_not_enter_it_twice(chromium, site) -> None:
    """The worst moment: the desk has entered it, and the network drops before it can say so."""
    with context_of(chromium, site, expect=NO_NETWORK) as context:
        page = context.new_page()
        page.goto(f"{site.address}/casks/3")
        lost, sent = [], []
        page.on("request", lambda request: sent.append(request.url) if request.method == "POST" else None)

        def lose_the_answer(route) -> None:
            lost.append(route.fetch().status)
            route.abort()

        page.route("**/record", lose_the_answer, times=1)
        form = _act(page, "Gauge")
        form.get_by_label("What you measured").fill("23.1 L 59.8 % at 20 C")
        form.get_by_role("button", name="Gauge", exact=True).click()
        form.get_by_role("status").get_by_text("Kept on this device").wait_for(timeout=SOON_MS)
        page.reload()  # the next page sends what the last one kept
        until(page, "localStorage.getItem('caskward-queue') === '[]'")
    assert lost == [200]
    assert len(sent) >= 2
    assert site.newest() == 241


def test_it_works_without_script(chromium, site) -> None:
    with context_of(chromium, site, script=False) as context:
        page = context.new_page()
        page.goto(f"{site.address}/gauging/reduce")
        page.get_by_label("How much of what").fill("20 L 71.3 % to 63 %")
        page.get_by_role("button", name="Work it out").click()
        assert "Add 2.775 kg of water" in page.locator("output").inner_text().replace("\u00a0", " ")
        page.goto(f"{site.address}/casks/3")
        form = _act(page, "Gauge")
        form.get_by_label("What you measured").fill("23.1 L 59.8 % at 20 C")
        form.get_by_role("button", name="Gauge", exact=True).click()
        assert "Entry 241" in page.get_by_role("status").last.inner_text()
        page.get_by_role("link", name="Go on").click()
        assert page.url.endswith("/casks/3")
    assert site.newest() == 241


def _tab_to(page, is_there: str) -> None:
    for _ in range(8):
        page.keyboard.press("Tab")
        if page.evaluate(is_there):
            return
    raise AssertionError(f"not within eight presses: {is_there}")


def test_it_works_by_keyboard_alone(chromium, site) -> None:
    with context_of(chromium, site, LAPTOP) as context:
        page = context.new_page()
        page.goto(f"{site.address}/casks/3")
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.textContent") == "Skip to the page"
        page.keyboard.press("Enter")
        _tab_to(page, "document.activeElement.textContent.startsWith('Gauge')")
        page.keyboard.press("Enter")
        _tab_to(page, "document.activeElement.name === 'words'")
        outline = page.evaluate("getComputedStyle(document.activeElement).outlineWidth")
        assert outline == "3px"
        page.keyboard.type("23.1 L 59.8 % at 20 C")
        page.keyboard.press("Enter")
        page.get_by_text("Entry 241").first.wait_for(timeout=SOON_MS)


def test_one_signs_in_on_a_phone_and_sees_what_the_role_allows(chromium, lan_desk) -> None:
    with served(lan_desk) as address:
        site = Site(lan_desk, address)
        with context_of(chromium, site, expect=("403 (Forbidden)",)) as context:
            page = context.new_page()
            page.goto(f"{address}/casks/3")
            assert judged(page) == []
            page.get_by_label("Your name").fill("wren")
            page.get_by_label("Your passphrase").fill("not the right one")
            page.get_by_role("button", name="Sign in").click()
            assert "do not belong together" in page.get_by_role("alert").inner_text()
            page.get_by_label("Your passphrase").fill(PASSPHRASE)
            page.keyboard.press("Enter")
            page.wait_for_url(f"{address}/casks/3")
            assert page.get_by_role("heading", name="In and out").is_visible()
            assert page.locator("form").count() == 0


def test_paper_has_no_menu_and_no_colour(chromium, site) -> None:
    with context_of(chromium, site, LAPTOP, "dark") as context:
        page = context.new_page()
        page.goto(f"{site.address}/book/period?q=2025")
        page.emulate_media(media="print")
        assert not page.locator("nav").is_visible()
        assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
        assert page.evaluate("getComputedStyle(document.body).color") == "rgb(0, 0, 0)"
