"""Hostile input at every address and in every form that there is: each page is found by itself.

Pages are walked from the Bench along their own links; what no link leads to is asked by its route. Forms are
read off the pages as a browser would, so that a new page is tried as soon as it is there.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser
from urllib.parse import parse_qsl, quote, urljoin, urlsplit

import pytest
from fastapi.routing import APIRoute
from starlette.routing import Match, Mount

from caskward.desk import routes
from caskward.desk.forms import MOST_LETTERS
from tests.desk.conftest import ORIGIN, PASSPHRASE, Desk

MARKUP = "<script>alert(1)</script>\"'><img src=x onerror=alert(1)>{{ 7919*7907 }}${7919*7907}"
TEXTS = (
    MARKUP,
    "../../../../etc/passwd\u0000\u202e%s%n'; DROP TABLE entries; --",
    "9" * (MOST_LETTERS + 1),
)
RAW = ("<script>alert", "<img src=x", "root:x:", "Traceback (most")
MOST_OF_A_ROUTE = 2
FREE = ("/sign-in", "/sign-out", "/first", "/more")
"""Forms that change nothing in the book and that anybody who may look may send."""
LOOKS = {"GET", "HEAD"}

PAGES = [one for module in routes.MODULES for one in module.router.routes if isinstance(one, APIRoute)]
SENT = [one for one in PAGES if not LOOKS & set(one.methods)]


@dataclass
class Form:
    """A form of a page: where it goes, how, and what its fields hold."""

    action: str
    method: str
    fields: dict[str, str] = field(default_factory=dict)


class _Seen(HTMLParser):
    """Links and forms of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.links: list[str] = []
        self.forms: list[Form] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value or "" for name, value in attrs}
        self.links += [said[name] for name in ("href", "hx-get") if name in said]
        if tag == "form":
            self.forms.append(Form(said.get("action", ""), said.get("method", "get").lower()))
        elif tag in ("input", "textarea", "select", "button") and said.get("name") and self.forms:
            self.forms[-1].fields.setdefault(said["name"], said.get("value", ""))


def route_of(path: str) -> APIRoute | None:
    scope = {"type": "http", "method": "GET", "path": path, "root_path": "", "headers": []}
    return next((one for one in PAGES if one.matches(scope)[0] != Match.NONE), None)


def walk(desk: Desk) -> Iterator[tuple[str, _Seen]]:
    """Every kind of page, each with a few of its addresses, as links lead to them."""
    waiting, met = ["/", "/people"], {}
    while waiting:
        address = waiting.pop(0)
        route = route_of(urlsplit(address).path)
        if route is None or "GET" not in route.methods or met.get(route.path, 0) >= MOST_OF_A_ROUTE:
            continue
        met[route.path] = met.get(route.path, 0) + 1
        answer = desk.browser.get(address)
        if "text/html" not in answer.headers.get("content-type", ""):
            continue
        seen = _Seen()
        seen.feed(answer.text)
        yield address, seen
        for link in seen.links:
            whole = urlsplit(urljoin(f"{ORIGIN}{address}", link))
            if whole.netloc == urlsplit(ORIGIN).netloc:
                waiting.append(f"{whole.path}?{whole.query}" if whole.query else whole.path)


def fine(answer, where: str) -> None:
    """Nothing of what was sent has become part of the page, and nothing of our insides is shown."""
    assert answer.status_code < 500, where
    if "text/html" in answer.headers.get("content-type", ""):
        for raw in RAW:
            assert raw not in answer.text, where
        assert "62615533" not in answer.text, f"a template was worked out: {where}"
    assert "unsafe" not in answer.headers["content-security-policy"], where
    assert answer.headers["x-content-type-options"] == "nosniff", where
    to = answer.headers.get("location", "/")
    assert to.startswith("/"), where
    assert not to.startswith("//"), where


def refused(desk: Desk) -> list[str]:
    file = desk.house.settings.folder / "refused.log"
    return file.read_text(encoding="utf-8").splitlines() if file.exists() else []


def filled(path: str, text: str) -> str:
    """A route's address with a text in each of its gaps."""
    return re.sub(r"\{[^}]*\}", lambda _: text, path)


def test_every_address_is_known_to_these_tests(desk) -> None:
    mounted = [one for one in desk.browser.app.routes if isinstance(one, Mount)]
    assert [one.path for one in mounted] == ["/api/v1"]
    assert len(desk.browser.app.routes) == len(routes.MODULES) + len(mounted)
    assert len(PAGES) > 30


def test_pages_and_forms_are_found(desk) -> None:
    pages = dict(walk(desk))
    found = {route.path for address in pages if (route := route_of(urlsplit(address).path))}
    assert {"/", "/batches/{name}", "/casks/{name}", "/book/entries/{number}", "/people", "/api"} <= found
    forms = {form.action for seen in pages.values() for form in seen.forms if form.method == "post"}
    assert {"/record", "/people", "/people/tokens", "/more", "/book/check"} <= forms


@pytest.mark.parametrize("text", TEXTS, ids=("markup", "tricks", "long"))
def test_hostile_text_in_every_field_of_every_form(desk, text: str) -> None:
    tried = set()
    for address, seen in list(walk(desk)):
        for form in seen.forms:
            shape = (urlsplit(form.action).path or address, form.method, *sorted(form.fields))
            if shape in tried or form.action == "/sign-out":
                continue
            tried.add(shape)
            for name in form.fields:
                where = f"{form.method} {shape[0]} {name} from {address}"
                fields = {**form.fields, name: text}
                if form.method == "get":
                    answer = desk.browser.get(urlsplit(shape[0]).path, params=fields)
                else:
                    answer = desk.send(shape[0], fields)
                fine(answer, where)
    assert len(tried) > 10
    for address, _ in list(walk(desk)):
        fine(desk.browser.get(address), f"afterwards {address}")


@pytest.mark.parametrize("text", TEXTS[:2], ids=("markup", "tricks"))
def test_hostile_text_in_every_part_of_every_address(desk, text: str) -> None:
    for route in PAGES:
        if "GET" in route.methods and "live" not in route.path:
            for shown in (quote(text, safe=""), quote(text), "..%2f..%2f..%2fetc%2fpasswd"):
                fine(desk.browser.get(filled(route.path, shown)), route.path)
    for address, seen in list(walk(desk)):
        links = {name for link in seen.links for name, _ in parse_qsl(urlsplit(link).query)}
        for name in links | {"q", "back", "next", "part", "after", "before"}:
            fine(desk.browser.get(urlsplit(address).path, params={name: text}), f"{address} {name}")


@pytest.mark.parametrize("route", SENT, ids=lambda one: one.path)
def test_a_page_elsewhere_sends_nothing(desk, route: APIRoute) -> None:
    before, noted = desk.house.book.newest(), len(refused(desk))
    for headers in ({"origin": "http://evil.example"}, {"origin": "null"}, {}):
        fields = {"token": desk.token(), "verb": "note", "words": "from elsewhere", "name": "Eve"}
        answer = desk.browser.post(filled(route.path, "x"), data=fields, headers=headers)
        assert answer.status_code == 403
    # From our own page, but without the word of this sign-in.
    answer = desk.browser.post(filled(route.path, "x"), data={"words": "x"}, headers={"origin": ORIGIN})
    assert answer.status_code == 403
    assert desk.house.book.newest() == before
    assert len(refused(desk)) == noted + 4
    assert all("SentFromElsewhere" in line for line in refused(desk)[noted:])


def test_a_reader_sends_nothing_and_a_helper_only_what_is_theirs(lan_desk) -> None:
    asked_of_makers = [one for one in PAGES if getattr(one.endpoint, "caskward_needs", "") == "maker"]
    assert {one.path for one in asked_of_makers} >= {"/people", "/people/tokens", "/book/backup"}
    for name, kept_out in (("Wren", [*SENT, *asked_of_makers]), ("Jory", asked_of_makers)):
        lan_desk.sign_in(name, PASSPHRASE)
        before = lan_desk.house.book.newest()
        for route in kept_out:
            if route.path.startswith(FREE):
                continue
            noted, path = len(refused(lan_desk)), filled(route.path, "x")
            looks = "GET" in route.methods
            answer = lan_desk.browser.get(path) if looks else lan_desk.send(path, {"name": "Maud"})
            assert answer.status_code == 403, (name, path)
            assert len(refused(lan_desk)) == noted + 1
            assert f"\t{name}\t" in refused(lan_desk)[-1]
            assert "NotYourRole" in refused(lan_desk)[-1]
        assert lan_desk.house.book.newest() == before
    assert len(lan_desk.house.people.all()) == 3


def test_without_signing_in_every_address_is_shut(lan_desk) -> None:
    for route in PAGES:
        path = filled(route.path, "x")
        if path.startswith(("/sign-in", "/favicon", "/icon", "/static")):
            continue
        if "GET" in route.methods:
            answer = lan_desk.browser.get(path)
            assert answer.status_code == 303, path
            assert answer.headers["location"].startswith("/sign-in"), path
        else:
            assert lan_desk.browser.post(path, headers={"origin": ORIGIN}).status_code == 401, path


# Programs ----------------------------------------------------------------------------------------


def calls(desk: Desk) -> Iterator[tuple[str, str, dict, dict | None]]:
    """Every call of the interface: method, path, its description, the fields that are sent."""
    of = desk.browser.get("/api/v1/openapi.json").json()
    for path, methods in of["paths"].items():
        for method, spec in methods.items():
            sent = None
            if "requestBody" in spec:
                ref = spec["requestBody"]["content"]["application/json"]["schema"]["$ref"]
                sent = of["components"]["schemas"][ref.rpartition("/")[2]]
            yield method.upper(), f"/api/v1{path}", spec, sent


def bearer(desk: Desk, role: str) -> dict[str, str]:
    return {"authorization": f"Bearer {desk.house.tokens.add(f'a {role}', role)}"}


def good(sent: dict) -> dict:
    return {name: one["examples"][0] for name, one in sent["properties"].items() if name in sent["required"]}


@pytest.mark.parametrize("text", [*TEXTS, "\ud800"], ids=("markup", "tricks", "long", "half a sign"))
def test_hostile_text_in_every_field_of_every_call(desk, text: str) -> None:
    helper = bearer(desk, "maker")
    in_address = text.encode("utf-8", "replace").decode()
    for method, path, spec, sent in calls(desk):
        if sent is None:
            for one in spec.get("parameters", ()):
                there = (
                    filled(path, "x") if one["in"] == "query" else filled(path, quote(in_address, safe=""))
                )
                params = {one["name"]: in_address} if one["in"] == "query" else {}
                answer = desk.browser.get(there, params=params, headers=helper)
                assert answer.status_code < 500, (path, one["name"])
                assert answer.headers["content-type"] == "application/json"
            continue
        for name in sent["properties"]:
            said = json.dumps({**good(sent), name: text})
            answer = desk.browser.post(
                filled(path, "rye 4"), content=said, headers={**helper, "content-type": "application/json"}
            )
            assert answer.status_code in (200, 201, 404, 409, 422), (path, name)
            assert answer.headers["content-type"] == "application/json"
            assert method == "POST"
    page = desk.browser.get("/book").text
    assert "<script>alert" not in page


@pytest.mark.parametrize("value", [None, 7, 1.5, True, [], {}, {"a": []}, 10**400], ids=str)
def test_a_wrong_kind_in_every_field_is_refused(desk, value) -> None:
    helper, before = bearer(desk, "maker"), desk.house.book.newest()
    for _, path, _, sent in calls(desk):
        if sent is not None:
            for name, one in sent["properties"].items():
                if one.get("type") == "number" and value in (7, 1.5):
                    continue
                answer = desk.browser.post(
                    filled(path, "rye 4"), json={**good(sent), name: value}, headers=helper
                )
                assert answer.status_code == 422, (path, name)
                assert set(answer.json()) == {"error"}
    assert desk.house.book.newest() == before


def test_a_readers_token_sends_nothing_and_that_is_noted(desk) -> None:
    reader, before = bearer(desk, "reader"), desk.house.book.newest()
    for _, path, _, sent in calls(desk):
        if sent is not None:
            noted = len(refused(desk))
            answer = desk.browser.post(filled(path, "rye 4"), json=good(sent), headers=reader)
            assert answer.status_code == 403
            assert len(refused(desk)) == noted + 1
            assert "\ta reader\t" in refused(desk)[-1]
    assert desk.house.book.newest() == before


@pytest.mark.parametrize(
    ("headers", "number"),
    [
        ({"origin": "http://evil.example"}, 403),
        ({"origin": "null"}, 403),
        ({"origin": ORIGIN, "sec-fetch-site": "cross-site"}, 403),
        ({}, 401),
        ({"authorization": "Bearer nothing"}, 401),
        ({"authorization": "Basic bWF1ZDpvYWs="}, 401),
        ({"host": "evil.example", "origin": "http://evil.example"}, 421),
    ],
    ids=str,
)
def test_a_page_elsewhere_calls_nothing(desk, headers: dict[str, str], number: int) -> None:
    before, noted = desk.house.book.newest(), len(refused(desk))
    for _, path, _, sent in [one for one in calls(desk) if one[3] is not None]:
        answer = desk.browser.post(filled(path, "rye 4"), json=good(sent), headers=headers)
        assert answer.status_code == number
        assert "access-control-allow-origin" not in answer.headers
        assert "set-cookie" not in answer.headers
    assert desk.house.book.newest() == before
    assert len(refused(desk)) == noted + 5
