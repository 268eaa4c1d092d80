"""One batch from a wish to a label, as its maker does it; every page on the way is for everyone.

Nothing is said by address: each step is found from the page before it, by what stands there.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

import pytest

from caskward.planning import intent_file
from caskward.services.book import batch_record, look
from tests.desk.browsing import LAPTOP, PHONE, Site, context_of, judged, small_targets

pytestmark = pytest.mark.needs_tool("chromium")
WHILE_IT_THINKS_MS = 300_000
SOON_MS = 60_000
GONE = ("ERR_INTERNET_DISCONNECTED", "Failed to load resource", "Failed to fetch")
BATCH = "rye 5"


@pytest.fixture(autouse=True)
def quick_and_rough(monkeypatch: pytest.MonkeyPatch) -> None:
    """As few possible batches as a plan may ask for: the way is what is looked at, not the figures."""
    monkeypatch.setattr(intent_file, "_WORLDS", intent_file._FEWEST)


@dataclass
class Maker:
    """A maker's thumb on one page, and what everyone would stumble over on the pages that it met."""

    page: object
    site: Site
    phone: bool
    waits: bool = True
    wrong: dict[str, list[str]] = field(default_factory=dict)

    def look(self, what: str) -> None:
        """Judge the page as it stands."""
        found = judged(self.page) + (small_targets(self.page) if self.phone else [])
        wide = self.page.evaluate("document.documentElement.scrollWidth - innerWidth")
        found += [f"{wide} px wider than the screen"] if wide > 0 else []
        self.wrong |= {what: found} if found else {}

    def press(self, one) -> None:
        """A thumb's tap, or a click."""
        one.tap() if self.phone else one.click()

    def go(self, link: str, address: str) -> None:
        """Follow a link or a menu entry by its words."""
        self.press(self.page.get_by_role("link", name=link).first)
        self.page.wait_for_url(re.compile(address), timeout=SOON_MS)

    def menu(self, screen: str, address: str) -> None:
        """A screen by the menu, behind `More` where a phone has no place for it."""
        entry = self.page.locator("nav").get_by_role("link", name=screen, exact=True)
        if not entry.is_visible():
            self.go("More", "/more")
            entry = self.page.get_by_role("link", name=screen, exact=True).filter(visible=True)
        self.press(entry.first)
        self.page.wait_for_url(re.compile(address), timeout=SOON_MS)

    def to_batch(self) -> None:
        """The batch, by its list."""
        self.menu("Batches", "/batches$")
        self.go("rye 5", "/batches/rye%205$")

    def send(self, form, button: str, words: str | None = None) -> str:
        """Fill a form's field and press; what it says when the book has it."""
        before = self.site.newest()
        if words is not None:
            form.locator("[name=words]").fill(words)
        self.press(form.get_by_role("button", name=button, exact=True))
        form.locator(".done p", has_text=f"Entry {before + 1}").first.wait_for(
            state="attached", timeout=SOON_MS
        )
        return form.locator(".done").text_content()

    def form_of(self, button: str):
        """The form that has a button."""
        return self.page.locator("form", has=self.page.get_by_role("button", name=button, exact=True)).first

    def work(self, verb: str, words: str) -> str:
        """Grain or liquid moved, from the batch's page."""
        form = self.page.locator("details.work form")
        if not form.locator("select").is_visible():
            self.press(self.page.get_by_text("Work done, for the accounts"))
        form.locator("select").select_option(verb)
        return self.send(form, "Record", words)

    def reading(self, words: str) -> None:
        """A reading from the batch's page."""
        self.send(self.page.locator("form.reading"), "Record", words)

    def first_drop(self) -> None:
        """A run begins."""
        button = self.page.get_by_role("button", name="First drop")
        before = self.site.newest()
        self.press(button)
        button.wait_for(state="hidden", timeout=SOON_MS)
        assert self.site.newest() == before + 1

    def thought(self, locator: str, text: str = "") -> None:
        """Wait for what the page works out by itself, unless in a hurry."""
        if not self.waits:
            return
        found = self.page.locator(locator, has_text=text) if text else self.page.locator(locator)
        found.first.wait_for(timeout=WHILE_IT_THINKS_MS)


def _plan(maker: Maker, cask: str) -> None:
    """A wish becomes a plan and a batch; it is answered while one types."""
    page = maker.page
    maker.menu("Batches", "/batches$")
    maker.look("batches")
    maker.go("Plan a new batch", "/batches/new$")
    maker.look("new batch")
    maker.go("Rye, malt and oats", "start=rye")
    page.get_by_role("heading", name="What it takes").wait_for(timeout=WHILE_IT_THINKS_MS)
    was = page.locator(".brief").inner_text()
    page.get_by_label("How large the cask is").fill(cask)
    page.wait_for_function(
        "was => (now => now !== was && now.includes('sure') && !now.includes('about'))"
        "(document.querySelector('.brief').innerText)",
        arg=was,
        timeout=WHILE_IT_THINKS_MS,
    )
    maker.look("wish")
    page.get_by_label("The batch's name").fill(BATCH)
    maker.press(page.get_by_role("button", name="Begin the batch with this plan"))
    page.wait_for_url("**/batches/rye%205", timeout=WHILE_IT_THINKS_MS)
    maker.thought(".sure strong")
    maker.look("batch, begun")


def _mash(maker: Maker) -> None:
    """Grain into the tub, and what the tub says."""
    page = maker.page
    assert "mashed" in maker.work("mash", "23 kg rye, 9 kg oats into tub 100 L at 64 C")
    maker.work("mash", '10 kg "malted barley" into tub 135 L at 63 C')
    maker.go("Tub: mash and ferment", "/tub")
    maker.look("tub, mash")
    if page.locator("input[name=before]").input_value().startswith("ferment"):
        maker.go("Mash", "stage=mash")
    page.locator("input[name=before]").fill("mash 2 h")
    maker.press(page.get_by_role("button", name="starch clear"))
    maker.send(maker.form_of("Record"), "Record", "1.064, 62 C, starch clear")
    maker.to_batch()
    maker.work("add", '100 g "distillers\' dry yeast" to tub')
    maker.go("Tub: mash and ferment", "/tub")
    assert page.locator("input[name=before]").input_value() == "ferment 0 min", "the yeast has just gone in"
    page.locator("input[name=before]").fill("ferment 4 d")
    maker.send(maker.form_of("Record"), "Record", "0.998, 24 C")
    maker.thought("#tub-now h3, #tub-now p:not(.working)")
    maker.look("tub, ferment")


def _wash(maker: Maker) -> None:
    """The ferment is gauged: alcohol comes into the book, and the plan hears of it."""
    maker.to_batch()
    assert maker.page.locator("details.work select").input_value() == "convert", "what comes next is chosen"
    maker.work("convert", "tub 112 L 8.4 % at 20 C")
    maker.reading("wash: 8.4 %, 108 L")
    maker.page.reload()
    maker.thought(".sure strong")


def _strip(maker: Maker) -> None:
    """The strip on Run day: charged, run, entered with what was left in the still."""
    page = maker.page
    maker.work("move", "tub to still 108 L")
    maker.go("Run day", "/run")
    maker.thought(".run-plot")
    maker.look("strip, to come")
    maker.first_drop()
    maker.send(maker.form_of("Change receiver"), "Change receiver", "32 L, 26.5 % at 20 C")
    page.reload()
    maker.thought(".run-plot")
    maker.press(page.get_by_text("Enter the receivers in the accounts"))
    form = maker.form_of("Still run")
    words = form.locator("[name=words]").input_value()
    said = maker.send(form, "Still run", f"{words}, left 75 L 0.7 % at 20 C")
    assert "Not explained" not in said, said
    maker.look("strip, entered")
    maker.to_batch()
    maker.reading("strip: 32 L, 26.5 %")
    maker.work("move", "jar 1 to still all")
    maker.reading("charge: 32 L, 26.5 %")


def _strip_in_words(maker: Maker) -> None:
    """The same without Run day, from the batch's page alone."""
    maker.work("move", "tub to still 108 L")
    said = maker.work("distil", "still into jar 1 32 L 26.5 % at 20 C, left 75 L 0.7 % at 20 C")
    assert "Not explained" not in said, said
    maker.reading("strip: 32 L, 26.5 %")
    maker.work("move", "jar 1 to still all")
    maker.reading("charge: 32 L, 26.5 %")


JARS = (
    *("0.9 L, 77.5 %, -1, glue", "1.5 L, 76.6 %, +1, bread", "2 L, 74.8 %, +2"),
    *("2 L, 71.9 %, +1", "1.5 L, 68.0 %, +1", "1 L, 63.9 %, 0", "4 L, 45.0 %, -2, wet dog"),
)


def _spirit_run(maker: Maker, context) -> None:
    """Foreshots, jars, one of them while the network is gone, and the cut."""
    page = maker.page
    maker.to_batch()
    maker.thought(".sure strong")
    maker.look("batch, charged")
    maker.go("Run day", "/run")
    maker.thought(".run-plot")
    maker.look("run day, to come")
    maker.first_drop()
    change = maker.form_of("Change receiver")
    assert change.locator("select").input_value().endswith("foreshots")
    maker.send(change, "Change receiver", "0.15 L, 79 %")
    for words in JARS[:2]:
        maker.send(change, "Change receiver", words)
    context.set_offline(True)
    before = maker.site.newest()
    change.locator("[name=words]").fill(JARS[2])
    maker.press(change.get_by_role("button", name="Change receiver"))
    page.locator("#waiting li", has_text=JARS[2]).wait_for(timeout=SOON_MS)
    maker.look("run day, without network")
    assert maker.site.newest() == before
    context.set_offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    page.locator("#waiting").wait_for(state="hidden", timeout=3 * SOON_MS)
    page.wait_for_timeout(500)
    assert maker.site.newest() == before + 1, "it landed once"
    for words in JARS[3:]:
        maker.send(change, "Change receiver", words)


def _cut(maker: Maker) -> None:
    """What goes in is chosen with a thumb, confirmed, and entered."""
    page = maker.page
    page.reload()
    page.locator("#part-run-choice", has_text="It settles at").wait_for(timeout=WHILE_IT_THINKS_MS)
    makes = page.locator("#part-run-choice strong").first
    before = makes.inner_text()
    maker.press(page.locator("label", has=page.get_by_role("checkbox", name="jar 1")))
    page.wait_for_function(
        "before => document.querySelector('#part-run-choice strong')?.innerText !== before",
        arg=before,
        timeout=SOON_MS,
    )
    maker.press(page.get_by_role("button", name="Best unbroken cut"))
    page.locator("#part-run-shelf .hint", has_text="taken in below").wait_for(timeout=SOON_MS)
    for number in range(1, 8):
        jar = page.get_by_role("checkbox", name=f"jar {number}")
        if jar.is_checked() != (2 <= number <= 6):
            maker.press(page.locator("label", has=jar))
    page.locator("#part-run-choice strong", has_text="makes 8.00").wait_for(timeout=SOON_MS)
    maker.look("run day, the cut")
    maker.press(page.get_by_text("Record this choice"))
    maker.send(page.locator("#take-form"), "Yes, these went into the heart")
    page.get_by_text("Recorded as taken").wait_for(timeout=SOON_MS)
    maker.press(page.get_by_text("Enter the receivers in the accounts"))
    form = maker.form_of("Still run")
    words = form.locator("[name=words]").input_value()
    maker.send(form, "Still run", f"{words}, left 19 L 0.6 % at 20 C")
    maker.look("run day, entered")


def _cask(maker: Maker, cask: str) -> None:
    """Reduced, filled, labelled."""
    page = maker.page
    maker.menu("Gear", "/gear")
    maker.look("gear")
    maker.send(maker.form_of("Declare"), "Declare", f"cask 7 {cask}")
    maker.to_batch()
    maker.work("vat", "jar 2 all, jar 3 all, jar 4 all, jar 5 all, jar 6 all into spirit")
    maker.work("destroy", "jar foreshots all foreshots")
    assert "now holds" in maker.work("reduce", "spirit 1 L")
    maker.menu("Casks", "/casks$")
    maker.look("casks")
    maker.go("Cask 7", "/casks/7")
    assert page.get_by_role("link", name="Label").count() == 0, "an empty cask has none"
    act = page.locator(".act")
    act.locator("[name=words]").fill('spirit "cask 7" all')
    act.locator(".would", has_text="would hold").wait_for(timeout=SOON_MS)
    act.get_by_label("For which batch").select_option(BATCH)
    maker.send(act.locator("form"), "Fill a cask")
    maker.go("What can be done now", "/casks/7")
    page.locator(".act", has_text="Taken out").wait_for(timeout=SOON_MS)  # it can be sampled now
    maker.look("cask, filled")
    maker.to_batch()
    page.locator("a.button", has_text="Label of cask 7").wait_for(timeout=SOON_MS)
    maker.go("Cask 7: what is in it", "/casks/7")
    maker.go("Label", "/label$")
    assert "7" in page.locator("h1").inner_text()
    maker.look("label")


@pytest.mark.parametrize(("size", "scheme"), [(PHONE, "light"), (LAPTOP, "dark")])
def test_a_wish_becomes_a_labelled_cask(chromium, site, size, scheme) -> None:
    with context_of(chromium, site, size, scheme, expect=GONE) as context:
        page = context.new_page()
        page.goto(site.address)
        phone = size == PHONE
        maker = Maker(page, site, phone, waits=phone)
        maker.look("bench")
        _plan(maker, "10 L")
        _mash(maker)
        _wash(maker)
        (_strip if phone else _strip_in_words)(maker)
        _spirit_run(maker, context)
        _cut(maker)
        _cask(maker, "10 L")
        assert maker.wrong == {}
    book = site.desk.house.book.to_read()
    of = batch_record.record_of(book, BATCH)
    said = [row.partition(": ") for row in of.rows]
    assert [words for begin, _, words in said if re.search(r"jar \d$", begin)] == list(JARS), "each once"
    assert batch_record.casks(of) == ("cask/7",)
    assert any(look.account(book, "cask 7", 1).there.values())
