"""Every page says what the book and the services say, whole and as a part."""

from __future__ import annotations

import gzip
import re
from dataclasses import fields, is_dataclass
from html.parser import HTMLParser

import pytest

from caskward.desk import pages
from caskward.desk.screens import screens

PATHS = (
    *(
        "/",
        "/batches",
        "/batches/rye 4",
        "/batches/rye 1",
        "/casks",
        "/casks/3",
        "/casks/1",
        "/stores",
        "/gear",
    ),
    *("/book", "/book?before=100", "/book/entries/40", "/book/entries/240", "/book/accounts"),
    *("/book/accounts?all=1", "/book/accounts/cask/3", "/book/accounts/lot/rye 25-2"),
    *("/book/accounts/unaccounted/open/vessel feints", "/book/period?q=2025", "/book/costs", "/book/check"),
    *("/gauging", "/gauging/reduce", "/gauging/blend", "/more", "/people", "/first", "/recorded/240"),
)
FIRST_LOAD_BYTES = 150 * 1024


class _Page(HTMLParser):
    """What a page links to, and whether anything in it would run or style by itself."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.links: set[str] = set()
        self.inline: list[str] = []
        self.ids: list[str] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        self.links |= {value for name, value in attrs if name in ("href", "src") and value}
        self.ids += [given["id"]] if given.get("id") else []
        if tag == "style" or (tag == "script" and not given.get("src")):
            self.inline.append(tag)
        self.inline += [name for name in given if name == "style" or name.startswith(("on", "hx-on"))]


@pytest.mark.parametrize("path", PATHS)
def test_a_page_is_whole_and_nothing_in_it_runs_by_itself(desk, path: str) -> None:
    answer = desk.browser.get(path)
    page = _Page(answer.text)
    assert answer.status_code == 200
    assert answer.text.count("<h1>") == 1
    assert page.inline == []
    assert len(page.ids) == len(set(page.ids))
    assert not any("//" in link for link in page.links), "everything comes from this machine"


@pytest.mark.parametrize("path", PATHS)
def test_a_part_is_the_same_without_the_frame(desk, path: str) -> None:
    part = desk.browser.get(path, headers={"HX-Request": "true"})
    assert part.status_code == 200
    assert "HX-Request" in part.headers["vary"]


def test_every_link_of_every_page_leads_somewhere(desk) -> None:
    links = {link for path in PATHS for link in _Page(desk.browser.get(path).text).links}
    seen = {link: desk.browser.get(link).status_code for link in links if not link.startswith("#")}
    assert len(seen) > 100
    assert {link: code for link, code in seen.items() if code not in (200, 303)} == {}


def test_every_screen_of_the_menu_is_there(desk) -> None:
    for one in screens():
        page = desk.browser.get(one.path)
        assert page.status_code == 200
        assert re.search(rf'<a href="{one.path}"[^>]* aria-current="page">{one.name}</a>', page.text)


def test_the_first_load_is_small(desk) -> None:
    """Page, style, scripts and type, packed as a browser takes them."""
    page = desk.browser.get("/gauging")
    links = {link for link in _Page(page.text).links if "/static/" in link or link.startswith("/favicon")}
    static = desk.house.static
    links |= {f"/static/{static.version}/{name}" for name in static.files if name.endswith((".js", ".woff2"))}
    with desk.browser.stream("GET", "/gauging", headers={"accept-encoding": "gzip"}) as packed:
        total = len(b"".join(packed.iter_raw()))
    for link in links:
        with desk.browser.stream("GET", link, headers={"accept-encoding": "gzip"}) as packed:
            total += len(b"".join(packed.iter_raw()))
    assert total <= FIRST_LOAD_BYTES


def test_static_files_are_packed_marked_and_kept(desk) -> None:
    path = f"/static/{desk.house.static.version}/desk.css"
    answer = desk.browser.get(path)
    assert "immutable" in answer.headers["cache-control"]
    assert answer.headers["content-encoding"] == "gzip"
    with desk.browser.stream("GET", path, headers={"accept-encoding": "gzip"}) as raw:
        assert gzip.decompress(b"".join(raw.iter_raw())).decode() == answer.text
    again = desk.browser.get(path, headers={"if-none-match": answer.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")
    older = desk.browser.get("/static/another/desk.css")
    assert "immutable" not in older.headers["cache-control"]


def test_each_field_of_a_page_has_a_line_of_help() -> None:
    kinds = [
        kind for kind in vars(pages).values() if is_dataclass(kind) and kind.__module__ == pages.__name__
    ]
    assert len(kinds) > 20
    for kind in kinds:
        for one in fields(kind):
            assert one.metadata.get("help", "").endswith("."), f"{kind.__name__}.{one.name}"


# What pages say ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("path", "said"),
    [
        ("/casks", "13.2 L"),
        ("/casks/3", "23.25 L"),
        ("/casks/1", "Empty"),
        ("/stores", "malted barley"),
        ("/gear", "takes 150 L"),
        ("/book", "Not explained yet"),
        ("/book/entries/40", "alcoholmeter"),
        ("/book/accounts", ">feints</a>"),
        ("/book/period?q=2025", "Every figure is invented."),
        ("/book/costs", "EUR"),
        ("/batches", "rye 4"),
        ("/first", "licence"),
    ],
)
def test_a_page_says_what_is_there(desk, path: str, said: str) -> None:
    assert said in desk.browser.get(path).text.replace("\u00a0", " ")


def test_a_us_maker_reads_gallons(desk) -> None:
    desk.browser.cookies.set("caskward-units", "us")
    text = desk.browser.get("/casks/3").text.replace("\u00a0", " ")
    assert "6.142 gal at 120.0 proof" in text or "6.142 gal at 119." in text


def test_a_book_that_has_not_begun_says_how_to(make_desk) -> None:
    desk = make_desk(empty=True)
    for path in ("/", "/batches", "/casks", "/stores", "/gear", "/book", "/gauging"):
        assert desk.browser.get(path).status_code == 200
    assert "Nothing is recorded yet" in desk.browser.get("/book").text
    assert desk.browser.get("/book/costs").status_code == 422


def test_older_entries_follow_page_by_page(desk) -> None:
    seen: list[int] = []
    path = "/book"
    while path:
        text = desk.browser.get(path).text
        seen += [int(number) for number in re.findall(r'href="/book/entries/(\d+)"', text)]
        older = re.search(r'href="(/book\?before=\d+)"', text)
        path = older[1] if older else ""
    assert seen == list(range(240, 0, -1))


# Gauging -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("path", "typed", "said"),
    [
        ("/gauging", "47 % at 28 C", "This is 43.9"),
        ("/gauging", "1.054 at 31 C", "This is a gravity of 1.057"),
        ("/gauging/reduce", "20 L 71.3 % to 63 %", "Add 2.775 kg of water"),
        ("/gauging/reduce", "12.5 kg 71.3 % to 63 % over 5 days", "Little by little"),
        ("/gauging/blend", "20 L 63 % and 5 L water", "That makes 24.81 L"),
    ],
)
def test_gauging_answers_at_once_and_whole(desk, path: str, typed: str, said: str) -> None:
    """The figures are those of the services, which have their own published checks."""
    whole = desk.browser.get(path, params={"q": typed})
    part = desk.browser.get(path, params={"q": typed}, headers={"HX-Request": "true"})
    assert whole.status_code == part.status_code == 200
    for text in (whole.text, part.text):
        assert said in text.replace("\u00a0", " ")


def test_a_reading_that_makes_no_sense_is_refused_at_its_field(desk) -> None:
    whole = desk.browser.get("/gauging", params={"q": "fortyseven"})
    assert whole.status_code == 422
    assert 'aria-invalid="true" aria-describedby="why"' in whole.text
    assert 'value="fortyseven"' in whole.text
    typing = desk.browser.get("/gauging", params={"q": "47 % a"}, headers={"HX-Request": "true"})
    assert (typing.status_code, 'role="alert"' in typing.text) == (200, False)


def test_gauging_takes_us_units_from_what_is_typed(desk) -> None:
    text = desk.browser.get("/gauging/reduce", params={"q": "5 gal 140 proof to 125 proof"}).text
    assert "gal" in text.partition("</output>")[0]


@pytest.mark.parametrize("key", ["strength", "reduce", "blend"])
def test_gauging_offers_a_us_maker_gallons_and_proof(desk, key) -> None:
    desk.browser.cookies.set("caskward-units", "us")
    html = desk.browser.get(f"/gauging/{key}").text
    offered = re.findall(r'data-key="([^"]*)"', html) + re.findall(
        r'href="/gauging/[^"]*q=[^>]*>([^<]*)<', html
    )
    assert any("gal" in one for one in offered), offered
    assert not any(re.search(r"\b(L|kg|C)\b", one) for one in offered), offered
    for example in re.findall(r'href="(/gauging/[^"]*q=[^"]*)"', html):
        assert desk.browser.get(example.replace("&amp;", "&")).status_code == 200, example
