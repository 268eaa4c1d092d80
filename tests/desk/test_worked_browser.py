"""Pages in the states that work brings: people, corrections, presses, refusals, waits; usable by everyone.

One desk for each kind of state, and many pages on it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

import pytest

from caskward.desk import finished
from caskward.services.book import verbs
from caskward.services.book.asked import Asked
from tests.desk.browsing import LAPTOP, PHONE, Site, context_of, judged, served, small_targets
from tests.desk.conftest import PASSPHRASE
from tests.desk.test_batches import MAUD, planned
from tests.desk.test_next_act import Batch
from tests.desk.test_to_cask import after_the_run, done  # noqa: F401 - a fixture

pytestmark = pytest.mark.needs_tool("chromium")
SOON_MS = 60_000
WHILE_IT_THINKS_MS = 60_000
REFUSED = ("404 (Not", "403 (Forb", "422 (Unproc", "429 (Too", "401 (Unauth")
SIZES = pytest.mark.parametrize(("size", "scheme"), [(PHONE, "light"), (LAPTOP, "dark")])


@dataclass
class Walk:
    """A browser on a desk, and what everyone would stumble over on the pages that it met."""

    page: object
    site: Site
    small: bool
    wrong: dict[str, list[str]] = field(default_factory=dict)

    def go(self, path: str) -> None:
        self.page.goto(f"{self.site.address}{path}")
        self.look(path)

    def look(self, what: str) -> None:
        """Judge the page as it stands, in its own look and in high contrast."""
        found = judged(self.page) + (small_targets(self.page) if self.small else [])
        wide = self.page.evaluate("document.documentElement.scrollWidth - innerWidth")
        found += [f"{wide} px too wide"] if wide > 0 else []
        was = self.page.evaluate("document.documentElement.dataset.look")
        self.page.evaluate("document.documentElement.dataset.look = 'contrast'")
        found += [f"in high contrast: {one}" for one in judged(self.page)]
        self.page.evaluate("was => document.documentElement.dataset.look = was", was)
        self.wrong |= {what: found} if found else {}

    def press(self, name: str, within: str = "main") -> None:
        button = self.page.locator(within).get_by_role("button", name=name, exact=True).first
        button.tap() if self.small else button.click()

    def send(self, name: str) -> None:
        """Press a button that leads to another page, and be there."""
        with self.page.expect_navigation():
            self.press(name)

    def says(self, text: str) -> None:
        self.page.get_by_text(text).filter(visible=True).first.wait_for(timeout=SOON_MS)

    def sign_in(self, name: str, passphrase: str = PASSPHRASE) -> None:
        self.page.get_by_label("Your name").fill(name)
        self.page.get_by_label("Your passphrase").fill(passphrase)
        self.send("Sign in")


@pytest.fixture
def walk_on(chromium) -> Callable[..., Iterator[Walk]]:
    """A walk on a desk, at a size and in a look; at its end nothing was wrong."""

    @contextmanager
    def walk(desk, size, scheme) -> Iterator[Walk]:
        with served(desk) as address:
            own = Site(desk, address)
            with context_of(chromium, own, size, scheme, expect=REFUSED) as context:
                context.set_default_timeout(SOON_MS)
                made = Walk(context.new_page(), own, size == PHONE)
                yield made
            assert made.wrong == {}

    return walk


@SIZES
def test_people_come_and_go(walk_on, lan_desk, size, scheme) -> None:
    with walk_on(lan_desk, size, scheme) as walk:
        walk.go("/people")
        walk.sign_in("Maud", "not the right one")
        walk.says("do not belong together")
        walk.look("sign-in, refused")
        walk.sign_in("Maud")
        walk.page.wait_for_url("**/people")
        walk.look("people")
        for words in ("too short", "four words in a row"):
            walk.page.get_by_label("Name", exact=True).fill("Oswin")
            walk.page.get_by_label("Passphrase, four words").fill(
                words[:9] if words == "too short" else words
            )
            walk.send("Add")
            walk.look(f"people, {words}")
        walk.says("Oswin may come in as helper")
        walk.page.get_by_label("Name of the program").fill("tub sensor")
        walk.send("Make a token")
        walk.says("It is shown this once")
        walk.look("people, a token")
        walk.send("End sign-ins of Oswin")
        walk.says("Every sign-in of Oswin is ended")
        walk.send("Take off Oswin")
        walk.says("Oswin may no longer come in")
        walk.look("people, taken off")
        walk.go("/more")
        assert "--" not in walk.page.locator("main").inner_text()
        walk.send("Sign out everywhere, on every device of Maud")
        walk.page.wait_for_url("**/sign-in*")
        walk.look("sign-in")


@SIZES
def test_who_may_not_is_told(walk_on, lan_desk, size, scheme) -> None:
    with walk_on(lan_desk, size, scheme) as walk:
        walk.go("/sign-in")
        walk.sign_in("Wren")
        walk.page.wait_for_url("**/")
        for path in (
            "/people",
            "/",
            "/batches/rye 4",
            "/book/entries/40",
            "/book/entries/40/wrong",
            "/gear",
            "/nope",
        ):
            walk.go(path)
        walk.page.context.clear_cookies()
        walk.page.goto(f"{walk.site.address}/sign-in")
        for n in range(6):
            walk.sign_in("Jory", f"a guess of {n} words")
        walk.look("sign-in, too often")


# A batch at work ---------------------------------------------------------------------------------


@SIZES
def test_cooks_and_yeast_are_pressed_on_the_bench_and_at_the_tub(walk_on, make_desk, size, scheme) -> None:
    opened = planned(make_desk)
    Batch(opened)
    with walk_on(opened, size, scheme) as walk:
        act = walk.page.locator(".act")
        walk.go("/")
        for pressed, then in (
            ("Cook 1 is in the tub", "Cook 2 of 4"),
            ("Cook 2 is in the tub", "Cook 3 of 4"),
        ):
            walk.page.get_by_role("button", name=pressed).wait_for(timeout=WHILE_IT_THINKS_MS)
            walk.press(pressed)
            act.get_by_text(then).first.wait_for(timeout=WHILE_IT_THINKS_MS)
            walk.look(f"bench, {then}")
        walk.go("/batches/rye 5/tub")
        for pressed in ("Cook 3 is in the tub", "Cook 4 is in the tub", "All is together in the tub"):
            walk.page.get_by_role("button", name=pressed).wait_for(timeout=WHILE_IT_THINKS_MS)
            walk.press(pressed)
        act.get_by_text("The mash rests").first.wait_for(timeout=WHILE_IT_THINKS_MS)
        walk.look("tub, the mash rests")
        yeast = walk.page.get_by_role("button", name="The yeast is in")
        assert not yeast.is_visible(), "the mash is hot"
        done(opened, "measure", "mash 90 min: starch clear")
        yeast.wait_for(timeout=WHILE_IT_THINKS_MS)
        walk.look("tub, to be cooled")
        walk.press("The yeast is in")
        act.get_by_text("It ferments").first.wait_for(timeout=WHILE_IT_THINKS_MS)
        walk.go("/batches/rye 5/tub")
        walk.go("/")


@SIZES
def test_each_step_into_the_cask_is_pressed(walk_on, after_the_run, size, scheme) -> None:  # noqa: F811
    done(after_the_run, "measure", '"taken: jar 1, jar 2"')
    with walk_on(after_the_run, size, scheme) as walk:
        walk.go("/")
        for title, button in (
            ("Put the heart together", "Vat"),
            ("", "Reduce"),
            ("", "Declare"),
            ("", "Fill a cask"),
        ):
            step = walk.page.locator(".to-cask")
            step.get_by_role("button", name=button, exact=True).wait_for(timeout=SOON_MS)
            assert title in step.inner_text()
            walk.look(f"bench, {button}")
            field = step.locator("[name=words]")
            assert field.evaluate("one => one.scrollWidth <= one.clientWidth"), "all its words are seen"
            field.press("Enter")
        walk.page.get_by_role("link", name="Label of cask 1").wait_for(timeout=SOON_MS)
        walk.look("bench, filled")
        walk.go("/batches/rye 5")


@SIZES
def test_an_entry_is_put_right_on_its_page(walk_on, make_desk, size, scheme) -> None:
    opened = planned(make_desk, "wash: 8.4 %, 340 L")
    number = opened.house.book.newest()
    own = f"/book/entries/{number}/wrong"
    with walk_on(opened, size, scheme) as walk:
        walk.go(own)
        walk.page.get_by_label("Why").fill("read the wrong line")
        walk.page.get_by_label("What it should have said").fill("mush 3 h: 1.06")
        walk.send("Put it right")
        walk.look("corrections, refused")
        assert walk.page.get_by_label("Why").input_value() == "read the wrong line"
        walk.page.get_by_label("What it should have said").fill("wash: 8.1 %, 330 L")
        walk.send("Put it right")
        assert "/recorded/" in walk.page.url, walk.page.locator("main").inner_text()
        walk.look("corrections, done")
        walk.go(own)
        with walk.page.expect_navigation():
            walk.page.get_by_role("link", name=f"entry {number + 1}").first.click()
        assert walk.page.url.endswith(f"/book/entries/{number + 1}")
        walk.look("the entry that puts it right")


@SIZES
def test_what_a_batch_taught_is_looked_at_and_begun_with(walk_on, make_desk, size, scheme) -> None:
    opened = planned(make_desk, "ferment 4 d: 1.004, 28 C", "wash: 7.6 %, 330 L")
    verbs.done_in(opened.house.book.to_write(), Asked("close", ("rye 5",)), MAUD)
    opened.browser.get("/batches/rye 5/close?wait=1")
    with walk_on(opened, size, scheme) as walk:
        walk.go("/gear")
        walk.go("/batches/rye 5/close?wait=1")
        walk.send("Let new batches begin with it")
        walk.says("New batches begin with this.")
        walk.look("closed, taken over")
        walk.go("/gear")
        walk.go("/batches/new?batch=rye 5")


@SIZES
def test_a_report_that_is_being_made_says_so(walk_on, desk, monkeypatch, size, scheme) -> None:
    monkeypatch.setattr(finished.Reports, "made", lambda *_, **__: None)
    with walk_on(desk, size, scheme) as walk:
        for path in ("/book/period?q=2025", "/book/costs"):
            walk.go(path)
            walk.says("Reading the whole book")
        walk.go("/book/period?q=the year of the flood")
